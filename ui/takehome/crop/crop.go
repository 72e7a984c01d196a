// Package crop cuts pictures about the golfer.
package crop

import (
	"image"
	"math"

	"turngauge/geometry"
	"turngauge/ui/explain"
)

// Box is a box about places of a picture.
type Box struct{ Lo, Hi geometry.ImagePt }

// None is the box about no place.
var None = Box{geometry.ImagePt{X: math.Inf(1), Y: math.Inf(1)}, geometry.ImagePt{X: math.Inf(-1), Y: math.Inf(-1)}}

// Golfer adds the golfer in a frame. The club and the ball reach far: what is drawn of
// them is added with the lines; a ball below the feet is not cut through.
func (e *Box) Golfer(f *explain.Frame) {
	for p, s := range f.Spots {
		if pt := geometry.Point(p); s.Known && pt != geometry.Clubhead && pt != geometry.Ball {
			e.Add(s.At)
		}
	}
	if ball := f.Spots[geometry.Ball]; ball.Known && e.Lo.X <= e.Hi.X {
		e.Hi.Y = math.Max(e.Hi.Y, ball.At.Y-0.09*(e.Hi.Y-e.Lo.Y)) // the margin holds the rest
	}
}

// Add adds a place.
func (e *Box) Add(p geometry.ImagePt) {
	e.Lo = geometry.ImagePt{X: math.Min(e.Lo.X, p.X), Y: math.Min(e.Lo.Y, p.Y)}
	e.Hi = geometry.ImagePt{X: math.Max(e.Hi.X, p.X), Y: math.Max(e.Hi.Y, p.Y)}
}

// Part is the part of a picture that holds the box, with room about it, in a
// shape given as width over height; the whole picture where the box is empty.
func (e Box) Part(whole image.Rectangle, shape float64) image.Rectangle {
	if e.Lo.X > e.Hi.X {
		return whole
	}
	w, h := e.Hi.X-e.Lo.X, e.Hi.Y-e.Lo.Y
	margin := 0.13 * math.Max(w, h) // a head above its middle, a shoe below its ankle
	w, h = w+2*margin, h+2*margin
	if w < shape*h {
		w = shape * h
	} else {
		h = w / shape
	}
	bounds := [2]float64{float64(whole.Dx()), float64(whole.Dy())}
	if k := math.Min(math.Min(bounds[0]/w, bounds[1]/h), 1); k < 1 {
		w, h = w*k, h*k
	}
	x := math.Max(math.Min((e.Lo.X+e.Hi.X)/2-w/2, bounds[0]-w), 0)
	y := math.Max(math.Min((e.Lo.Y+e.Hi.Y)/2-h/2, bounds[1]-h), 0)
	part := image.Rect(int(x), int(y), int(x+w), int(y+h)).Add(whole.Min).Intersect(whole)
	if part.Empty() {
		return whole
	}
	return part
}

// Within is the part of a picture that holds the box, with room about it, all of
// it: as near to a shape given as width over height as the picture allows.
func (e Box) Within(picture image.Rectangle, shape float64) image.Rectangle {
	w, h := e.Hi.X-e.Lo.X, e.Hi.Y-e.Lo.Y
	margin := 0.1 * math.Max(w, h) // a head above its middle, a shoe below its ankle
	w, h = w+2*margin, h+2*margin
	if w < shape*h {
		w = shape * h
	} else {
		h = w / shape
	}
	w, h = math.Min(w, float64(picture.Dx())), math.Min(h, float64(picture.Dy()))
	x := math.Max(math.Min((e.Lo.X+e.Hi.X)/2-w/2, float64(picture.Dx())-w), 0)
	y := math.Max(math.Min((e.Lo.Y+e.Hi.Y)/2-h/2, float64(picture.Dy())-h), 0)
	at := image.Pt(int(x), int(y))
	return image.Rectangle{Min: at, Max: at.Add(image.Pt(int(w), int(h)))}.Add(picture.Min)
}

// Of is the box about a whole picture.
func Of(picture image.Rectangle) Box {
	return Box{Hi: geometry.ImagePt{X: float64(picture.Dx()), Y: float64(picture.Dy())}}
}

// Alike gives boxes one size, the largest, each about its own middle.
func Alike(boxes []Box) {
	w, h := 1.0, 1.0
	for _, e := range boxes {
		w, h = math.Max(w, e.Hi.X-e.Lo.X), math.Max(h, e.Hi.Y-e.Lo.Y)
	}
	for i, e := range boxes {
		x, y := (e.Lo.X+e.Hi.X)/2, (e.Lo.Y+e.Hi.Y)/2
		boxes[i] = Box{Lo: geometry.ImagePt{X: x - w/2, Y: y - h/2}, Hi: geometry.ImagePt{X: x + w/2, Y: y + h/2}}
	}
}
