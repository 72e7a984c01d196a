package annotations

import (
	"fmt"
	"slices"

	"turngauge/annotations/shots"
)

// AddShots puts shots at the end of the lesson's. Their IDs come from the
// caller; see NewID.
type AddShots struct {
	Shots shots.List
	Yards bool // they come from a table that has flights in yards
}

// Label says how many.
func (e AddShots) Label() string {
	if len(e.Shots) == 1 {
		return "add a shot"
	}
	return fmt.Sprintf("add %d shots", len(e.Shots))
}

func (e AddShots) apply(l *Lesson) (*Lesson, error) {
	next := *l
	next.Shots = slices.Clone(l.Shots)
	for i := range e.Shots {
		next.Shots = append(next.Shots, e.Shots[i].Clone())
	}
	next.Yards = l.Yards || e.Yards
	return &next, nil
}

// ShotUnit is the unit in which a reading of the lesson's shots is shown.
func (l *Lesson) ShotUnit(i shots.Info, imperial bool) shots.Unit {
	return i.In(imperial || l.Yards && (i.Unit == "m" || i.Unit == "m/s"))
}

// SetShot replaces the shot with the same ID.
type SetShot struct {
	Shot    shots.Shot
	Gesture uint64 // as for SetMark
}

// Label says so.
func (e SetShot) Label() string { return "change a shot" }

func (e SetShot) mergeKey() any { return textKeyOf("shot "+e.Shot.ID, e.Gesture) }

func (e SetShot) apply(l *Lesson) (*Lesson, error) {
	i := slices.IndexFunc(l.Shots, func(s shots.Shot) bool { return s.ID == e.Shot.ID })
	if i < 0 {
		return nil, fmt.Errorf("there is no shot %q in the lesson any more", e.Shot.ID)
	}
	next := *l
	next.Shots = slices.Clone(l.Shots)
	next.Shots[i] = e.Shot.Clone()
	return &next, nil
}

// DropShots takes the shots of a block out, or one shot by its ID. What is not
// there is no error.
type DropShots struct{ Block, ID string }

// Label says so.
func (e DropShots) Label() string {
	if e.ID != "" {
		return "take a shot out"
	}
	return "take out the shots of " + e.Block
}

func (e DropShots) apply(l *Lesson) (*Lesson, error) {
	next := *l
	next.Shots = slices.DeleteFunc(slices.Clone(l.Shots), func(s shots.Shot) bool {
		if e.ID != "" {
			return s.ID == e.ID
		}
		return s.Block == e.Block
	})
	if len(next.Shots) == len(l.Shots) {
		return l, nil
	}
	return &next, nil
}
