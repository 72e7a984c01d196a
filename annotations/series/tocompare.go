package series

import "turngauge/annotations"

// ToCompare returns the swing of a lesson to hold another one against: the first one with
// marks of a club of the same group, else the first one with marks. ok is false where no
// swing is marked.
func ToCompare(l *annotations.Lesson, club annotations.Club) (id string, ok bool) {
	for i := range l.Swings {
		s := &l.Swings[i]
		if len(s.Marks) == 0 {
			continue
		}
		if s.Club.Group() == club.Group() {
			return s.ID, true
		}
		if id == "" {
			id = s.ID
		}
	}
	return id, id != ""
}
