package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// blockSize is the number of unknowns of one key position: three for each
// point of the golfer and the club.
const blockSize = 3 * geometry.NumBody

// plantedPoints are the points of the feet, which hardly move: each has a
// shared place from which its place at each position may differ a little.
var plantedPoints = [6]geometry.Point{geometry.LeadAnkle, geometry.TrailAnkle, geometry.LeadHeel, geometry.TrailHeel, geometry.LeadToe, geometry.TrailToe}

// The prior knowledge that is not a segment length. All are standard
// deviations, wide enough that a golfer or a phone on a stand seldom lies
// outside two of them (common practice, no source, unless noted).
const (
	squareSigmaRad    = 5.5 * math.Pi / 180 // pelvis and shoulders at address
	stanceSigmaRad    = 4 * math.Pi / 180   // the line between the ankles
	originSigmaM      = 0.002               // the origin is where the ankles are at address
	shoeHeightM       = 0.022               // of the marked heel and toe above the ground
	shoeHeightSigmaM  = 0.012
	shoeApartSigmaM   = 0.0055 // of one of them about their mean
	ankleFraction     = 0.039  // Drillis & Contini, of stature, barefoot
	soleM             = 0.025
	ankleHeightSigmaM = 0.030
	ballRadiusM       = 0.02135 // Rules of Golf: diameter not below 42.67 mm
	ballHeightSigmaM  = 0.006   // grass, or a low tee
	clubheadHeightM   = 0.020   // at address, soled
	clubheadSigmaM    = 0.015
	wideSigmaM        = 0.5 // of a point about its place in the template figure
	wideHandSigmaM    = 0.9
	hingeSigma        = 0.02  // m, of a constraint such as "knees bend forward"
	chestBelowM       = 0.085 // breastbone and upper back below the shoulders, along the spine
	ChestSigmaM       = 0.035
	// The shoulder line against the spine, radians: a captured swing (CMU
	// motion capture database, see mocap_test.go) is 2.5 degrees off square at
	// address, 12 at the top and at impact, and 7.4 in root mean square over
	// the swing.
	shouldersAddressSigma = 0.09
	ShouldersSquareSigma  = 0.13
	// The belt above the hips: its front lower than its rear, as a golfer tips
	// the pelvis forward by some 15 degrees.
	buckleAboveM       = 0.055
	tailboneAboveM     = 0.095
	beltSigmaM         = 0.045
	turnHingeSigmaRad  = 6 * math.Pi / 180
	kneeForwardM       = 0.08 // in front of the line hip to ankle, toward the toes
	kneeStraightM      = 0.05 // as the legs straighten through the ball
	kneeForwardSigmaM  = 0.07
	kneeAsideSigmaM    = 0.05
	cameraRollSigma    = 0.04
	cameraPitchSigma   = 0.20
	cameraYawSigma     = 0.12
	cameraHeightM      = 1.05
	cameraHeightSigmaM = 0.40
	cameraSideSigmaM   = 0.50
	offLineSideM       = 3.0 // of a camera that is said to be off its line
	offLineYaw         = 0.6
	cameraAwayM        = 4.0
	cameraAwaySigmaM   = 2.0
	k1Sigma            = 0.01
	// A phone's main camera has 26 mm equivalent, 0.751 of the long side of
	// the picture (diagonal rule), and the crop for stabilising adds up to a
	// fifth.
	phoneFocal         = 0.775
	phoneFocalSigma    = 0.08
	metadataFocalSigma = 0.05
	// The balance prior: nobody stands at address with the centre of mass
	// outside the feet.
	balanceM      = 0.07 // in front of the ankles: about the middle of the foot
	balanceSigmaM = 0.045
)

// How well statures and club lengths are known.
const (
	typicalStatureLogSigma = 0.055 // of adults about TypicalStatureM
	statedStatureSigmaM    = 0.015 // of a stature the student states
	clubLengthLogSigma     = 0.015 // of a club length from a maker's list
)

// markTerm is one mark as the fit sees it.
type markTerm struct {
	clip, pos int
	pt        geometry.Point
	x, y      float64
	sigma     float64
	share     float64 // of its variance that its components scale; the rest is of time
	scale     float64 // pixels per metre at the golfer
	oBias     int     // index of what it is off by at all positions, or 0; see bias.go
	biasPx    float64
	index     int // in Swing.Marks
}

// problem is the least-squares problem of one swing.
type problem struct {
	golfer geometry.Golfer
	clips  []geometry.Clip
	names  []geometry.PositionName
	views  []geometry.View

	marks     [][]markTerm // by position; the ball's marks are in ballMarks
	ballMarks []markTerm
	marked    [][geometry.NumBody]bool // by position: marked in any clip
	figure    [][geometry.NumBody]r3.Vec

	nominal []geometry.Camera
	address int // index of the address, or −1

	oLengths, oStature, oPlanted, oBall, oLines int
	oBias                                       int // 0 for none; see bias.go
	lineOffset                                  [][]int
	nG                                          int
	statureM, statureLog                        float64 // prior
	clubM, clubLog                              float64
	oSides                                      int // see sides.go

	scale      components // logarithms of the factors on variances; see reml.go
	giveSigmas [geometry.NumSegments]float64
	wrong      float64   // share of marks on the wrong thing
	poor       []float64 // probability that a cell is marked poorly; see cell.go

	oTime     [][]int // by position and clip: index of the unknown time, or 0; see timeoffset.go
	timeSigma [][]float64
	moving    [][geometry.NumBody]r3.Vec
}

// state is a value of all unknowns.
type state struct {
	cams []geometry.Camera
	g    []float64   // the global block; its camera entries hold log focal and k1 only by way of cams
	p    [][]float64 // by position
}

func (s *state) clone() *state {
	c := &state{cams: append([]geometry.Camera(nil), s.cams...), g: append([]float64(nil), s.g...)}
	for _, x := range s.p {
		c.p = append(c.p, append([]float64(nil), x...))
	}
	return c
}

func (s *state) copyFrom(o *state) {
	copy(s.cams, o.cams)
	copy(s.g, o.g)
	for i := range s.p {
		copy(s.p[i], o.p[i])
	}
}

func (s *state) at(pos int, pt geometry.Point) r3.Vec {
	x := s.p[pos][3*pt:]
	return r3.Vec{X: x[0], Y: x[1], Z: x[2]}
}

func (s *state) set(pos int, pt geometry.Point, v r3.Vec) {
	x := s.p[pos][3*pt:]
	x[0], x[1], x[2] = v.X, v.Y, v.Z
}

// step moves the state by dG and dP in its tangent space.
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
// left-hander's swing must have been mirrored.
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
		p.figure = append(p.figure, stanceFor(name).figure(p.statureM, p.clubM))
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

// nominalCamera is the camera of a clip as filmed by the book.
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

// plantedSigma is how far a point of a foot strays from its shared place at a
// position: sideways and in height (metres, one standard deviation). Heels
// rise, and at the finish the trail foot turns on its toe.
func plantedSigma(name geometry.PositionName, pt geometry.Point) (across, up float64) {
	if name == geometry.Address {
		return 0.002, 0.002
	}
	toe := pt == geometry.LeadToe || pt == geometry.TrailToe
	trail := pt.Side() == geometry.Trail
	switch name {
	case geometry.ClubLevelBack, geometry.LeadArmLevel, geometry.Top:
		switch {
		case toe:
			return 0.010, 0.006
		case trail:
			return 0.012, 0.010
		default:
			return 0.02, 0.05
		}
	case geometry.Delivery, geometry.Impact:
		switch {
		case toe:
			return 0.016, 0.012
		case trail:
			return 0.05, 0.05
		default:
			return 0.02, 0.03
		}
	default:
		switch {
		case toe && trail:
			return 0.10, 0.05
		case trail:
			return 0.25, 0.20
		default:
			return 0.06, 0.04
		}
	}
}

// heelRise is by how much, metres, a heel or an ankle stands above its place at
// address: half of what the template figure lifts it by, since a heel may stay
// down and never sinks.
func (p *problem) heelRise(pos int, pt geometry.Point) float64 {
	if p.names[pos] == geometry.Address || pt == geometry.LeadToe || pt == geometry.TrailToe {
		return 0
	}
	lift := stanceFor(p.names[pos]).heelLift
	if pt.Side() == geometry.Trail {
		return lift[1] * p.statureM / 2
	}
	return lift[0] * p.statureM / 2
}

// turnRange is how far, in degrees from square, pelvis and torso may be turned
// at a position before the fit holds against it: outside, a mirror image is
// meant. The ranges are half as wide again as any golfer's (common practice,
// no source). ok is false where nothing is known.
func turnRange(name geometry.PositionName) (pelvis, torso [2]float64, ok bool) {
	switch name {
	case geometry.ClubLevelBack:
		return [2]float64{-15, 60}, [2]float64{-5, 95}, true
	case geometry.LeadArmLevel:
		return [2]float64{-5, 85}, [2]float64{15, 125}, true
	case geometry.Top:
		return [2]float64{0, 100}, [2]float64{30, 155}, true
	case geometry.Delivery:
		return [2]float64{-75, 40}, [2]float64{-50, 85}, true
	case geometry.Impact:
		return [2]float64{-95, 10}, [2]float64{-80, 30}, true
	case geometry.Finish:
		return [2]float64{-155, -25}, [2]float64{-190, -45}, true
	default:
		return pelvis, torso, false
	}
}

// sq is the square of a number.
func sq(x float64) float64 { return x * x }
