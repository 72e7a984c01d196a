package takehome

import "turngauge/geometry"

// shots sets the two blocks of shots.
func (p *page) shots() {
	s := p.sheet.Shots
	if s == nil {
		return
	}
	columns := []column{
		{head: "reading", width: 118, wrap: true, names: true}, {width: 84, right: true}, {width: 84, right: true},
		{head: "difference", width: 84, right: true}, {width: 15}, {width: p.width - 385, wrap: true},
	}
	for i, name := range []string{s.Earlier, s.Later} {
		columns[i+1].head = p.short(name, small, columns[i+1].width-8)
	}
	below, pictures := p.table(len(s.Rows)), s.Pictures
	if p.trim >= trimShots {
		pictures = nil
	}
	if len(pictures) > 0 {
		below += pictures[0].Height + 8
	}
	p.title("Your shots before and after", below)
	for i := range pictures {
		p.draw(&pictures[i], p.left+float64(i)*(p.width-pictures[i].Width), p.y)
	}
	if len(pictures) > 0 {
		p.y += pictures[0].Height + 8
	}
	p.in("Table", func() {
		p.heads(columns)
		for _, r := range s.Rows {
			st, v := cell, geometry.CantTell
			if r.Real {
				st, v = cellBold, geometry.Within
			}
			d := changeSign(v)
			p.put(p.row(columns, []string{r.Name, r.Before, r.After, r.Change, "", r.Word}, st), 4, &d)
		}
	})
	p.y += 5
	p.par(s.Note, small)
}
