package takehome

import (
	"slices"
	"strconv"

	"turngauge/geometry"
)

// The styles of the sheet.
var (
	eyebrow      = style{size: 8.5, bold: true, ink: paper.Accent, leading: 1.3}
	nameStyle    = style{size: 23, bold: true, ink: paper.Text, leading: 1.15}
	factStyle    = style{size: 9.5, ink: paper.Dim, leading: 1.4}
	leadStyle    = style{size: 11.5, ink: paper.Text, leading: 1.4}
	heading      = style{size: 12.5, bold: true, ink: paper.Text, leading: 1.3}
	text         = style{size: 10, ink: paper.Text, leading: 1.42}
	finding      = style{size: 11, bold: true, ink: paper.Text, leading: 1.36}
	number       = style{size: 19, bold: true, ink: paper.Text, leading: 1.2}
	small        = style{size: 8.5, ink: paper.Dim, leading: 1.38}
	cell         = style{size: 8.5, ink: paper.Text, leading: 1.3}
	cellBold     = style{size: 8.5, bold: true, ink: paper.Text, leading: 1.3}
	captionStyle = style{size: 7, ink: paper.Dim, leading: 1.3}
	label        = style{size: 8.5, bold: true, ink: paper.Accent, leading: 1.35}
)

// gap is the room between parts, points.
const gap = 16.0

// body sets everything.
func (p *page) body() {
	p.top()
	p.plans()
	p.findings()
	p.work()
	p.next()
	p.shots()
	p.changes()
	p.courses()
	p.numbers()
	p.end()
}

// par writes a text over the whole width.
func (p *page) par(s string, st style) {
	lines := p.wrap(s, st, p.width)
	p.need(st.tall(min(len(lines), 3)))
	p.in("P", func() {
		for i, l := range lines {
			p.need(st.tall(1))
			if i < len(lines)-1 {
				l += " "
			}
			p.y = p.lines([]string{l}, p.left, p.y, st)
		}
	})
}

// title begins a part; below is how much of it must stand on the same page.
func (p *page) title(s string, below float64) {
	below = min(below, p.bottom-marginTop-3*gap) // what fits on no page begins here
	p.need(gap*p.room + heading.tall(1) + 6 + below)
	p.apart()
	p.pdf.Bookmark(s, 0, p.y)
	p.in("H2", func() { p.y = p.lines([]string{s}, p.left, p.y, heading) + 6 })
}

// apart leaves room after what stands above.
func (p *page) apart() {
	if p.y > marginTop {
		p.y += gap * p.room
	}
}

func (p *page) top() {
	s := p.sheet
	p.in("P", func() { p.y = p.lines([]string{"TAKE-HOME SHEET"}, p.left, p.y, eyebrow) + 2 })
	name := s.Student
	if name == "" {
		name = "Your swing"
	}
	st := nameStyle
	lines := p.wrap(name, st, p.width)
	if len(lines) > 2 { // a name that long is set smaller
		st.size *= 0.65
		lines = p.wrap(name, st, p.width)
	}
	p.in("H1", func() { p.y = p.lines(lines, p.left, p.y, st) + 2 })
	facts := ""
	for i, f := range s.facts() {
		if i > 0 {
			facts += "  ·  "
		}
		facts += f
	}
	p.in("P", func() { p.y = p.lines(p.wrap(facts, factStyle, p.width), p.left, p.y, factStyle) + 8 })
	p.line(p.left, p.y, p.width, 0.8, paper.Edge)
	p.y += 10
	p.par(s.Lead, leadStyle)
}

func (p *page) plans() {
	s := p.sheet
	if len(s.Plans) == 0 {
		return
	}
	p.y += 10
	d := &s.Plans[0]
	p.need(d.Height + 8 + small.tall(3))
	if len(s.Plans) == 1 { // the words stand beside it
		p.draw(d, p.left, p.y)
		x := p.left + d.Width + 16
		lines := p.wrap(s.PlanNote, small, p.width-d.Width-16)
		p.in("P", func() { p.lines(lines, x, p.y+(d.Height-small.tall(len(lines)))/2, small) })
		p.y += d.Height
		return
	}
	for i := range s.Plans {
		p.draw(&s.Plans[i], p.left+float64(i)*(p.width-d.Width), p.y)
	}
	p.y += d.Height + 5
	p.par(s.PlanNote, small)
}

// finding sets one finding and returns its height; dry only measures it.
func (p *page) finding(f *Finding, n int, dry bool) float64 {
	x, width, top := p.left, p.width, p.y
	height, w, h := 0.0, 0.0, 0.0
	var caption []string
	if f.Picture != nil {
		w, h = float64(f.Picture.Width), float64(f.Picture.Height)
		// A closer setting has somewhat smaller pictures.
		k := min(pictureWidth/w, pictureHeight*(0.5+0.5*p.room)/h)
		w, h = w*k, h*k
		caption = p.wrap(f.Picture.Caption, captionStyle, w)
		height = h + 3 + captionStyle.tall(len(caption))
		x += w + 16
		width -= w + 16
	}
	mark := strconv.Itoa(n) + "."
	indent := p.measure(mark+" ", finding)
	lines := p.wrap(f.Text, finding, width-indent)
	y := top + finding.tall(len(lines))
	if !dry {
		p.in("H3", func() {
			p.lines([]string{mark + " "}, x, top, finding)
			p.lines(lines, x+indent, top, finding)
		})
	}
	if f.Scale != nil {
		y += 7
		if !dry {
			p.reading(f, x, y)
		}
		y += number.tall(1) + small.tall(1) + 4
		if !dry {
			p.draw(f.Scale, x, y)
		}
		y += f.Scale.Height
	}
	if h := y - top; h > height {
		height = h
	}
	if !dry {
		if f.Picture != nil {
			p.picture(f.Picture, p.left, top, w, h)
			p.in("Caption", func() { p.lines(caption, p.left, top+h+3, captionStyle) })
		}
		p.y = top + height
	}
	return height
}

// reading writes a finding's number with its interval and its verdict.
func (p *page) reading(f *Finding, x, y float64) {
	p.in("P", func() {
		p.lines([]string{f.Number + " "}, x, y, number)
		after := x + p.measure(f.Number, number) + 8
		base := y + number.size*(0.1+0.83)
		p.write("95 % interval "+f.Interval, after, base, text)
	})
	y += number.tall(1)
	words := sentence(f.Name)
	if f.Verdict != "" {
		d := sign(f.Verdict)
		d.Says = "" // the words follow
		p.draw(&d, x, y+1.5)
		x += 13
	}
	if f.Says != "" {
		words += ": " + f.Says
	}
	p.in("P", func() {
		p.lines([]string{words}, x, y, style{size: small.size, ink: verdictInk(f.Verdict), leading: small.leading})
	})
}

// item is one labelled piece of advice.
type item struct{ Label, Text string }

// items are what the coach prescribes.
func (s *Sheet) items() []item {
	var out []item
	for i, t := range s.Work.SetUp {
		l := "At set-up"
		if i > 0 {
			l = ""
		}
		if t = oneLine(t); t != "" {
			out = append(out, item{l, t})
		}
	}
	for _, x := range []item{{"The feel", oneLine(s.Work.Feel)}, {"The drill", oneLine(s.Work.Drill)}} {
		if x.Text != "" {
			out = append(out, x)
		}
	}
	return out
}

func (p *page) work() {
	items := p.sheet.items()
	if len(items) > 0 {
		p.list("Your work until next time", items)
	}
}

func (p *page) next() {
	var items []item
	for i, t := range p.sheet.Next {
		l := ""
		if i == 0 {
			l = "Next time"
		}
		items = append(items, item{l, t})
	}
	if len(items) > 0 {
		p.list("What to film and mark next", items)
	}
}

// list sets labelled texts, each beside a bar.
func (p *page) list(title string, items []item) {
	const bar, column = 10.0, 66.0
	var all *element
	for i, x := range items {
		lines := p.wrap(x.Text, text, p.width-bar-column)
		h := text.tall(len(lines)) + 4
		if i == 0 {
			p.title(title, h)
			all = p.tags.add("L")
		}
		p.need(h)
		p.ground(p.left, p.y, 3, h, paper.AccentLow)
		p.within(all, func() {
			p.in("LI", func() {
				if x.Label != "" {
					p.in("Lbl", func() {
						p.lines([]string{x.Label + " "}, p.left+bar, p.y+2+(text.tall(1)-label.tall(1))/2, label)
					})
				}
				p.in("LBody", func() { p.lines(lines, p.left+bar+column, p.y+2, text) })
			})
		})
		p.y += h
	}
}

func (p *page) changes() {
	s := p.sheet
	if s.Earlier == "" || len(s.Changes) == 0 {
		return
	}
	columns := []column{
		{head: "measure", width: 178, wrap: true, names: true}, {head: "before", width: 48, right: true}, {head: "now", width: 48, right: true},
		{head: "change", width: 94, right: true}, {width: 15}, {width: p.width - 383, wrap: true},
	}
	list, noise := s.Changes, 0
	if p.trim >= trimNoise {
		list = slices.DeleteFunc(slices.Clone(list), func(c Change) bool { return !c.Known })
		noise = len(s.Changes) - len(list)
	}
	p.title("Since "+s.Earlier, p.table(len(list)))
	if noise > 0 {
		defer func() {
			p.y += 5
			p.par("Of "+oneOf(noise, "other measure", "other measures")+" it can't be told whether they changed.", small)
		}()
	}
	if len(list) == 0 {
		return
	}
	p.in("Table", func() { p.changeRows(columns, list) })
}

func (p *page) changeRows(columns []column, list []Change) {
	p.heads(columns)
	for _, c := range list {
		st := cell
		v := geometry.CantTell
		if c.Known {
			st, v = cellBold, geometry.Within
		}
		d := changeSign(v)
		p.put(p.row(columns, []string{c.Name, c.Before, c.Now, c.Change, "", c.Word}, st), 4, &d)
	}
}

// changeSign is a filled dot for a change whose direction is told, else a ring.
func changeSign(v geometry.Verdict) Drawing {
	d := Drawing{Width: 9, Height: 9}
	if v == geometry.Within {
		d.disc(Pt{4.5, 4.5}, 3.4, paper.Text)
	} else {
		d.ring(Pt{4.5, 4.5}, 2.8, 1.2, paper.Dim)
	}
	return d
}

func (p *page) numbers() {
	s := p.sheet
	list, title := s.Numbers, "Every number with a range we look for"
	if p.trim >= trimNumbers {
		list = slices.DeleteFunc(slices.Clone(list), func(n Number) bool { return n.Told })
		title = "The other numbers with a range we look for"
	}
	if len(list) == 0 {
		return
	}
	columns := []column{
		{width: 14}, {head: "measure", wrap: true, names: true}, {head: "value", width: 42, right: true}, {head: "95 % interval", width: 74},
		{width: numberScale + 12}, {head: "we look for", width: 66},
	}
	columns[1].width = p.width
	for i, c := range columns {
		if i != 1 {
			columns[1].width -= c.width
		}
	}
	p.title(title, p.table(len(list))+5+small.tall(1))
	p.in("Table", func() {
		p.heads(columns)
		for i := range list {
			n := &list[i]
			l := p.row(columns, []string{"", n.Name, n.Number, n.Interval, "", n.Target}, cell)
			d := sign(n.Verdict)
			p.put(l, 0, &d)
			p.put(l, 4, &n.Scale)
		}
	})
	p.y += 5
	p.need(small.tall(1))
	p.in("P", p.legend)
}

// legend says what the signs of verdicts and of turns mean.
func (p *page) legend() {
	x := p.left
	for _, v := range []geometry.Verdict{geometry.Within, geometry.Below, geometry.Above, geometry.NotBelow, geometry.NotAbove, geometry.CantTell} {
		d := sign(v)
		d.Says = "" // the word follows
		p.draw(&d, x, p.y+1.2)
		p.lines([]string{string(v) + " "}, x+13, p.y, small)
		x += 13 + p.measure(string(v), small) + 14
	}
	p.write(turnSign, p.left+p.width-p.measure(turnSign, small), p.y+small.size*1.02, small)
	p.y += small.tall(1)
}

// turnSign says what the sign of a turn means.
const turnSign = "A turn away from the target counts as plus, one toward it as minus."

// end says how it was all got, and what comes before any of it.
func (p *page) end() {
	s := p.sheet
	how := p.wrap(s.How, small, p.width)
	caution := p.wrap(s.Cautions, small, p.width-20)
	box := small.tall(len(caution)) + 12
	p.title("How these numbers were got, and how sure they are", small.tall(len(how))+10+box)
	p.in("P", func() { p.y = p.lines(how, p.left, p.y, small) + 10 })
	p.ground(p.left, p.y, p.width, box, paper.Panel)
	p.ground(p.left, p.y, 3, box, paper.Outside)
	p.in("P", func() {
		p.y = p.lines(caution, p.left+12, p.y+6, style{size: small.size, ink: paper.Text, leading: small.leading}) + 6
	})
}
