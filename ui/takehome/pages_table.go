package takehome

// column is one column of a table. Its texts may stand at its right edge, or
// wrap.
type column struct {
	head        string
	width       float64
	right, wrap bool
	names       bool // its texts say what the line is about
}

// line of a table that was set: where its columns begin, its middle, and its
// cells.
type line struct {
	at     []float64
	middle float64
	cells  []*element
}

// put puts a drawing into a cell of the line.
func (p *page) put(l *line, column int, d *Drawing) {
	p.within(l.cells[column], func() { p.draw(d, l.at[column], l.middle-d.Height/2) })
}

// heads sets the heads of a table.
func (p *page) heads(columns []column) {
	var texts []string
	for _, c := range columns {
		texts = append(texts, c.head)
	}
	for i, e := range p.row(columns, texts, small).cells {
		if texts[i] != "" {
			e.kind, e.more = "TH", " /A <</O /Table /Scope /Column>>"
		}
	}
}

// row sets a line of a table, with texts by column, within the table.
func (p *page) row(columns []column, texts []string, st style) *line {
	l := new(line)
	tall := 1
	wrapped := make([][]string, len(columns))
	for i, c := range columns {
		wrapped[i] = []string{texts[i]}
		if c.wrap {
			wrapped[i] = p.wrap(texts[i], st, c.width-6)
			tall = max(tall, len(wrapped[i]))
		}
	}
	h := st.tall(tall) + 5*p.room
	p.need(h)
	l.middle = p.y + h/2
	x := p.left
	tr := p.tags.add("TR")
	for i, c := range columns {
		l.at = append(l.at, x)
		lines := wrapped[i]
		left := x
		if c.right {
			left = x + c.width - 8 - p.measure(texts[i], st)
		}
		p.within(tr, func() {
			td := p.tags.add("TD")
			if c.names && texts[i] != "" {
				td.kind, td.more = "TH", " /A <</O /Table /Scope /Row>>"
			}
			l.cells = append(l.cells, td)
			if texts[i] != "" {
				p.within(td, func() { p.lines(lines, left, l.middle-st.tall(len(lines))/2, st) })
			}
		})
		x += c.width
	}
	p.y += h
	p.line(p.left, p.y, p.width, 0.4, paper.Line)
	return l
}

// table is about how tall a table is, with its heads and one line in two.
func (p *page) table(rows int) float64 {
	return (small.tall(1)+5*p.room)*float64(rows+1) + cell.tall(1)
}
