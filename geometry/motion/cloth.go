package motion

import (
	"context"
	"fmt"
	"slices"
	"strings"

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
	Came Came
	// Frames were looked at, of both clips, and in Followed of them enough was found.
	Frames, Followed int
}

// Came is what came of following the clothes.
type Came string

// What may come of it; the zero value where nothing was looked at.
const (
	ClothUsed    Came = "used"     // they are part of the fit
	ClothDenied  Came = "denied"   // they would be, but for turning the pelvis as the marks deny
	ClothOneView Came = "one view" // too few frames of one view show enough
	ClothUnseen  Came = "unseen"   // and of no view: plain, dark or hidden
	ClothLoose   Came = "loose"    // what was found does not move as one piece
)

// Used reports whether the clothes are part of the fit.
func (s *Seen) Used() bool { return s.Came == ClothUsed }

// String is how documents keep it: "used 31/40"; "" where nothing was looked at.
func (s Seen) String() string {
	if s.Frames == 0 {
		return ""
	}
	return fmt.Sprintf("%s %d/%d", strings.ReplaceAll(string(s.Came), " ", "-"), s.Followed, s.Frames)
}

// ParseSeen reads what String wrote. What it can't read, such as a later program's, is
// nothing that was looked at.
func ParseSeen(text string) Seen {
	var s Seen
	var came string
	n, err := fmt.Sscanf(text, "%s %d/%d", &came, &s.Followed, &s.Frames)
	s.Came = Came(strings.ReplaceAll(came, "-", " "))
	known := slices.Contains([]Came{ClothUsed, ClothDenied, ClothOneView, ClothUnseen, ClothLoose}, s.Came)
	if err != nil || n != 3 || !known || s.Followed < 0 || s.Followed > s.Frames {
		return Seen{}
	}
	return s
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
