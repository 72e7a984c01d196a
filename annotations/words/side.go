package words

import (
	"math"
	"strings"

	"turngauge/geometry"
)

// Which way a measure goes is said in words and not by a sign. A turn toward the target is
// open, away from it closed, as golfers say (common practice, no source). On the way up a
// turn away is what everybody means, so that it stands without a word; so does what the
// name of a measure says already: a head that travels to the target.

// sides are the words for the values of a measure below nought and above it; "" for one
// whose sign is written.
type sides struct {
	below, above string
	silent       bool // above is said only where below is said too
}

// The words for the sides of a turn.
const (
	open   = "open"
	closed = "closed"
)

// byPositive are the sides by what a positive value means (geometry.Definition); plain
// words, no source.
var byPositive = map[string]sides{
	geometry.AwayFromTarget:                   {open, closed, false},
	"torso turned further away":               {"unwound", "wound", true},
	"toward the target":                       {"away", "toward", true},
	"toward the ball":                         {"away", "toward", true},
	"up":                                      {"down", "up", true},
	"trail side lower":                        {"lead low", "trail low", false},
	"toward the trail side":                   {"lead", "trail", false},
	"hip behind the line":                     {"in front", "behind", false},
	"toe away from the other foot":            {"in", "out", true},
	"above":                                   {"below", "above", true},
	"above on the way down":                   {"below", "above", false},
	"wrist above the shoulder":                {"below", "above", true},
	"clubhead above the grip, short of level": {"past level", "short of level", false},
}

// byName are the sides of measures whose names say more, or less, than others of their kind.
var byName = map[string]sides{
	"sway":                 {"away", "toward", false},
	"pelvis height change": {"down", "up", false},
	"forward bend":         {"backward", "forward", true},
}

// sidesOf are the sides of the measures that have any.
var sidesOf = func() map[string]sides {
	m := make(map[string]sides)
	for _, d := range geometry.Definitions() {
		s, ok := byName[d.Name]
		if !ok {
			s, ok = byPositive[d.Positive]
		}
		if ok {
			m[d.Name] = s
		}
	}
	return m
}()

// Turn reports whether a measure is a turn, open toward the target.
func Turn(measure string) bool { return sidesOf[measure].below == open }

// PlusSide is the word for the positive values of a measure, "" where they have none.
func PlusSide(measure string) string { return sidesOf[measure].above }

// Of returns the notation of a measure at a key position, "" for one in motion: a side is
// written in words, "open 25°" in place of "−25°".
func (n Notation) Of(measure string, at geometry.PositionName) Notation {
	n.sides = sidesOf[measure]
	switch at {
	case geometry.ClubLevelBack, geometry.LeadArmLevel, geometry.Top, "":
		n.sides.silent = n.sides.silent || Turn(measure)
	}
	return n
}

// Meaning says what a value of a measure with or without a word means, a sentence; "" where
// nothing is to be said.
func Meaning(measure, positive string) string {
	switch s := sidesOf[measure]; {
	case positive == "":
		return ""
	case s == sides{}:
		return "Positive: " + positive + "."
	case s.below == open:
		return "Open is toward the target, closed away from it."
	case s.silent:
		return "Without a word: " + positive + ". “" + Sentence(s.below) + "”: the other way."
	default:
		return "“" + Sentence(s.above) + "”: " + positive + ". “" + Sentence(s.below) + "”: the other way."
	}
}

// side is the word for the side of a value, as it is written; "" for none.
func (n Notation) side(v float64) string {
	s := digits(n.Shown(v), n.decimals)
	switch {
	case strings.HasPrefix(s, minus):
		return n.sides.below
	case !n.sides.silent && strings.Trim(s, "0.") != "":
		return n.sides.above
	}
	return ""
}

// plain is the notation without sides.
func (n Notation) plain() Notation {
	n.sides = sides{}
	return n
}

// sided writes a value with the word for its side before it.
func (n Notation) sided(v float64, write func(Notation, float64) string) string {
	if side := n.side(v); side != "" {
		return side + " " + write(n.plain(), math.Abs(v))
	}
	return write(n.plain(), v)
}

// between writes an interval whose ends may lie on both sides.
func (n Notation) between(low, high float64, unit string) string {
	a, b, below := n.side(low), n.side(high), n.sides.below
	p := n.plain()
	switch {
	case a == "" && b == "":
		return p.Bare(low) + " to " + p.Bare(high) + unit
	case a == below && b == below, a == below && p.Bare(high) == p.Bare(0):
		return below + " " + p.Bare(-high) + " to " + p.Bare(-low) + unit
	case a == below:
		return below + " " + p.Bare(-low) + " to " + n.sides.above + " " + p.Bare(high) + unit
	}
	return n.sides.above + " " + p.Bare(low) + " to " + p.Bare(high) + unit
}

// bound writes a range with one end.
func (n Notation) bound(r geometry.Range) string {
	v, most := r.High, true
	if math.IsInf(r.High, 1) {
		v, most = r.Low, false
	}
	side, p := n.side(v), n.plain()
	if side != "" && side == n.sides.below { // at most −20 is open by 20 at least
		most = !most
		v = -v
	}
	text := "at least "
	if most {
		text = "at most "
	}
	if side == "" {
		return text + p.Value(v)
	}
	return side + " " + text + p.Value(v)
}

func (n Notation) bothBelow(before, now float64) bool {
	return n.sides.below != "" && n.side(before) == n.sides.below && n.side(now) == n.sides.below
}

// more are the words for a change down and up.
func (n Notation) more(before, now float64) (down, up string) {
	below, above := n.sides.below, n.sides.above
	a, b := n.side(before), n.side(now)
	switch {
	case below == "", n.sides.silent && a != below && b != below:
		return "less", "more"
	case n.bothBelow(before, now):
		return "more " + below, "less " + below
	case a == above && b == above:
		return "less " + above, "more " + above
	}
	return "more " + below, "more " + above
}

// Side is a verdict as it is said of a measure that is judged by a range: of a turn,
// what lies below it is more open.
func (n Notation) Side(v geometry.Verdict, r geometry.Range) string {
	if n.sides.below == "" || v == geometry.Within || v == geometry.CantTell || v == "" {
		return string(v)
	}
	below, above := "more "+n.sides.below, "more "+n.sides.above
	switch {
	case n.sides.silent && (r.Low >= 0 || r.High > 0 && math.IsInf(r.Low, -1)):
		return string(v)
	case r.High <= 0:
		above = "less " + n.sides.below
	case r.Low >= 0:
		below = "less " + n.sides.above
	}
	return strings.NewReplacer("below", below, "above", above).Replace(string(v))
}

// Other is what a verdict asks for: "more", "less"; of a turn "less open".
func (n Notation) Other(v geometry.Verdict, r geometry.Range) string {
	asks := geometry.Above
	if v == geometry.Above {
		asks = geometry.Below
	}
	switch said := n.Side(asks, r); said {
	case string(geometry.Above):
		return "more"
	case string(geometry.Below):
		return "less"
	default:
		return said
	}
}

// Sided reports whether a value is written with its side.
func (n Notation) Sided(v float64) bool { return n.side(v) != "" }

// Verdict is the package's, as it is said of this measure.
func (n Notation) Verdict(j *geometry.Judgement, r geometry.Range) string {
	return likely(j.Probability, n.Side(j.Verdict, r))
}

// Chances is the package's, as it is said of this measure.
func (n Notation) Chances(j *geometry.Judgement, r geometry.Range) string {
	return chances(j, n.Side(geometry.Below, r), n.Side(geometry.Above, r))
}

// Column is the package's, and the unit beside it: with the side, for which there is no
// sign then.
func (n Notation) Column(u geometry.Unit, v, half float64) (number, unit string) {
	if side := n.side(v); side != "" {
		return Column(u, math.Abs(v), half), string(u) + " " + side
	}
	return Column(u, v, half), string(u)
}

// ChangeColumn is Column of a change, in the direction that stands with the unit: "cm more
// up".
func (n Notation) ChangeColumn(u geometry.Unit, before, now, change, half float64) (number, unit string) {
	down, up := n.more(before, now)
	if change < 0 {
		up = down
	}
	return Column(u, math.Abs(change), half), strings.TrimSpace(string(u) + " " + up)
}

// Placed writes a value without its unit, with its side: "open 40.2".
func (n Notation) Placed(v float64) string { return n.sided(v, Notation.Bare) }

// Limits writes the range of a measure that has sides for such a column: "open 30 to 50";
// that of any other measure as signed says it.
func (n Notation) Limits(signed string, r geometry.Range) string {
	if n.sides.below == "" || signed == "" {
		return signed
	}
	return strings.TrimSuffix(n.Range(r), n.unit)
}
