package teach

import (
	"fmt"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// An Offer says what corrections by hand would do to other swings.
type Offer struct {
	Moved  int      // marks that hands have moved
	At     []string // what they are of, such as "hip", most first
	Marks  []Taught // that would change
	Swings int      // in which they are
	// Wants are points of the clothes that can be looked for in the pictures of swings.
	Wants []Want
}

// Empty reports whether nothing would come of it.
func (o *Offer) Empty() bool { return len(o.Marks) == 0 && len(o.Wants) == 0 }

// ByHand counts the marks of a lesson that can teach: those that hands have moved from where
// a program saw their points, and those on clothes.
func ByHand(l *annotations.Lesson) (n int) {
	for i := range l.Swings {
		for _, m := range l.Swings[i].Marks {
			if m.State == geometry.Placed && m.Seen.None() && slices.Contains(cloth, m.Point) {
				n++
			}
		}
	}
	for _, list := range tellings(l) {
		for i := range list {
			if list[i].moved {
				n++
			}
		}
	}
	return n
}

// For returns what the corrections of a lesson would do to it.
func For(l *annotations.Lesson) Offer {
	o := Offer{Marks: Marks(l, nil)}
	of := make(map[string]int)
	for _, list := range tellings(l) {
		for i := range list {
			if !list[i].moved {
				continue
			}
			o.Moved++
			if c, ok := geometry.ClassOf(list[i].point); ok {
				if of[c.String()]++; of[c.String()] == 1 {
					o.At = append(o.At, c.String())
				}
			}
		}
	}
	slices.SortFunc(o.At, func(a, b string) int {
		if of[a] != of[b] {
			return of[b] - of[a]
		}
		return strings.Compare(a, b)
	})
	last := ""
	for _, t := range o.Marks {
		if t.Swing != last {
			o.Swings++
			last = t.Swing
		}
	}
	t := &ties{l, make(map[[4]int]float64)}
	for i := range l.Swings {
		o.Wants = append(o.Wants, t.wants(i)...)
	}
	return o
}

// mostNamed is how many kinds of points an offer names.
const mostNamed = 3

// Tells says what the offer rests on and whom it concerns: "6 marks moved by hand (hip,
// foot) can teach 4 other swings: 38 proposed marks. The belt and shirt that you marked can be
// looked for in 4 swings".
func (o *Offer) Tells() string {
	var says []string
	if len(o.Marks) > 0 {
		at := ""
		if len(o.At) > 0 {
			at = " (" + strings.Join(o.At[:min(len(o.At), mostNamed)], ", ") + ")"
		}
		says = append(says, fmt.Sprintf("%s moved by hand%s can teach %s: %s", words.Count(o.Moved, "mark", "marks"), at,
			words.Count(o.Swings, "other swing", "other swings"), words.Count(len(o.Marks), "proposed mark", "proposed marks")))
	}
	if len(o.Wants) > 0 {
		says = append(says, fmt.Sprintf("What you marked on belt and shirt can be looked for in %s", words.Count(len(o.LookIn()), "other swing", "other swings")))
	}
	return strings.Join(says, ". ")
}

// LookIn returns the IDs of the swings in which something is to be looked for.
func (o *Offer) LookIn() (ids []string) {
	for i := range o.Wants {
		if id := o.Wants[i].Swing; !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	return ids
}
