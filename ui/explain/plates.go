package explain

import (
	"math"
	"strings"
)

// The distances from what it belongs to at which a label is tried, in units.
var labelReach = [...]float64{10, 26, 48, 80}

// labelTurns are the directions tried, radians from the preferred one.
var labelTurns = [...]float64{0, 0.5, -0.5, 1, -1, 1.6, -1.6, 2.3, -2.3, math.Pi}

// The costs that choose a label's place: what must not be, what should not be,
// and taste.
const (
	costOutside = 100.0 // per unit outside of the output
	costPlate   = 400.0 // for lying on another label
	costStroke  = 12.0  // for each stroke it covers
	costBody    = 8.0   // for each limb it covers
	costReach   = 0.12  // per unit of distance
	costTurn    = 2.5   // per radian
)

// plates finds a place for each label: notes where the coach put them, then
// the others where they are near, in view and clear of each other.
func (c *Canvas) plates(g *Figure) []Plate {
	out := make([]Plate, len(g.Labels))
	var placed []Rect
	for i := range g.Labels {
		if l := &g.Labels[i]; l.Fixed {
			out[i] = c.note(l)
			placed = append(placed, out[i].Rect)
		}
	}
	for i := range g.Labels {
		if l := &g.Labels[i]; !l.Fixed {
			out[i] = c.place(l, g, placed)
			placed = append(placed, out[i].Rect)
		}
	}
	return out
}

// plate returns a plate of lines at the origin, and its size.
func (c *Canvas) plate(l *Label, lines []string) (p Plate, w, h float64) {
	for _, s := range lines {
		sw, sh := c.Measure(s)
		w, h = math.Max(w, sw), math.Max(h, sh)
	}
	p = Plate{Lines: lines, LineHeight: h, Ink: l.Ink, Drawing: l.Drawing}
	return p, w + 2*platePad*c.Unit, h*float64(len(lines)) + platePad*c.Unit
}

func (p *Plate) moveTo(x, y, w, h, unit float64) {
	p.Rect = Rect{Pt{x, y}, Pt{x + w, y + h}}
	p.Text = Pt{x + platePad*unit, y + platePad/2*unit}
}

// note lays a note out to the right of its place, or to the left where it would
// not be seen.
func (c *Canvas) note(l *Label) Plate {
	p, w, h := c.plate(l, c.wrap(l.Text))
	at := c.ToOutput(l.At)
	gap := (dotRadius + 6) * c.Unit
	x := at.X + gap
	if x+w > c.Width && at.X-gap-w >= 0 {
		x = at.X - gap - w
	}
	p.moveTo(x, at.Y-h/2, w, h, c.Unit)
	return p
}

// wrap breaks a note into lines at spaces.
func (c *Canvas) wrap(text string) []string {
	var lines []string
	for paragraph := range strings.SplitSeq(text, "\n") {
		line := ""
		for word := range strings.FieldsSeq(paragraph) {
			if line == "" {
				line = word
				continue
			}
			if w, _ := c.Measure(line + " " + word); w > noteWidth*c.Unit {
				lines = append(lines, line)
				line = word
				continue
			}
			line += " " + word
		}
		lines = append(lines, line)
	}
	return lines
}

// labelLines puts a long label's number under its name.
func (c *Canvas) labelLines(l *Label) []string {
	one := l.String()
	if w, _ := c.Measure(one); w > labelWidth*c.Unit && l.Text != "" && l.Value != "" {
		return []string{l.Text, l.Value}
	}
	return []string{one}
}

// place finds the best of the places tried for a label.
func (c *Canvas) place(l *Label, g *Figure, placed []Rect) Plate {
	p, w, h := c.plate(l, c.labelLines(l))
	at := c.ToOutput(l.At)
	toward := math.Atan2(l.Toward.Y, l.Toward.X)
	best := math.Inf(1)
	var bx, by float64
	for _, reach := range labelReach {
		for _, turn := range labelTurns {
			sin, cos := math.Sincos(toward + turn)
			// The plate's nearest edge lies at the distance tried.
			x := at.X + cos*(reach*c.Unit+w/2) - w/2
			y := at.Y + sin*(reach*c.Unit+h/2) - h/2
			cost := costReach*reach + costTurn*math.Abs(turn) + c.cost(Rect{Pt{x, y}, Pt{x + w, y + h}}, g, placed)
			if cost < best {
				best, bx, by = cost, x, y
			}
		}
	}
	// A label that fits nowhere is pushed into view.
	bx = math.Max(math.Min(bx, c.Width-w), 0)
	by = math.Max(math.Min(by, c.Height-h), 0)
	p.moveTo(bx, by, w, h, c.Unit)
	return p
}

func (c *Canvas) cost(r Rect, g *Figure, placed []Rect) float64 {
	out := math.Max(-r.Min.X, 0) + math.Max(-r.Min.Y, 0) + math.Max(r.Max.X-c.Width, 0) + math.Max(r.Max.Y-c.Height, 0)
	cost := costOutside * out / c.Unit
	for _, q := range placed {
		if overlap(r, q) {
			cost += costPlate
		}
	}
	for i := range g.Strokes {
		if crosses(c.ToOutput(g.Strokes[i].From), c.ToOutput(g.Strokes[i].To), r) {
			cost += costStroke
		}
	}
	for _, b := range g.Body {
		if crosses(c.ToOutput(b[0]), c.ToOutput(b[1]), r) {
			cost += costBody
		}
	}
	for i := range g.Dots {
		if r.Contains(c.ToOutput(g.Dots[i].At)) {
			cost += costStroke
		}
	}
	return cost
}

// leadFrom is the distance, in units, from which on a thin line leads from a
// label to what it belongs to.
const leadFrom = 16.0

// leader returns the line from a label's edge to its place, if it stands far
// enough away to need one.
func (c *Canvas) leader(l *Label, p *Plate) (s Segment, ok bool) {
	at := c.ToOutput(l.At)
	edge := Pt{math.Max(math.Min(at.X, p.Max.X), p.Min.X), math.Max(math.Min(at.Y, p.Max.Y), p.Min.Y)}
	if l.Fixed || math.Hypot(edge.X-at.X, edge.Y-at.Y) < leadFrom*c.Unit {
		return s, false
	}
	return Segment{edge, at, c.Unit}, true
}

func overlap(a, b Rect) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// crosses reports whether the line from a to b passes through r: it is clipped
// to each edge in turn (Liang & Barsky 1984, ACM TOG 3:1).
func crosses(a, b Pt, r Rect) bool {
	from, to := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, e := range [...][2]float64{{-dx, a.X - r.Min.X}, {dx, r.Max.X - a.X}, {-dy, a.Y - r.Min.Y}, {dy, r.Max.Y - a.Y}} {
		switch p, q := e[0], e[1]; {
		case p == 0 && q < 0:
			return false
		case p < 0:
			from = math.Max(from, q/p)
		case p > 0:
			to = math.Min(to, q/p)
		}
	}
	return from <= to
}
