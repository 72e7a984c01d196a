package takehome

import (
	"cmp"
	"slices"
	"strconv"
)

// The sheet has no more pages than this, as far as it lies with the findings; and
// so many of them at least are set in full.
const (
	mostPages = 3
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
	for _, i := range order[:min(most, len(order))] {
		full[i] = true
	}
	return full
}

// rowScale is the width of the dot-and-interval of a finding that is set in a
// line, points.
const rowScale = 96.0

func (p *page) findings() {
	n := 0
	for i := range p.sheet.Findings {
		if !p.full[i] {
			continue
		}
		f := &p.sheet.Findings[i]
		n++
		h := p.finding(f, n, true)
		if n == 1 {
			p.title("What we found", h)
		} else {
			p.need(h + gap*p.room)
			p.apart()
		}
		p.finding(f, n, false)
	}
	p.briefly(n)
}

// briefly sets the findings that are not set in full, numbered after n.
func (p *page) briefly(n int) {
	var rows []*Finding
	for i := range p.sheet.Findings {
		if !p.full[i] {
			rows = append(rows, &p.sheet.Findings[i])
		}
	}
	if len(rows) == 0 {
		return
	}
	columns := []column{{width: 20}, {head: "finding", wrap: true, names: true}, {head: "value", width: 48, right: true},
		{width: rowScale + 25}, {head: "verdict", width: 53}}
	columns[1].width = p.width
	for i, c := range columns {
		if i != 1 {
			columns[1].width -= c.width
		}
	}
	p.title("Found as well", 3*(cell.tall(2)+5*p.room))
	p.in("Table", func() {
		p.heads(columns)
		for i, f := range rows {
			l := p.row(columns, []string{strconv.Itoa(n+i+1) + ".", f.Text, f.Number, "", string(f.Verdict)}, cell)
			if f.Small != nil {
				p.put(l, 3, f.Small)
			}
			if f.Verdict != "" {
				d := sign(f.Verdict)
				d.Says = "" // the word follows
				p.draw(&d, l.at[4]-13, l.middle-d.Height/2)
			}
		}
	})
}
