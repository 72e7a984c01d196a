package geometry

import "math"

// Rotation matrices here are [3][3]float64 with R[i][j] in row i, column j;
// columns are the axes of the turned segment in the frame of the other.
// Angles are in radians.

// ClinicalAngles are the angles of a pelvis or a torso in the clinical order:
// first the rotation about the vertical, then the obliquity, then the tilt
// (R. Baker 2001, Gait Posture 13:1, eq. for R = Ry(rotation) Rx(obliquity)
// Rz(tilt) with y up). The rotation is the heading of the medio-lateral axis in
// the horizontal plane, whatever the tilts.
type ClinicalAngles struct{ Rotation, Obliquity, Tilt float64 }

// Clinical reads the clinical angles off a rotation matrix. At an obliquity of
// ±90° rotation and tilt are not separate; the tilt is then given as zero.
func Clinical(r [3][3]float64) ClinicalAngles {
	s := clampUnit(-r[1][2])
	if math.Abs(s) > gimbal {
		return ClinicalAngles{math.Atan2(-r[2][0], r[0][0]), math.Asin(s), 0}
	}
	return ClinicalAngles{math.Atan2(r[0][2], r[2][2]), math.Asin(s), math.Atan2(r[1][0], r[1][1])}
}

// Matrix is the rotation matrix of the angles.
func (a ClinicalAngles) Matrix() [3][3]float64 {
	return mul3(mul3(rotateY(a.Rotation), rotateX(a.Obliquity)), rotateZ(a.Tilt))
}

// JointAngles are flexion, adduction and axial rotation in the order of
// E. S. Grood and W. J. Suntay 1983, J Biomech Eng 105:136: flexion about the
// proximal medio-lateral axis, axial rotation about the distal long axis, and
// the third about the floating axis square to both. With the axes of the
// International Society of Biomechanics (x forward, y up, z right) it is the
// intrinsic order z, x, y: R = Rz(flexion) Rx(adduction) Ry(axial).
type JointAngles struct{ Flexion, Adduction, Axial float64 }

// GroodSuntay reads the joint angles off the rotation of the distal against
// the proximal segment. At an adduction of ±90° flexion and axial rotation are
// not separate; the axial rotation is then given as zero.
func GroodSuntay(r [3][3]float64) JointAngles {
	s := clampUnit(r[2][1])
	if math.Abs(s) > gimbal {
		return JointAngles{math.Atan2(r[1][0], r[0][0]), math.Asin(s), 0}
	}
	return JointAngles{math.Atan2(-r[0][1], r[1][1]), math.Asin(s), math.Atan2(-r[2][0], r[2][2])}
}

// Matrix is the rotation matrix of the angles.
func (a JointAngles) Matrix() [3][3]float64 {
	return mul3(mul3(rotateZ(a.Flexion), rotateX(a.Adduction)), rotateY(a.Axial))
}

// gimbal is the sine above which the outer two angles of a sequence can't be
// told apart: within 0.08° of a quarter turn.
const gimbal = 0.999999

func clampUnit(x float64) float64 { return math.Max(-1, math.Min(1, x)) }

func rotateX(a float64) [3][3]float64 {
	s, c := math.Sincos(a)
	return [3][3]float64{{1, 0, 0}, {0, c, -s}, {0, s, c}}
}

func rotateY(a float64) [3][3]float64 {
	s, c := math.Sincos(a)
	return [3][3]float64{{c, 0, s}, {0, 1, 0}, {-s, 0, c}}
}

func rotateZ(a float64) [3][3]float64 {
	s, c := math.Sincos(a)
	return [3][3]float64{{c, -s, 0}, {s, c, 0}, {0, 0, 1}}
}

func mul3(a, b [3][3]float64) (m [3][3]float64) {
	for i := range m {
		for j := range m {
			for k := range m {
				m[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return m
}

// TiltedTurn is what a turn of axial radians about an axis that leans forward
// by lean radians from the vertical looks like (from Rodrigues' formula).
type TiltedTurn struct {
	Heading float64 // of the turned line in the ground plane: tan = tan(axial) cos(lean)
	Slope   float64 // of the line against the horizontal: sin = sin(axial) sin(lean)
	// Widths of the line seen from two sides and its height difference, as
	// fractions of its length.
	FaceOn, DownTheLine, Height float64
}

// TurnAboutTiltedAxis relates a turn about a leaning segment's own axis to the
// turn of the line in the ground plane and to what each view shows of it.
func TurnAboutTiltedAxis(axial, lean float64) TiltedTurn {
	sa, ca := math.Sincos(axial)
	sl, cl := math.Sincos(lean)
	return TiltedTurn{
		Heading: math.Atan2(sa*cl, ca), Slope: math.Asin(clampUnit(sa * sl)),
		FaceOn: ca, DownTheLine: sa * cl, Height: sa * sl,
	}
}

// PlanarAngle is the included angle at b of the points a, b, c of a picture,
// radians in [0, π].
func PlanarAngle(a, b, c ImagePt) float64 {
	ux, uy, vx, vy := a.X-b.X, a.Y-b.Y, c.X-b.X, c.Y-b.Y
	return math.Atan2(math.Abs(ux*vy-uy*vx), ux*vx+uy*vy)
}

// LineAngleSigma is the standard deviation, radians, of the direction of a
// line of the given length whose two ends each have the standard deviation
// sigma in each coordinate: √2 sigma / length, for sigma ≪ length.
func LineAngleSigma(length, sigma float64) float64 { return math.Sqrt2 * sigma / length }
