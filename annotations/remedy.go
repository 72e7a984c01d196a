package annotations

import (
	"cmp"
	"math"
	"slices"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// Remedy is one thing that would sharpen a measure.
type Remedy struct {
	What words.Remedy
	Mark *geometry.Suggestion // of words.MarkPoint
	Unit geometry.Unit
	// Now and Then are half the 95 % interval, as it is and as it would about be, in
	// Unit; Then is 0 where that is not known.
	Now, Then float64
	// Open says that the verdict is not two-sided, and Decides is the probability
	// that it would be then; 0 where that is not known.
	Open    bool
	Decides float64
}

// Words writes it: "mark the buckle at the top face-on: ±5.7 becomes ±3.8, likely to
// decide it".
func (x *Remedy) Words(imperial bool) string {
	text := x.What.Do()
	if x.Mark != nil {
		text = words.Ask(x.Mark)
	}
	if gain := x.What.Gains(x.Unit, x.Now, x.Then, imperial); gain != "" {
		text += ": " + gain
		if x.Open {
			text += ", " + words.Deciding(x.Decides)
		}
	}
	return text
}

func (x *Remedy) report() RemedyReport {
	return RemedyReport{Text: x.Words(false), HalfWidth: Rounded(x.Then), Decides: Rounded(x.Decides)}
}

// mostRemedies is how many are told of an open verdict, and one of any other number.
const mostRemedies = 3

// hopeless is how likely a remedy settles a verdict below which it is told only where
// there is no better one.
const hopeless = 0.1

// Remedies returns what would sharpen a measure of the result, best first: by how
// likely it settles the verdict, and of about equals what asks least of the coach.
func (r *Result) Remedies(m *Measured) []Remedy { return r.remedies(m, r.suggest(m, 1)) }

// remedies is the same, with the marks that would help known.
func (r *Result) remedies(m *Measured, marks []geometry.Suggestion) []Remedy {
	now := (m.High95 - m.Low95) / 2
	var out []Remedy
	add := func(what words.Remedy, then float64, mark *geometry.Suggestion) {
		x := Remedy{What: what, Mark: mark, Unit: m.Unit, Now: now, Then: then}
		if x.Open = m.Target != nil && !m.Verdict.TwoSided(); x.Open && then > 0 {
			x.Decides = decides(m, then/geometry.Z95, r.decided)
		}
		out = append(out, x)
	}
	if len(marks) > 0 {
		add(words.MarkPoint, marks[0].HalfWidthThen, &marks[0])
	}
	s := r.Swing()
	timed := m.Unit == geometry.Seconds || m.Name == "tempo"
	oneView := true
	switch {
	case timed:
		r.timeRemedies(m, add)
	case s.ClipOf(geometry.FaceOn) == nil:
		add(words.FilmFaceOn, 0, nil)
	case s.ClipOf(geometry.DownTheLine) == nil:
		add(words.FilmDownTheLine, 0, nil)
	default:
		oneView = false
	}
	if !oneView && m.Basis == OnMarks && motion.Measured(m.Name) && r.followable() {
		add(words.FollowSwing, followedShare*now, nil)
	}
	if since := geometry.DefinitionOf(m.Name); since != nil {
		if part := r.nearerShare(); part < 0.95 {
			if !since.SinceAddress { // much of it is misplacement that lasts
				part = (1 + part) / 2
			}
			add(words.FilmNearer, part*now, nil)
		}
		if since.SinceAddress {
			add(words.ThreeSwings, meanOfThree(m.Unit, now), nil)
		}
	}
	rank := func(x *Remedy) float64 {
		if x.Then == 0 { // the view that lacks
			return 0.5
		}
		return math.Round(10*x.Decides) / 10
	}
	slices.SortStableFunc(out, func(a, b Remedy) int {
		return cmp.Or(cmp.Compare(rank(&b), rank(&a)), cmp.Compare(a.What, b.What))
	})
	most := 1
	if m.Target != nil && !m.Verdict.TwoSided() {
		for most = 1; most < min(len(out), mostRemedies) && rank(&out[most]) >= hopeless; most++ {
		}
	}
	return out[:min(most, len(out))]
}

// decides is the probability that a verdict comes out two-sided once the standard
// deviation of its value, sigma now, is then: what is known afterwards lies about
// what is known now as widely as the variance falls.
func decides(m *Measured, then, decided float64) float64 {
	if !(then < m.Sigma) {
		return 0
	}
	const steps = 64
	wander := math.Sqrt(m.Sigma*m.Sigma - then*then)
	var p float64
	for i := range steps {
		z := math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/steps-1)
		if geometry.Judge(m.Value+wander*z, then, m.Target.Range, decided).Verdict.TwoSided() {
			p += 1.0 / steps
		}
	}
	return p
}

// followedShare is how wide an interval about is once the swing is followed: on the
// demo's two swings 0.82 to 1.02 times what it was.
const followedShare = 0.92

// followable reports whether the swing has what following needs, and was not
// followed from the marks it has now.
func (r *Result) followable() bool {
	s := r.Swing()
	for i := range s.Clips {
		if s.Clips[i].File == "" {
			return false
		}
	}
	return len(motion.Missing(&r.Problem)) == 0 && s.Followed.measures(&r.Problem) == nil && r.Curves == nil
}

// nearPxPerM is the scale of a golfer with room for the club overhead, 2.8 m, in an
// upright picture of 1920 pixels.
const nearPxPerM = 1920 / 2.8

// nearerShare is how wide an interval about is if each clip is filmed as near as can
// be: of what errs anew in each mark the click shrinks and the misplacement does not.
func (r *Result) nearerShare() float64 {
	var sum, n float64
	for _, c := range r.Fit.Cameras {
		p := c.Camera.Position
		scale := c.Camera.FocalPx / math.Hypot(math.Hypot(p.X, p.Z), p.Y)
		if !(scale > 0) {
			continue
		}
		marks := math.Hypot(geometry.ClickSigmaPx, geometry.PlacingSigmaM*scale) / scale
		near := math.Hypot(geometry.ClickSigmaPx, geometry.PlacingSigmaM*nearPxPerM) / nearPxPerM
		sum += math.Min(1, near/marks)
		n++
	}
	if n == 0 {
		return 1
	}
	return sum / n
}

// meanOfThree is about half the interval of the mean of three swings: each errs anew
// in what is counted since address, and a golfer differs from swing to swing, by 2.5
// deg in his turns (from memory) and 1 cm in shifts (ours), standard deviations.
func meanOfThree(unit geometry.Unit, now float64) float64 {
	between := 2.5
	if unit == geometry.Centimetres {
		between = 1
	}
	return math.Hypot(now, geometry.Z95*between) / math.Sqrt(3)
}

// timeRemedies are those of what hangs on frame times alone.
func (r *Result) timeRemedies(m *Measured, add func(words.Remedy, float64, *geometry.Suggestion)) {
	half := func(change func(*geometry.Position)) float64 {
		list := slices.Clone(r.Problem.Positions)
		for i := range list {
			list[i].OffSeconds, list[i].FrameSeconds = slices.Clone(list[i].OffSeconds), slices.Clone(list[i].FrameSeconds)
			change(&list[i])
		}
		measures, _ := geometry.TempoMeasures(list, r.Problem.Clips)
		for i := range measures {
			if x := &measures[i]; x.Name == m.Name {
				return (x.High95 - x.Low95) / 2
			}
		}
		return 0
	}
	const worthIt = 0.95 // of its width
	now := (m.High95 - m.Low95) / 2
	if then := half(func(p *geometry.Position) { clear(p.OffSeconds) }); then < worthIt*now {
		add(words.SetInstants, then, nil)
	}
	const fast = 1.0 / 240
	then := half(func(p *geometry.Position) {
		for c := range p.FrameSeconds {
			p.FrameSeconds[c] = math.Min(p.FrameSeconds[c], fast)
		}
	})
	if then < worthIt*now {
		add(words.FilmFaster, then, nil)
	}
}
