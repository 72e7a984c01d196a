package takehome

import (
	"slices"

	"turngauge/annotations/words"
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
	large        = style{size: 17, bold: true, ink: paper.Text, leading: 1.25}
	told         = style{size: 12.5, ink: paper.Text, leading: 1.38}
	finding      = style{size: 11, bold: true, ink: paper.Text, leading: 1.36}
	small        = style{size: 8.5, ink: paper.Dim, leading: 1.38}
	cell         = style{size: 8.5, ink: paper.Text, leading: 1.3}
	cellBold     = style{size: 8.5, bold: true, ink: paper.Text, leading: 1.3}
	captionStyle = style{size: 7, ink: paper.Dim, leading: 1.3}
	label        = style{size: 8.5, bold: true, ink: paper.Accent, leading: 1.35}
)

// gap is the room between parts, points.
const gap = 16.0

// body sets everything: first what the student puts on the wall, then what else was
// found, then what is for the coach.
func (p *page) body() {
	p.top()
	p.strip()
	p.one()
	p.plans()
	p.findings()
	p.film()
	p.next()
	p.caution()
	p.coach()
}

// coach sets the numbers, on pages of their own.
func (p *page) coach() {
	p.turn()
	p.in("P", func() { p.y = p.lines([]string{"FOR THE COACH"}, p.left, p.y, eyebrow) + 2 })
	p.mark()
	p.found()
	p.shots()
	p.changes()
	p.courses()
	p.numbers()
	p.how()
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
	right := p.academy()
	width := p.width - right
	name := s.Student
	if name == "" {
		name = "Your swing"
	}
	st := nameStyle
	lines := p.wrap(name, st, width)
	if len(lines) > 2 { // a name that long is set smaller
		st.size *= 0.65
		lines = p.wrap(name, st, width)
	}
	p.in("H1", func() { p.y = p.lines(lines, p.left, p.y, st) + 2 })
	facts := ""
	for i, f := range s.facts() {
		if i > 0 {
			facts += "  ·  "
		}
		facts += f
	}
	p.in("P", func() { p.y = p.lines(p.wrap(facts, factStyle, width), p.left, p.y, factStyle) + 8 })
	p.y = max(p.y, p.headed)
	p.line(p.left, p.y, p.width, 0.8, paper.Edge)
	p.y += 10
	p.par(s.Lead, leadStyle)
}

// plans sets the golfer from above: before, now and as it is looked for.
func (p *page) plans() {
	s := p.sheet
	if len(s.Plans) == 0 {
		return
	}
	d := &s.Plans[0]
	if len(s.Plans) == 1 { // the words stand beside it
		p.need(10 + d.Height)
		p.y += 10
		p.draw(d, p.left, p.y)
		x := p.left + d.Width + 16
		lines := p.wrap(s.PlanNote, small, p.width-d.Width-16)
		p.in("P", func() { p.lines(lines, x, p.y+(d.Height-small.tall(len(lines)))/2, small) })
		p.y += d.Height
		return
	}
	lines := p.wrap(s.PlanNote, captionStyle, p.width)
	p.need(10 + d.Height + 5 + captionStyle.tall(len(lines)))
	p.y += 10
	for i := range s.Plans {
		p.draw(&s.Plans[i], p.left+float64(i)*(p.width-d.Width)/float64(len(s.Plans)-1), p.y)
	}
	p.y += d.Height + 5
	p.in("P", func() { p.y = p.lines(lines, p.left, p.y, captionStyle) })
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

// film sets a picture of the film that goes with the sheet, and its name.
func (p *page) film() {
	if f := p.sheet.Film; f != nil {
		p.y += 8
		w, h := fitted(f, 1.5*pictureWidth, pictureHeight)
		p.need(h + 3 + label.tall(1))
		p.picture(f, p.left, p.y, w, h)
		p.in("Caption", func() { p.lines([]string{f.Caption + " "}, p.left, p.y+h+3, label) })
		p.y += h + 3 + label.tall(1)
	}
}

func (p *page) next() {
	var items []item
	if p.sheet.main() < 0 { // else it stands beside what it is for
		items = p.sheet.items()
	}
	for i, t := range p.sheet.Next {
		l := ""
		if i == 0 {
			l = "Next time"
		}
		items = append(items, item{l, t})
	}
	if len(items) > 0 {
		p.list("Until next time", items)
	}
}

// mark sets what the coach could mark to know more.
func (p *page) mark() {
	var items []item
	for _, t := range p.sheet.Mark {
		items = append(items, item{"", t})
	}
	if len(items) > 0 {
		p.list("What to mark next", items)
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

const changeWidth = 122.0

func (p *page) changes() {
	s := p.sheet
	if s.Earlier == "" || len(s.Changes) == 0 {
		return
	}
	columns := []column{
		{head: "measure", width: 144, wrap: true, names: true}, {head: "before", width: 60, right: true}, {head: "now", width: 60, right: true},
		{head: "change", width: changeWidth, right: true}, {width: 15}, {width: p.width - 401, wrap: true},
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
			p.par("Of "+words.Spelled(noise, "other measure", "other measures")+" it can't be told whether they changed.", small)
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
	p.numberTable(title, list, numberScale, true)
}

// numberTable sets numbers with their intervals over their ranges, scale points wide.
func (p *page) numberTable(title string, list []Number, scale float64, signs bool) {
	if len(list) == 0 {
		return
	}
	columns := []column{
		{width: 14}, {head: "measure", wrap: true, names: true}, {head: "value", width: 62, right: true}, {head: "95 % interval", width: 100, wrap: true},
		{width: scale + 12}, {head: "we look for", width: 106, wrap: true},
	}
	columns[1].width = p.width
	for i, c := range columns {
		if i != 1 {
			columns[1].width -= c.width
		}
	}
	below := p.table(len(list))
	if signs {
		below += 5 + small.tall(1)
	}
	p.title(title, below)
	p.in("Table", func() {
		p.heads(columns)
		for i := range list {
			n := &list[i]
			l := p.row(columns, []string{"", n.Name, n.Number, n.Interval, "", n.Target}, cell)
			if n.Verdict != "" {
				d := sign(n.Verdict)
				p.put(l, 0, &d)
			}
			p.put(l, 4, &n.Scale)
		}
	})
	if signs {
		p.y += 5
		p.need(small.tall(2))
		p.in("P", p.legend)
	}
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
	p.y += small.tall(1)
	p.y = p.lines([]string{turnSign}, p.left, p.y, small)
}

// turnSign says what the sign of a turn means.
const turnSign = "Open is turned toward the target, closed away from it; a turn without a word is away from it."

// how says how the numbers were got.
func (p *page) how() {
	lines := p.wrap(p.sheet.How, small, p.width)
	p.title("How these numbers were got, and how sure they are", small.tall(len(lines)))
	p.in("P", func() { p.y = p.lines(lines, p.left, p.y, small) })
}

// caution says what comes before any of it.
func (p *page) caution() {
	lines := p.wrap(p.sheet.Cautions, small, p.width-20)
	box := small.tall(len(lines)) + 12
	p.need(gap*p.room + box)
	p.apart()
	p.ground(p.left, p.y, p.width, box, paper.Panel)
	p.ground(p.left, p.y, 3, box, paper.Outside)
	p.in("P", func() {
		p.y = p.lines(lines, p.left+12, p.y+6, style{size: small.size, ink: paper.Text, leading: small.leading}) + 6
	})
}
