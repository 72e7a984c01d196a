package words

import "turngauge/geometry"

// Likelihood returns the calibrated word for a probability, or "" below that of
// "likely": the scale of the guidance note of the IPCC's fifth report on the
// consistent treatment of uncertainties (Mastrandrea et al. 2010, table 1), of
// which every word is true of all that is more probable, too.
func Likelihood(p float64) string {
	switch {
	case p >= 0.99:
		return "virtually certain"
	case p >= 0.90:
		return "very likely"
	case p >= 0.66:
		return "likely"
	}
	return ""
}

// likely puts the calibrated word before what is said: "very likely within",
// "virtually certainly above".
func likely(p float64, what string) string {
	switch l := Likelihood(p); l {
	case "":
		return what
	case "virtually certain":
		return "virtually certainly " + what
	default:
		return l + " " + what
	}
}

// Verdict says a judgement with how sure it is: "very likely within", "can't
// tell"; "" where nothing was judged.
func Verdict(j *geometry.Judgement) string { return likely(j.Probability, string(j.Verdict)) }

// Chances writes the probabilities that a value lies below, within and above its
// range, those that round to nothing left out: "27 % below, 73 % within".
func Chances(j *geometry.Judgement) string { return chances(j, "below", "above") }

func chances(j *geometry.Judgement, below, above string) string {
	text := ""
	for _, c := range []struct {
		p    float64
		word string
	}{{j.Below, below}, {j.Within, "within"}, {j.Above, above}} {
		if c.p < 0.005 {
			continue
		}
		if text != "" {
			text += ", "
		}
		text += Percent(c.p) + " " + c.word
	}
	return text
}
