package motion

import (
	"context"

	"turngauge/geometry"
)

// A Cloth looks at what the golfer wears, in the frames of the clips: the observations
// of the pelvis that rest on no mark. The fit through time says which patch of which frame
// is to be found in which others and where it expects it, warp and all; the Cloth aligns
// them (video/patch). So the pictures stay outside this package.
type Cloth interface {
	// Frames returns the times of the frames of a clip that can be looked at, seconds on the
	// clip's own clock, ascending. Frames are named by their index into it.
	Frames(clip int) []float64
	// Align finds each patch in the frames that it is looked for in, and returns a Sight
	// for each warp of each Look, in their order. The error is ctx's.
	Align(ctx context.Context, looks []Look) ([][]Sight, error)
}

// Look is a patch that is to be found again.
type Look struct {
	Clip  int
	Frame int              // it is taken from
	At    geometry.ImagePt // its middle, the centre of a pixel of the clip as filmed
	Into  []Warp
}

// Warp is where a patch is expected in a frame: its middle at At, and what lies (u, v)
// pixels from its middle where it was taken at
//
//	(XX u + XY v, YX u + YY v) + Bend[0] u² + Bend[1] uv + Bend[2] v²
//
// from there.
type Warp struct {
	Frame          int
	At             geometry.ImagePt
	XX, XY, YX, YY float64
	Bend           [3][2]float64
}

// Sight is where a patch was found.
type Sight struct {
	Found  bool
	DX, DY float64 // beside where it was expected, pixels
	// XX, XY, YY is the information of (DX, DY), the inverse of its covariance, 1/px²,
	// and Correlation how alike the two look, at most 1.
	XX, XY, YY, Correlation float64
}

// Seen says in how many frames the belt and the trousers' top could be followed.
type Seen struct {
	// Used says that they are part of the fit.
	Used bool
	// Denied says that they would be, but for turning the pelvis as the marks deny.
	Denied bool
	// Frames were looked at, of both clips, and in Followed of them enough was found.
	Frames, Followed int
}

// mirror brings a Look into the clip as filmed, of the width, where it shows a left-hander
// whose picture the fit sees mirrored: x becomes width − x, so that what relates x and y
// changes its sign.
func (l *Look) mirror(width float64) {
	l.At.X = width - l.At.X
	for i := range l.Into {
		w := &l.Into[i]
		w.At.X, w.XY, w.YX = width-w.At.X, -w.XY, -w.YX
		w.Bend[0][0], w.Bend[2][0], w.Bend[1][1] = -w.Bend[0][0], -w.Bend[2][0], -w.Bend[1][1]
	}
}

// mirror brings a Sight back into the picture as the fit sees it.
func (s *Sight) mirror() { s.DX, s.XY = -s.DX, -s.XY }
