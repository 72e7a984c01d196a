package visit

import (
	"fmt"
	"image"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video/background"
)

// stand is one of the places at which a phone stood, and what it saw there last.
type stand struct {
	number int
	seen   *image.Gray
}

// stands are those of one view's phone, in the order in which they came.
type stands []stand

// next returns at which stand a picture was taken: the number of one that was there
// before, of a new one, or 0 where that can't be told.
func (s *stands) next(seen *image.Gray) int {
	unknown, most := false, 0
	for i := len(*s) - 1; i >= 0; i-- {
		x := &(*s)[i]
		most = max(most, x.number)
		switch background.Compare(x.seen, seen) {
		case background.Stood:
			x.seen = seen // the light changes slowly
			last := *x
			*s = append(append((*s)[:i:i], (*s)[i+1:]...), last)
			return x.number
		case background.Unknown:
			unknown = true
		}
	}
	if seen == nil || unknown {
		return 0
	}
	*s = append(*s, stand{most + 1, seen})
	return most + 1
}

// After has the phones' stands go on from those of the swings that a lesson has, as far as
// what was seen there is kept.
func (v *Visit) After(l *annotations.Lesson, k Kept) {
	v.before = [bench.NumStages]stands{}
	for i := range l.Swings {
		for j := range l.Swings[i].Clips {
			c := &l.Swings[i].Clips[j]
			for n, view := range views {
				if c.View != view || c.Stand == 0 {
					continue
				}
				if w := k.swing(c); w != nil && w.Standing != nil { // the last at each
					v.before[n] = append(slices.DeleteFunc(v.before[n], func(s stand) bool { return s.number == c.Stand }), stand{c.Stand, w.Standing})
				}
			}
		}
	}
}

// Stands says for each row, by view, at which stand of the phone the swing was filmed: at
// the same as another of the same number, which is not 0. It is told by what stands still
// in the picture.
func (v *Visit) Stands() [][bench.NumStages]int {
	out := make([][bench.NumStages]int, len(v.Rows))
	for k := range views {
		at := append(stands(nil), v.before[k]...)
		for i := range v.Rows {
			if s := v.Rows[i].Shots[k]; s.Film != nil && !v.Rows[i].Leave {
				out[i][k] = at.next(s.Of().Standing)
			}
		}
	}
	return out
}

// Moved returns the views whose phone has moved since the lesson's earlier swings, or
// between those of the visit.
func (v *Visit) Moved() []geometry.View {
	var out []geometry.View
	at := v.Stands()
	for k, view := range views {
		last := 0
		for _, b := range v.before[k] {
			last = b.number
		}
		for i := range at {
			if n := at[i][k]; n != 0 {
				if last != 0 && n != last && !slices.Contains(out, view) {
					out = append(out, view)
				}
				last = n
			}
		}
	}
	return out
}

// Standing says in a sentence for each view whether its phone stood still between the
// swings; nothing of a view with one swing, or where it can't be told.
func (v *Visit) Standing() []string {
	var out []string
	at := v.Stands()
	still := 0
	for k, view := range views {
		var moved []int // rows before which it had moved
		last, told, numbers := 0, 0, map[int]bool{}
		for _, b := range v.before[k] {
			last, told = b.number, 1
		}
		for i := range at {
			n := at[i][k]
			if n == 0 {
				continue
			}
			if last > 0 && n != last {
				moved = append(moved, i)
			}
			last, told, numbers[n] = n, told+1, true
		}
		switch {
		case told < 2:
		case len(moved) == 0:
			still++
			out = append(out, fmt.Sprintf("The %s phone stood still: its swings share one camera.", view))
		case len(numbers) > 2 && len(moved) == told-1:
			out = append(out, fmt.Sprintf("The %s phone did not stand still between any two swings: each has a camera of its own. On a stand, the numbers get better.", view))
		default:
			var names []string
			for _, i := range moved {
				names = append(names, fmt.Sprintf("swing %d", i+1))
			}
			out = append(out, fmt.Sprintf("The %s phone has moved before %s: from there on it has a camera of its own.", view, strings.Join(names, " and ")))
		}
	}
	if still == len(views) {
		return []string{"Both phones stood still: the swings share their cameras."}
	}
	return out
}
