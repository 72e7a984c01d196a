package annotations

import (
	"math"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/shots"
)

// The shots of a lesson in the document:
//
//	"shots": [{"id": "01J…", "block": "before", "club": "7-iron", "club path": -3.1, "strike across": 8}]
//
// A reading is a field of its own name, in the unit of shots.Readings.

func (r *reader) shot(o object) (s shots.Shot, unknown *jsontree.Fields) {
	s = shots.Shot{ID: o.text("id", required), Block: o.text("block", optional), Club: o.text("club", optional), Values: map[shots.Reading]float64{}}
	for _, i := range shots.Readings {
		if n := o.take(string(i.Name)); n != nil {
			s.Values[i.Name] = r.number(n, o.at(string(i.Name)))
		}
	}
	return s, o.rest()
}

func (l *Lesson) shotNode(s *shots.Shot) *jsontree.Node {
	var b builder
	b.text("id", s.ID)
	b.text("block", s.Block)
	b.text("club", s.Club)
	for _, i := range shots.Readings {
		if v, ok := s.Values[i.Name]; ok {
			b.add(string(i.Name), floatNode(v))
		}
	}
	return b.done(l.unknownOfShots[s.ID])
}

func (l *Lesson) checkShots(f *Faults) {
	if len(l.Shots) > shots.Most {
		f.add("shots", "has %d entries; at most %d are allowed", len(l.Shots), shots.Most)
		return
	}
	seen := make(map[string]int, len(l.Shots))
	for i := range l.Shots {
		s := &l.Shots[i]
		at := "shots" + index(i)
		f.id(at+".id", s.ID)
		f.once(seen, s.ID, at+".id", "shots", "shot", i)
		f.text(at+".block", s.Block, shots.MaxName)
		f.text(at+".club", s.Club, shots.MaxName)
		for _, k := range shots.Readings {
			if v, ok := s.Values[k.Name]; ok && (math.IsNaN(v) || math.Abs(v) > k.Most) {
				f.add(at+"."+string(k.Name), "%g %s is no %s of a golf shot", v, k.Unit, k.Name)
			}
		}
	}
}
