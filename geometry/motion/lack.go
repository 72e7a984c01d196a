package motion

import (
	"fmt"

	"turngauge/geometry"
)

// LackKind is what is missing for curves.
type LackKind uint8

// What may be missing, with the fields of Lack that belong to each.
const (
	NoSecondView LackKind = iota // one clip face-on and one down the line
	NoImpact                     // impact in both clips, which puts them on one clock
	NoPosition                   // Position in both clips
	NoPoints                     // Points at Position in View: all of them, or Any
	NoKeyFit                     // a fit of the key positions to start from
	NoTracks                     // a point that could be followed
	NoClock                      // a clip in View whose speed is known
	UnevenClock                  // one in View whose speed does not change
)

// Lack is something that is missing.
//
// Each field counts with the kinds that name it. Points are a pair, lead and trail, of which both
// are wanted, or one where Any is set.
type Lack struct {
	What     LackKind
	Position geometry.PositionName
	View     geometry.View
	Points   []geometry.Point
	Any      bool
	// Err is why there is no fit of the key positions, where that is known.
	Err error
}

// NoCurves says why there are no curves.
type NoCurves struct{ Lacks []Lack }

// Error is for the log; what to do about it is in Lacks.
func (e *NoCurves) Error() string {
	return fmt.Sprintf("motion: there are no curves, for %d reasons", len(e.Lacks))
}

// Missing returns what has to be set and marked before curves can be had of a
// swing, or nil.
//
// What is asked for is what the fit can't do without: two views that see depth, impact in
// both for the clock, and at address and top the points by which pelvis and chest are
// followed. Everything else widens intervals and is no reason to refuse.
func Missing(sw *geometry.Swing) []Lack {
	var out []Lack
	views := map[geometry.View]bool{}
	for i := range sw.Clips {
		views[sw.Clips[i].View] = true
	}
	if !views[geometry.FaceOn] || !views[geometry.DownTheLine] {
		out = append(out, Lack{What: NoSecondView})
	}
	at := map[geometry.PositionName]int{}
	for i := range sw.Positions {
		at[sw.Positions[i].Name] = i + 1
	}
	for i := range sw.Clips {
		switch sw.Clips[i].Clock {
		case geometry.ClockOpen:
			out = append(out, Lack{What: NoClock, View: sw.Clips[i].View})
		case geometry.ClockUneven:
			out = append(out, Lack{What: UnevenClock, View: sw.Clips[i].View})
		}
	}
	if _, ok := clipShifts(sw); !ok && len(out) == 0 {
		out = append(out, Lack{What: NoImpact})
	}
	hips := []geometry.Point{geometry.LeadHip, geometry.TrailHip}
	shoulders := []geometry.Point{geometry.LeadShoulder, geometry.TrailShoulder}
	for _, name := range []geometry.PositionName{geometry.Address, geometry.Top} {
		i := at[name]
		if i == 0 {
			out = append(out, Lack{What: NoPosition, Position: name})
			continue
		}
		for c := range sw.Clips {
			var have [geometry.NumBody]bool
			for _, m := range sw.Marks {
				if m.Clip == c && m.Position == i-1 && int(m.Point) < geometry.NumBody && m.State != geometry.Hidden {
					have[m.Point] = true
				}
			}
			view := sw.Clips[c].View
			// Down the line the lead side is mostly hidden, and one of the pair is enough: face-on gives the
			// other's place, the segment is rigid. A marked breastbone stands for a shoulder that an arm hides.
			want := func(ok, any bool, points []geometry.Point) {
				if !ok {
					out = append(out, Lack{What: NoPoints, Position: name, View: view, Points: points, Any: any})
				}
			}
			chest := have[geometry.Breastbone]
			if view == geometry.FaceOn {
				want(have[hips[0]] && have[hips[1]], false, hips)
				want((have[shoulders[0]] || chest) && (have[shoulders[1]] || chest), false, shoulders)
				continue
			}
			want(have[hips[0]] || have[hips[1]], true, hips)
			want(have[shoulders[0]] || have[shoulders[1]], true, shoulders)
		}
	}
	return out
}
