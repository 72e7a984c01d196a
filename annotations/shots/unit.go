package shots

import (
	"math"
	"strconv"
	"strings"
)

// Unit is how a reading is written and read: in a coach's own unit.
type Unit struct {
	Name     string  // "mm", "yd", "°"
	Per      float64 // of the unit it is kept in
	Decimals int     // that can be seen
}

// shownUnits are the units of readings for coaches who count in feet and inches,
// by the unit that is kept, with their decimals.
var shownUnits = map[string]struct {
	unit     string
	decimals int
}{"mm": {"in", 2}, "m": {"yd", 1}, "m/s": {"mph", 1}}

// In returns the unit in which a reading is shown: metric, or with imperial in
// inches on the face, yards of flight and miles an hour.
func (i Info) In(imperial bool) Unit {
	if s, ok := shownUnits[i.Unit]; ok && imperial {
		return Unit{s.unit, unitFactors[i.Unit][s.unit], s.decimals}
	}
	if i.Unit == "deg" {
		return Unit{"°", 1, 1}
	}
	return Unit{i.Unit, 1, 1}
}

// ColumnUnit returns the unit of a table's column that names none.
func (i Info) ColumnUnit(imperial bool) string {
	if s, ok := shownUnits[i.Unit]; ok && imperial {
		return s.unit
	}
	return i.Unit
}

// Number writes a value, as it is kept, in the unit, without its name.
func (u Unit) Number(v float64) string {
	step := math.Pow10(u.Decimals)
	v = math.Round(v/u.Per*step)/step + 0 // never minus nought
	return strings.Replace(strconv.FormatFloat(v, 'f', u.Decimals, 64), "-", "−", 1)
}

// Signed writes a difference, with its sign unless it is written as nought.
func (u Unit) Signed(v float64) string {
	s := u.Number(v)
	if v > 0 && s != u.Number(0) {
		return "+" + s
	}
	return s
}

// WithName writes a value with the unit's name: "142 yd", "3°".
func (u Unit) WithName(v float64) string {
	if u.Name == "°" {
		return u.Number(v) + u.Name
	}
	return u.Number(v) + " " + u.Name
}

// Kept returns a value that was written in the unit as it is kept.
func (u Unit) Kept(v float64) float64 { return v * u.Per }
