package words

import (
	"strings"

	"turngauge/geometry"
)

// Remedy is a kind of thing that would sharpen a measure.
type Remedy uint8

// The kinds, by how little they ask of a coach; the zero value is none.
const (
	NoRemedy Remedy = iota
	MarkPoint
	SetInstants
	FollowSwing
	FilmFaceOn
	FilmDownTheLine
	FilmFaster
	FilmNearer
	ThreeSwings
)

// Do says what to do. It is not for MarkPoint, whose mark Ask names.
func (r Remedy) Do() string {
	switch r {
	case SetInstants:
		return "look at the key positions that were proposed, and set each yourself"
	case FollowSwing:
		return "have the swing followed through its clips (I)"
	case FilmFaceOn:
		return "film face-on too"
	case FilmDownTheLine:
		return "film down-the-line too"
	case FilmFaster:
		return "film with 240 frames a second"
	case FilmNearer:
		return "film upright and nearer, the golfer filling the picture"
	case ThreeSwings:
		return "mark three swings and take their mean"
	}
	return ""
}

// Gains says what a remedy does for a measure, of which half the interval is now and
// then: "±5.7 becomes ±3.8", or "about ±3.8"; "" where then is 0, not known.
func (r Remedy) Gains(unit geometry.Unit, now, then float64, imperial bool) string {
	if then == 0 {
		return ""
	}
	text := Exact(unit, imperial).Narrower(now, then)
	if r != MarkPoint && r != SetInstants {
		return strings.Replace(text, "becomes", "becomes about", 1)
	}
	return text
}

// Deciding says how likely something is to settle a verdict, in the calibrated words
// of Likelihood and, below them, those for an even and a small chance (Mastrandrea et
// al. 2010, table 1).
func Deciding(p float64) string {
	switch l := Likelihood(p); {
	case l != "":
		return l + " to decide it"
	case p >= 1.0/3:
		return "about as likely as not to decide it"
	case p >= 0.1:
		return "unlikely to decide it"
	}
	return "very unlikely to decide it"
}
