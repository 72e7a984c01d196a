package fit

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// A made-up golfer filmed by made-up phones and marked by a made-up coach.

type film struct {
	*scene
	o     filmOptions
	tape  *tape          // what the scene was drawn from
	swing geometry.Swing // marks with errors
	clean geometry.Swing // the same marks without
	noise []float64      // standard deviation, px, of each mark's own error
	truth map[string]float64
}

type filmOptions struct {
	views     []geometry.View
	positions []geometry.PositionName
	handed    geometry.Handed
	stick     bool
	stature   bool
	focal     bool // the focal length is known from the file
	clean     bool
	fatTails  bool
	wideHips  bool                            // the coach marks the outside of the hips, 0.191 of stature
	heavy     float64                         // share of marks placed 15-50 px off
	fps       float64                         // frames a second; 240 if zero
	scale     float64                         // of all marks' own errors; 1 if zero
	placing   map[geometry.PointClass]float64 // misplacement, metres, where it is not misplacingM
	lasting   map[geometry.PointClass]float64 // as fixedM, of these classes
	hipsAt    geometry.PositionName           // where the hips are taken to be hipsM, metres along each axis, off their place
	hipsM     float64
	yaw       [2]float64 // by view, degrees by which the camera stands off its line
	larger    float64    // how many times as large the golfer is in the picture; 1 if zero
	fixedM    float64    // metres of the misplacement that stay with the body from position to position
}

func makeCamera(r chance, v geometry.View) geometry.Camera { return makeCameraAside(r, v, 0) }

// makeCameraAside makes a camera that stands off its line by some degrees more.
func makeCameraAside(r chance, v geometry.View, degrees float64) geometry.Camera {
	w, h := 1920, 1080
	long := 1920.0
	if r.IntN(2) == 0 {
		w, h = h, w
	}
	aim := r3.Vec{X: uniform(r, -0.15, 0.15), Y: uniform(r, 0.75, 1.05), Z: uniform(r, 0, 0.3)}
	dist := uniform(r, 3, 5.5)
	yaw := (degrees + uniform(r, -7, 7)) * math.Pi / 180
	pos := r3.Vec{X: dist * math.Sin(yaw), Z: dist * math.Cos(yaw)}
	if v == geometry.DownTheLine {
		pos = r3.Vec{X: -dist * math.Cos(yaw), Z: dist * math.Sin(yaw)}
		aim.X = 0
	}
	pos = r3.Add(pos, aim)
	pos.Y = uniform(r, 0.7, 1.4)
	return geometry.Camera{Position: pos, Rotation: geometry.LookAt(pos, aim, uniform(r, -2.5, 2.5)*math.Pi/180),
		FocalPx: uniform(r, 0.68, 0.86) * long, Width: w, Height: h}
}

// scene is a golfer and what films him, without any error of marking.
type scene struct {
	points  [][geometry.NumPoints]geometry.WorldPt // true, by position
	aimed   [][geometry.NumPoints]geometry.WorldPt // where the coach takes them to be
	moving  [][geometry.NumPoints]r3.Vec           // velocity, m/s
	facing  [][2]r3.Vec                            // of pelvis and thorax
	stick   [2]r3.Vec
	cams    []geometry.Camera
	h, club float64
}

func makeScene(r chance, o *filmOptions) *scene {
	b := makeBody(r)
	if o.wideHips {
		b.hipW *= 0.191 / 0.108
	}
	s := &scene{h: b.h, club: b.club}
	s.points, s.facing = makePoints(r, &b, o.positions)
	s.aimed = append([][geometry.NumPoints]geometry.WorldPt(nil), s.points...)
	for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
		class, _ := geometry.ClassOf(pt)
		kept := o.fixedM + o.lasting[class]
		if kept == 0 || bodyFrame(&s.points[0], pt) == nil {
			continue
		}
		off := [3]float64{kept * r.NormFloat64(), kept * r.NormFloat64(), kept * r.NormFloat64()}
		for i := range s.points {
			for k, axis := range bodyFrame(&s.points[i], pt) {
				s.aimed[i][pt] = r3.Add(s.aimed[i][pt], r3.Scale(off[k], axis))
			}
		}
	}
	for i, name := range o.positions {
		if name == o.hipsAt && o.hipsM > 0 {
			for _, pt := range [2]geometry.Point{geometry.LeadHip, geometry.TrailHip} {
				s.aimed[i][pt] = r3.Add(s.aimed[i][pt], r3.Scale(o.hipsM, r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}))
			}
		}
	}
	s.moving = velocities(s.points, o.positions)
	yaw := 1.2 * r.NormFloat64() * math.Pi / 180
	s.stick[0] = r3.Vec{X: uniform(r, -0.9, -0.4), Z: uniform(r, 0.25, 1.1)}
	s.stick[1] = r3.Add(s.stick[0], r3.Vec{X: 1.22 * math.Cos(yaw), Z: 1.22 * math.Sin(yaw)})
	for _, v := range o.views {
		cam := makeCameraAside(r, v, o.yaw[v-geometry.FaceOn])
		if o.larger > 0 {
			cam.FocalPx *= o.larger
			cam.Width, cam.Height = int(o.larger*float64(cam.Width)), int(o.larger*float64(cam.Height))
		}
		s.cams = append(s.cams, cam)
	}
	return s
}

// velocities are those of a body that goes straight from one position to the
// next; at address and impact, whose frames are the same instant in every clip,
// they are zero.
func velocities(pts [][geometry.NumPoints]geometry.WorldPt, names []geometry.PositionName) [][geometry.NumPoints]r3.Vec {
	out := make([][geometry.NumPoints]r3.Vec, len(pts))
	for i, name := range names {
		if name == geometry.Address || name == geometry.Impact || name == geometry.Finish || i == 0 || i+1 == len(pts) {
			continue
		}
		dt := madeTimes[names[i+1]] - madeTimes[names[i-1]]
		if name == geometry.Top {
			dt *= 10 // as good as still
		}
		for pt := range out[i] {
			out[i][pt] = r3.Scale(1/dt, r3.Sub(pts[i+1][pt], pts[i-1][pt]))
			if v := r3.Norm(out[i][pt]); name == geometry.Delivery && v > 0 {
				switch geometry.Point(pt) { // a head that strikes at 100 miles an hour
				case geometry.Grip:
					out[i][pt] = r3.Scale(8/v, out[i][pt])
				case geometry.Clubhead:
					out[i][pt] = r3.Scale(25/v, out[i][pt])
				}
			}
		}
	}
	return out
}

// bodyFrame is the frame of the segment that a misplaced landmark moves with:
// to the lead side, up and forward; nil for points of the club, which are
// plain to see.
func bodyFrame(p *[geometry.NumPoints]geometry.WorldPt, pt geometry.Point) []r3.Vec {
	var side, front r3.Vec
	switch pt {
	case geometry.LeadHip, geometry.TrailHip, geometry.Buckle, geometry.Tailbone:
		side, front = r3.Sub(p[geometry.LeadHip], p[geometry.TrailHip]), r3.Sub(p[geometry.Buckle], p[geometry.Tailbone])
	case geometry.Grip, geometry.Clubhead:
		return nil
	case geometry.LeadKnee, geometry.LeadAnkle, geometry.LeadHeel, geometry.LeadToe, geometry.TrailKnee, geometry.TrailAnkle, geometry.TrailHeel, geometry.TrailToe:
		heel := geometry.LeadHeel
		if pt.Side() == geometry.Trail {
			heel = geometry.TrailHeel
		}
		front = r3.Sub(p[heel+2], p[heel])
		side = r3.Cross(r3.Vec{Y: 1}, front)
	default:
		side, front = r3.Sub(p[geometry.LeadShoulder], p[geometry.TrailShoulder]), r3.Sub(p[geometry.Breastbone], p[geometry.UpperBack])
	}
	side = r3.Unit(side)
	up := r3.Unit(r3.Cross(front, side))
	return []r3.Vec{side, up, r3.Cross(side, up)}
}

// plausible reports whether a golfer would not fall over at address and reaches
// the ball with his club.
func (s *scene) plausible(names []geometry.PositionName) bool {
	for i, name := range names {
		p := &s.points[i]
		switch name {
		case geometry.Address:
			if c := standing(*p); c < 25 || c > 75 || p[geometry.Clubhead].Y > 0.03 {
				return false
			}
		case geometry.Impact:
			if r3.Norm(r3.Sub(p[geometry.Clubhead], p[geometry.Ball])) > 0.10 {
				return false
			}
		}
	}
	return true
}

// misplacingM is the standard deviation of one coordinate of where the coach
// takes a point to be, metres, farther 2.2 times on the far side, as the marking
// model has it (../shared/design/measurement.md); clickPx that of the click.
const (
	misplacingM = 0.008
	clickPx     = 2.5
	farther     = 2.2
)

// makeFilm makes a golfer, films and marks it.
func makeFilm(r *rand.Rand, o filmOptions) *film {
	if o.fps == 0 {
		o.fps = 240
	}
	f := &film{o: o}
	for try := 0; ; try++ {
		f.tape = &tape{from: r}
		f.scene = makeScene(f.tape, &f.o)
		if f.plausible(o.positions) || try > 200 {
			break
		}
	}
	sw := geometry.Swing{Golfer: geometry.Golfer{Handed: o.handed}, ClubLengthM: f.club + clubErrorM*r.NormFloat64()}
	if o.stature {
		sw.Golfer.StatureM = f.h + statureErrorM*r.NormFloat64()
		sw.Golfer.StatureSigmaM = statureErrorM
	}
	for _, n := range o.positions {
		p := geometry.Position{Name: n}
		for range o.views {
			p.Seconds = append(p.Seconds, madeTimes[n])
			p.FrameSeconds = append(p.FrameSeconds, 1/o.fps)
		}
		sw.Positions = append(sw.Positions, p)
	}
	for c, v := range o.views {
		cam := &f.cams[c]
		clip := geometry.Clip{View: v, Width: cam.Width, Height: cam.Height}
		if o.focal {
			clip.FocalPx, clip.FocalRelSigma = cam.FocalPx*(1+focalError*r.NormFloat64()), focalError
		}
		if o.stick {
			l := geometry.GroundLine{LengthM: 1.22, Along: geometry.AlongTargetLine}
			for i := range f.stick {
				e, _ := cam.Project(f.stick[i])
				e.X += clickPx * r.NormFloat64()
				e.Y += clickPx * r.NormFloat64()
				l.Ends[i] = e
			}
			clip.GroundLines = []geometry.GroundLine{l}
		}
		sw.Clips = append(sw.Clips, clip)
	}
	f.clean = sw
	for pos := range o.positions {
		for c := range o.views {
			late := uniform(r, -0.5, 0.5) / o.fps // the frame, after the instant it stands for
			for pt := geometry.Point(0); pt < geometry.NumPoints; pt++ {
				if pt == geometry.Ball && o.positions[pos] != geometry.Address {
					continue
				}
				if m, ok := f.mark(r, c, pos, pt, late); ok {
					sw.Marks = append(sw.Marks, m)
				}
			}
		}
	}
	if o.handed == geometry.LeftHanded {
		mirrorSwing(&sw)
		mirrorSwing(&f.clean)
	}
	f.swing = sw
	f.truth = map[string]float64{}
	for _, m := range geometry.MeasuresOf(geometry.Golfer{StatureM: typicalOr(sw.Golfer.StatureM)}, sw.Positions, f.points) {
		f.truth[m.Name+" / "+string(m.Position)] = m.Value
	}
	return f
}

// Errors of what is told beforehand, one standard deviation.
const (
	statureErrorM = 0.015
	clubErrorM    = 0.005
	focalError    = 0.05
)

// mark marks a point, if it can be seen, and movesWithBody the mark without error in
// f.clean and its error's standard deviation in f.noise.
func (f *film) mark(r *rand.Rand, c, pos int, pt geometry.Point, late float64) (geometry.Mark, bool) {
	o := &f.o
	if !seen(&f.cams[c], f.points[pos][pt], pt, f.facing[pos]) {
		return geometry.Mark{}, false
	}
	at, err := f.cams[c].Project(f.points[pos][pt])
	aim, err2 := f.cams[c].Project(r3.Add(f.aimed[pos][pt], r3.Scale(late, f.moving[pos][pt])))
	if err != nil || err2 != nil {
		return geometry.Mark{}, false
	}
	m := geometry.Mark{Clip: c, Position: pos, Point: pt, At: at}
	f.clean.Marks = append(f.clean.Marks, m)
	m.At = aim
	scale := f.cams[c].FocalPx / f.cams[c].ToCamera(f.points[pos][pt]).Z
	placing := misplacingM
	class, _ := geometry.ClassOf(pt)
	if v, ok := o.placing[class]; ok {
		placing = v
	}
	sd := math.Hypot(clickPx, placing*scale)
	if o.scale > 0 {
		sd *= o.scale
	}
	if o.views[c] == geometry.DownTheLine && pt.Side() == geometry.Lead {
		sd *= farther
	}
	if bodyFrame(&f.points[pos], pt) != nil { // the part that is kept is in aim
		sd = math.Sqrt(sd*sd - sq(o.fixedM*scale))
	}
	f.noise = append(f.noise, sd)
	tail := 1.0
	if o.fatTails { // Student t with 6 degrees of freedom, scaled to the same sd
		var chi float64
		for k := 0; k < 6; k++ {
			chi += sq(r.NormFloat64())
		}
		tail = math.Sqrt(6/chi) * math.Sqrt(4.0/6)
	}
	if !o.clean {
		m.At.X += sd * tail * r.NormFloat64()
		m.At.Y += sd * tail * r.NormFloat64()
	}
	if o.heavy > 0 && r.Float64() < o.heavy {
		a := uniform(r, 0, 2*math.Pi)
		d := uniform(r, 15, 50)
		m.At.X += d * math.Cos(a)
		m.At.Y += d * math.Sin(a)
	}
	return m, true
}

func typicalOr(h float64) float64 {
	if h > 0 {
		return h
	}
	return geometry.TypicalStatureM
}

func mirrorSwing(sw *geometry.Swing) {
	sw.Golfer.Handed = geometry.LeftHanded
	for i := range sw.Clips {
		flipClip(sw, i)
	}
}

// flipClip flips the marks and sticks of one clip, in copies of the swing's own.
func flipClip(sw *geometry.Swing, clip int) {
	sw.Marks = append([]geometry.Mark(nil), sw.Marks...)
	for i := range sw.Marks {
		if sw.Marks[i].Clip == clip {
			sw.Marks[i].At.X = float64(sw.Clips[clip].Width) - sw.Marks[i].At.X
		}
	}
	sw.Clips = append([]geometry.Clip(nil), sw.Clips...)
	c := &sw.Clips[clip]
	c.GroundLines = append([]geometry.GroundLine(nil), c.GroundLines...)
	for k := range c.GroundLines {
		for j := range c.GroundLines[k].Ends {
			c.GroundLines[k].Ends[j].X = float64(c.Width) - c.GroundLines[k].Ends[j].X
		}
	}
}

// seen says whether a front or rear point of the trunk faces a camera; other
// points are always taken as visible.
func seen(c *geometry.Camera, at r3.Vec, pt geometry.Point, facing [2]r3.Vec) bool {
	var n r3.Vec
	switch pt {
	case geometry.Buckle:
		n = facing[0]
	case geometry.Tailbone:
		n = r3.Scale(-1, facing[0])
	case geometry.Breastbone:
		n = facing[1]
	case geometry.UpperBack:
		n = r3.Scale(-1, facing[1])
	default:
		return true
	}
	return r3.Dot(n, r3.Unit(r3.Sub(c.Position, at))) > 0.05
}

var bothViews = []geometry.View{geometry.FaceOn, geometry.DownTheLine}

func anyFilm(seed uint64, o filmOptions) *film {
	return makeFilm(rand.New(rand.NewPCG(seed, 77)), o)
}

var fullFilm = filmOptions{views: bothViews, positions: geometry.KeyPositions, stick: true, stature: true, focal: true}
