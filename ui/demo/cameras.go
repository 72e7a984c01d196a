package demo

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/ui/demo/practice"
	"turngauge/ui/demo/render"
)

// A phone is one camera on its stand.
type phone struct {
	id     string // of the clip
	view   geometry.View
	camera geometry.Camera
	// start is the time of the first picture on the swing's clock, seconds:
	// negative is before the club starts back.
	start float64
	seed  uint64
}

const (
	width, height = 1920, 1080
	rate          = 240 // frames per second
	// after is how long the camera runs on after the finish, seconds.
	after = 0.30
	// nominalFocal is what a coach knows of either phone's lens, pixels: a
	// main camera of 26 mm equivalent with the usual crop for steadying. The
	// true lenses differ from it by a few per cent, as real ones do.
	nominalFocal      = 1400
	nominalFocalRelSD = 0.05
)

// phones returns the two cameras: at unlike distances, a little crooked and
// not quite aimed, running before the swing by different times.
func phones() [2]phone {
	look := func(at, target r3.Vec, rollDegrees, focal float64) geometry.Camera {
		const degree = 3.141592653589793 / 180
		return geometry.Camera{
			Position: at, Rotation: geometry.LookAt(at, target, rollDegrees*degree),
			FocalPx: focal, Width: width, Height: height,
		}
	}
	return [2]phone{
		{
			id: "fo", view: geometry.FaceOn, start: -0.31, seed: 11,
			camera: look(r3.Vec{X: 0.17, Y: 1.03, Z: 4.24}, r3.Vec{X: 0.045, Y: 1.08, Z: 0}, 0.9, 1387),
		},
		{
			id: "dl", view: geometry.DownTheLine, start: -0.47, seed: 12,
			camera: look(r3.Vec{X: -4.78, Y: 0.96, Z: 0.41}, r3.Vec{X: 0, Y: 1.07, Z: 0.27}, -0.7, 1423),
		},
	}
}

// scaled returns the camera of a picture with 1/by the size.
func scaled(c geometry.Camera, by int) geometry.Camera {
	c.Width, c.Height = c.Width/by, c.Height/by
	c.FocalPx /= float64(by)
	return c
}

// lens returns the same camera for drawing.
func lens(c *geometry.Camera) render.Camera {
	axis := func(a [3]float64) render.Vec {
		return render.Vec{X: float32(a[0]), Y: float32(a[1]), Z: float32(a[2])}
	}
	return render.Camera{
		Position: axis([3]float64{c.Position.X, c.Position.Y, c.Position.Z}),
		Right:    axis(c.Rotation[0]), Down: axis(c.Rotation[1]), Forward: axis(c.Rotation[2]),
		FocalPx: float32(c.FocalPx), Width: c.Width, Height: c.Height,
	}
}

// stickEnds returns the ends of the stick on the ground, the one away from the
// target first.
func stickEnds() [2]geometry.WorldPt {
	return [2]geometry.WorldPt{
		{X: -practice.StickX, Z: practice.StickZ},
		{X: practice.StickX, Z: practice.StickZ},
	}
}
