package review

import (
	"cmp"
	"slices"
)

// Appearance is when a drawing is shown, on the review's clock: from its first stroke to
// where it is gone for good.
type Appearance struct {
	Drawing Drawing // as it was when it was done
	Span
}

// Appearances are the drawings of a list, in the order in which they come. What is being
// drawn has no ID yet and belongs to the drawing that it becomes.
func (r *Recorded) Appearances() (out []Appearance) {
	at := map[string]int{}
	for i := range r.Steps {
		end := r.Seconds
		if i+1 < len(r.Steps) {
			end = r.Steps[i+1].At
		}
		for _, d := range r.Steps[i].State.Drawings {
			k, known := at[d.ID]
			if d.ID == "" {
				continue
			}
			if !known {
				k = len(out)
				at[d.ID] = k
				from := r.Steps[i].At
				if n := growing(r.Steps, i, &d); n > 0 {
					from = r.Steps[i-n].At
				}
				out = append(out, Appearance{Span: Span{From: from}})
			}
			out[k].Drawing, out[k].To = d, end
		}
	}
	slices.SortStableFunc(out, func(a, b Appearance) int { return cmp.Compare(a.From, b.From) })
	return out
}

// growing is during how many steps before step i a drawing was being drawn.
func growing(steps []Step, i int, d *Drawing) (n int) {
	for n < i && begun(&steps[i-1-n].State, d) >= 0 {
		n++
	}
	return n
}

// begun is which drawing of a state is d while it is being drawn, or -1.
func begun(s *State, d *Drawing) int {
	return slices.IndexFunc(s.Drawings, func(o Drawing) bool { return o.ID == "" && o.Clip == d.Clip && o.Kind == d.Kind })
}

// form is what a drawing looked like from so many seconds after its first stroke on.
type form struct {
	after float64
	Drawing
}

// moved shows a drawing at another time: as it was drawn, stroke by stroke, from m.From on,
// and until m.To. It is seen only on frames on which it was seen when it was drawn, since on
// others it would say something else.
func moved(steps []Step, m Moved) []Step {
	has := func(s *State) int { return slices.IndexFunc(s.Drawings, func(d Drawing) bool { return d.ID == m.ID }) }
	first := slices.IndexFunc(steps, func(s Step) bool { return has(&s.State) >= 0 })
	if first < 0 {
		return steps
	}
	final := &steps[first].State.Drawings[has(&steps[first].State)]
	begins := first - growing(steps, first, final)
	var forms []form
	frames := map[int]bool{}
	out := make([]Step, 0, len(steps)+4)
	for i, s := range steps {
		k := has(&s.State)
		if k < 0 && begins <= i && i < first {
			k = begun(&s.State, final)
		}
		if k >= 0 {
			forms = append(forms, form{s.At - steps[begins].At, s.State.Drawings[k]})
			for _, v := range s.State.Views {
				if v.Clip == final.Clip && !v.Other {
					frames[v.Frame] = true
				}
			}
			s.State.Drawings = slices.Delete(slices.Clone(s.State.Drawings), k, k+1)
		}
		out = append(out, s)
	}
	for i := range forms { // one has its name from the beginning, or two are there where the first is moved on
		forms[i].ID = m.ID
	}
	for _, f := range forms {
		out = split(out, m.From+f.after)
	}
	out = split(out, m.To)
	for i := range out {
		s := &out[i].State
		if out[i].At < m.From || out[i].At >= m.To || !slices.ContainsFunc(s.Views, func(v View) bool { return !v.Other && v.Clip == final.Clip && frames[v.Frame] }) {
			continue
		}
		k := 0
		for k+1 < len(forms) && forms[k+1].after <= out[i].At-m.From+1e-9 {
			k++
		}
		s.Drawings, s.Explained = append(slices.Clone(s.Drawings), forms[k].Drawing), true
	}
	return out
}

// split makes a step begin at a time, with what is shown then.
func split(steps []Step, at float64) []Step {
	i, there := slices.BinarySearchFunc(steps, at, func(s Step, at float64) int { return cmp.Compare(s.At, at) })
	if i == 0 || there {
		return steps
	}
	return slices.Insert(steps, i, Step{at, steps[i-1].State})
}
