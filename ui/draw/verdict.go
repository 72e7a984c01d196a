package draw

import (
	"image/color"

	"gioui.org/f32"
	"gioui.org/op"
)

// Verdict is how a measure stands to its target range. Its shapes differ, so
// that colour is never the only sign.
type Verdict uint8

// The verdicts. NoVerdict (no target range) draws nothing.
const (
	NoVerdict Verdict = iota
	Within            // filled circle, blue
	Below             // triangle pointing down, amber
	Above             // triangle pointing up, amber
	CantTell          // hollow ring, grey
	NotBelow          // hollow ring standing on a bar, grey
	NotAbove          // hollow ring under a bar, grey
)

// String returns the verdict's word, or "" for NoVerdict.
func (v Verdict) String() string {
	switch v {
	case Within:
		return "within"
	case Below:
		return "below"
	case Above:
		return "above"
	case CantTell:
		return "can't tell"
	case NotBelow:
		return "not below"
	case NotAbove:
		return "not above"
	default:
		return ""
	}
}

// TwoSided reports whether the verdict says where a value lies, not only where it
// does not.
func (v Verdict) TwoSided() bool { return v == Within || v == Below || v == Above }

// ParseVerdict returns the verdict that word names; any other word, the empty
// one included, is NoVerdict.
func ParseVerdict(word string) Verdict {
	for v := Within; v <= NotAbove; v++ {
		if v.String() == word {
			return v
		}
	}
	return NoVerdict
}

// VerdictColour returns the colour of a verdict's glyph and word.
func (th *Theme) VerdictColour(v Verdict) color.NRGBA {
	switch v {
	case Within:
		return th.Within
	case Below, Above:
		return th.Outside
	default:
		return th.Unknown
	}
}

// Verdict draws the glyph of a verdict, centred, in a square of 2r.
func (th *Theme) Verdict(ops *op.Ops, at f32.Point, r float32, v Verdict) {
	if v == NoVerdict {
		return
	}
	var p Pen
	p.Begin(ops)
	switch v {
	case Within:
		p.Circle(at, r*0.86)
	case Below:
		p.Triangle(at.Sub(f32.Pt(0, r*0.22)), r*1.08, false)
	case Above:
		p.Triangle(at.Add(f32.Pt(0, r*0.22)), r*1.08, true)
	case CantTell:
		p.Ring(at, r*0.7, r*0.32)
	case NotBelow, NotAbove: // the bar is the end that it is known not to pass
		side := float32(1)
		if v == NotAbove {
			side = -1
		}
		p.Ring(at.Sub(f32.Pt(0, side*r*0.22)), r*0.6, r*0.3)
		bar := at.Y + side*r*0.82
		p.RoundRect(at.X-r*0.9, bar-r*0.16, at.X+r*0.9, bar+r*0.16, 0)
	}
	p.Fill(th.VerdictColour(v))
}
