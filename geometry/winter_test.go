package geometry_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// winter is the other published table, D. A. Winter, Biomechanics and Motor
// Control of Human Movement (after Dempster), by marked points: share of the
// mass and of the way from the first end to the second. Its trunk runs from the
// hips to the shoulders.
var winter = []struct {
	name           string
	mass, proximal float64
	a, b           geometry.Point
	paired         bool
}{
	{"hand", 0.006, 0, geometry.LeadWrist, geometry.LeadWrist, true}, // taken at the wrist, as the engine does
	{"forearm", 0.016, 0.430, geometry.LeadElbow, geometry.LeadWrist, true},
	{"upper arm", 0.028, 0.436, geometry.LeadShoulder, geometry.LeadElbow, true},
	{"foot", 0.0145, 0.500, geometry.LeadHeel, geometry.LeadToe, true},
	{"shank", 0.0465, 0.433, geometry.LeadKnee, geometry.LeadAnkle, true},
	{"thigh", 0.100, 0.433, geometry.LeadHip, geometry.LeadKnee, true},
	{"head and neck", 0.081, 0, geometry.Head, geometry.Head, false},
	{"trunk", 0.497, 0.500, geometry.LeadHip, geometry.LeadShoulder, false},
}

// Winter's masses add up to one, and his centre of mass of golfers in all
// postures of a swing lies where de Leva's does, within what the two tables
// differ by: two or three centimetres.
func TestCentreOfMassAgainstWinter(t *testing.T) {
	var sum float64
	for _, w := range winter {
		n := 1.0
		if w.paired {
			n = 2
		}
		sum += n * w.mass
	}
	assert.InDelta(t, 1, sum, 1e-12)
	for _, params := range []golfer.Params{golfer.MaraFirstVisit(), golfer.MaraSecondVisit()} {
		m := golfer.New(params)
		for _, at := range m.Events() {
			p := m.At(at).Points
			var want r3.Vec
			for _, w := range winter {
				for side := geometry.Point(0); side < 2; side++ {
					at := func(q geometry.Point) r3.Vec {
						if w.paired {
							return p[q+side]
						}
						return r3.Scale(0.5, r3.Add(p[q], p[q.Opposite()]))
					}
					share := w.mass
					if !w.paired {
						share /= 2
					}
					want = r3.Add(want, r3.Scale(share, r3.Add(at(w.a), r3.Scale(w.proximal, r3.Sub(at(w.b), at(w.a))))))
				}
			}
			for _, sex := range []geometry.Sex{geometry.SexUnset, geometry.Female, geometry.Male} {
				got := geometry.CentreOfMass(sex, &p)
				assert.InDelta(t, want.X, got.X, 0.03)
				assert.InDelta(t, want.Y, got.Y, 0.05)
				assert.InDelta(t, want.Z, got.Z, 0.03)
			}
		}
	}
}
