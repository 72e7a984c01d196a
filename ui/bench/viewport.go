package bench

import "math"

// Size is a width and a height in pixels.
type Size struct{ W, H float64 }

// ScreenPt is a place on a stage, in window pixels from the stage's top-left
// corner.
type ScreenPt struct{ X, Y float64 }

// PicturePt is a place in a clip's upright picture, in its pixels from the
// top-left corner; the centre of the first pixel is (0.5, 0.5).
type PicturePt struct{ X, Y float64 }

// The bounds of Viewport.Scale. Below minScale a 4K picture is a thumbnail;
// above maxScale one picture pixel covers a fingertip.
const (
	minScale = 0.02
	maxScale = 40
)

// Viewport is the part of a clip's picture that a stage shows: which picture
// point stands in the middle of the stage, and how many window pixels one
// picture pixel covers. The zero value shows nothing; start with Fit or Fill.
type Viewport struct {
	Centre PicturePt
	Scale  float64
}

// Fit shows the whole picture.
func Fit(picture, stage Size) Viewport {
	return centred(picture, math.Min(stage.W/picture.W, stage.H/picture.H))
}

// Fill covers the whole stage, cutting off what does not fit.
func Fill(picture, stage Size) Viewport {
	return centred(picture, math.Max(stage.W/picture.W, stage.H/picture.H))
}

func centred(picture Size, scale float64) Viewport {
	return Viewport{PicturePt{picture.W / 2, picture.H / 2}, clampScale(scale)}
}

func clampScale(s float64) float64 {
	if math.IsNaN(s) {
		return 1
	}
	return math.Min(math.Max(s, minScale), maxScale)
}

// ToScreen returns where on the stage a picture point is shown.
func (v Viewport) ToScreen(p PicturePt, stage Size) ScreenPt {
	return ScreenPt{
		stage.W/2 + (p.X-v.Centre.X)*v.Scale,
		stage.H/2 + (p.Y-v.Centre.Y)*v.Scale,
	}
}

// ToPicture returns the picture point shown at a place on the stage.
func (v Viewport) ToPicture(s ScreenPt, stage Size) PicturePt {
	return PicturePt{
		v.Centre.X + (s.X-stage.W/2)/v.Scale,
		v.Centre.Y + (s.Y-stage.H/2)/v.Scale,
	}
}

// ZoomAbout returns the view magnified by factor, with the picture point at s
// left where it is.
func (v Viewport) ZoomAbout(s ScreenPt, factor float64, stage Size) Viewport {
	at := v.ToPicture(s, stage)
	v.Scale = clampScale(v.Scale * factor)
	v.Centre = PicturePt{
		at.X - (s.X-stage.W/2)/v.Scale,
		at.Y - (s.Y-stage.H/2)/v.Scale,
	}
	return v
}

// Pan returns the view moved so that the picture follows a drag of (dx, dy)
// window pixels.
func (v Viewport) Pan(dx, dy float64) Viewport {
	v.Centre.X -= dx / v.Scale
	v.Centre.Y -= dy / v.Scale
	return v
}

// Keep returns the view moved as little as needed so that the picture can't
// be lost: its nearest edge never passes the middle of the stage.
func (v Viewport) Keep(picture Size) Viewport {
	v.Centre.X = math.Min(math.Max(v.Centre.X, 0), picture.W)
	v.Centre.Y = math.Min(math.Max(v.Centre.Y, 0), picture.H)
	return v
}

// Crop is the part of a picture that has to be drawn to fill a stage, in
// whole picture pixels, and the window pixels it covers there.
type Crop struct {
	X0, Y0, X1, Y1 int     // picture pixels, half open
	Left, Top      float64 // stage pixels of the crop's corner
	Width, Height  int     // stage pixels it covers
}

// Empty reports whether none of the picture is on the stage.
func (c Crop) Empty() bool { return c.X1 <= c.X0 || c.Y1 <= c.Y0 || c.Width < 1 || c.Height < 1 }

// Visible returns the crop of the picture that v shows. Its edges lie on even
// picture pixels, or on the picture's own edge, because a clip's colour is
// stored for two by two pixels.
func (v Viewport) Visible(picture, stage Size) Crop {
	a := v.ToPicture(ScreenPt{0, 0}, stage)
	b := v.ToPicture(ScreenPt{stage.W, stage.H}, stage)
	evenDown := func(x, limit float64) int {
		return int(math.Min(math.Max(2*math.Floor(x/2), 0), limit))
	}
	evenUp := func(x, limit float64) int {
		return int(math.Max(math.Min(2*math.Ceil(x/2), limit), 0))
	}
	c := Crop{
		X0: evenDown(a.X, picture.W), Y0: evenDown(a.Y, picture.H),
		X1: evenUp(b.X, picture.W), Y1: evenUp(b.Y, picture.H),
	}
	if c.X1 <= c.X0 || c.Y1 <= c.Y0 {
		return Crop{}
	}
	p := v.ToScreen(PicturePt{float64(c.X0), float64(c.Y0)}, stage)
	q := v.ToScreen(PicturePt{float64(c.X1), float64(c.Y1)}, stage)
	// Both edges are rounded, rather than one edge and the size, so that no
	// part of the picture is more than half a window pixel off.
	c.Left, c.Top = math.Round(p.X), math.Round(p.Y)
	c.Width, c.Height = int(math.Round(q.X)-c.Left), int(math.Round(q.Y)-c.Top)
	return c
}
