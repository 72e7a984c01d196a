package fit

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat/distuv"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// From one picture a turn can't be told from its mirror image by the width of
// the hips or the shoulders alone: seen face-on, the same turn the other way;
// seen down the line, its supplement. Front points, feet and the range a
// golfer turns through decide between them, more or less firmly. A mode is
// such another solution with the odds it still has.

// Laplace's approximation of a density with several peaks is a sum of normal ones, one at each
// minimum k of the cost F with its second derivatives H,
//
//	p(x | marks) ≈ Σ wₖ N(x̂ₖ, Hₖ⁻¹),   wₖ ∝ exp(−Fₖ) |Hₖ|^(−½)
//
// (Tierney & Kadane 1986). Mirror images have nearly the same curvature, since the picture and
// the lengths are the same, so that |Hₖ| is left out and the odds of two are exp(F₁ − F₂).
// mode is another local minimum of the cost, near the solution but for the turn
// of one position.
//
// Its state is that of all positions; only its own differs from the solution's by more than
// what the shared unknowns gave way by.
type mode struct {
	pos    int
	st     *bundle.State
	excess float64 // of its cost over the solution's
}

// An excess of 7 is odds of 1 : 1100: a mode beyond widens no interval to speak of.
// firmOdds, one in eleven, is where a second answer three standard deviations away is too likely
// to pass over in a 95 % interval, and too unlike the first to be averaged with it.
// Which modes count.
const (
	modeExcess  = 7.0 // its odds are below one in a thousand beyond
	modeApart   = 3 * math.Pi / 180
	modeMaxIter = 25
	nearQuarter = 25 * math.Pi / 180
	modeBetter  = 0.05
	firmApart   = 3.0 // standard deviations from which on two values are two answers
	firmOdds    = 0.10
)

// reflection is what came of looking for a mirror image of a position: no other
// minimum, or one so costly that a few more marks elsewhere can't make it count.
type reflection struct {
	pos  int
	lead geometry.Point
	none bool
	age  int // solves since it was looked for
}

// A position whose marks have not changed is not looked at again for
// reflectionAge warm solves, if it had no mode of less excess than reflectionFar.
const (
	reflectionFar = 2 * modeExcess
	reflectionAge = 8
)

// noMirror reports whether an earlier solution of the same swing, but for a few
// marks, found no mirror image of a position whose marks are still the same.
func (s *Solution) noMirror(last *Solution, pos int, lead geometry.Point) bool {
	if last == nil || marksChanged(last.p.Marks[pos], s.p.Marks[pos]) {
		return false
	}
	for _, r := range last.reflections {
		if r.pos == pos && r.lead == lead && r.none && r.age < reflectionAge {
			s.reflections = append(s.reflections, reflection{pos, lead, true, r.age + 1})
			return true
		}
	}
	return false
}

// findModes looks for mirror images of every position whose turn hangs on
// one picture, each from the solution with the hips, or the shoulders,
// reflected in depth. last is the solution this one was started from, or nil.
//
// The mirror image is fitted with the shared unknowns held, since a fit of everything would cost
// as much as the solution did; then one Newton step of everything shows to first order what
// lengths and cameras would give way by. The true minimum is lower still, so that an excess is
// overstated a little, by what the second step would bring. Address is left out: there the
// golfer is known to stand square.
func (s *Solution) findModes(ctx context.Context, e *bundle.Minimiser, last *Solution) error {
	p := s.p
	for pos := range p.Names {
		if pos == p.Address || !p.OneViewed(pos) {
			continue
		}
		var seen [3]int
		for _, m := range p.Marks[pos] {
			seen[p.Views[m.Clip]]++
		}
		for _, lead := range [2]geometry.Point{geometry.LeadHip, geometry.LeadShoulder} {
			trail := lead.Opposite()
			if !p.Marked[pos][lead] || !p.Marked[pos][trail] || s.noMirror(last, pos, lead) {
				continue
			}
			s.reflections = append(s.reflections, reflection{pos: pos, lead: lead, none: true})
			found := &s.reflections[len(s.reflections)-1]
			st := s.st.Clone()
			fig := s.turned(pos, lead, seen[geometry.DownTheLine] > seen[geometry.FaceOn])
			p.Seed(st, pos, &fig)
			here := p.PositionCost(s.st, pos)
			near, err := e.MinimisePosition(ctx, st, pos, modeMaxIter)
			if err != nil {
				return err
			}
			cost := near.Cost
			if cost-here > 4*modeExcess || !distinct(s.st, st, pos) {
				continue
			}
			// What the shared unknowns would give way by.
			eased, ok := e.OneStep(st)
			if !ok {
				continue
			}
			found.none = cost-here-eased > reflectionFar
			if excess := cost - here - eased; excess < modeExcess && distinct(s.st, st, pos) {
				s.modes = append(s.modes, mode{pos, st, excess})
			}
		}
	}
	for i := range s.modes {
		l := &s.modes[i]
		if i == 0 || s.Summary.Cost+l.excess < s.Summary.MirrorCost {
			s.Summary.MirrorCost = s.Summary.Cost + l.excess
		}
	}
	return nil
}

// betterMode returns the mode that turned out cheaper than the solution it was
// found from, or nil.
func (s *Solution) betterMode() *mode {
	var best *mode
	for i := range s.modes {
		l := &s.modes[i]
		if l.excess < -modeBetter && (best == nil || l.excess < best.excess) {
			best = l
		}
	}
	return best
}

// turned returns the figure of a position with the pelvis, or the torso, turned
// about the vertical to the mirror image of its heading.
//
// Headings are atan2(z, x) of the line from trail to lead, radians: 0 is square. Turning about
// the vertical by −2ψ mirrors ψ to −ψ; by ±π − 2ψ to its supplement. The belt, or the chest, goes
// along as a rigid body, and of the arms what hangs on a shoulder moves as that does; their
// depths are then the minimiser's to find.
func (s *Solution) turned(pos int, lead geometry.Point, downTheLine bool) [geometry.NumBody]r3.Vec {
	var fig [geometry.NumBody]r3.Vec
	for pt := range fig {
		fig[pt] = s.st.At(pos, geometry.Point(pt))
	}
	block := [4]geometry.Point{lead, lead.Opposite(), geometry.Breastbone, geometry.UpperBack}
	if lead == geometry.LeadHip {
		block[2], block[3] = geometry.Buckle, geometry.Tailbone
	}
	d := r3.Sub(fig[lead], fig[lead.Opposite()])
	heading := math.Atan2(d.Z, d.X)
	by := -2 * heading
	if downTheLine {
		by += math.Copysign(math.Pi, heading)
		if near := nearQuarter - math.Abs(by)/2; near > 0 {
			by += math.Copysign(2*near, by) // too near its own mirror image: start well beyond
		}
	}
	centre := r3.Scale(0.5, r3.Add(fig[lead], fig[lead.Opposite()]))
	turn := r3.NewRotation(-by, r3.Vec{Y: 1})
	old := fig
	for _, pt := range block {
		fig[pt] = r3.Add(centre, turn.Rotate(r3.Sub(fig[pt], centre)))
	}
	if lead == geometry.LeadShoulder { // the arms hang on, and the club
		for _, pt := range [5]geometry.Point{geometry.LeadElbow, geometry.LeadWrist, geometry.TrailWrist, geometry.Grip, geometry.Clubhead} {
			fig[pt] = r3.Add(fig[pt], r3.Sub(fig[geometry.LeadShoulder], old[geometry.LeadShoulder]))
		}
		fig[geometry.TrailElbow] = r3.Add(fig[geometry.TrailElbow], r3.Sub(fig[geometry.TrailShoulder], old[geometry.TrailShoulder]))
	}
	return fig
}

// distinct reports whether two states differ in the heading of the pelvis or the
// torso at a position.
func distinct(a, b *bundle.State, pos int) bool {
	for _, lead := range [2]geometry.Point{geometry.LeadHip, geometry.LeadShoulder} {
		da := r3.Sub(a.At(pos, lead), a.At(pos, lead.Opposite()))
		db := r3.Sub(b.At(pos, lead), b.At(pos, lead.Opposite()))
		if math.Abs(geometry.WrapAngle(math.Atan2(da.Z, da.X)-math.Atan2(db.Z, db.X))) > modeApart {
			return true
		}
	}
	return false
}

// blend mixes a measure's value and standard deviation with those of the
// other modes of its position, weighted by their odds. bimodal says that two
// answers far apart are both possible.
//
// Where the others' weights are Σ wₖ = 1 − w₀, each lying Δₖ off, the standard deviation grows to
// √(σ² + Σ wₖ(xₖ − m)²): a mode of weight 0.03 at five standard deviations off adds a third.
func (s *Solution) blend(d *geometry.Definition, pos int, slots [geometry.NumSlots]int, v, sigma float64) (mean, sd, lo, hi float64, bimodal bool) {
	// Mean and variance of a mixture: m = Σ wᵢ xᵢ, Σ wᵢ (σ² + (xᵢ−m)²). Its interval
	// is between its own quantiles, not m ± 1.96 sd: two peaks apart have no normal
	// tails.
	w, x := []float64{1}, []float64{v}
	total := 1.0
	for i := range s.modes {
		l := &s.modes[i]
		if l.pos != pos {
			continue
		}
		other := s.p.Evaluate(l.st, d, slots)
		if !geometry.Finite(other) {
			continue
		}
		// The posterior's density there over that here; both peaks are taken to
		// be as wide.
		o := math.Exp(-math.Max(l.excess, 0))
		if math.Abs(other-v) > firmApart*sigma && o > firmOdds {
			bimodal = true
		}
		w, x = append(w, o), append(x, other)
		total += o
	}
	if len(w) == 1 {
		return v, sigma, v - geometry.Z95*sigma, v + geometry.Z95*sigma, false
	}
	for i := range w {
		w[i] /= total
		mean += w[i] * x[i]
	}
	for i := range w {
		sd += w[i] * (sigma*sigma + sq(x[i]-mean))
	}
	sd = math.Sqrt(sd)
	return mean, sd, mixtureQuantile(w, x, sigma, 0.025), mixtureQuantile(w, x, sigma, 0.975), bimodal
}

// mixtureQuantile is a quantile of a mixture of normal distributions with
// weights w, means x and one standard deviation, by bisection.
//
// The distribution function of the mixture is Σ wₖ Φ((x − xₖ)/σ), increasing in x; 60 halvings of
// an interval of a few hundred units leave 1e-15 of it.
func mixtureQuantile(w, x []float64, sigma, q float64) float64 {
	lo, hi := x[0], x[0]
	for _, v := range x {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	lo, hi = lo-6*sigma, hi+6*sigma
	for i := 0; i < 60; i++ {
		m := (lo + hi) / 2
		var p float64
		for k := range w {
			p += w[k] * distuv.UnitNormal.CDF((m-x[k])/sigma)
		}
		if p < q {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
