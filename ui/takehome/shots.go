package takehome

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/shots"
	"turngauge/annotations/words"
)

// Shots are two blocks of shots held against each other.
type Shots struct {
	Earlier, Later string    // the names of the blocks
	Pictures       []Drawing // where the ball met the face, and path and face
	Note           string    // how to read it all
	Rows           []ShotRow
}

// ShotRow is one reading of both blocks.
type ShotRow struct {
	Name, Before, After string
	Change              string // with its 95 % interval; "" where there is none
	Real                bool
	Word                string
}

// The size of a picture of shots, points, and the room above and below the plot.
const (
	shotsWidth  = 244.0
	shotsHeight = 150.0
	shotsMargin = 34.0
)

// shots compares the first two blocks of the lesson's shots, if there are two.
func (b *builder) shots() {
	l := b.now.Lesson
	earlier, later, ok := l.Shots.Compared()
	if !ok {
		return
	}
	s := &Shots{Earlier: oneLine(earlier), Later: oneLine(later)}
	var positive []string
	for _, info := range shots.Readings {
		x, y := l.Shots.Of(earlier, info.Name), l.Shots.Of(later, info.Name)
		if len(x)+len(y) == 0 {
			continue
		}
		s.Rows = append(s.Rows, shotRow(l.ShotUnit(info, b.request.Imperial), sentence(string(info.Name)), x, y))
		if info.Positive != "" {
			positive = append(positive, string(info.Name)+": "+info.Positive)
		}
	}
	if len(s.Rows) == 0 {
		return
	}
	for _, p := range ShotPictures {
		if d, ok := p.draw(l, earlier, later, b.request.Imperial); ok {
			s.Pictures = append(s.Pictures, d)
		}
	}
	if len(s.Pictures) > 0 {
		s.Note = fmt.Sprintf("Rings: %s. Dots: %s. The next shot falls inside the ellipse 95 times of 100. ", s.Earlier, s.Later)
	}
	s.Note += "After ± stands the 95 % interval of the mean or of the difference."
	if len(positive) > 0 {
		s.Note += " What plus means: " + strings.Join(positive, "; ") + "."
	}
	b.sheet.Shots = s
}

// shotRow compares a reading of two blocks.
func shotRow(u shots.Unit, name string, earlier, later []float64) ShotRow {
	r := ShotRow{
		Name: name + ", " + u.Name, Before: shotMean(u, earlier), After: shotMean(u, later),
		Word: "too few shots to tell",
	}
	d := shots.Compare(earlier, later)
	if len(earlier) > 1 && len(later) > 1 {
		r.Change = words.With(u.Signed(d.Value), u.Number((d.High95-d.Low95)/2))
	}
	switch {
	case d.Enough && d.Real:
		r.Real, r.Word = true, "real"
	case d.Enough:
		r.Word = words.CantTell
	}
	return r
}

// shotMean writes the mean of a block's values with its 95 % interval.
func shotMean(u shots.Unit, values []float64) string {
	s := shots.Summarise(values)
	switch s.N {
	case 0:
		return "none"
	case 1:
		return u.Number(s.Mean)
	}
	return words.With(u.Number(s.Mean), u.Number((s.High95-s.Low95)/2))
}

// ShotPicture is one reading of shots against another.
type ShotPicture struct {
	Title     string
	X, Y      shots.Reading
	Right, Up string
	Face      bool    // it is the club face itself
	Least     float64 // half the width shown at least, in the readings' unit
}

// ShotPictures are those of the window and of the sheet.
var ShotPictures = []ShotPicture{
	{Title: "Strike on the face", X: shots.StrikeAcross, Y: shots.StrikeUp, Right: "toe", Up: "up", Face: true, Least: 25},
	{Title: "Path and face", X: shots.ClubPath, Y: shots.FaceToPath, Right: "in-to-out", Up: "open", Least: 6},
}

// Heading is the title with the unit of both readings.
func (p *ShotPicture) Heading(u shots.Unit) string { return p.Title + ", " + u.Name }

// Info is what is known of both readings.
func (p *ShotPicture) Info() shots.Info {
	info, _ := shots.InfoOf(p.X)
	return info
}

// cloud is a block's shots on a picture.
type cloud struct {
	at      []Pt // in readings
	ellipse *shots.Ellipse
}

func (p *ShotPicture) cloud(l *annotations.Lesson, block string) cloud {
	var c cloud
	var xs, ys []float64
	for i := range l.Shots {
		s := &l.Shots[i]
		x, ok1 := s.Values[p.X]
		y, ok2 := s.Values[p.Y]
		if s.Block == block && ok1 && ok2 {
			c.at = append(c.at, Pt{x, y})
			xs, ys = append(xs, x), append(ys, y)
		}
	}
	if e, ok := shots.Dispersion(xs, ys); ok {
		c.ellipse = &e
	}
	return c
}

// says is a block on a picture in words.
func (c *cloud) says(block string, u shots.Unit) string {
	if len(c.at) == 0 {
		return block + ", no shots"
	}
	var x, y float64
	for _, q := range c.at {
		x, y = x+q.X/float64(len(c.at)), y+q.Y/float64(len(c.at))
	}
	return fmt.Sprintf("%s, %s about %s and %s", block, words.Spelled(len(c.at), "shot", "shots"), u.Number(x), u.Number(y))
}

// draw draws the picture; ok is false where no shot has both readings.
func (p *ShotPicture) draw(l *annotations.Lesson, earlier, later string, imperial bool) (d Drawing, ok bool) {
	both := [2]cloud{p.cloud(l, earlier), p.cloud(l, later)}
	if len(both[0].at)+len(both[1].at) == 0 {
		return Drawing{}, false
	}
	half := p.Least
	for _, c := range both {
		for _, q := range c.at {
			half = max(half, 1.15*math.Abs(q.X), 1.15*math.Abs(q.Y))
		}
		if c.ellipse != nil {
			for _, s := range ellipseOutline(c.ellipse, func(q Pt) Pt { return q }) {
				half = max(half, 1.05*math.Abs(s.P[2].X), 1.05*math.Abs(s.P[2].Y))
			}
		}
	}
	u := l.ShotUnit(p.Info(), imperial)
	title := p.Heading(u)
	d = Drawing{
		Width: shotsWidth, Height: shotsHeight,
		Says: fmt.Sprintf("%s (%s and %s): %s; %s", title, p.X, p.Y, both[0].says(oneLine(earlier), u), both[1].says(oneLine(later), u)),
	}
	k := (shotsHeight - shotsMargin) / 2 / half
	centre := Pt{shotsWidth / 2, shotsHeight/2 + 6}
	at := func(q Pt) Pt { return Pt{centre.X + k*q.X, centre.Y - k*q.Y} }
	d.add(Shape{Path: rectangle(0, 0, d.Width, d.Height), Fill: paper.Panel})
	d.text(title, Pt{8, 14}, 0, 8.5, true, paper.Text)
	d.line(at(Pt{-half, 0}), at(Pt{half, 0}), 0.6, false, paper.Edge)
	d.line(at(Pt{0, -half}), at(Pt{0, half}), 0.6, false, paper.Edge)
	if p.Face { // a plain face outline: heel at the left, toe at the right
		d.add(Shape{Path: rounded(at(Pt{-38, 18}), at(Pt{38, -18}), 12*k), Stroke: paper.Edge, Width: 1})
	}
	d.text(p.Right, Pt{at(Pt{half, 0}).X + 4, centre.Y + 2.5}, 0, 7.5, false, paper.Dim)
	d.text(p.Up, Pt{centre.X + 4, at(Pt{0, half}).Y + 6}, 0, 7.5, false, paper.Dim)
	for i, c := range both {
		ink := [2]color.NRGBA{paper.Dim, paper.Accent}[i]
		for _, q := range c.at {
			if i == 0 {
				d.ring(at(q), 2.4, 1, ink)
			} else {
				d.disc(at(q), 2.6, ink)
			}
		}
		if c.ellipse != nil {
			d.add(Shape{Path: ellipseOutline(c.ellipse, at), Stroke: ink, Width: 1, Dashed: i == 0})
		}
	}
	return d, true
}

// ellipseOutline is the outline of an ellipse: a circle, stretched and turned. at
// places a pair of readings.
func ellipseOutline(e *shots.Ellipse, at func(Pt) Pt) []Step {
	sin, cos := math.Sincos(e.AngleDeg * math.Pi / 180)
	path := circle(Pt{}, 1)
	for i := range path {
		for k, q := range path[i].P {
			u, v := e.Major*q.X, e.Minor*q.Y
			path[i].P[k] = at(Pt{e.X + u*cos - v*sin, e.Y + u*sin + v*cos})
		}
	}
	return path
}

// rounded is a rectangle between two corners, its own rounded.
func rounded(a, b Pt, r float64) []Step {
	path := arc(nil, Pt{b.X - r, a.Y + r}, r, -math.Pi/2, math.Pi/2)
	path = arc(path, Pt{b.X - r, b.Y - r}, r, 0, math.Pi/2)
	path = arc(path, Pt{a.X + r, b.Y - r}, r, math.Pi/2, math.Pi/2)
	path = arc(path, Pt{a.X + r, a.Y + r}, r, math.Pi, math.Pi/2)
	return append(path, Step{Do: ClosePath})
}
