package words

import "turngauge/geometry"

// ChangeWord says in which direction a measure has changed and how sure that is, "very likely
// more open", or that it can't be told; and, where there is a target range, whether the change
// led toward it. decided is the probability from which on it is told (0 takes
// geometry.Decided), called is what the range is called.
func (n Notation) ChangeWord(c *geometry.Change, before, now float64, target *geometry.Range, called string, decided float64) string {
	if !c.Told(decided) {
		return CantTell
	}
	down, up := n.more(before, now)
	if c.Value < 0 {
		up = down
	}
	return likely(c.Probability, up) + toward(before, now, target, called)
}

// ChangeSure says beside a change that is written with its direction how sure that is, and
// whether it led toward a target range: "very likely: closer to the target range".
func ChangeSure(c *geometry.Change, before, now float64, target *geometry.Range, called string, decided float64) string {
	if !c.Told(decided) {
		return CantTell
	}
	return Likelihood(c.Probability) + toward(before, now, target, called)
}

// toward says where a change led: ": closer to the target range"; "" where there is none.
func toward(before, now float64, target *geometry.Range, called string) string {
	if target == nil {
		return ""
	}
	outside := func(v float64) float64 { return max(target.Low-v, v-target.High, 0) }
	switch was, is := outside(before), outside(now); {
	case is < was:
		return ": closer to " + called
	case is > was:
		return ": farther from " + called
	}
	return ""
}

// CantTell is said where the interval leaves a question open.
const CantTell = string(geometry.CantTell)

// ChangeInBrief says beside a change, which tells the direction, how sure it is.
func ChangeInBrief(c *geometry.Change, decided float64) string {
	if !c.Told(decided) {
		return CantTell
	}
	return Likelihood(c.Probability)
}

// Spread says what a change counts in beside the measuring: how far one golfer's swings
// differ, and how that is known.
func Spread(c *geometry.Change, u geometry.Unit, imperial bool) string {
	said := SwingsOf(c) + "; that one golfer's differ by " + Exact(u, imperial).Value(c.Spread.SD) + " is assumed, and counted in"
	if c.Spread.Estimated {
		said = SwingsOf(c) + "; that this golfer's differ by " + Exact(u, imperial).Value(c.Spread.SD) + " is counted in"
	}
	if n := c.Settled(); n > 0 {
		said += "; " + Film(n)
	}
	return said
}
