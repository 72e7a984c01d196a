package geometry

import "slices"

// MistakeKind names a mistake of the whole swing as the measure output spells it.
type MistakeKind string

// The mistakes that are looked for. Both clips mirrored, or the only one, are the
// same to the marks as the other hand.
const (
	ViewsSwapped  MistakeKind = "views swapped"
	OtherHand     MistakeKind = "other hand"
	ClipMirrored  MistakeKind = "clip mirrored"
	OtherInstant  MistakeKind = "position of another instant"
	NotOneSwing   MistakeKind = "not one swing"
	CameraOffLine MistakeKind = "camera off its line"
	NoOneBody     MistakeKind = "no one body"
)

// Mistake is a mistake of the whole swing: its marks do not fit one body that is
// filmed as the swing says. The numbers of such a fit are wrong, so that its
// measures are withheld.
type Mistake struct {
	What MistakeKind
	// Clip and Position are what it is about, indices into the swing's, or −1.
	// Of NoOneBody they say where the marks fit worst.
	Clip, Position int
	// Gain is the logarithm of by how much more probable the marks are with the
	// mistake mended; 0 for NotOneSwing and NoOneBody, which are told by AgreePx
	// alone.
	Gain float64
	// AgreePx is how well the marks agree as the swing stands, and MendedPx with
	// the mistake mended (Marking.AgreePx): for NotOneSwing each clip by itself;
	// 0 for NoOneBody.
	AgreePx, MendedPx float64
	// Degrees is how far off its line the camera of CameraOffLine stood, as seen from
	// above: face-on positive toward the target, down the line toward the ball. Costs is
	// what that costs, nil where no turn is measured.
	Degrees, DegreesSigma float64
	Costs                 *OffLineCost
}

// OffLineCost is how well a turn is known with a camera where it stood, and how well it
// would be with that camera on its line: halves of the 95 % intervals, degrees.
type OffLineCost struct {
	Measure                    string
	At                         PositionName
	HalfWidth, SquareHalfWidth float64
}

// Mend returns the swing with the mistake mended, sharing nothing with sw that is
// changed. ok is false for NotOneSwing and NoOneBody, which a hand must mend. Of a
// position of another instant the marks of the clip are taken away, for the frame
// to be chosen anew.
func (m *Mistake) Mend(sw Swing) (mended Swing, ok bool) {
	sw.Clips = slices.Clone(sw.Clips)
	switch m.What {
	case ViewsSwapped:
		for i := range sw.Clips {
			if c := &sw.Clips[i]; c.View == FaceOn {
				c.View = DownTheLine
			} else {
				c.View = FaceOn
			}
		}
	case OtherHand:
		if sw.Golfer.Handed == LeftHanded {
			sw.Golfer.Handed = RightHanded
		} else {
			sw.Golfer.Handed = LeftHanded
		}
	case ClipMirrored:
		sw.Clips[m.Clip].Mirrored = !sw.Clips[m.Clip].Mirrored
	case OtherInstant:
		sw.Marks = slices.DeleteFunc(slices.Clone(sw.Marks), func(k Mark) bool { return k.Clip == m.Clip && k.Position == m.Position })
	case CameraOffLine:
		sw.Clips[m.Clip].OffLine = true
	default:
		return sw, false
	}
	return sw, true
}

// Withholds reports whether the numbers of a swing with the mistake are wrong. A
// camera off its line is found where it stands, so that they are right.
func (m *Mistake) Withholds() bool { return m.What != CameraOffLine }

// WithholdsAll reports whether every number is wrong: a position of another
// instant spoils only the measures that read it. m may be nil.
func (m *Mistake) WithholdsAll() bool {
	return m != nil && m.Withholds() && m.What != OtherInstant
}
