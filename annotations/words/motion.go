package words

import (
	"fmt"
	"math"

	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// Lacks says what is missing for curves, each without a full stop.
func Lacks(list []motion.Lack) []string {
	out := make([]string, len(list))
	for i := range list {
		out[i] = lack(&list[i])
	}
	return out
}

func lack(l *motion.Lack) string {
	switch l.What {
	case motion.NoSecondView:
		return "two clips of the swing are needed, one face-on and one down the line"
	case motion.NoImpact:
		return "set impact in both clips: it is what puts them on one clock"
	case motion.NoPosition:
		return fmt.Sprintf("set %s in both clips", l.Position)
	case motion.NoPoints:
		one, many := "a hip", "both hips"
		if l.Points[0] == geometry.LeadShoulder {
			one, many = "a shoulder", "both shoulders"
		}
		if l.Any {
			many = one
		}
		return fmt.Sprintf("mark %s %s %s", many, l.Position.At(), l.View)
	case motion.NoClock:
		return openClock
	case motion.UnevenClock:
		return unevenClock
	case motion.NoKeyFit:
		if l.Err != nil {
			return "the marks at the key positions can't be measured yet: " + Trouble(l.Err)
		}
		return "the marks at the key positions give no fit to start from: check them first"
	}
	return "no point could be followed through the clips"
}

func untold(w motion.Untold) string {
	if w == motion.TooShort {
		return "top and impact are too close together"
	}
	return "the points of pelvis or chest are lost about the top; mark them there, or at positions nearer to it"
}

// orderTold is the probability from which on the order of turning round is told:
// "very likely".
const orderTold = 0.9

// Reversal tells in a sentence in which order pelvis and torso turn round.
func Reversal(r *motion.Reversal) string {
	if !r.Known {
		return "Whether pelvis or torso turns round first can't be told: " + untold(r.Why) + "."
	}
	first, second, p := "pelvis", "torso", r.PelvisFirst
	lo, hi := 1000*r.Low95, 1000*r.High95
	if p < 0.5 {
		first, second, p = second, first, 1-p
		lo, hi = -hi, -lo
	}
	percent := fmt.Sprintf("%.0f %%", 100*p)
	if p > 0.99 {
		percent = "over 99 %"
	}
	if p < orderTold {
		return fmt.Sprintf("Can't tell whether pelvis or torso turns round first: the %s with a probability of %s, from %.0f ms before the %s to %.0f ms after it.",
			first, percent, hi, second, -lo)
	}
	return fmt.Sprintf("The %s turns round before the %s, by %.0f ms (%.0f to %.0f), with a probability of %s.",
		first, second, math.Abs(1000*r.Lead), lo, hi, percent)
}

// Peak tells the largest separation of the downswing in a sentence.
func Peak(p *motion.Peak) string {
	if !p.Known {
		return "The peak separation can't be told: " + untold(p.Why) + "."
	}
	when := func(s float64) float64 { return -1000 * s }
	return fmt.Sprintf("Peak separation %.0f° (%.0f to %.0f), %.0f ms before impact (%.0f to %.0f).",
		p.Value, p.Low95, p.High95, when(p.Seconds), when(p.SecondsHigh95), when(p.SecondsLow95))
}

// Seen tells in a sentence what belt and trousers added to the pelvis turn; "" where
// nothing was looked at.
func Seen(s *motion.Seen) string {
	if s == nil || s.Frames == 0 {
		return ""
	}
	how := fmt.Sprintf("Belt and trousers could be followed in %d of %d frames", s.Followed, s.Frames)
	const without = ": the pelvis turn rests on the marks and what was followed from them."
	switch s.Came {
	case motion.ClothUsed:
		return how + ": the pelvis turn rests on them too."
	case motion.ClothDenied:
		return how + ", but turn as the marks deny" + without
	case motion.ClothOneView:
		return how + ", in too few of one view to count" + without
	case motion.ClothLoose:
		return how + ", but do not move as one piece, as a shirt worn over the belt does not" + without
	default:
		return how + ", since they are plain, hidden or in the dark" + without
	}
}
