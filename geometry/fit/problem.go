package fit

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// blockSize is the number of unknowns of one key position: three for each
// point of the golfer and the club.
const blockSize = 3 * geometry.NumBody

// plantedPoints are the points of the feet, which hardly move: each has a
// shared place from which its place at each position may differ a little.
var plantedPoints = [6]geometry.Point{geometry.LeadAnkle, geometry.TrailAnkle, geometry.LeadHeel, geometry.TrailHeel, geometry.LeadToe, geometry.TrailToe}

// markTerm is one mark as the fit sees it.
type markTerm struct {
	clip, pos int
	pt        geometry.Point
	// Place in the picture and standard deviation of one coordinate, pixels.
	x, y   float64
	sigma  float64
	share  float64 // of its variance that its components scale; the rest is of time
	scale  float64 // pixels per metre at the golfer
	oBias  int     // index of what it is off by at all positions, or 0; see bias.go
	biasPx float64
	index  int // in Swing.Marks
}

// problem is the least-squares problem of one swing: what is known and marked,
// laid out as unknowns and terms. It holds no value of the unknowns (see
// state); what of it changes between solves are the variances, with the
// components and the cameras' scale.
//
// The global block is, in this order, with the number of unknowns of each
//
//	cameras    CameraUnknowns a clip   geometry.CameraUnknowns
//	lengths    NumSegments             logarithms of metres
//	stature    1                       logarithm of metres
//	sides      11                      standard deviations (sides.go)
//	planted    3 for each of 6         metres: the feet's shared places
//	ball       3                       metres
//	lines      4 a stick               x and z of its two ends, metres
//	times      1 a clip and position   standard deviations (timeoffset.go)
//	biases     2 a joint and clip      standard deviations (bias.go)
//
// and the block of a position x, y and z of each of its points, metres.
type problem struct {
	golfer geometry.Golfer
	clips  []geometry.Clip
	names  []geometry.PositionName
	views  []geometry.View

	// Marks by position, what is marked in any clip, and the template figure of
	// each position, which is the centre of the widest priors.
	marks     [][]markTerm // by position; the ball's marks are in ballMarks
	ballMarks []markTerm
	marked    [][geometry.NumBody]bool // by position: marked in any clip
	figure    [][geometry.NumBody]r3.Vec

	// The camera of each clip as filmed by the book: centre of the cameras'
	// priors.
	nominal []geometry.Camera
	address int // index of the address, or −1

	// First indices into the global block; 0 is a camera's, and so stands for
	// none.
	oLengths, oStature, oPlanted, oBall, oLines int
	oBias                                       int // 0 for none; see bias.go
	lineOffset                                  [][]int
	nG                                          int
	// Prior of stature and club length: metres, and sigma of the logarithm.
	statureM, statureLog float64 // prior
	clubM, clubLog       float64
	oSides               int // see sides.go

	// What the residuals teach: variances, as they stand in the present round.
	scale      components // logarithms of the factors on variances; see reml.go
	giveSigmas [geometry.NumSegments]float64
	wrong      float64   // share of marks on the wrong thing
	poor       []float64 // probability that a cell is marked poorly; see cell.go

	// Times of the frames: indices of the unknowns, their standard deviations
	// in seconds, and how each point moves at each position, metres a second.
	oTime     [][]int // by position and clip: index of the unknown time, or 0; see timeoffset.go
	timeSigma [][]float64
	moving    [][geometry.NumBody]r3.Vec
}

// state is a value of all unknowns. Cameras are kept as such, since rotations
// have no good coordinates: a step moves them in their tangent space.
type state struct {
	cams []geometry.Camera
	g    []float64   // the global block; its camera entries hold log focal and k1 only by way of cams
	p    [][]float64 // by position
}

// clone returns a copy that shares nothing.
func (s *state) clone() *state {
	c := &state{cams: append([]geometry.Camera(nil), s.cams...), g: append([]float64(nil), s.g...)}
	for _, x := range s.p {
		c.p = append(c.p, append([]float64(nil), x...))
	}
	return c
}

// copyFrom makes s equal to o, which is of the same problem, without
// allocating.
func (s *state) copyFrom(o *state) {
	copy(s.cams, o.cams)
	copy(s.g, o.g)
	for i := range s.p {
		copy(s.p[i], o.p[i])
	}
}

// at is the place of a point at a position, metres in the world.
func (s *state) at(pos int, pt geometry.Point) r3.Vec {
	x := s.p[pos][3*pt:]
	return r3.Vec{X: x[0], Y: x[1], Z: x[2]}
}

// set puts a point of a position somewhere.
func (s *state) set(pos int, pt geometry.Point, v r3.Vec) {
	x := s.p[pos][3*pt:]
	x[0], x[1], x[2] = v.X, v.Y, v.Z
}

// step moves the state by dG and dP in its tangent space: cameras by
// Camera.Move, all else by addition. nil in dP leaves a position where it is.
func (s *state) step(dG []float64, dP [][]float64) {
	for c := range s.cams {
		s.cams[c].Move(dG[c*geometry.CameraUnknowns:])
	}
	for i := len(s.cams) * geometry.CameraUnknowns; i < len(s.g); i++ {
		s.g[i] += dG[i]
	}
	for i, d := range dP {
		if d == nil {
			continue
		}
		for j := range d {
			s.p[i][j] += d[j]
		}
	}
}

// newProblem lays out the unknowns of a swing that has passed check. A
// left-hander's swing must have been mirrored. The variances of marks are not
// set yet: they hang on how far the cameras are (setSigmas).
func newProblem(sw *geometry.Swing) *problem {
	p := &problem{golfer: sw.Golfer, clips: sw.Clips, address: -1, wrong: wrongUsual / wrongSeen}
	p.scale, _ = componentPrior(sw.Marking)
	p.poor = make([]float64, geometry.NumClasses*len(sw.Positions))
	for i, pos := range sw.Positions {
		p.names = append(p.names, pos.Name)
		if pos.Name == geometry.Address && p.address < 0 {
			p.address = i
		}
	}
	p.statureM, p.statureLog = geometry.TypicalStatureM, typicalStatureLogSigma
	if sw.Golfer.StatureM > 0 {
		p.statureM = sw.Golfer.StatureM
		sd := sw.Golfer.StatureSigmaM
		if sd <= 0 {
			sd = statedStatureSigmaM
		}
		p.statureLog = sd / p.statureM
	}
	p.clubM, p.clubLog = geometry.SegmentPriors[geometry.SegmentClub].Fraction, clubLengthLogSigma
	if sw.ClubLengthM > 0 {
		p.clubM = sw.ClubLengthM
	} else {
		p.clubLog = geometry.SegmentPriors[geometry.SegmentClub].LogSigma
	}
	for c := range sw.Clips {
		p.views = append(p.views, sw.Clips[c].View)
		p.nominal = append(p.nominal, nominalCamera(&sw.Clips[c]))
	}
	// The order of the global block.
	n := geometry.CameraUnknowns * len(sw.Clips)
	p.oLengths = n
	n += geometry.NumSegments
	p.oStature = n
	n++
	p.oSides = n
	n += len(sidedLengths)
	p.oPlanted = n
	n += 3 * len(plantedPoints)
	p.oBall = n
	n += 3
	p.oLines = n
	for c := range sw.Clips {
		var o []int
		for range sw.Clips[c].GroundLines {
			o = append(o, n)
			n += 4
		}
		p.lineOffset = append(p.lineOffset, o)
	}
	p.nG = p.layoutSharedBias(sw, p.layoutTimeOffsets(sw, n))
	p.marks = make([][]markTerm, len(p.names))
	p.marked = make([][geometry.NumBody]bool, len(p.names))
	for _, name := range p.names {
		p.figure = append(p.figure, geometry.StanceFor(name).Figure(p.statureM, p.clubM))
	}
	for i, m := range sw.Marks {
		if m.State == geometry.Hidden {
			continue
		}
		t := markTerm{clip: m.Clip, pos: m.Position, pt: m.Point, x: m.At.X, y: m.At.Y, oBias: p.biasIndex(&sw.Marks[i]), biasPx: m.SharedBiasPx, index: i}
		if m.Point == geometry.Ball {
			if p.names[m.Position] != geometry.Finish {
				p.ballMarks = append(p.ballMarks, t)
			}
			continue
		}
		p.marks[m.Position] = append(p.marks[m.Position], t)
		p.marked[m.Position][m.Point] = true
	}
	return p
}

// nominalCamera is the camera of a clip as filmed by the book: at chest height,
// four metres from the golfer, on the view's own line, aimed at the belt.
func nominalCamera(c *geometry.Clip) geometry.Camera {
	f := c.FocalPx
	if f <= 0 {
		f = phoneFocal * float64(max(c.Width, c.Height))
	}
	cam := geometry.Camera{FocalPx: f, Width: c.Width, Height: c.Height}
	aim := r3.Vec{Y: 0.85, Z: 0.15}
	if c.View == geometry.FaceOn {
		cam.Position = r3.Vec{Y: cameraHeightM, Z: cameraAwayM + aim.Z}
	} else {
		cam.Position = r3.Vec{X: -cameraAwayM, Y: cameraHeightM, Z: aim.Z}
	}
	cam.Rotation = geometry.LookAt(cam.Position, aim, 0)
	return cam
}

// sq is the square of a number.
func sq(x float64) float64 { return x * x }
