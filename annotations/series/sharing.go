package series

import (
	"fmt"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Sharing says what the fits of a visit's swings share, and what that gained.
type Sharing struct {
	// Still are the views whose cameras stood still over all swings; Moved say of others
	// before which swings, counted in the lesson from 1, they did not stay in place.
	Still []geometry.View
	Moved map[geometry.View][]int
	// Cameras numbers, by view and swing, the camera that it shares; 0 for one of its own.
	Cameras  map[string][]int
	Narrower float64 // by what part the intervals of a swing have become narrower
}

// SharingOf returns what the swings share; nil where they are not fitted together.
func SharingOf(results []*annotations.Result) *Sharing {
	var in []*annotations.Result
	for _, r := range results {
		if r.Together() != nil {
			in = append(in, r)
		}
	}
	if len(in) < 2 {
		return nil
	}
	s := &Sharing{Moved: map[geometry.View][]int{}, Cameras: map[string][]int{}}
	for _, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		var cameras []int
		seen, before := false, 0
		for _, r := range in {
			number, ok := r.Together().Cameras[view]
			cameras = append(cameras, number)
			if !ok { // not filmed from there
				continue
			}
			if seen && (number != before || number == 0) {
				s.Moved[view] = append(s.Moved[view], r.Index+1)
			}
			seen, before = true, number
		}
		if !seen {
			continue
		}
		s.Cameras[view.String()] = cameras
		if len(s.Moved[view]) == 0 {
			s.Still = append(s.Still, view)
		}
	}
	for _, r := range in {
		s.Narrower += r.Together().Narrower / float64(len(in))
	}
	return s
}

// String says it in a sentence or two.
func (s *Sharing) String() string {
	var b strings.Builder
	b.WriteString("The swings are fitted with one body")
	if len(s.Still) > 0 {
		fmt.Fprintf(&b, "; %s stood still", phones(s.Still))
	}
	for _, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		moved := s.Moved[view]
		if len(moved) == 0 {
			continue
		}
		if len(moved) == len(s.Cameras[view.String()])-1 && len(moved) > 1 {
			fmt.Fprintf(&b, "; %s stood elsewhere in each swing, and has a camera of its own in each", phones([]geometry.View{view}))
			continue
		}
		var names []string
		for _, n := range moved {
			names = append(names, fmt.Sprint(n))
		}
		fmt.Fprintf(&b, "; %s moved before swing %s, and has another camera from there on", phones([]geometry.View{view}), strings.Join(names, " and "))
	}
	if percent := fmt.Sprintf("%.0f", 100*s.Narrower); percent == "0" {
		b.WriteString(". That makes the intervals of a swing hardly narrower.")
	} else {
		fmt.Fprintf(&b, ". That makes the intervals of a swing %s %% narrower.", percent)
	}
	return b.String()
}

func phones(views []geometry.View) string {
	if len(views) == 1 {
		return "the " + views[0].String() + " phone"
	}
	var names []string
	for _, v := range views {
		names = append(names, v.String())
	}
	return "the " + strings.Join(names, " and the ") + " phone"
}
