package track

import "math"

// blend fills the spots between a gap's marks.
func (g *gap) blend(o *Options) {
	n := len(g.spots) - 1
	first, last := 0, n
	if g.from != nil {
		first = 1
	}
	if g.to != nil {
		last = n - 1
	}
	// How far each way ended from the mark it came to.
	closing := func(f footprint, m *Placed) float64 {
		if m == nil || !f.there {
			return math.Inf(1)
		}
		return math.Hypot(f.x+0.5-m.X, f.y+0.5-m.Y)
	}
	var endF, endB float64 = math.Inf(1), math.Inf(1)
	if g.from != nil && g.to != nil {
		endF, endB = closing(g.ahead[n], g.to), closing(g.backward[0], g.from)
	}
	okF, okB := endF <= o.Apart, endB <= o.Apart
	for i := first; i <= last; i++ {
		f, b := g.ahead[i], g.backward[i]
		w := float64(i) / float64(n)
		s := &g.spots[i]
		if f.there && b.there && g.to != nil && g.from != nil {
			s.Apart = math.Hypot(f.x-b.x, f.y-b.y)
		}
		f.x, f.y, b.x, b.y = f.x+0.5, f.y+0.5, b.x+0.5, b.y+0.5
		switch {
		case okF && okB && s.Apart <= o.Apart:
			s.State = Followed
			s.X, s.Y = (1-w)*f.x+w*b.x, (1-w)*f.y+w*b.y
			s.Sigma = math.Hypot(0.3, s.Apart*math.Sqrt(w*(1-w)))
		case okF && !okB:
			e := g.ahead[n]
			s.State = OneWay
			s.X, s.Y = f.x+w*(g.to.X-e.x-0.5), f.y+w*(g.to.Y-e.y-0.5)
			s.Sigma = math.Hypot(0.5, 2*endF*math.Sqrt(w*(1-w)))
		case okB && !okF:
			e := g.backward[0]
			s.State = OneWay
			s.X, s.Y = b.x+(1-w)*(g.from.X-e.x-0.5), b.y+(1-w)*(g.from.Y-e.y-0.5)
			s.Sigma = math.Hypot(0.5, 2*endB*math.Sqrt(w*(1-w)))
		}
	}
}
