package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"
)

// JCGM 100:2008 (GUM), example H.2: resistance, reactance and impedance from
// correlated means of voltage, current and phase. The numbers are those of the
// published data at full precision (GTC test suite). The derivatives are taken
// with the engine's dual numbers.
func TestPropagationGUMH2(t *testing.T) {
	data := [3][]float64{
		{5.007, 4.994, 5.005, 4.990, 4.999},
		{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3},
		{1.0456, 1.0438, 1.0468, 1.0428, 1.0433},
	}
	var mean [3]float64
	var cov [3][3]float64
	for i := range data {
		mean[i] = stat.Mean(data[i], nil)
		for j := range data {
			cov[i][j] = stat.Covariance(data[i], data[j], nil) / 5
		}
	}
	cosine := func(a dual) dual { return dual{math.Cos(a.v), -math.Sin(a.v) * a.d} }
	sine := func(a dual) dual { return dual{math.Sin(a.v), math.Cos(a.v) * a.d} }
	outputs := []func(x [3]dual) dual{
		func(x [3]dual) dual { return x[0].div(x[1]).mul(cosine(x[2])) },
		func(x [3]dual) dual { return x[0].div(x[1]).mul(sine(x[2])) },
		func(x [3]dual) dual { return x[0].div(x[1]) },
	}
	var g [3][3]float64
	var value [3]float64
	for k, f := range outputs {
		for i := range mean {
			x := [3]dual{num(mean[0]), num(mean[1]), num(mean[2])}
			x[i].d = 1
			y := f(x)
			value[k], g[k][i] = y.v, y.d
		}
	}
	c := func(a, b int) (v float64) {
		for i := range mean {
			for j := range mean {
				v += g[a][i] * cov[i][j] * g[b][j]
			}
		}
		return v
	}
	for k, want := range []struct{ v, u float64 }{
		{127.732170, 0.0710714}, {219.846512, 0.295582}, {254.259702, 0.236336},
	} {
		assert.InDelta(t, want.v, value[k], 1e-6)
		assert.InDelta(t, want.u, math.Sqrt(c(k, k)), 1e-6)
	}
	r := func(a, b int) float64 { return c(a, b) / math.Sqrt(c(a, a)*c(b, b)) }
	assert.InDelta(t, -0.5884, r(0, 1), 1e-4)
	assert.InDelta(t, -0.4853, r(0, 2), 1e-4)
	assert.InDelta(t, 0.9925, r(1, 2), 1e-4)
}

// Bland & Altman 1986, Lancet i:307: peak flow with two meters, 17 subjects.
// The paper rounds 1.96 to 2 and gives −79.7 and 75.5 l/min.
func TestAgreementBlandAltman1986(t *testing.T) {
	wright := []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	mini := []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	a, ok := Agree(wright, mini)
	require.True(t, ok)
	assert.Equal(t, 17, a.Pairs)
	assert.InDelta(t, -2.1176, a.Bias, 5e-5)
	assert.InDelta(t, 38.7651, a.SD, 5e-5)
	assert.InDelta(t, -79.7, a.Bias-2*a.SD, 0.1)
	assert.InDelta(t, 75.5, a.Bias+2*a.SD, 0.1)
	// 1.96 limits worked out with 1.96 exactly.
	assert.InDelta(t, -78.097, a.Low95, 0.003)
	assert.InDelta(t, 73.862, a.High95, 0.003)
	assert.InDelta(t, a.SD/math.Sqrt2, a.SEM, 1e-12)
	for _, pair := range [][2][]float64{{nil, nil}, {{1}, {2}}, {{1, 2}, {1, 2, 3}}, {{1, 2, 3}, {1, 2}}, {{1, math.NaN()}, {1, 2}}, {{1, 2}, {1, math.Inf(1)}}} {
		_, ok := Agree(pair[0], pair[1])
		assert.False(t, ok, "%v", pair)
	}
	two, ok := Agree([]float64{1, 3}, []float64{0, 0})
	require.True(t, ok)
	assert.Equal(t, [2]float64{2, math.Sqrt2}, [2]float64{two.Bias, two.SD})
}

// SD 5 with an intraclass correlation of 0.90: SEM 1.5811, MDC 4.3827; SEM 2.6
// gives 7.21 (facts.md C8, Weir 2005).
func TestMinimalDetectableChange(t *testing.T) {
	sem := 5 * math.Sqrt(1-0.90)
	assert.InDelta(t, 1.5811, sem, 5e-5)
	assert.InDelta(t, 4.3827, MDC95(sem), 2e-4) // the source uses 1.96 exactly
	assert.InDelta(t, 7.21, MDC95(2.6), 0.005)
}

// 24 : 8 frames: ratio 3.00, its standard deviation at 30, 60, 120, 240 frames
// a second, and that of the downswing time (derived; facts.md C9).
func TestTempoQuantisation(t *testing.T) {
	for _, c := range []struct{ fps, u, share float64 }{
		{30, 0.184, 5.1}, {60, 0.092, 2.6}, {120, 0.046, 1.3}, {240, 0.023, 0.64},
	} {
		got, ok := TempoOf(0.5, 1.3, 1.3+8.0/30, 1/c.fps)
		require.True(t, ok)
		assert.InDelta(t, 3, got.Ratio, 1e-9)
		assert.InDelta(t, c.u, got.RatioSigma, 0.0006)
		assert.InDelta(t, c.share, 100*got.DownswingSigma/got.Downswing, 0.05)
	}
	_, ok := TempoOf(0.5, 0.4, 1, 1.0/30)
	assert.False(t, ok, "events out of order")
	_, ok = TempoOf(math.NaN(), 0.4, 1, 1.0/30)
	assert.False(t, ok)
}

// Masses of de Leva 1996 add up to 100.00 (men) and 99.99 (women), as the
// table's own check says.
func TestMassTableSums(t *testing.T) {
	for sex, want := range map[Sex]float64{Male: 100.00, Female: 99.99, SexUnset: 99.995} {
		var sum float64
		for _, p := range MassTable(sex) {
			n := 1.0
			if p.Paired {
				n = 2
			}
			sum += n * p.MassPercent
		}
		assert.InDelta(t, want, sum, 0.0051)
	}
}

// The centre of mass of an upright body after Winter's table (HAT .678 at .626
// from the hip, legs; Drillis & Contini heights) is 0.5835 of the stature
// (facts.md C3). De Leva's segments must agree within two per cent of the
// stature, the difference between the two published tables.
func TestCentreOfMassUpright(t *testing.T) {
	const h = 1.0
	height := map[Point]float64{
		Head: 0.936, LeadShoulder: 0.818, TrailShoulder: 0.818, LeadElbow: 0.632, TrailElbow: 0.632,
		LeadWrist: 0.486, TrailWrist: 0.486, LeadHip: 0.530, TrailHip: 0.530, LeadKnee: 0.285, TrailKnee: 0.285,
		LeadAnkle: 0.039, TrailAnkle: 0.039, LeadHeel: 0, TrailHeel: 0, LeadToe: 0, TrailToe: 0,
	}
	c := centreOfMass(SexUnset, func(p Point) dvec { return dvec{y: num(height[p])} })
	assert.InDelta(t, 0.5835, c.y.v/h, 0.02)
}

// Verdicts follow the normal distribution: table values of its function (from
// memory: Φ(0.8416) = 0.8, Φ(1.2816) = 0.9, Φ(1.96) = 0.975).
func TestJudge(t *testing.T) {
	target := Range{40, 60}
	for _, c := range []struct {
		name         string
		value, sigma float64
		r            Range
		decided      float64
		want         Verdict
		sure         float64
	}{
		{"well inside", 50, 3, target, 0.9, Within, 0.99914},
		{"on the edge", 40, 3, target, 0.9, NotAbove, 1},
		{"just surely below", 40 - 1.2816*3, 3, target, 0.9, Below, 0.9},
		{"not yet surely below", 40 - 1.27*3, 3, target, 0.9, NotAbove, 1},
		{"just surely above", 60 + 1.2816*3, 3, target, 0.9, Above, 0.9},
		{"just not below", 40 + 0.8417*20, 20, target, 0, NotBelow, 0.8},
		{"just not above", 60 - 0.8417*20, 20, target, 0, NotAbove, 0.8},
		{"neither end", 50, 20, target, 0, CantTell, 0},
		{"both ends alike", 50, 10, target, 0, NotBelow, 0.8413},
		{"as sure as usual", 50, 7.8, target, 0, Within, 0.8},
		{"exact", 60, 0, target, 0.9, Within, 1},
		{"exact above", 60.01, 0, target, 0.9, Above, 1},
		{"at least, met", 50, 1, Range{40, math.Inf(1)}, 0, Within, 1},
		{"at least, open", 40, 3, Range{40, math.Inf(1)}, 0, CantTell, 0},
		{"at most, open", 40, 3, Range{math.Inf(-1), 40}, 0, CantTell, 0},
		{"at most, not met", 50, 3, Range{math.Inf(-1), 40}, 0, Above, 0.99957},
		{"not a number", math.NaN(), 1, target, 0, CantTell, 0},
		{"no range", 50, 1, Range{60, 40}, 0, CantTell, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := Judge(c.value, c.sigma, c.r, c.decided)
			assert.Equal(t, c.want, j.Verdict)
			assert.InDelta(t, c.sure, j.Probability, 2e-4)
			if !math.IsNaN(j.Within) {
				assert.InDelta(t, 1, j.Below+j.Within+j.Above, 1e-12)
			}
		})
	}
}

func TestVerdictsAreTrueOrNot(t *testing.T) {
	r := Range{40, 60}
	for v, want := range map[Verdict][3]bool{ // of 30, 50 and 70
		Below: {true, false, false}, Within: {false, true, false}, Above: {false, false, true},
		NotBelow: {false, true, true}, NotAbove: {true, true, false}, CantTell: {true, true, true},
	} {
		assert.Equal(t, want, [3]bool{v.True(30, r), v.True(50, r), v.True(70, r)}, v)
	}
}

// A change is real only if its interval excludes zero.
func TestChanged(t *testing.T) {
	c := Changed(38, 2.5, 48, 2.5, 0)
	assert.True(t, c.Real)
	assert.InDelta(t, 10, c.Value, 1e-12)
	assert.InDelta(t, MDC95(2.5), c.High95-c.Value, 1e-9)
	assert.False(t, Changed(38, 2.5, 48, 2.5, 3).Real)
	six := Changed(38, 2.5, 44, 2.5, 0)
	assert.False(t, six.Real)
	assert.InDelta(t, 0.9552, six.Probability, 1e-3) // Φ(1.697)
	assert.True(t, six.Told(0))
	assert.False(t, six.Told(0.96))
	two := Changed(38, 2.5, 40, 2.5, 0) // Φ(0.566) = 0.714
	assert.True(t, two.Told(0.7))
	assert.False(t, two.Told(0), "as of Decided")
	still := Changed(38, 2.5, 38, 2.5, 0)
	assert.False(t, still.Told(0.5), "no change has no direction")
}

// Repeated marks: n pairs whose coordinates differ by exactly d have a
// within-subject standard deviation of d/√2 (Bland & Altman 1996, BMJ
// 312:1654).
func TestRepeatMarks(t *testing.T) {
	var a, b []Mark
	for p := Point(0); p < 8; p++ {
		a = append(a, Mark{Point: p, At: ImagePt{100, 200}})
		b = append(b, Mark{Point: p, At: ImagePt{100 + 3*math.Pow(-1, float64(p)), 203}})
	}
	b = append(b, Mark{Point: Head, Position: 1, At: ImagePt{0, 0}}) // no partner
	r, ok := RepeatMarks(a, b)
	require.True(t, ok)
	assert.Equal(t, 8, r.Pairs)
	assert.InDelta(t, 3/math.Sqrt2, r.ClickSigmaPx, 1e-12)
	_, ok = RepeatMarks(a[:3], b)
	assert.False(t, ok, "too few pairs")
	_, ok = RepeatMarks(a, []Mark{{Point: Head, State: Hidden}})
	assert.False(t, ok)
}

// Distances in B2 of facts.md: an object 0.2 m nearer than the plane of scale
// looks bigger by d/(D−d).
func TestPerspectiveScale(t *testing.T) {
	for dist, want := range map[float64]float64{2: 11.1, 3: 7.1, 4: 5.3, 5: 4.2, 10: 2.0} {
		cam := Camera{Position: r3.Vec{Z: dist}, FocalPx: 1000}
		cam.Rotation = LookAt(cam.Position, r3.Vec{}, 0)
		width := func(z float64) float64 {
			a, err := cam.Project(r3.Vec{X: -0.5, Z: z})
			require.NoError(t, err)
			b, err := cam.Project(r3.Vec{X: 0.5, Z: z})
			require.NoError(t, err)
			return b.X - a.X
		}
		assert.InDelta(t, want, 100*(width(0.2)/width(0)-1), 0.051)
	}
}

// TestHipBehindTheAnkleKneeLine works the leg line out by hand: the ankle on the ground,
// the back of the knee straight above it, so that the line is upright, and the hip 5 cm
// behind it; then with the line leaning by a 3-4-5 triangle.
func TestHipBehindTheAnkleKneeLine(t *testing.T) {
	const stature = 1.72
	half := KneeDepthFraction / 2 * stature // from the middle of the knee to its back
	offset := func(ankle, knee, hip WorldPt) (cm, ofShank float64) {
		var points [NumPoints]WorldPt
		points[LeadAnkle], points[LeadKnee], points[LeadHip] = ankle, knee, hip
		for _, m := range MeasuresOf(Golfer{StatureM: stature}, []Position{{Name: Address}}, [][NumPoints]WorldPt{points}) {
			switch m.Name {
			case "lead hip offset from the ankle-knee line":
				cm = m.Value
			case "lead hip offset from the ankle-knee line over shank":
				ofShank = m.Value
			}
		}
		return cm, ofShank
	}
	cm, ratio := offset(WorldPt{}, WorldPt{Y: 0.5, Z: half}, WorldPt{Y: 0.9, Z: -0.05})
	assert.InDelta(t, 5, cm, 1e-9, "z is toward the ball, so behind is less")
	assert.InDelta(t, 0.05/math.Hypot(0.5, half), ratio, 1e-9)
	cm, _ = offset(WorldPt{}, WorldPt{Y: 0.5, Z: half}, WorldPt{Y: 0.9, Z: 0.02})
	assert.InDelta(t, -2, cm, 1e-9)
	// The line goes up 4 and toward the ball 3; the hip on it, and 5 cm behind it
	// along its normal (-4, 3) / 5.
	on := WorldPt{Y: 0.8, Z: 0.6}
	cm, _ = offset(WorldPt{X: 0.3}, WorldPt{X: 0.1, Y: 0.4, Z: 0.3 + half}, on)
	assert.InDelta(t, 0, cm, 1e-9)
	cm, _ = offset(WorldPt{X: 0.3}, WorldPt{X: 0.1, Y: 0.4, Z: 0.3 + half}, WorldPt{Y: on.Y + 0.05*0.6, Z: on.Z - 0.05*0.8})
	assert.InDelta(t, 5, cm, 1e-9)
}
