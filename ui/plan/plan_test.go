package plan

import (
	"image"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/layout"
	"gioui.org/op"
	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// points makes an invented golfer whose hips and shoulders are turned away
// from the target by the given angles.
func points(hipsDeg, shouldersDeg float64) *Points {
	var p Points
	set := func(i geometry.Point, x, z float64) {
		p[i] = geometry.PointEstimate{Known: true, At: geometry.WorldPt{X: x, Z: z}}
	}
	ends := func(lead, trail geometry.Point, half, deg, x, z float64) {
		s, c := math.Sincos(deg * math.Pi / 180)
		set(lead, x+half*c, z+half*s)
		set(trail, x-half*c, z-half*s)
	}
	ends(geometry.LeadHip, geometry.TrailHip, 0.13, hipsDeg, 0, -0.10)
	ends(geometry.LeadShoulder, geometry.TrailShoulder, 0.19, shouldersDeg, -0.02, 0.16)
	set(geometry.LeadHeel, 0.20, -0.04)
	set(geometry.LeadToe, 0.30, 0.19)
	set(geometry.TrailHeel, -0.22, -0.04)
	set(geometry.TrailToe, -0.25, 0.20)
	set(geometry.Ball, 0.06, 0.62)
	set(geometry.Head, -0.03, 0.25)
	return &p
}

func turn(name string, v, sd float64) geometry.Measure {
	return geometry.Measure{
		Name: name, Position: geometry.Top, Unit: geometry.Degrees,
		Value: v, Sigma: sd, Low95: v - 1.959964*sd, High95: v + 1.959964*sd,
	}
}

func example() Figure {
	f := Build(geometry.Top, points(38.2, 92.7), points(1, 3), []geometry.Measure{
		turn("pelvis turn", 38.2, 2.9), turn("torso turn", 92.7, 2.3), turn("sway", 1, 1),
	})
	f.Lead.FlareText, f.Trail.FlareText = "24.1° ± 2.7", "6.8° ± 2.9"
	return f
}

func TestPictures(t *testing.T) {
	mirror := example()
	mirror.Mirror = true
	previous := example()
	prev := Build(geometry.Top, points(28, 85), nil, nil)
	previous.PreviousHips, previous.PreviousShoulders = prev.Hips, prev.Shoulders
	ex := example()
	var none Figure
	for _, c := range []struct {
		name string
		dark bool
		text float32
		w, h int
		f    *Figure
	}{
		{"dark", true, 1, 340, 320, &ex},
		{"light-mirror", false, 1, 340, 320, &mirror},
		{"previous-dark-15", true, 1.5, 560, 460, &previous},
		{"small-dark", true, 1, 200, 180, &ex},
		{"empty", true, 1, 340, 200, &none},
	} {
		t.Run(c.name, func(t *testing.T) {
			th := draw.NewFixedTheme(c.dark, c.text)
			var v View
			img := drawtest.Picture(t, c.w, c.h, 1, th.Panel, func(gtx layout.Context) { v.Layout(gtx, th, c.f) })
			if dir := os.Getenv("TURNGAUGE_PICTURES"); dir != "" {
				drawtest.Save(t, filepath.Join(dir, "plan-"+c.name+".png"), img)
			}
			drawtest.Golden(t, filepath.Join("testdata", c.name+".png"), img)
		})
	}
}

// The heading of a line is its direction seen from above (measurement.md: the
// line trail to lead, positive with the lead end toward the ball). Its sigma
// is checked on a case done by hand: for a line of length L along x, a
// standard deviation s of each end across it turns it by s√2/L radians.
func TestHeading(t *testing.T) {
	for _, deg := range []float64{-170, -41.8, 0, 38.2, 90, 92.7, 179} {
		f := Build(geometry.Top, points(deg, -deg), nil, nil)
		assert.InDelta(t, deg, f.Hips.HeadingDeg, 1e-9)
		assert.InDelta(t, -deg, f.Shoulders.HeadingDeg, 1e-9)
	}
	p := points(0, 0)
	for _, i := range []geometry.Point{geometry.LeadHip, geometry.TrailHip} {
		p[i].Covariance[0][0] = 1 // along the line: no effect
		p[i].Covariance[2][2] = 0.01 * 0.01
	}
	f := Build(geometry.Top, p, nil, nil)
	assert.InDelta(t, math.Sqrt2*0.01/0.26*180/math.Pi, f.Hips.SigmaDeg, 1e-9)
	// The measured turn's own sigma replaces it, and its text is written.
	f = Build(geometry.Top, p, nil, []geometry.Measure{turn("pelvis turn", -38.24, 2.9)})
	assert.Equal(t, 2.9, f.Hips.SigmaDeg)
	assert.Equal(t, "hips open 38.2° ± 5.7", f.Hips.Label)
	assert.Equal(t, "shoulders", f.Shoulders.Label)
}

// The first-order sigma against simulation: ends scattered with a correlated
// covariance, turned by an arbitrary angle.
func TestHeadingSigmaBySimulation(t *testing.T) {
	const a, b, c = 9e-5, 3e-5, 4e-5 // var x, cov xz, var z, m²
	p := points(25, 0)
	for _, i := range []geometry.Point{geometry.LeadHip, geometry.TrailHip} {
		p[i].Covariance = [3][3]float64{{a, 0, b}, {0, 0, 0}, {b, 0, c}}
	}
	want := Build(geometry.Top, p, nil, nil).Hips.SigmaDeg
	rng := rand.New(rand.NewPCG(1, 2))
	l11 := math.Sqrt(a)
	l21 := b / l11
	l22 := math.Sqrt(c - l21*l21)
	var sum, sq float64
	const n = 20000
	for range n {
		q := *p
		for _, i := range []geometry.Point{geometry.LeadHip, geometry.TrailHip} {
			u, v := rng.NormFloat64(), rng.NormFloat64()
			q[i].At.X += l11 * u
			q[i].At.Z += l21*u + l22*v
		}
		h := Build(geometry.Top, &q, nil, nil).Hips.HeadingDeg
		sum += h
		sq += h * h
	}
	sd := math.Sqrt(sq/n - sum*sum/n/n)
	assert.InDelta(t, sd, want, 0.03*sd)
}

func TestOnlyWhatIsKnownIsShown(t *testing.T) {
	var none Points
	f := Build(geometry.Top, &none, nil, nil)
	assert.True(t, f.Empty())
	assert.Contains(t, f.Why, "hips")
	assert.Contains(t, f.Why, "top")
	f = Build(geometry.Top, nil, nil, nil)
	assert.True(t, f.Empty())
	var missing *Figure
	assert.True(t, missing.Empty())

	p := points(10, 20)
	p[geometry.TrailHip].Known = false
	p[geometry.LeadToe].Known = false
	p[geometry.Ball].Known = false
	f = Build(geometry.Top, p, points(0, 0), nil)
	assert.False(t, f.Hips.Known)
	assert.True(t, f.Shoulders.Known)
	assert.False(t, f.Lead.Known)
	assert.True(t, f.HasBall, "the ball stays where it was at address")
	assert.True(t, f.AddressHips.Known)
	assert.False(t, Build(geometry.Address, p, p, nil).AddressShoulders.Known, "no ghost of itself")
	// Two marks on one spot have no direction.
	p[geometry.LeadShoulder] = p[geometry.TrailShoulder]
	assert.False(t, Build(geometry.Top, p, nil, nil).Shoulders.Known)
}

// Everything known lies inside the view, at any size, mirrored or not; the
// target is toward the right unless mirrored.
func TestTheFigureIsInside(t *testing.T) {
	for _, mirror := range []bool{false, true} {
		for _, size := range []image.Point{{X: 120, Y: 120}, {X: 340, Y: 320}, {X: 900, Y: 200}, {X: 200, Y: 900}} {
			f := example()
			f.Mirror = mirror
			m := f.mapping(size, 20, 30)
			box := image.Rectangle{Max: size}
			for _, p := range []Pt{f.Hips.Lead, f.Hips.Trail, f.Shoulders.Lead, f.Shoulders.Trail, f.Ball, f.Lead.Toe, f.Trail.Heel} {
				q := m.pt(p)
				assert.True(t, q.Round().In(box), "%v in %v", q, size)
				assert.GreaterOrEqual(t, q.Y, float32(20))
				assert.LessOrEqual(t, q.Y, float32(size.Y-30))
			}
			right := m.pt(Pt{1, 0}).X > m.pt(Pt{0, 0}).X
			assert.Equal(t, !mirror, right)
			assert.Greater(t, m.pt(Pt{0, 1}).Y, m.pt(Pt{0, 0}).Y, "the ball is below the golfer")
			// A heading's screen angle points from trail to lead.
			d := m.pt(f.Hips.Lead).Sub(m.pt(f.Hips.Trail))
			assert.InDelta(t, math.Atan2(float64(d.Y), float64(d.X)), float64(m.angle(f.Hips.HeadingDeg)), 1e-3)
		}
	}
}

func TestLabelsStandApart(t *testing.T) {
	a, b := image.Rect(10, 50, 90, 65), image.Rect(40, 55, 120, 70)
	part(&a, &b, 3, 20, 200)
	assert.False(t, a.Overlaps(b))
	assert.LessOrEqual(t, a.Max.Y+3, b.Min.Y)
	a, b = image.Rect(10, 20, 90, 35), image.Rect(40, 20, 120, 35)
	part(&a, &b, 3, 20, 200)
	assert.False(t, a.Overlaps(b))
	assert.GreaterOrEqual(t, min(a.Min.Y, b.Min.Y), 20)
	in := inside(image.Rect(-30, 500, 50, 515), image.Pt(340, 320), 8, 20)
	assert.Equal(t, image.Rect(8, 297, 88, 312), in)
}

func TestAnySize(t *testing.T) {
	f := example()
	th := draw.NewFixedTheme(true, 2)
	var v View
	for _, w := range []int{0, 2, 50, 300, 900} {
		for _, h := range []int{0, 2, 50, 300, 900} {
			var ops op.Ops
			gtx := drawtest.Context(&ops, w, h, 1)
			assert.Equal(t, gtx.Constraints.Max, v.Layout(gtx, th, &f).Size)
			assert.Equal(t, gtx.Constraints.Max, v.Layout(gtx, th, nil).Size)
		}
	}
}

func TestWhatIsShownCanBeFound(t *testing.T) {
	f := example()
	th := draw.NewFixedTheme(true, 1)
	var v View
	d := drawtest.NewDriver(t, 340, 320, func(gtx layout.Context) { v.Layout(gtx, th, &f) })
	for _, s := range []string{"Plan view", "Top", "hips 38.2° ± 5.7", "shoulders 92.7° ± 4.5", "24.1° ± 2.7", "target"} {
		assert.True(t, d.Shows(s), s)
	}
}

func BenchmarkPlan(b *testing.B) {
	f := example()
	th := draw.NewFixedTheme(true, 1)
	var v View
	var ops op.Ops
	gtx := drawtest.Context(&ops, 340, 320, 1)
	b.ReportAllocs()
	for b.Loop() {
		ops.Reset()
		v.Layout(gtx, th, &f)
	}
}
