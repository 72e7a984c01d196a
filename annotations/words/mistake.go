package words

import (
	"fmt"
	"math"

	"turngauge/geometry"
)

// Mistake says what is the matter with a whole swing, without a full stop.
func Mistake(sw *geometry.Swing, m *geometry.Mistake) string {
	agree := func(px float64) string { return digits(px, 0) + " px" }
	switch m.What {
	case geometry.ViewsSwapped:
		if len(sw.Clips) == 1 {
			return fmt.Sprintf("this clip looks filmed %s, not %s: the marks fit one golfer only so", otherView(sw.Clips[0].View), sw.Clips[0].View)
		}
		return "the two views look swapped: the marks fit one golfer only with the views the other way round"
	case geometry.OtherHand:
		return fmt.Sprintf("the marks fit a %s golfer, but the student is set down as %s", hand(otherHand(sw)), hand(sw.Golfer.Handed))
	case geometry.ClipMirrored:
		if c := &sw.Clips[m.Clip]; c.Mirrored {
			return fmt.Sprintf("the %s clip is set down as a mirror image, and its marks fit only if it is none", c.View)
		}
		return fmt.Sprintf("the %s clip looks like a mirror image, as some selfie cameras film", sw.Clips[m.Clip].View)
	case geometry.OtherInstant:
		return fmt.Sprintf("%s the %s clip shows another instant than the other clip", sw.Positions[m.Position].Name.At(), sw.Clips[m.Clip].View)
	case geometry.NotOneSwing:
		return fmt.Sprintf("the two clips do not show one swing: marks agree to %s in each clip by itself, to %s in both together", agree(m.MendedPx), agree(m.AgreePx))
	case geometry.CameraOffLine:
		if m.DegreesSigma == 0 {
			return fmt.Sprintf("the camera of the %s clip stood far off its line", sw.Clips[m.Clip].View)
		}
		half := geometry.Z95 * m.DegreesSigma
		return fmt.Sprintf("the camera of the %s clip stood %s off its line, %s", sw.Clips[m.Clip].View, Told(geometry.Degrees, false).With(math.Abs(m.Degrees), half), offToward(sw.Clips[m.Clip].View, m.Degrees))
	}
	text := "the marks do not fit one body: they agree to no better than " + agree(m.AgreePx)
	if m.Clip >= 0 && m.Position >= 0 {
		text += fmt.Sprintf(", and least %s in the %s clip", sw.Positions[m.Position].Name.At(), sw.Clips[m.Clip].View)
	}
	return text
}

// MistakeAsk says what mends a mistake of a whole swing, without a full stop.
func MistakeAsk(sw *geometry.Swing, m *geometry.Mistake) string {
	switch m.What {
	case geometry.ViewsSwapped:
		if len(sw.Clips) == 1 {
			return "call the clip " + otherView(sw.Clips[0].View).String()
		}
		return "swap the views of the two clips"
	case geometry.OtherHand:
		return fmt.Sprintf("make the student %s, or, if a selfie camera filmed, say of each clip that it is mirrored", hand(otherHand(sw)))
	case geometry.ClipMirrored:
		return fmt.Sprintf("say of the %s clip that it is%s mirrored", sw.Clips[m.Clip].View, not(sw.Clips[m.Clip].Mirrored))
	case geometry.OtherInstant:
		return fmt.Sprintf("choose the frame of %s again in the %s clip, or clear it there", the(sw.Positions[m.Position].Name), sw.Clips[m.Clip].View)
	case geometry.NotOneSwing:
		return "choose two clips of the same swing, or make a swing of each clip"
	case geometry.CameraOffLine:
		k := m.Costs
		switch {
		case k == nil:
			return "the numbers allow for it, and are less sure for it: film square to the target line next time"
		case k.HalfWidth < leastCost*k.SquareHalfWidth:
			return fmt.Sprintf("the numbers allow for it, and %s %s is no less sure for it: what is seen from two lines apart is known", k.Measure, k.At.At())
		}
		half := func(v float64) string { return PlusMinus(digits(v, 1) + "°") }
		return fmt.Sprintf("the numbers allow for it, at a price: %s %s is known to %s, from its line it would be to %s", k.Measure, k.At.At(), half(k.HalfWidth), half(k.SquareHalfWidth))
	}
	return "look for swapped sides, for points on the wrong thing, and for a clip of another golfer"
}

// leastCost is how many times as wide an interval is where a camera's place is said to
// cost something.
const leastCost = 1.1

// offToward says to which side of its line a camera stood.
func offToward(v geometry.View, degrees float64) string {
	switch {
	case v == geometry.FaceOn && degrees > 0:
		return "toward the target"
	case v == geometry.FaceOn:
		return "away from the target"
	case degrees > 0:
		return "toward the ball"
	}
	return "behind the golfer's back"
}

// Mending names what mends a mistake on a button: "Swap the views"; "" where it
// takes more than a button.
func Mending(sw *geometry.Swing, m *geometry.Mistake) string {
	switch m.What {
	case geometry.ViewsSwapped:
		if len(sw.Clips) == 1 {
			return "Make it " + otherView(sw.Clips[0].View).String()
		}
		return "Swap the views"
	case geometry.OtherHand:
		return "Make the student " + hand(otherHand(sw))
	case geometry.ClipMirrored:
		return "It is" + not(sw.Clips[m.Clip].Mirrored) + " mirrored"
	case geometry.OtherInstant:
		return "Go to " + the(sw.Positions[m.Position].Name)
	}
	return ""
}

// mistaken says for which mistake of the whole swing a measure is withheld.
func mistaken(m *geometry.Mistake) string {
	switch m.What {
	case geometry.ViewsSwapped:
		return "the marks fit one golfer only with the views the other way round"
	case geometry.OtherHand:
		return "the marks fit only a golfer who plays the other way round, or pictures in the mirror"
	case geometry.ClipMirrored:
		return "the marks fit one golfer only with one clip in the mirror, as a selfie camera films"
	case geometry.OtherInstant:
		return "one clip shows another instant here: choose its frame again"
	case geometry.NotOneSwing:
		return "the clips do not show one swing"
	case geometry.CameraOffLine:
		return "a camera stood far off its line"
	default:
		return "the marks do not fit one body: check them"
	}
}

func not(yes bool) string {
	if yes {
		return " not"
	}
	return ""
}

func otherView(v geometry.View) geometry.View {
	if v == geometry.FaceOn {
		return geometry.DownTheLine
	}
	return geometry.FaceOn
}

func otherHand(sw *geometry.Swing) geometry.Handed {
	if sw.Golfer.Handed == geometry.LeftHanded {
		return geometry.RightHanded
	}
	return geometry.LeftHanded
}

func hand(h geometry.Handed) string {
	if h == geometry.LeftHanded {
		return "left-handed"
	}
	return "right-handed"
}

// the puts a position's name where a noun stands: "the top", "impact".
func the(p geometry.PositionName) string {
	if p == geometry.Top || p == geometry.Finish {
		return "the " + string(p)
	}
	return string(p)
}
