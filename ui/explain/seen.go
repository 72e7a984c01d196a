package explain

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// Seen is what the fit expects to be seen in one clip at one key position, in
// upright pixels as filmed. The zero value is nothing.
type Seen struct {
	// Spots are the points whose place the fit knows well enough to draw.
	Spots [geometry.NumPoints]Spot
	// Back is the way from the middle of the lead and the trail knee to its
	// back.
	Back    [2]geometry.ImagePt
	HasBack [2]bool
	// Up is the vertical at the middle of the hips, as long as UpM is there.
	Up    geometry.ImagePt
	HasUp bool
	// Plane is the shaft plane of address where it passes the clubhead: from
	// the height of the clubhead at address up beyond the hands.
	Plane    [2]geometry.ImagePt
	HasPlane bool
}

// UpM is how long Seen.Up is at the golfer, metres.
const UpM = 0.1

// sharpEnough is the largest standard deviation of a fitted point that is
// drawn, as a fraction of the picture's height: about the width of a wrist of
// a golfer who fills the picture.
const sharpEnough = 0.02

// typicalStatureM is the stature the fit assumes where the student's is not
// known (geometry's own; the knee's depth is a fraction of it).
const typicalStatureM = 1.73

// See asks a solution what it expects in each clip at each position of the
// swing it solved: the result is indexed by clip, then by position.
func See(s *fit.Solution, sw *geometry.Swing) [][]Seen {
	out := make([][]Seen, len(sw.Clips))
	for c := range sw.Clips {
		out[c] = make([]Seen, len(sw.Positions))
	}
	address := -1
	for i := range sw.Positions {
		if sw.Positions[i].Name == geometry.Address {
			address = i
		}
	}
	for i := range s.Cameras {
		cam := &s.Cameras[i]
		for p := range sw.Positions {
			seeOne(&out[cam.Clip][p], s, sw, cam, p, address)
		}
	}
	return out
}

func seeOne(to *Seen, s *fit.Solution, sw *geometry.Swing, cam *geometry.CameraEstimate, position, address int) {
	for pt := range geometry.Point(geometry.NumPoints) {
		at, sd, ok := s.Reproject(cam.Clip, position, pt)
		if ok && sd <= sharpEnough*float64(sw.Clips[cam.Clip].Height) {
			to.Spots[pt] = Spot{At: at, Known: true, Fitted: true}
		}
	}
	project := func(p geometry.WorldPt) (geometry.ImagePt, bool) {
		at, err := cam.Camera.Project(p)
		if sw.Flipped(cam.Clip) { // the fit works in the mirror
			at.X = float64(cam.Camera.Width) - at.X
		}
		return at, err == nil
	}
	stature := sw.Golfer.StatureM
	if stature == 0 {
		stature = typicalStatureM
	}
	points := &s.Points[position]
	for side, knee := range [2]geometry.Point{geometry.LeadKnee, geometry.TrailKnee} {
		if !points[knee].Known {
			continue
		}
		k := points[knee].At
		a, ok1 := project(k)
		b, ok2 := project(r3.Sub(k, r3.Vec{Z: geometry.KneeDepthFraction / 2 * stature}))
		to.Back[side], to.HasBack[side] = sub(b, a), ok1 && ok2
	}
	if l, t := points[geometry.LeadHip], points[geometry.TrailHip]; l.Known && t.Known {
		m := r3.Scale(0.5, r3.Add(l.At, t.At))
		a, ok1 := project(m)
		b, ok2 := project(r3.Add(m, r3.Vec{Y: UpM}))
		to.Up = sub(b, a)
		to.HasUp = ok1 && ok2 && dist(a, b) > 0
	}
	if address < 0 {
		return
	}
	grip, head := s.Points[address][geometry.Grip], s.Points[address][geometry.Clubhead]
	if !grip.Known || !head.Known {
		return
	}
	x := head.At.X
	if c := points[geometry.Clubhead]; c.Known {
		x = c.At.X
	}
	// The plane holds the target direction, x: where it passes the clubhead it
	// runs as the shaft did, seen along x.
	shaft := r3.Sub(grip.At, head.At)
	low := geometry.WorldPt{X: x, Y: head.At.Y, Z: head.At.Z}
	high := r3.Add(low, r3.Scale(1+beyondGrip, r3.Vec{Y: shaft.Y, Z: shaft.Z}))
	a, ok1 := project(low)
	b, ok2 := project(high)
	to.Plane, to.HasPlane = [2]geometry.ImagePt{a, b}, ok1 && ok2 && dist(a, b) > 1
}
