package teach

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"turngauge/annotations"
	"turngauge/geometry"
)

// A Taught mark is one of a swing as the corrections in others have it.
type Taught struct {
	Swing string // its ID
	Mark  annotations.Mark
}

// least is what a mark must change by to be taught, pixels and parts of its standard
// deviation: less is not worth a step of undo.
const (
	leastPx   = 0.05
	leastPart = 0.02
)

// Marks returns the proposed marks of a lesson that corrections in other swings would
// change, as they would be. want chooses those that are asked for; nil asks for all. Marks
// that were taught before are taught anew from where the program saw them.
func Marks(l *annotations.Lesson, want func(s *annotations.Swing, m annotations.Mark) bool) []Taught {
	c := learn(l)
	if c == nil {
		return nil
	}
	var out []Taught
	for i := range l.Swings {
		s := &l.Swings[i]
		for _, m := range s.Marks {
			if m.State != geometry.Proposed || want != nil && !want(s, m) {
				continue
			}
			if x, ok := c.teach(i, m); ok && differs(m, x) {
				out = append(out, Taught{s.ID, x})
			}
		}
	}
	return out
}

func differs(a, b annotations.Mark) bool {
	return math.Hypot(a.At.X-b.At.X, a.At.Y-b.At.Y) > leastPx || math.Abs(a.SDPx-b.SDPx) > leastPart*a.SDPx
}

// Apply changes those marks on an editor, as one step of undo, and returns how many.
func Apply(e *annotations.Editor, want func(s *annotations.Swing, m annotations.Mark) bool) (int, error) {
	list := Marks(e.Lesson(), want)
	if len(list) == 0 {
		return 0, nil
	}
	e.Begin("teach the other swings")
	for _, t := range list {
		if err := e.Apply(annotations.SetMark{Swing: t.Swing, Mark: t.Mark}); err != nil {
			e.Cancel()
			return 0, err
		}
	}
	e.End()
	return len(list), nil
}

// corrections are what hands have told in a lesson.
type corrections struct {
	ties
	told    map[class][]sample
	weight  []float64            // of each law
	learned map[class][]evidence // by law
}

// learn returns nil where no mark was moved by hand.
func learn(l *annotations.Lesson) *corrections {
	c := &corrections{ties: ties{l, make(map[[4]int]float64)}, told: make(map[class][]sample), learned: make(map[class][]evidence)}
	all := tellings(l)
	logs, scatter := make([]float64, len(laws)), c.anew(all)
	for i := range laws {
		logs[i] = laws[i].prior + laws[i].anewPrior(scatter)
	}
	classes := make([]class, 0, len(all))
	for k, list := range all {
		if slices.ContainsFunc(list, func(t telling) bool { return t.moved }) {
			classes = append(classes, k)
		}
	}
	// In one order always: sums of the same numbers then come to the same.
	slices.SortFunc(classes, func(a, b class) int {
		return cmp.Or(cmp.Compare(a.view, b.view), cmp.Compare(a.point, b.point))
	})
	for _, k := range classes {
		var told []sample
		for _, t := range all[k] {
			if t.hand > 0 {
				told = append(told, sampleOf(t))
			}
		}
		list := c.evidences(told)
		if list == nil {
			continue
		}
		for i := range laws {
			logs[i] += list[i].log
		}
		c.told[k], c.learned[k] = told, list
	}
	if len(c.told) == 0 {
		return nil
	}
	c.weight = weights(logs)
	return c
}

// reached reports whether a hand has moved a point in another swing of which this one can
// learn.
func (c *corrections) reached(k class, swing, clip int) bool {
	return slices.ContainsFunc(c.told[k], func(t sample) bool {
		return t.moved && t.swing != swing && c.size(t.swing, t.clip, swing, clip) > 0
	})
}

// teach returns a proposed mark of a swing as the corrections in others have it; false where
// they say nothing of it.
func (c *corrections) teach(swing int, m annotations.Mark) (annotations.Mark, bool) {
	s := &c.l.Swings[swing]
	clip := s.ClipIndex(m.Clip)
	if clip < 0 {
		return m, false
	}
	view := s.Clips[clip].View
	k, seen := class{view, m.Point}, m.Sighting(view)
	if seen.None() || !c.reached(k, swing, clip) {
		return m, false
	}
	// The mark, and after it the same point at the other key positions of its clip: what all of
	// them are still off by alike is the shared part of what is left.
	asked := []sample{sampleOf(telling{swing: swing, clip: clip, position: m.Position, point: m.Point, seen: seen})}
	for _, o := range s.Marks {
		if x := o.Sighting(view); o.Clip == m.Clip && o.Point == m.Point && o.Position != m.Position && o.State == geometry.Proposed && !x.None() {
			asked = append(asked, sampleOf(telling{swing: swing, clip: clip, position: o.Position, point: o.Point, seen: x}))
		}
	}
	mean, variance, common, ok := c.left(k, asked)
	if !ok {
		return m, false
	}
	hand := handSigma(c.l, m.Point, view, pxPerM(c.l, s, clip))
	m.Seen = seen
	m.At = geometry.ImagePt{X: seen.At.X - mean[0], Y: seen.At.Y - mean[1]}
	m.SDPx = math.Min(math.Max(math.Sqrt(variance), hand), seen.SDPx)
	m.SharedBiasPx = 0
	if shared := math.Min(math.Sqrt(math.Max(common, 0)), mostShared*m.SDPx); seen.SharedBiasPx > 0 && shared > leastShared {
		m.SharedBiasPx = shared
	}
	if s.Clips[clip].Width > 0 { // a place that is beyond the picture's edge helps nobody
		m.At.X = math.Min(math.Max(m.At.X, 0), float64(s.Clips[clip].Width))
		m.At.Y = math.Min(math.Max(m.At.Y, 0), float64(s.Clips[clip].Height))
	}
	return m, true
}

const (
	// leastShared is from how many pixels on a shared bias is worth to be told of, and
	// mostShared what part of a standard deviation it is at most, so that something is left that
	// differs.
	leastShared = 0.05
	mostShared  = 0.95
)

// left returns what the first of some places is off by in x and y given what hands have
// told, its variance after that, and its mean covariance with the others. The laws are mixed:
// that their means differ counts as variance.
func (c *corrections) left(k class, asked []sample) (mean [2]float64, variance, common float64, ok bool) {
	told := c.told[k]
	with := make([]products, len(told)*len(asked))
	among := make([]products, len(asked))
	for a := range asked {
		for j := range told {
			with[a*len(told)+j] = c.products(&asked[a], &told[j])
		}
		among[a] = c.products(&asked[0], &asked[a])
	}
	vector := func(w *law, a int) *mat.VecDense {
		v := mat.NewVecDense(len(told), nil)
		for j := range told {
			v.SetVec(j, with[a*len(told)+j].covariance(w))
		}
		return v
	}
	var squares float64
	for i := range laws {
		w, e, weight := &laws[i], &c.learned[k][i], c.weight[i]
		if weight == 0 {
			continue
		}
		own := vector(w, 0)
		for axis := range mean {
			by := mat.Dot(own, e.x[axis])
			mean[axis] += weight * by
			squares += weight * by * by / 2
		}
		x := new(mat.VecDense)
		if e.chol.SolveVecTo(x, own) != nil {
			return mean, 0, 0, false
		}
		variance += weight * (among[0].covariance(w) - mat.Dot(x, own))
		for a := 1; a < len(asked); a++ {
			common += weight * (among[a].covariance(w) - mat.Dot(x, vector(w, a))) / float64(len(asked)-1)
		}
	}
	spread := math.Max(squares-(mean[0]*mean[0]+mean[1]*mean[1])/2, 0)
	return mean, math.Max(variance, 0) + spread, common, true
}
