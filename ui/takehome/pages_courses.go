package takehome

// courses sets the measures over the lessons, two beside each other.
func (p *page) courses() {
	list := p.sheet.Courses
	if len(list) == 0 {
		return
	}
	const columns, apart = 2, 16.0
	width := (p.width - apart) / columns
	head := func(c *Course) (words []string, height float64) {
		words = p.wrap(c.Word, small, width)
		return words, cellBold.tall(1) + small.tall(len(words)) + 3
	}
	for i := 0; i < len(list); i += columns {
		row := list[i:min(i+columns, len(list))]
		tallest := 0.0
		for k := range row {
			_, h := head(&row[k])
			tallest = max(tallest, h)
		}
		height := tallest + courseHeight
		if i == 0 {
			note := p.wrap(coursesNote(len(list)), small, p.width)
			p.title("Over your lessons", small.tall(len(note))+4+height)
			p.in("P", func() { p.y = p.lines(note, p.left, p.y, small) + 4 })
		} else {
			p.need(height + 8)
			p.y += 8
		}
		for k := range row {
			c := &row[k]
			x := p.left + float64(k)*(width+apart)
			words, _ := head(c)
			p.in("P", func() {
				y := p.lines([]string{p.wrap(c.Name, cellBold, width)[0] + " "}, x, p.y, cellBold)
				p.lines(words, x, y, small)
			})
			p.draw(&c.Plot, x, p.y+tallest)
		}
		p.y += height
	}
}
