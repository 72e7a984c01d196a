package takehome

import (
	"cmp"
	"regexp"
	"slices"
)

// The sheet has no more pages than this, as far as it lies with the findings; and
// so many of them at least are set in full.
const (
	mostPages = 4
	leastFull = 2
)

// inFull says which findings are set in full where only so many are: those that
// matter most. The others follow as lines of a table.
func (s *Sheet) inFull(most int) []bool {
	order := make([]int, len(s.Findings))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, k int) int { return cmp.Compare(s.Findings[k].Weight, s.Findings[i].Weight) })
	full := make([]bool, len(s.Findings))
	if i := s.main(); i >= 0 { // it comes before all others
		order = append([]int{i}, slices.DeleteFunc(order, func(k int) bool { return k == i })...)
	}
	for _, i := range order[:min(most, len(order))] {
		full[i] = true
	}
	return full
}

// rowScale is the width of the dot-and-interval of a finding in a table, points.
const rowScale = 96.0

// findings sets what was found beside the one thing.
func (p *page) findings() {
	n := 0
	for i := range p.sheet.Findings {
		if !p.full[i] || i == p.sheet.main() {
			continue
		}
		f := &p.sheet.Findings[i]
		n++
		h := p.finding(f, true)
		if n == 1 {
			p.title("Good to know as well", h)
		} else {
			p.need(h + gap*p.room)
			p.apart()
		}
		p.finding(f, false)
	}
	p.briefly()
}

// finding sets one finding, its words beside its picture, and returns its height; dry
// only measures it.
func (p *page) finding(f *Finding, dry bool) float64 {
	x, width, top := p.left, p.width, p.y
	height, w, h := 0.0, 0.0, 0.0
	var caption []string
	if f.Picture != nil {
		// A closer setting has somewhat smaller pictures.
		w, h = fitted(f.Picture, pictureWidth, pictureHeight*(0.5+0.5*p.room))
		caption = p.wrap(f.Picture.Caption, captionStyle, w)
		height = h + 3 + captionStyle.tall(len(caption))
		x += w + 16
		width -= w + 16
	}
	lines, plain := p.wrap(withoutIntervals(f), finding, width), p.wrap(f.Plain, text, width)
	y := top + finding.tall(len(lines))
	if f.Plain != "" {
		y += 5 + text.tall(len(plain))
	}
	height = max(height, y-top)
	if dry {
		return height
	}
	p.in("H3", func() { p.lines(lines, x, top, finding) })
	if f.Plain != "" {
		p.in("P", func() { p.lines(plain, x, top+finding.tall(len(lines))+5, text) })
	}
	if f.Picture != nil {
		p.picture(f.Picture, p.left, top, w, h)
		p.in("Caption", func() { p.lines(caption, p.left, top+h+3, captionStyle) })
	}
	p.y = top + height
	return height
}

// fitted is the size of a picture within a box.
func fitted(x *Picture, width, height float64) (w, h float64) {
	w, h = float64(x.Width), float64(x.Height)
	k := min(width/w, height/h)
	return w * k, h * k
}

// interval is how the rules write an interval after a number: "(25 to 37)".
var interval = regexp.MustCompile(` \((open |closed )?[−-]?[0-9]+(\.[0-9]+)? to (closed )?[−-]?[0-9]+(\.[0-9]+)?\)`)

// withoutIntervals is the text of a finding as the student reads it: the interval of
// its number stands in the coach's table.
func withoutIntervals(f *Finding) string {
	if f.Number == "" {
		return f.Text
	}
	return interval.ReplaceAllString(f.Text, "")
}

// briefly lists the findings that are not set in full.
func (p *page) briefly() {
	var items []item
	for i := range p.sheet.Findings {
		if !p.full[i] {
			items = append(items, item{"", withoutIntervals(&p.sheet.Findings[i])})
		}
	}
	if len(items) > 0 {
		p.list("Found as well", items)
	}
}

// found is the table of the numbers that findings rest on, as they were taken.
func (p *page) found() {
	p.numberTable("What the findings rest on", p.sheet.Found, rowScale, false)
}
