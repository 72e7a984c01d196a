package takehome

// headGap is the room between the head's words and the academy's.
const headGap = 20.0

// The most room that the academy's logo takes, points.
const logoWidth, logoHeight = 130.0, 42.0

// academy sets the academy's logo, name and address at the right of the head, and
// returns the width that they take; headed is where they end.
func (p *page) academy() float64 {
	a := p.sheet.Academy
	wide, y := 0.0, p.y
	right := p.left + p.width
	if logo := p.sheet.logo; logo != nil {
		w, h := fitted(logo, logoWidth, logoHeight)
		p.picture(logo, right-w, y, w, h)
		wide, y = w, y+h+4
	}
	for i, line := range []string{a.Name, a.Address} {
		if line == "" {
			continue
		}
		st := small
		st.bold = i == 0
		line = p.short(line, st, p.width*0.45)
		w := p.measure(line, st)
		p.in("P", func() { y = p.lines([]string{line}, right-w, y, st) })
		wide = max(wide, w)
	}
	p.headed = y + 4
	if wide > 0 {
		wide += headGap
	}
	return wide
}

// strip sets the photographs of the key positions side by side.
func (p *page) strip() {
	list := p.sheet.Strip
	if len(list) == 0 {
		return
	}
	p.y += 8
	const apart = 8.0
	w := (p.width - apart*(mostInStrip-1)) / mostInStrip
	w, h := fitted(&list[0], w, pictureHeight)
	p.need(h + 3 + captionStyle.tall(1))
	for i := range list {
		x := p.left + float64(i)*(w+apart)
		p.picture(&list[i], x, p.y, w, h)
		p.in("Caption", func() { p.lines([]string{list[i].Caption + " "}, x, p.y+h+3, label) })
	}
	p.y += h + 3 + label.tall(1)
}

// one sets the one thing to work on, as large as anything on the page: its picture
// before and now, the number in words, and what to do.
func (p *page) one() {
	i := p.sheet.main()
	if i < 0 {
		return
	}
	f := &p.sheet.Findings[i]
	heads := p.wrap(withoutIntervals(f), large, p.width)
	const pictures = pictureHeight * 0.92
	x, width, tallest := p.left, p.width, 0.0
	type placed struct {
		picture *Picture
		caption string
		x, w, h float64
	}
	var row []placed
	now := "Now"
	if f.Before == nil && f.Picture != nil {
		now = f.Picture.Caption
	}
	for _, c := range []placed{{picture: f.Before, caption: "Before, " + p.sheet.Earlier}, {picture: f.Picture, caption: now}} {
		if c.picture == nil {
			continue
		}
		c.w, c.h = fitted(c.picture, pictureWidth, pictures)
		c.x = x
		row = append(row, c)
		x += c.w + 10
		width -= c.w + 10
		tallest = max(tallest, c.h+3+captionStyle.tall(2))
	}
	if len(row) > 0 {
		x, width = x+6, width-6
	}
	plain := p.wrap(f.Plain, told, width)
	items := p.sheet.items()
	words := 0.0
	if f.Plain != "" {
		words = told.tall(len(plain)) + 6
	}
	wrapped := make([][]string, len(items))
	for k, it := range items {
		wrapped[k] = p.wrap(it.Text, told, width-10)
		words += told.tall(len(wrapped[k])) + 5
		if it.Label != "" {
			words += label.tall(1)
		}
	}
	p.title("The one thing to work on", large.tall(len(heads))+8+max(tallest, words))
	p.in("H3", func() { p.y = p.lines(heads, p.left, p.y, large) + 8 })
	top := p.y
	for _, c := range row {
		p.picture(c.picture, c.x, top, c.w, c.h)
		p.in("Caption", func() { p.lines(p.wrap(c.caption, captionStyle, c.w), c.x, top+c.h+3, captionStyle) })
	}
	y := top
	if f.Plain != "" {
		p.in("P", func() { y = p.lines(plain, x, y, told) + 6 })
	}
	if len(items) > 0 {
		all := p.tags.add("L")
		bar := y
		p.within(all, func() {
			for k, it := range items {
				p.in("LI", func() {
					if it.Label != "" {
						p.in("Lbl", func() { y = p.lines([]string{it.Label + " "}, x+10, y, label) })
					}
					p.in("LBody", func() { y = p.lines(wrapped[k], x+10, y, told) + 5 })
				})
			}
		})
		p.ground(x, bar, 3, y-bar-5, paper.Accent)
	}
	p.y = max(y, top+tallest)
}
