package pose

// Name says which landmark of a body it is. Left and right are those of the
// person.
type Name int

// The landmarks, numbered as the network gives them.
const (
	Nose Name = iota
	LeftEyeInner
	LeftEye
	LeftEyeOuter
	RightEyeInner
	RightEye
	RightEyeOuter
	LeftEar
	RightEar
	MouthLeft
	MouthRight
	LeftShoulder
	RightShoulder
	LeftElbow
	RightElbow
	LeftWrist
	RightWrist
	LeftLittleFinger
	RightLittleFinger
	LeftIndexFinger
	RightIndexFinger
	LeftThumb
	RightThumb
	LeftHip
	RightHip
	LeftKnee
	RightKnee
	LeftAnkle
	RightAnkle
	LeftHeel
	RightHeel
	LeftToe
	RightToe
	NumLandmarks
)

// Opposite is the same landmark of the other side; the nose is its own.
func (n Name) Opposite() Name {
	switch {
	case n == Nose:
		return n
	case n <= LeftEyeOuter:
		return n + 3
	case n <= RightEyeOuter:
		return n - 3
	case n%2 == 1:
		return n + 1
	}
	return n - 1
}

// Landmark is one landmark in a picture.
type Landmark struct {
	X, Y float64 // pixels of the picture
	// Depth is how much farther from the camera than the hips it is thought to
	// be, pixels.
	Depth float64
	// Seen is how sure the network is that the landmark lies in the picture
	// and nothing hides it, Present that it lies in the picture; 0 to 1.
	Seen, Present float64
	// Wander is how far it lay elsewhere when the same person was looked at
	// through a slightly different region, and from the mean of picture and mirror
	// image, pixels; only of Find and FindAt.
	Wander float64
}

// Figure is one person in a picture.
type Figure struct {
	Landmarks [NumLandmarks]Landmark
	// Score is how sure the network is that there is a person, 0 to 1.
	Score float64
	// Region is the part of the picture that was looked at, and Next the one
	// to look at in a picture a moment later.
	Region, Next Region
}

// Size is about how tall the person is in the picture, standing upright: the
// height that errors of the landmarks are to be measured by, pixels.
func (f *Figure) Size() float64 { return f.Next.Side / regionMargin }

// Region is a square part of a picture, rotated clockwise about its middle.
type Region struct {
	X, Y  float64 // of the middle, pixels
	Side  float64 // pixels
	Angle float64 // radians
}
