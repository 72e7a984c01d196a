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
}

// Moved counts the marks of a lesson that hands have moved from where a program saw
// their points, of those that can teach.
func Moved(l *annotations.Lesson) (n int) {
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
	return o
}

// mostNamed is how many kinds of points an offer names.
const mostNamed = 3

// Tells says what the offer rests on and whom it concerns: "6 marks moved by hand (hip,
// foot) can teach 4 other swings: 38 proposed marks".
func (o *Offer) Tells() string {
	at := ""
	if len(o.At) > 0 {
		at = " (" + strings.Join(o.At[:min(len(o.At), mostNamed)], ", ") + ")"
	}
	return fmt.Sprintf("%s moved by hand%s can teach %s: %s", words.Count(o.Moved, "mark", "marks"), at,
		words.Count(o.Swings, "other swing", "other swings"), words.Count(len(o.Marks), "proposed mark", "proposed marks"))
}
