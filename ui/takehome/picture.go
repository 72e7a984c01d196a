package takehome

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/takehome/crop"
	"turngauge/ui/takehome/sight"
	"turngauge/video"
)

// The measures of a picture on the sheet, points, and how finely it is printed.
const (
	pictureWidth  = 118.0
	pictureHeight = 146.0
	pixelsPerPt   = 4.0 // 288 to the inch
	mostEnlarged  = 2.0 // output pixels per pixel of the clip
	lineUnit      = 0.62
	jpegQuality   = 84
)

// album reads frames of a lesson's clips. One goroutine.
type album struct {
	folder  string // of the lesson document
	forward bool   // the clips are worked through once
	open    map[string]*shelf
	notes   []string
	// widths are those of the pictures that were made: no two are equal, because the
	// library of PDFs orders pictures by their width alone, and the same sheet is to
	// give the same bytes.
	widths map[int]bool
}

// shelf is one clip of an album; reader is nil where it can't be read.
type shelf struct{ reader *video.Reader }

func newAlbum(folder string) *album {
	return &album{folder: folder, open: make(map[string]*shelf), widths: make(map[int]bool)}
}

func (a *album) close() {
	for _, s := range a.open {
		if s.reader != nil {
			_ = s.reader.Close()
		}
	}
}

func (a *album) note(format string, args ...any) {
	a.notes = append(a.notes, fmt.Sprintf(format, args...))
}

// reader returns the reader of a clip, or nil where it can't be read; then a
// note says why, once.
func (a *album) reader(c *annotations.Clip) *video.Reader {
	if s := a.open[c.ID]; s != nil {
		return s.reader
	}
	s := new(shelf)
	a.open[c.ID] = s
	if c.File == "" {
		a.note("The lesson does not say where the %s clip lies, so the sheet has no pictures of it.", c.View)
		return nil
	}
	source, err := video.Open(c.PathIn(a.folder))
	if err != nil {
		a.note("The %s clip can't be read, so the sheet has no pictures of it: %s.", c.View, strings.TrimSuffix(err.Error(), "."))
		return nil
	}
	if info := source.Info(); info.Width != c.Width || info.Height != c.Height {
		a.note("%s has %d × %d pixels, the clip that was marked %d × %d: the sheet has no pictures of it.",
			filepath.Base(c.File), info.Width, info.Height, c.Width, c.Height)
		_ = source.Close()
		return nil
	}
	source.SetFilmed(c.FilmedFPS)
	s.reader = video.NewReader(source, video.ReaderOptions{CacheBytes: 64 << 20, Forward: a.forward})
	return s.reader
}

// picture draws the frame that shows a measure at a position, cropped around
// the golfer; nil where there is none. The only error is that of ctx.
func (a *album) picture(ctx context.Context, m *measured, name string, position geometry.PositionName) (*Picture, error) {
	if position == "" { // of the whole swing
		position = geometry.Top
	}
	return a.show(ctx, m, sight.Best(name), position, name, nil)
}

// show is picture with the lines of how, cropped to a part of the frame where one is
// given.
func (a *album) show(ctx context.Context, m *measured, how sight.Sight, position geometry.PositionName, name string, part *image.Rectangle) (*Picture, error) {
	clip, ref, ok := how.In(m.Swing(), position)
	if !ok {
		return nil, nil
	}
	return a.frame(ctx, m, how, clip, ref, position, name, part)
}

// frame is show of a given frame, which need be none of a key position.
func (a *album) frame(ctx context.Context, m *measured, how sight.Sight, clip *annotations.Clip, ref annotations.FrameRef,
	position geometry.PositionName, name string, part *image.Rectangle) (*Picture, error) {
	r := a.reader(clip)
	if r == nil {
		return nil, nil
	}
	n := frameNumber(r.Source(), ref)
	f := m.frame(clip.ID, ref, position)
	g := how.Figure(f, m.address(clip.ID, position))
	img, err := a.drawPart(ctx, r, n, f, g, part)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		a.note("Frame %d of the %s clip can't be shown: %s.", n+1, clip.View, strings.TrimSuffix(err.Error(), "."))
		return nil, nil
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: jpegQuality}); err != nil {
		a.note("Frame %d of the %s clip can't be kept as a picture: %v.", n+1, clip.View, err)
		return nil, nil
	}
	where := whereSeen(clip.View, position)
	return &Picture{
		JPEG: b.Bytes(), Width: img.Rect.Dx(), Height: img.Rect.Dy(),
		Caption: sentence(where) + fmt.Sprintf(" (frame %d)", n+1),
		Says:    "You, filmed " + where + ", with the lines that show the " + name,
	}, nil
}

// frameNumber is the number of a frame in a clip: by its time, where that is
// known.
func frameNumber(s *video.Source, ref annotations.FrameRef) int {
	if !ref.PTSUnknown {
		if i, ok := s.IndexOfPTS(ref.PTS); ok {
			return i
		}
	}
	return ref.Index
}

// drawPart renders the part of a frame around the golfer, or the one given, with a
// figure on it.
func (a *album) drawPart(ctx context.Context, r *video.Reader, n int, f *explain.Frame, g *explain.Figure, given *image.Rectangle) (*image.RGBA, error) {
	frame, err := r.Read(ctx, n)
	if err != nil {
		return nil, err
	}
	defer frame.Release()
	part := around(f, g, frame.Bounds(), pictureWidth/pictureHeight)
	if given != nil {
		part = *given
	}
	k := math.Min(pictureHeight*pixelsPerPt/float64(part.Dy()), mostEnlarged)
	width := max(int(float64(part.Dx())*k+0.5), 1)
	for a.widths[width] {
		width++
	}
	a.widths[width] = true
	img := image.NewRGBA(image.Rect(0, 0, width, max(int(float64(part.Dy())*k+0.5), 1)))
	if err := frame.Render(img, part); err != nil {
		return nil, err
	}
	unit := lineUnit * float64(img.Rect.Dy()) / pictureHeight
	face := explain.NewTypeface(13*unit, false)
	c := explain.Canvas{
		Scale: k, Left: -float64(part.Min.X) * k, Top: -float64(part.Min.Y) * k,
		Width: float64(img.Rect.Dx()), Height: float64(img.Rect.Dy()),
		Unit: unit, TextPx: 13 * unit, Measure: face.Measure,
	}
	explain.Paint(img, c.Lay(g), face)
	return img, nil
}

// around is the part of a picture that holds the golfer and what is drawn,
// of a shape given as width over height; the whole picture where no point is
// known.
func around(f *explain.Frame, g *explain.Figure, whole image.Rectangle, shape float64) image.Rectangle {
	e := crop.None
	e.Golfer(f)
	for _, s := range g.Strokes {
		e.Add(s.From)
		e.Add(s.To)
	}
	for _, p := range g.Paths {
		for _, at := range p.Points {
			e.Add(at)
		}
	}
	return e.Part(whole, shape)
}
