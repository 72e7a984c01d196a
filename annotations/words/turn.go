package words

import (
	"math"
	"strings"

	"turngauge/geometry"
)

// A turn has a side: toward the target it is open, away from it closed, as golfers
// say (common practice, no source). On the way up a turn away is what everybody means,
// so that it stands without a word.

// facing says how the side of a turn is written.
type facing uint8

const (
	noSide   facing = iota // no turn: a sign does
	openOnly               // on the way up
	bothSides
)

// turns are the measures that have a side.
var turns = func() map[string]bool {
	m := make(map[string]bool)
	for _, d := range geometry.Definitions() {
		if d.Unit == geometry.Degrees && d.Positive == geometry.AwayFromTarget {
			m[d.Name] = true
		}
	}
	return m
}()

// Of returns the notation of a measure at a key position, "" for one in motion: turns
// are written with their side, "open 25°" in place of "−25°".
func (n Notation) Of(measure string, at geometry.PositionName) Notation {
	switch {
	case !turns[measure]:
	case at == geometry.ClubLevelBack, at == geometry.LeadArmLevel, at == geometry.Top, at == "":
		n.facing = openOnly
	default:
		n.facing = bothSides
	}
	return n
}

// The words for the sides of a turn.
const (
	open   = "open"
	closed = "closed"
)

// side is the word for the side of a value, as it is written; "" for none.
func (n Notation) side(v float64) string {
	s := digits(n.Shown(v), n.decimals)
	switch {
	case n.facing == noSide:
		return ""
	case strings.HasPrefix(s, minus):
		return open
	case n.facing == bothSides && strings.Trim(s, "0.") != "":
		return closed
	}
	return ""
}

// plain is the notation without sides.
func (n Notation) plain() Notation {
	n.facing, n.turned = noSide, false
	return n
}

// sided writes a value with the word for its side before it.
func (n Notation) sided(v float64, write func(Notation, float64) string) string {
	if side := n.side(v); side != "" {
		return side + " " + write(n.plain(), math.Abs(v))
	}
	return write(n.plain(), v)
}

// between writes an interval of a turn, whose ends may lie on both sides.
func (n Notation) between(low, high float64, unit string) string {
	a, b := n.side(low), n.side(high)
	p := n.plain()
	switch {
	case a == "" && b == "":
		return p.Bare(low) + " to " + p.Bare(high) + unit
	case a == open && b == open, a == open && p.Bare(high) == p.Bare(0):
		return open + " " + p.Bare(-high) + " to " + p.Bare(-low) + unit
	case a == open:
		return open + " " + p.Bare(-low) + " to " + closed + " " + p.Bare(high) + unit
	}
	return closed + " " + p.Bare(low) + " to " + p.Bare(high) + unit
}

// bound writes a range of a turn with one end.
func (n Notation) bound(r geometry.Range) string {
	v, most := r.High, true
	if math.IsInf(r.High, 1) {
		v, most = r.Low, false
	}
	side, p := n.side(v), n.plain()
	if side == open { // at most −20 is open by 20 at least
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

// From returns the notation of what has changed from one value to another: of a turn
// that is open at both, a plus is more open.
func (n Notation) From(before, now float64) Notation {
	n.turned = n.side(before) == open && n.side(now) == open
	return n
}

// more are the words for a change down and up.
func (n Notation) more(before, now float64) (down, up string) {
	switch a, b := n.side(before), n.side(now); {
	case n.facing == noSide, n.facing == openOnly && a != open && b != open:
		return "less", "more"
	case a == open && b == open:
		return "more " + open, "less " + open
	case a == closed && b == closed:
		return "less " + closed, "more " + closed
	}
	return "more " + open, "more " + closed
}

// Side is a verdict as it is said of a measure that is judged by a range: of a turn,
// what lies below it is more open.
func (n Notation) Side(v geometry.Verdict, r geometry.Range) string {
	if n.facing == noSide || v == geometry.Within || v == geometry.CantTell || v == "" {
		return string(v)
	}
	below, above := "more "+open, "more "+closed
	switch {
	case n.facing == openOnly && (r.Low >= 0 || r.High > 0 && math.IsInf(r.Low, -1)):
		return string(v)
	case r.High <= 0:
		above = "less " + open
	case r.Low >= 0:
		below = "less " + closed
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

// Column is the package's, and the unit beside it: with the side of a turn, which has no
// sign then.
func (n Notation) Column(u geometry.Unit, v, half float64) (number, unit string) {
	if side := n.side(v); side != "" {
		return Column(u, math.Abs(v), half), string(u) + " " + side
	}
	return Column(u, v, half), string(u)
}

// Limits writes the range of a turn for such a column: "open 30 to 50"; that of any other
// measure as signed says it.
func (n Notation) Limits(signed string, r geometry.Range) string {
	if n.facing == noSide || signed == "" {
		return signed
	}
	return strings.TrimSuffix(n.Range(r), n.unit)
}
