package annotations

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"

	"turngauge/annotations/jsontree"
	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// Basis says what a number rests on.
type Basis string

// What numbers rest on.
const (
	OnMarks    Basis = "marks"    // the marks at the key positions
	OnFollowed Basis = "followed" // those, followed through the clips
	OnVisit    Basis = "visit"    // the swings of a visit, of which it is the mean
)

// Followed is what following the marks of a swing through its clips came to. The
// document keeps it, so that whoever reads it without the clips has the same
// numbers. It is not changed once it is part of a lesson.
type Followed struct {
	// Of names the marks, frames and cameras that were followed; once those have
	// changed the rest counts no more.
	Of       string
	Measures []FollowedMeasure
	Cloth    motion.Seen // what belt and trousers showed of the pelvis

	unknown *jsontree.Fields
}

// FollowedMeasure is a measure at a key position, in the unit of its definition.
type FollowedMeasure struct {
	Name     string
	Position geometry.PositionName
	Value    float64
	SD       float64

	unknown *jsontree.Fields
}

// NewFollowed keeps what was followed from the marks of a problem.
func NewFollowed(of *geometry.Swing, measures []geometry.Measure, cloth motion.Seen) *Followed {
	f := &Followed{Of: followedOf(of), Cloth: cloth}
	for _, m := range measures {
		if sd := Rounded(m.Sigma); sd > 0 && geometry.Finite(m.Value) {
			f.Measures = append(f.Measures, FollowedMeasure{Name: m.Name, Position: m.Position, Value: Rounded(m.Value), SD: sd})
		}
	}
	return f
}

// followedOf names a problem: any change to what is followed changes it.
func followedOf(sw *geometry.Swing) string {
	of := *sw
	of.Marking = nil // what is known of the coach moves no mark
	h := fnv.New64a()
	_, _ = fmt.Fprintf(h, "%v", of)
	return fmt.Sprintf("%016x", h.Sum64())
}

// followedMethod is how such numbers come about.
const followedMethod = "fit through time, followed"

// measures returns what is kept as measures, or nothing where it was followed from
// other marks than those of the problem.
func (f *Followed) measures(of *geometry.Swing) []geometry.Measure {
	if f == nil || f.Of != followedOf(of) {
		return nil
	}
	var out []geometry.Measure
	for _, m := range f.Measures {
		if d := geometry.DefinitionOf(m.Name); d != nil && d.AppliesTo(m.Position) {
			out = append(out, d.Measure(m.Position, m.Value, m.SD, followedMethod))
		}
	}
	return out
}

// Stale reports whether a swing was followed, and its marks have changed since.
func (f *Followed) Stale(now *geometry.Swing) bool { return f != nil && f.Of != followedOf(now) }

// counts is the rule by which followed numbers take the place of those of the marks
// alone: they are the surer ones, which they are not where points were lost or hidden
// for long, by more than is lost in rounding; and each lies where the marks say that
// it can be, which it does not where following has strayed. Both intervals are honest,
// so the narrower may be taken without looking at the values.
func counts(followed, marks []*geometry.Measure) bool {
	const worthIt = 0.02 // of the variance
	var less, all float64
	for i, f := range followed {
		m := marks[i]
		if f == nil || math.Abs(f.Value-m.Value) > geometry.Z95*m.Sigma {
			return false
		}
		less += m.Sigma*m.Sigma - f.Sigma*f.Sigma
		all += m.Sigma * m.Sigma
	}
	return less > worthIt*all
}

// turns are told together, on one basis: the third is the difference of the others.
var turns = []string{"pelvis turn", "torso turn", "separation"}

// one makes one list of the numbers of the marks and the followed ones, of which the pelvis turns
// know what the clothes showed. What the marks alone can't tell stays missing.
func one(marks []geometry.Measure, f *Followed, of *geometry.Swing) []Measured {
	followed := f.measures(of)
	type key struct {
		name     string
		position geometry.PositionName
	}
	through := make(map[key]*geometry.Measure, len(followed))
	for i := range followed {
		through[key{followed[i].Name, followed[i].Position}] = &followed[i]
	}
	out := make([]Measured, len(marks))
	together := make(map[key][]int) // what is told on one basis
	var order []key
	for i := range marks {
		if out[i] = (Measured{Measure: marks[i], Basis: OnMarks}); followed != nil && marks[i].Name == turns[0] {
			out[i].Cloth = &f.Cloth
		}
		k := key{marks[i].Name, marks[i].Position}
		if slices.Contains(turns, k.name) {
			k.name = ""
		}
		if together[k] == nil {
			order = append(order, k)
		}
		together[k] = append(together[k], i)
	}
	for _, k := range order {
		var f, m []*geometry.Measure
		for _, i := range together[k] {
			f, m = append(f, through[key{marks[i].Name, marks[i].Position}]), append(m, &marks[i])
		}
		if !counts(f, m) {
			for _, i := range together[k] {
				if out[i].Cloth != nil && out[i].Cloth.Used() { // but this number does not rest on it
					out[i].Cloth = nil
				}
			}
		} else {
			for n, i := range together[k] {
				out[i].Measure, out[i].Basis, out[i].Alone = *f[n], OnFollowed, m[n]
				out[i].Shared, out[i].Lasting = math.Min(m[n].Shared, f[n].Sigma), math.Min(m[n].Lasting, f[n].Sigma)
			}
		}
	}
	return out
}

// ByMarks is what the marks alone tell.
func (m *Measured) ByMarks() *geometry.Measure {
	if m.Alone != nil {
		return m.Alone
	}
	return &m.Measure
}

// Learn takes what following came to into the lesson. It is no step of undo: a
// coach takes back what he did, not what was found out; see Followed.Of.
func (e *Editor) Learn(swing string, f *Followed) error {
	i, err := e.now.findSwing(swing)
	if err != nil {
		return err
	}
	next := e.now.withSwing(i, func(s *Swing) { s.Followed = f })
	if err := next.Validate(); err != nil {
		return err
	}
	e.set(next)
	return nil
}

// learned returns l with what was learned meanwhile of its swings, by undo or redo.
func (l *Lesson) learned(now *Lesson) *Lesson {
	for i := range l.Swings {
		if s := now.Swing(l.Swings[i].ID); s != nil && s.Followed != l.Swings[i].Followed {
			l = l.withSwing(i, func(to *Swing) { to.Followed = s.Followed })
		}
	}
	return l
}

// The numbers that were followed, in the document:
//
//	"followed": {"of": "6c62272e07bb0142", "cloth": "used 31/40", "measures": [{"name": "pelvis turn", "position": "top", "value": 38.2, "sd": 3.6}]}

// maxFollowed is the most that a document may hold.
const maxFollowed = 5000

func (r *reader) followed(o object) *Followed {
	f := &Followed{Of: o.text("of", required), Cloth: motion.ParseSeen(o.text("cloth", optional))}
	for i, n := range o.list("measures", maxFollowed) {
		x := r.object(n, o.at("measures")+index(i))
		m := FollowedMeasure{Name: geometry.PresentName(x.text("name", required)), Position: geometry.PositionName(x.text("position", required))}
		if n := x.want("value", required); n != nil {
			m.Value = r.number(n, x.at("value"))
		}
		if n := x.want("sd", required); n != nil {
			m.SD = r.number(n, x.at("sd"))
		}
		m.unknown = x.rest()
		f.Measures = append(f.Measures, m)
	}
	f.unknown = o.rest()
	return f
}

func (f *Followed) node() *jsontree.Node {
	var b builder
	b.text("of", f.Of)
	b.add("measures", listOf(f.Measures, func(m *FollowedMeasure) *jsontree.Node {
		var b builder
		b.text("name", m.Name)
		b.text("position", string(m.Position))
		b.add("value", floatNode(m.Value))
		b.add("sd", floatNode(m.SD))
		return b.done(m.unknown)
	}))
	b.text("cloth", f.Cloth.String())
	return b.done(f.unknown)
}

func (f *Followed) check(at string, faults *Faults) {
	faults.text(at+".of", f.Of, maxName)
	for i := range f.Measures {
		if m := &f.Measures[i]; !(m.SD > 0) || !geometry.Finite(m.Value, m.SD) {
			faults.add(at+".measures"+index(i)+".sd", "must be above 0")
		}
	}
}
