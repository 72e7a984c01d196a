package plan

import (
	"math"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Pt is a place on the ground in metres: X along the target line toward the
// target, Z from the golfer toward the ball.
type Pt struct{ X, Z float64 }

// Line is the hip or the shoulder line seen from above.
type Line struct {
	Known       bool
	Lead, Trail Pt
	// HeadingDeg is the direction from the trail to the lead end: 0 along
	// the target line, positive with the lead end toward the ball, which is
	// turned away from the target. SigmaDeg is its standard deviation; 0
	// where it is not known.
	HeadingDeg, SigmaDeg float64
	// Label is written beside the line: "hips 38.2° ± 5.7", or "hips" where
	// the turn was not measured.
	Label string
}

// Foot is one shoe.
type Foot struct {
	Known     bool
	Heel, Toe Pt
	FlareText string // "24.1° ± 2.7"; empty where it was not measured
}

// Figure is what the plan view shows.
type Figure struct {
	Position        geometry.PositionName
	Hips, Shoulders Line
	Lead, Trail     Foot
	Ball            Pt
	HasBall         bool
	// Head is where the head is, drawn as a faint circle.
	Head    Pt
	HasHead bool
	// Target is toward the right unless Mirror is set, for left-handers,
	// whose face-on picture shows it on the left.
	Mirror bool
	// Address holds the lines at address and Previous those of the lesson
	// compared with; their labels are not drawn.
	AddressHips, AddressShoulders   Line
	PreviousHips, PreviousShoulders Line
	// Why says what to mark where there is nothing to draw.
	Why string

	title string
}

// Empty reports whether there is nothing to draw of the golfer.
func (f *Figure) Empty() bool {
	return f == nil || !f.Hips.Known && !f.Shoulders.Known && !f.Lead.Known && !f.Trail.Known
}

// Points are the fitted points of one position.
type Points = [geometry.NumPoints]geometry.PointEstimate

// Build makes the figure of one position. at are its points and address those
// of the address position, or nil where there is none; measures are those of
// the swing, of which the turns and flares at the position are written.
func Build(position geometry.PositionName, at, address *Points, measures []geometry.Measure) Figure {
	f := Figure{Position: position, Why: "Mark both hips or both shoulders at " + string(position) + " to see the golfer from above."}
	if position != "" {
		f.title = words.Sentence(string(position))
	}
	if at == nil {
		return f
	}
	f.Hips = lineOf(at, geometry.LeadHip, geometry.TrailHip)
	f.Hips.Label = "hips"
	f.Shoulders = lineOf(at, geometry.LeadShoulder, geometry.TrailShoulder)
	f.Shoulders.Label = "shoulders"
	f.Lead = footOf(at, geometry.LeadHeel, geometry.LeadToe)
	f.Trail = footOf(at, geometry.TrailHeel, geometry.TrailToe)
	f.Ball, f.HasBall = place(at, geometry.Ball)
	f.Head, f.HasHead = place(at, geometry.Head)
	if address != nil {
		if !f.HasBall {
			f.Ball, f.HasBall = place(address, geometry.Ball)
		}
		if position != geometry.Address {
			f.AddressHips = lineOf(address, geometry.LeadHip, geometry.TrailHip)
			f.AddressShoulders = lineOf(address, geometry.LeadShoulder, geometry.TrailShoulder)
		}
	}
	for i := range measures {
		m := &measures[i]
		if m.Position != position {
			continue
		}
		switch m.Name {
		case "pelvis turn":
			f.Hips.measured("hips", m)
		case "torso turn":
			f.Shoulders.measured("shoulders", m)
		case "lead foot flare":
			f.Lead.FlareText = withInterval(m)
		case "trail foot flare":
			f.Trail.FlareText = withInterval(m)
		}
	}
	return f
}

// measured takes over the label and the interval of the turn. The turn is the
// heading since address, so its interval is that of the heading together with
// address; it is the one the coach is told.
func (l *Line) measured(word string, m *geometry.Measure) {
	l.Label = word + " " + withInterval(m)
	l.SigmaDeg = m.Sigma
}

func withInterval(m *geometry.Measure) string {
	return words.Exact(m.Unit, false).Of(m.Name, m.Position).Written(m)
}

func place(p *Points, i geometry.Point) (Pt, bool) {
	if !p[i].Known {
		return Pt{}, false
	}
	return Pt{p[i].At.X, p[i].At.Z}, true
}

func footOf(p *Points, heel, toe geometry.Point) Foot {
	h, ok1 := place(p, heel)
	t, ok2 := place(p, toe)
	return Foot{Known: ok1 && ok2 && h != t, Heel: h, Toe: t}
}

// lineOf returns the line between two fitted points. Its sigma is propagated
// to first order from the points' own covariances, taking the two points as
// independent; a turn's measured sigma replaces it.
func lineOf(p *Points, lead, trail geometry.Point) Line {
	a, ok1 := place(p, lead)
	b, ok2 := place(p, trail)
	dx, dz := a.X-b.X, a.Z-b.Z
	l2 := dx*dx + dz*dz
	if !ok1 || !ok2 || l2 < 1e-6 { // closer than 1 mm: no direction
		return Line{}
	}
	// heading = atan2(dz, dx); its gradient in dx, dz is (-dz, dx)/l2.
	gx, gz := -dz/l2, dx/l2
	var v float64
	for _, c := range []*[3][3]float64{&p[lead].Covariance, &p[trail].Covariance} {
		v += gx*gx*c[0][0] + 2*gx*gz*c[0][2] + gz*gz*c[2][2]
	}
	const deg = 180 / math.Pi
	return Line{
		Known: true, Lead: a, Trail: b,
		HeadingDeg: math.Atan2(dz, dx) * deg,
		SigmaDeg:   math.Sqrt(max(v, 0)) * deg,
	}
}
