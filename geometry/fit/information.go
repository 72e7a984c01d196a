package fit

import (
	"math"
	"sort"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
	"turngauge/geometry/levmar"
)

// projection pictures a fitted point.
func (s *Solution) projection(clip, pos int, pt geometry.Point) (bundle.Projection, bool) {
	return s.p.Project(s.st, clip, pos, pt)
}

// Reproject returns where the fit expects a point in a clip at a position, in
// upright pixels of the clip as filmed (for a left-hander, too), and the
// standard deviation of one coordinate of that place. ok is false for a clip,
// position or point that does not exist, a point whose place is not known, and
// one behind the camera.
//
// It is where the point is seen and not where it would be marked: neither the shared bias of a
// program's marks nor any click is in it, and the standard deviation is the root of the mean of
// the two coordinates' variances.
func (s *Solution) Reproject(clip, position int, p geometry.Point) (at geometry.ImagePt, sigmaPx float64, ok bool) {
	if clip < 0 || clip >= len(s.p.Clips) || position < 0 || position >= len(s.p.Names) || int(p) >= geometry.NumPoints ||
		!s.Points[position][p].Known {
		return geometry.ImagePt{}, 0, false
	}
	pr, ok := s.projection(clip, position, p)
	if !ok {
		return geometry.ImagePt{}, 0, false
	}
	c := s.post.PixelCovariance(&pr, clip, position, p)
	at = geometry.ImagePt{X: pr.X, Y: pr.Y}
	if s.sw.Flipped(clip) {
		at.X = float64(s.p.Clips[clip].Width) - at.X
	}
	return at, math.Sqrt((c[0][0] + c[1][1]) / 2), true
}

// candidate is a mark that could be added, or placed by hand where the program's is of low confidence.
//
// The picture and the variance are those of the point as it is fitted: a place that the mark is
// likely to have, and all that a linear gain needs.
type candidate struct {
	clip, pos int
	pt        geometry.Point
	again     bool
	pr        bundle.Projection
	noise     [2][2]float64 // inverse of the variance of the mark given the fit
}

// leastFiner is how many times a low-confidence mark's variance must be that of one by
// hand for advice to ask for it again.
const leastFiner = 2

// candidates lists the points not marked yet, nor hidden, in clips that have a
// frame at the position, and the low-confidence marks that a hand would place better.
//
// A mark by hand in place of one with information i, of a hand's variance v, brings 1/v and
// takes i away: as a mark added to the one there is it has the information 1/v − i. Where a
// fitted picture is as good as a mark of the hand already, little is gained, whatever the mark's
// own error: that is in the covariance of the picture, which joins v.
func (s *Solution) candidates() []candidate {
	if s.cands != nil || !s.post.Determined() {
		return s.cands
	}
	type key struct {
		clip, pos int
		pt        geometry.Point
	}
	taken := map[key]float64{} // what a mark tells: 1/px²; infinite where no more is asked of it
	busy := map[[2]int]bool{}
	for _, m := range s.sw.Marks {
		info := math.Inf(1)
		if m.LowConfidence && m.State != geometry.Hidden && m.SigmaPx > 0 {
			info = 1 / sq(m.SigmaPx)
		}
		taken[key{m.Clip, m.Position, m.Point}] = info
		busy[[2]int{m.Clip, m.Position}] = true
	}
	click := s.sw.ClickSigmaPx
	if click <= 0 {
		click = geometry.ClickSigmaPx
	}
	for pos := range s.p.Names {
		for clip := range s.p.Clips {
			if !busy[[2]int{clip, pos}] && !hasFrame(&s.sw.Positions[pos], clip) {
				continue
			}
			for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
				info, again := taken[key{clip, pos, pt}]
				if math.IsInf(info, 1) {
					continue
				}
				pr, ok := s.projection(clip, pos, pt)
				if !ok {
					continue
				}
				cam := &s.st.Cameras[clip]
				z := cam.ToCamera(s.st.At(pos, pt)).Z
				v := s.p.MarkVariance(pt, geometry.Placed, s.p.Views[clip], cam.FocalPx/z, click)
				if again {
					if info*v*leastFiner > 1 {
						continue
					}
					// One by hand in its place tells 1/v: as much as it and
					// another mark of this variance.
					v = 1 / (1/v - info)
				}
				c := s.post.PixelCovariance(&pr, clip, pos, pt)
				c[0][0] += v
				c[1][1] += v
				if inv, ok := inverse2(c); ok {
					s.cands = append(s.cands, candidate{clip, pos, pt, again, pr, inv})
				}
			}
		}
	}
	return s.cands
}

// hasFrame reports whether a clip has a frame at a position, as far as known.
func hasFrame(p *geometry.Position, clip int) bool {
	return clip >= len(p.Seconds) || !math.IsNaN(p.Seconds[clip])
}

// gain is by how much a candidate would lower the variance of a scalar whose
// covariance with everything is in the posterior's work space.
//
// A mark whose picture has the derivatives J (2 by all unknowns) and the variance v lowers
// the covariance by C Jᵀ (J C Jᵀ + v)⁻¹ J C (the update of Kalman 1960, J Basic Eng 82:35),
// so that the variance of gᵀx falls by
//
//	kᵀ (J C Jᵀ + v)⁻¹ k,   k = J C g.
//
// Where the mark would fall does not enter.
func (s *Solution) gain(c *candidate) float64 {
	k := s.post.CovarianceWith(&c.pr, c.clip, c.pos, c.pt)
	n := &c.noise
	return k[0]*(n[0][0]*k[0]+n[0][1]*k[1]) + k[1]*(n[1][0]*k[0]+n[1][1]*k[1])
}

// Suggest returns up to n marks that would sharpen a measure at a position
// most, best first, with the interval expected once they are placed as well
// as the coach places others. Each is judged by itself. The expectation is the
// variance of the linearised fit with the mark added; it does not need to know
// where the mark will fall. Marks that would narrow the interval by less than
// a fiftieth are left out, as are points marked hidden.
//
// Only the fit's own covariance is compared, before and after: what no mark takes away
// (landmarks off for good, a frame off its instant) stays, so that the interval printed after
// marking is wider than HalfWidthThen by that.
func (s *Solution) Suggest(name string, position geometry.PositionName, n int) []geometry.Suggestion {
	d, pos := geometry.DefinitionOf(name), s.position(position)
	if d == nil || pos < 0 || n <= 0 || !d.AppliesTo(position) || !s.post.Determined() || !d.Covered(s.slotPositions(pos)) {
		return nil
	}
	slots := s.slotPositions(pos)
	cands := s.candidates()
	_, gr := s.p.Differentiate(s.st, d, slots)
	v := s.post.SolveFor(gr, true)
	if !geometry.Finite(v) || v <= 0 {
		return nil
	}
	var out []geometry.Suggestion
	for i := range cands {
		c := &cands[i]
		then := math.Max(v-s.gain(c), 0)
		if then > sq(0.98)*v {
			continue
		}
		out = append(out, s.suggestion(c, d, position, math.Sqrt(v), math.Sqrt(then)))
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].HalfWidthThen < out[b].HalfWidthThen })
	return out[:min(n, len(out))]
}

func (s *Solution) suggestion(c *candidate, d *geometry.Definition, at geometry.PositionName, now, then float64) geometry.Suggestion {
	return geometry.Suggestion{
		Clip: c.clip, Position: c.pos, Point: c.pt, View: s.p.Views[c.clip], MarkAt: s.p.Names[c.pos], ByHand: c.again,
		HalfWidthNow: geometry.Z95 * now, HalfWidthThen: geometry.Z95 * then, Measure: d.Name, At: at, Unit: d.Unit,
	}
}

// nextMeasures are the measures whose intervals decide which mark comes next,
// with the half interval, in the measure's unit, at which each is as sharp as
// coaching needs.
var nextMeasures = []struct {
	name   string
	enough float64
	weight float64
}{
	// In degrees, or centimetres for sway and the hip's offset; a weight of 1 is that of a turn.
	{"pelvis turn", 6, 1}, {"torso turn", 6, 1}, {"forward bend", 3, 0.5}, {"sway", 2, 0.5},
	{"lead foot flare", 6, 0.7}, {"trail foot flare", 6, 0.4},
	{"lead knee flex", 6, 0.3}, {"trail knee flex", 6, 0.3},
	{"lead hip offset from the ankle-knee line", 4, 0.2}, {"trail hip offset from the ankle-knee line", 4, 0.2},
	{"shaft plane", 4, 0.2}, {"lead arm height", 6, 0.2}, {"shaft angle at the top", 8, 0.1},
}

// NextMark returns the mark that would sharpen the sheet most: the one that
// lowers, over the main measures at all positions, the sum of the squared
// intervals in units of what coaching needs. The widths of the suggestion are those
// of the measure it helps most. ok is false when no mark
// would help noticeably.
func (s *Solution) NextMark() (geometry.Suggestion, bool) {
	if list := s.NextMarks(1); len(list) > 0 {
		return list[0], true
	}
	return geometry.Suggestion{}, false
}

// NextMarks returns up to n such marks, best first, each judged by itself: for a
// coach who can't place the first.
//
// Over measures f with variances v and goals u (enough/1.96)², the marks are ranked by
//
//	Σ weight · log((u + v)/(u + v − gain)),
//
// the fall of the sum of log(u + v): an interval far under its goal adds nothing, one far over
// it counts by the share it shrinks by. By what is greedy here the second mark of a list is not
// the best after the first, since what they tell may be the same.
func (s *Solution) NextMarks(n int) []geometry.Suggestion {
	cands := s.candidates()
	if len(cands) == 0 {
		return nil
	}
	total := make([]float64, len(cands))
	type best struct {
		share     float64
		d         *geometry.Definition
		at        geometry.PositionName
		now, then float64
	}
	most := make([]best, len(cands))
	for _, nm := range nextMeasures {
		d := geometry.DefinitionOf(nm.name)
		for pos, name := range s.p.Names {
			slots := s.slotPositions(pos)
			if !d.AppliesTo(name) || !d.Covered(s.slotPositions(pos)) {
				continue
			}
			_, gr := s.p.Differentiate(s.st, d, slots)
			v := s.post.SolveFor(gr, true)
			if !geometry.Finite(v) || v <= 0 {
				continue
			}
			for i := range cands {
				gain := math.Min(s.gain(&cands[i]), v)
				// A wide interval counts by its logarithm, so that one
				// hopeless measure does not drown the others.
				unit := sq(nm.enough / geometry.Z95)
				share := nm.weight * math.Log((unit+v)/(unit+v-gain))
				total[i] += share
				if share > most[i].share {
					most[i] = best{share, d, name, math.Sqrt(v), math.Sqrt(v - gain)}
				}
			}
		}
	}
	order := make([]int, len(cands))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return total[order[a]] > total[order[b]] })
	var out []geometry.Suggestion
	for _, i := range order {
		if len(out) == n || total[i] < 0.01 || most[i].d == nil {
			break
		}
		b := &most[i]
		out = append(out, s.suggestion(&cands[i], b.d, b.at, b.now, b.then))
	}
	return out
}

// Leverage says how a measure moves when a mark is moved.
type Leverage struct {
	Mark int // index into Swing.Marks
	// PerPx is the change of the measure, in its unit, for one pixel to the
	// right and one pixel down in the clip as filmed.
	PerPx [2]float64
}

// Leverage returns how much each mark moves a measure at a position, strongest
// first, or nil where the measure does not apply. It is the derivative of the
// linearised fit: covariance × gradient of the mark × derivative of its influence.
//
// The result is signed, and of the picture as filmed: of a left-hander's mirrored picture x runs
// the other way. It holds for a pixel or two; beyond, the loss and the curvature of the problem
// take over (see findInfluences).
func (s *Solution) Leverage(name string, position geometry.PositionName) []Leverage {
	d, pos := geometry.DefinitionOf(name), s.position(position)
	if d == nil || pos < 0 || !d.AppliesTo(position) || !s.post.Determined() || !d.Covered(s.slotPositions(pos)) {
		return nil
	}
	slots := s.slotPositions(pos)
	_, gr := s.p.Differentiate(s.st, d, slots)
	s.post.SolveFor(gr, true)
	var out []Leverage
	put := func(m *bundle.Mark) {
		pr, ok := s.p.Seen(s.st, m)
		if !ok {
			return
		}
		rx, ry, v := m.X-pr.X, m.Y-pr.Y, m.Sigma*m.Sigma
		d2 := (rx*rx + ry*ry) / v
		_, w := levmar.Robust(d2)
		k := s.post.CovarianceWith(&pr, m.Clip, m.Pos, m.Point)
		// The influence of a mark is w r; its derivative falls along r as the
		// robust weight falls.
		// At the minimum Σ w r J/v = prior terms; differentiating by the mark
		// moves x̂ by C Jᵀ d(w r)/v. With w ∝ 1/(ν + d²), dw = −2w r·dr/(v(ν + d²)).
		along := 2 * (k[0]*rx + k[1]*ry) / (v * (levmar.Nu + d2))
		l := Leverage{Mark: m.Index, PerPx: [2]float64{w / v * (k[0] - along*rx), w / v * (k[1] - along*ry)}}
		if s.sw.Flipped(m.Clip) {
			l.PerPx[0] = -l.PerPx[0]
		}
		out = append(out, l)
	}
	for i := range s.p.Marks {
		for j := range s.p.Marks[i] {
			put(&s.p.Marks[i][j])
		}
	}
	for j := range s.p.BallMarks {
		put(&s.p.BallMarks[j])
	}
	sort.SliceStable(out, func(a, b int) bool {
		return math.Hypot(out[a].PerPx[0], out[a].PerPx[1]) > math.Hypot(out[b].PerPx[0], out[b].PerPx[1])
	})
	return out
}
