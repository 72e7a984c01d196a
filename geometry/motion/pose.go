package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// The degrees of freedom of an instant. A segment's are the place of the middle
// of its line lead to trail (hips, shoulders) and three angles: the heading of
// that line in the ground plane, its slope, and how far the segment leans
// forward about it. So the turn is an unknown itself, and its speed too.
const (
	dofTurn = 3
	dofTilt = 4
	dofLean = 5

	segmentDofs   = 6
	dofLeadKnee   = 12
	dofTrailKnee  = 15
	dofLeadAnkle  = 18
	dofTrailAnkle = 21
	numDofs       = 24
	// blockSize is one instant's unknowns: the values, then their speeds.
	blockSize = 2 * numDofs
)

// isAngle tells the angles of pelvis and chest from places.
func isAngle(dof int) bool { return dof < dofLeadKnee && dof%segmentDofs >= dofTurn }

// The shape of the segments, in their own frames (to the lead side, up, to the
// front), and the lengths between them: offsets into the border's part.
const (
	shapePelvisWidth = 0 // half
	shapeBuckle      = 1 // 3
	shapeTailbone    = 4 // 3
	shapeChestWidth  = 7
	shapeBreastbone  = 8
	shapeUpperBack   = 11
	shapeThigh       = 14 // log
	shapeShank       = 15
	shapeTrunk       = 16
	shapeUnknowns    = 17
)

// carrier says how a point hangs on the degrees of freedom.
//
// Pelvis and chest carry their points rigidly; knees and ankles are three coordinates of their
// own in the world, tied to hips and to each other by lengths (residual.go). side is 1 or −1 for
// the two ends of a segment's line, whose one unknown is half its width, and 0 for a point with a
// place of its own.
type carrier struct {
	dof   int // the first
	shape int // offset of its place in the segment's frame, or −1 for a joint by itself
	side  float64
}

func carrierOf(pt geometry.Point) carrier {
	switch pt {
	case geometry.LeadHip:
		return carrier{0, shapePelvisWidth, 1}
	case geometry.TrailHip:
		return carrier{0, shapePelvisWidth, -1}
	case geometry.Buckle:
		return carrier{0, shapeBuckle, 0}
	case geometry.Tailbone:
		return carrier{0, shapeTailbone, 0}
	case geometry.LeadShoulder:
		return carrier{segmentDofs, shapeChestWidth, 1}
	case geometry.TrailShoulder:
		return carrier{segmentDofs, shapeChestWidth, -1}
	case geometry.Breastbone:
		return carrier{segmentDofs, shapeBreastbone, 0}
	case geometry.UpperBack:
		return carrier{segmentDofs, shapeUpperBack, 0}
	case geometry.LeadKnee:
		return carrier{dofLeadKnee, -1, 0}
	case geometry.TrailKnee:
		return carrier{dofTrailKnee, -1, 0}
	case geometry.LeadAnkle:
		return carrier{dofLeadAnkle, -1, 0}
	case geometry.TrailAnkle:
		return carrier{dofTrailAnkle, -1, 0}
	default:
		panic("geometry: no carrier for " + pt.String())
	}
}

// segmentPose is the frame of a segment with its derivatives by the angles.
type segmentPose struct {
	at   r3.Vec
	axes [3]r3.Vec    // to the lead side, up, to the front
	by   [3][3]r3.Vec // by turn, tilt, lean: of each axis
}

// poseOf reads a segment's frame from its six degrees of freedom.
//
// The axes come of three turns: the heading t about the vertical, the slope l of the line
// lead to trail, and the lean b about that line,
//
//	lead  = (cos l cos t, sin l, cos l sin t)
//	up₀   = front₀ × lead,  front₀ = (−sin t, 0, cos t)
//	up    = cos b up₀ + sin b front₀,  front = −sin b up₀ + cos b front₀.
//
// They are singular only for a line that stands upright, l = ±90°, which neither hips nor
// shoulders of a golfer do. The derivatives by t, l and b follow term by term; those by b
// are the axes themselves, turned by a quarter.
func poseOf(x []float64) segmentPose {
	st, ct := math.Sincos(x[dofTurn])
	sl, cl := math.Sincos(x[dofTilt])
	sb, cb := math.Sincos(x[dofLean])
	lead := r3.Vec{X: cl * ct, Y: sl, Z: cl * st}
	leadT := r3.Vec{X: -cl * st, Z: cl * ct}
	leadL := r3.Vec{X: -sl * ct, Y: cl, Z: -sl * st}
	front, frontT := r3.Vec{X: -st, Z: ct}, r3.Vec{X: -ct, Z: -st}
	up := r3.Cross(front, lead)
	upT := r3.Add(r3.Cross(frontT, lead), r3.Cross(front, leadT))
	upL := r3.Cross(front, leadL)
	mix := func(a r3.Vec, ka float64, b r3.Vec, kb float64) r3.Vec {
		return r3.Add(r3.Scale(ka, a), r3.Scale(kb, b))
	}
	p := segmentPose{at: r3.Vec{X: x[0], Y: x[1], Z: x[2]}}
	p.axes = [3]r3.Vec{lead, mix(up, cb, front, sb), mix(up, -sb, front, cb)}
	p.by[0] = [3]r3.Vec{leadT, mix(upT, cb, frontT, sb), mix(upT, -sb, frontT, cb)}
	p.by[1] = [3]r3.Vec{leadL, r3.Scale(cb, upL), r3.Scale(-sb, upL)}
	p.by[2] = [3]r3.Vec{{}, p.axes[2], r3.Scale(-1, p.axes[1])}
	return p
}

// q is metres along each axis, the result metres in the world.
func weighted(axes *[3]r3.Vec, q [3]float64) r3.Vec {
	return r3.Add(r3.Scale(q[0], axes[0]), r3.Add(r3.Scale(q[1], axes[1]), r3.Scale(q[2], axes[2])))
}

// placeIn is where a point lies in its segment's frame.
func (c carrier) placeIn(shape []float64) [3]float64 {
	if c.side != 0 {
		return [3]float64{c.side * shape[c.shape]}
	}
	return [3]float64{shape[c.shape], shape[c.shape+1], shape[c.shape+2]}
}

// dofsOf reads six degrees of freedom from a segment's points: its line and, to
// tell how it leans, a direction to its front.
//
// The inverse of poseOf: with b = 0 the axes up₀ and front₀ are known, and the direction d to
// the front has d·up₀ = −sin b, d·front₀ = cos b times its length.
func dofsOf(lead, trail, front r3.Vec) [segmentDofs]float64 {
	mid, d := r3.Scale(0.5, r3.Add(lead, trail)), r3.Sub(lead, trail)
	turn := math.Atan2(d.Z, d.X)
	tilt := math.Atan2(d.Y, math.Hypot(d.X, d.Z))
	p := poseOf([]float64{0, 0, 0, turn, tilt, 0})
	lean := math.Atan2(-r3.Dot(front, p.axes[1]), r3.Dot(front, p.axes[2]))
	return [segmentDofs]float64{mid.X, mid.Y, mid.Z, turn, tilt, lean}
}

// inFrame returns a point's place in a segment's frame.
func (p *segmentPose) inFrame(w r3.Vec) [3]float64 {
	d := r3.Sub(w, p.at)
	return [3]float64{r3.Dot(d, p.axes[0]), r3.Dot(d, p.axes[1]), r3.Dot(d, p.axes[2])}
}
