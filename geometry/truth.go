package geometry

// MeasuresOf evaluates every measure on known 3-D points: points holds, for
// each position, the place of every point in the world frame, metres. It
// serves to state the truth of a made-up or captured golfer under the very
// definitions the fit uses; sigmas are zero. The golfer's StatureM and Sex are
// used where a definition asks for them.
func MeasuresOf(g Golfer, positions []Position, points [][NumPoints]WorldPt) []Measure {
	index := func(name PositionName) int {
		for i := range positions {
			if positions[i].Name == name {
				return i
			}
		}
		return -1
	}
	stature := g.StatureM
	if !(stature > 0) {
		stature = TypicalStatureM
	}
	var out []Measure
	for pos := range positions {
		name := positions[pos].Name
		slots := [NumSlots]int{pos, index(Address), index(ClubLevelBack)}
		pose := Pose{Sex: g.Sex, StatureM: stature, Finish: name == Finish,
			At: func(slot Slot, p Point) WorldPt { return points[slots[slot]][p] }}
		for _, d := range DefinitionsAt(name) {
			if !d.Covered(slots) {
				continue
			}
			if v := d.Value(&pose); Finite(v) {
				out = append(out, d.Measure(name, v, 0, "known points"))
			}
		}
	}
	return out
}
