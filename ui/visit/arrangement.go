package visit

import (
	"slices"

	"turngauge/ui/bench"
)

// Place is a picture's on the card: row and view, indices of Visit.Rows and of the views.
// The row after the last is one of its own.
type Place struct{ Row, View int }

// Move puts what is at one place at another; what is there comes back. A row that shows
// nothing any more goes. It returns where the picture is then.
func (v *Visit) Move(from, to Place) Place {
	if to.Row >= len(v.Rows) {
		to.Row = len(v.Rows)
		v.Rows = append(v.Rows, Row{})
	}
	a, b := &v.Rows[from.Row].Shots[from.View], &v.Rows[to.Row].Shots[to.View]
	*a, *b = *b, *a
	for i := len(v.Rows) - 1; i >= 0; i-- {
		if v.Rows[i].Shots == [bench.NumStages]Shot{} {
			v.Rows = slices.Delete(v.Rows, i, i+1)
			if i < to.Row {
				to.Row--
			}
		}
	}
	v.findPractice()
	return to
}

// An Arrangement is how the coach has put the swings of some files together: their views,
// and the rows.
type Arrangement struct {
	Films []string   `json:"films"` // paths
	Views []int      `json:"views"` // of each film, 0 face-on and 1 down-the-line
	Rows  []Arranged `json:"rows"`
}

// Arranged is a row: by view the film and the swing in it, counted from 0, or −1 for none.
type Arranged struct {
	Shots [bench.NumStages][2]int `json:"shots"`
	Leave bool                    `json:"leave,omitempty"`
}

// Arrangement returns how the swings are put together.
func (v *Visit) Arrangement() Arrangement {
	var a Arrangement
	for _, f := range v.Films {
		a.Films, a.Views = append(a.Films, f.Path), append(a.Views, slices.Index(views[:], f.View))
	}
	for i := range v.Rows {
		x := Arranged{Leave: v.Rows[i].Leave}
		for k, s := range v.Rows[i].Shots {
			x.Shots[k] = [2]int{slices.Index(v.Films, s.Film), s.Swing}
		}
		a.Rows = append(a.Rows, x)
	}
	return a
}

// Arrange puts the swings together as they were, and reports whether it could: whether the
// same was found in the same files.
func (v *Visit) Arrange(a *Arrangement) bool {
	if len(a.Films) != len(v.Films) || len(a.Views) != len(v.Films) {
		return false
	}
	seen := map[Shot]bool{}
	rows := make([]Row, len(a.Rows))
	for i := range a.Rows {
		rows[i].Leave = a.Rows[i].Leave
		for k, at := range a.Rows[i].Shots {
			if at[0] < 0 {
				continue
			}
			if at[0] >= len(v.Films) || at[1] < 0 || at[1] >= len(v.Films[at[0]].Swings) {
				return false
			}
			s := Shot{v.Films[at[0]], at[1]}
			if seen[s] {
				return false
			}
			seen[s], rows[i].Shots[k] = true, s
		}
	}
	all := 0
	for i, f := range v.Films {
		if f.Path != a.Films[i] || a.Views[i] < 0 || a.Views[i] >= len(views) {
			return false
		}
		all += len(f.Swings)
	}
	if len(seen) != all {
		return false
	}
	for i, f := range v.Films {
		f.View = views[a.Views[i]]
	}
	v.Rows = rows
	v.findPractice()
	return true
}

// findPractice finds the practice swings: those in no film of which a strike is heard.
func (v *Visit) findPractice() {
	for i := range v.Rows {
		r := &v.Rows[i]
		r.Practice = true
		for _, s := range r.Shots {
			if s.Film != nil && (s.Of().Heard || !s.Film.Index.Info().HasAudio) {
				r.Practice = false
			}
		}
	}
}
