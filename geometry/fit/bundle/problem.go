package bundle

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// BlockSize is the number of unknowns of one key position: three for each
// point of the golfer and the club.
const BlockSize = 3 * geometry.NumBody

// plantedPoints are the points of the feet, which hardly move: each has a
// shared place from which its place at each position may differ a little.
var plantedPoints = [6]geometry.Point{geometry.LeadAnkle, geometry.TrailAnkle, geometry.LeadHeel, geometry.TrailHeel, geometry.LeadToe, geometry.TrailToe}

// Mark is one mark as the fit sees it.
type Mark struct {
	Clip, Pos int
	Point     geometry.Point
	// Place in the picture and standard deviation of one coordinate, pixels.
	X, Y   float64
	Sigma  float64
	Share  float64 // of its variance that its components scale; the rest is of time
	PxPerM float64 // pixels per metre at the golfer
	oBias  int     // index of what it is off by at all positions, or 0; see bias.go
	biasPx float64
	Index  int // in Swing.Marks
}

// Problem is the least-squares problem of one swing: what is known and marked,
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
type Problem struct {
	golfer geometry.Golfer
	Clips  []geometry.Clip
	Names  []geometry.PositionName
	Views  []geometry.View

	// Marks by position, what is marked in any clip, and the template figure of
	// each position, which is the centre of the widest priors.
	Marks     [][]Mark // by position; the ball's marks are in ballMarks
	BallMarks []Mark
	Marked    [][geometry.NumBody]bool // by position: marked in any clip
	figure    [][geometry.NumBody]r3.Vec

	// The camera of each clip as filmed by the book: centre of the cameras'
	// priors.
	nominal []geometry.Camera
	Address int // index of the address, or −1

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
	LogScales  Components // logarithms of the factors on variances; see the fit
	giveSigmas [geometry.NumSegments]float64
	WrongShare float64   // share of marks on the wrong thing
	Poor       []float64 // probability that a cell is marked poorly; see CellIndex

	// Times of the frames: indices of the unknowns, their standard deviations
	// in seconds, and how each point moves at each position, metres a second.
	oTime     [][]int // by position and clip: index of the unknown time, or 0; see timeoffset.go
	timeSigma [][]float64
	moving    [][geometry.NumBody]r3.Vec
}

// NewProblem lays out the unknowns of a swing that has passed check. A
// left-hander's swing must have been mirrored. The variances of marks are not
// set yet: they hang on how far the cameras are (SetSigmas).
//
// The order of the global block is that of what is needed first: cameras stand at multiples of
// CameraUnknowns, so that a clip's index finds its own, and what only some swings have
// (sticks, times, biases) comes last. Two swings have the same layout, and one may be started
// from the other, if they have the same clips, positions and sticks, and both or neither a
// shared bias (geometry.Swing.SameButMarks, HasSharedBias).
func NewProblem(sw *geometry.Swing) *Problem {
	p := &Problem{golfer: sw.Golfer, Clips: sw.Clips, Address: -1, WrongShare: WrongUsual / WrongSeen}
	p.LogScales, _ = NoisePrior(sw.Marking)
	p.Poor = make([]float64, geometry.NumClasses*len(sw.Positions))
	for i, pos := range sw.Positions {
		p.Names = append(p.Names, pos.Name)
		if pos.Name == geometry.Address && p.Address < 0 {
			p.Address = i
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
		p.Views = append(p.Views, sw.Clips[c].View)
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
	p.Marks = make([][]Mark, len(p.Names))
	p.Marked = make([][geometry.NumBody]bool, len(p.Names))
	for _, name := range p.Names {
		p.figure = append(p.figure, geometry.StanceFor(name).Figure(p.statureM, p.clubM))
	}
	for i, m := range sw.Marks {
		if m.State == geometry.Hidden {
			continue
		}
		t := Mark{Clip: m.Clip, Pos: m.Position, Point: m.Point, X: m.At.X, Y: m.At.Y, oBias: p.biasIndex(&sw.Marks[i]), biasPx: m.SharedBiasPx, Index: i}
		if m.Point == geometry.Ball {
			if p.Names[m.Position] != geometry.Finish {
				p.BallMarks = append(p.BallMarks, t)
			}
			continue
		}
		p.Marks[m.Position] = append(p.Marks[m.Position], t)
		p.Marked[m.Position][m.Point] = true
	}
	return p
}

// nominalCamera is the camera of a clip as filmed by the book: at chest height,
// four metres from the golfer, on the view's own line, aimed at the belt.
//
// Where the focal length is not stated in the file it is the usual phone's (phoneFocal) of the
// longer side, whichever way the phone is held. Height and distance are the centres of wide
// priors; the direction is theirs too, so that a camera that stands higher looks down by as
// much more without paying for both.
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

// Unknowns is how many unknowns there are.
func (p *Problem) Unknowns() int { return p.nG + BlockSize*len(p.Names) }

// Size is the golfer's size in a state: the logarithms of stature and segments, both in
// metres.
func (p *Problem) Size(st *State) (stature float64, lengths [geometry.NumSegments]float64) {
	copy(lengths[:], st.g[p.oLengths:])
	return st.g[p.oStature], lengths
}

// sq is the square of a number.
func sq(x float64) float64 { return x * x }
