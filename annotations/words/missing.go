package words

import (
	"errors"
	"fmt"
	"strings"

	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// Missing says why something is not measured and what to do about it, without a
// full stop: "mark both hips at the top".
func Missing(m *geometry.Missing, imperial bool) string {
	return missing(m, imperial, func(n Notation, half float64) string { return n.Value(half) })
}

// MissingNamed says it for a table that names units in letters: "deg".
func MissingNamed(m *geometry.Missing) string {
	return missing(m, false, func(n Notation, half float64) string {
		if m.Unit == geometry.Degrees {
			return n.Bare(half) + " " + string(m.Unit)
		}
		return n.Value(half)
	})
}

func missing(m *geometry.Missing, imperial bool, write func(Notation, float64) string) string {
	switch m.Why {
	case geometry.NotMarked:
		parts := make([]string, len(m.Wanted))
		for i := range m.Wanted {
			parts[i] = wanted(&m.Wanted[i])
		}
		return "mark " + strings.Join(parts, "; ")
	case geometry.OneViewOnly:
		w := &m.Wanted[0]
		return "one view alone does not give it: mark " + wanted(w) + " " + w.View.String()
	case geometry.NotDefined:
		return "the marked points lie so that it is not defined: check them"
	case geometry.LeftOpen:
		text := "these marks give it to ±" + write(Exact(m.Unit, imperial), m.HalfWidth) + " only"
		if m.Best != nil {
			text += ": " + Advice(m.Best, imperial)
		}
		return text
	case geometry.Ambiguous:
		text := "from one view it could also be turned the other way: "
		if m.Best != nil {
			return text + Ask(m.Best)
		}
		return text + "add the other view"
	case geometry.NoTempo:
		return "set address, top and impact in one clip, in order of time"
	case geometry.NoPosition:
		return "set the position " + string(m.Position)
	case geometry.NoClock:
		return openClock
	case geometry.UnevenClock:
		return unevenClock
	case geometry.BadInput:
		return inputFault(m.Fault)
	case geometry.Mistaken:
		return mistaken(m.Mistake)
	}
	return "there is no such measure at this position"
}

// What is said of a clip whose times are not those of life.
const (
	openClock   = "a clip looks like slow motion: say at what rate it was filmed"
	unevenClock = "a clip changes its speed on the way, so that its times are not those of life: add one that does not"
)

func wanted(w *geometry.Wanted) string {
	at := make([]string, len(w.Positions))
	for i, p := range w.Positions {
		at[i] = p.At()
	}
	return w.Text + " " + strings.Join(at, " and ")
}

func inputFault(f *geometry.InputFault) string {
	clip := fmt.Sprintf("clip %d", f.Clip+1)
	mark := fmt.Sprintf("the %s %s", f.Point, f.Position.At())
	switch f.What {
	case geometry.NotANumber:
		return "the student's stature, mass, club length or marking error is not a number: enter it again"
	case geometry.StatureOutOfRange:
		return fmt.Sprintf("a stature of %.2f m is out of range: enter it in metres", f.Value)
	case geometry.ClubOutOfRange:
		return fmt.Sprintf("a club length of %.2f m is out of range: enter it in metres", f.Value)
	case geometry.ClickOutOfRange:
		return fmt.Sprintf("a marking error of %g px is out of range", f.Value)
	case geometry.NoClips:
		return "add a clip"
	case geometry.NoPositions:
		return "set a key position"
	case geometry.PositionTwice:
		return fmt.Sprintf("the position %q is set twice: remove one", f.Position)
	case geometry.FrameRateOutOfRange:
		return "the frame rate of a clip " + f.Position.At() + " is out of range"
	case geometry.NoView:
		return "say which view " + clip + " is: face-on or down-the-line"
	case geometry.NoPictureSize:
		return fmt.Sprintf("%s has no usable picture size (%d x %d)", clip, f.Width, f.Height)
	case geometry.FocalOutOfRange:
		return "the focal length of " + clip + " is out of range: leave it empty if it is not known"
	case geometry.StickOutOfRange:
		return "a ground stick in " + clip + " has an end or a length out of range: mark it again"
	case geometry.StickTooShort:
		return "the two ends of a ground stick in " + clip + " are in the same place: mark them apart"
	case geometry.StrayMark:
		return fmt.Sprintf("mark %d belongs to no clip, position or point of this swing", f.Mark+1)
	case geometry.MarkTwice:
		return mark + " is marked twice in the " + f.View.String() + " clip: remove one"
	}
	return "the mark of " + mark + " in the " + f.View.String() + " clip is not in the picture: place it again"
}

// Suspect says what is the matter with a mark of a swing that does not agree with
// the others.
func Suspect(sw *geometry.Swing, s *geometry.Suspect) string {
	m := &sw.Marks[s.Mark]
	at, view := sw.Positions[m.Position].Name.At(), sw.Clips[m.Clip].View
	if s.Swapped {
		return fmt.Sprintf("the %s and the %s look swapped %s in the %s clip", m.Point, sw.Marks[s.Other].Point, at, view)
	}
	return fmt.Sprintf("the %s %s in the %s clip is %.0f px from where the other marks put it", m.Point, at, view, s.ResidualPx)
}

// Trouble says why a fit, or a fit through time, gave nothing, without a full
// stop. Errors that are not of those it leaves as they are.
func Trouble(err error) string {
	var insufficient *geometry.Insufficient
	var none *motion.NoCurves
	switch {
	case errors.As(err, &insufficient):
		parts := make([]string, len(insufficient.Missing))
		for i := range insufficient.Missing {
			parts[i] = Missing(&insufficient.Missing[i], false)
		}
		return strings.Join(parts, "; ")
	case errors.As(err, &none):
		return "there are no curves: " + strings.Join(Lacks(none.Lacks), "; ")
	case errors.Is(err, geometry.ErrNotConverged):
		return "the fit did not settle; check the marks for swapped sides or the wrong view"
	}
	return err.Error()
}
