package takehome

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"

	"turngauge/ui/takehome/raster"
)

// imageScale is how many pixels a point of the page has in its picture: wide enough
// for any phone.
const imageScale = 2.0

// Image draws the first page as a picture, a PNG, without its foot. The same sheet
// gives the same bytes on one computer.
func (s *Sheet) Image(paper Paper) ([]byte, error) {
	l := newLetters()
	plan := s.plan(func(o setting) int { return s.set(paper, l, o, nil).number })
	var shadow shadow
	p := s.set(paper, l, plan, &shadow)
	im := shadow.page.Image
	foot := int((p.bottom + 6) * imageScale)
	var b bytes.Buffer
	err := png.Encode(&b, im.SubImage(image.Rect(0, 0, im.Rect.Dx(), min(foot, im.Rect.Dy()))))
	return b.Bytes(), err
}

// shadow is the first page as it is drawn beside the PDF; its methods do nothing for a
// nil one, or on a later page.
type shadow struct {
	page *raster.Page
	over bool // the first page is full
}

func (h *shadow) off() bool { return h == nil || h.over }

// turn begins a page.
func (h *shadow) turn(width, height float64) {
	if h == nil {
		return
	}
	h.over = h.page != nil
	if !h.over {
		h.page = raster.New(width, height, imageScale)
	}
}

func (h *shadow) text(s string, x, y float64, st style) {
	if !h.off() {
		h.page.Text(s, raster.Pt{X: x, Y: y}, st.size, st.bold, st.ink)
	}
}

func (h *shadow) ground(x, y, width, height float64, ink color.NRGBA) {
	if !h.off() {
		h.page.Fill([][]raster.Pt{{{X: x, Y: y}, {X: x + width, Y: y}, {X: x + width, Y: y + height}, {X: x, Y: y + height}}}, ink)
	}
}

func (h *shadow) fill(steps []Step, x, y, scale float64, ink color.NRGBA) {
	if !h.off() {
		h.page.Fill(flattened(steps, x, y, scale), ink)
	}
}

func (h *shadow) stroke(s *Shape, x, y float64) {
	if h.off() {
		return
	}
	dash, gap := 0.0, 0.0
	if s.Dashed {
		dash, gap = dashLength*s.Width, dashGap*s.Width
	}
	h.page.Stroke(flattened(s.Path, x, y, 1), s.Width, dash, gap, s.Stroke)
}

func (h *shadow) picture(x *Picture, left, top, width, height float64) {
	if h.off() {
		return
	}
	if im, err := jpeg.Decode(bytes.NewReader(x.JPEG)); err == nil { // it is of our own making
		h.page.Picture(im, left, top, width, height)
	}
}

// flattened makes a path one of straight lines, its origin at a place, scaled.
func flattened(steps []Step, x, y, scale float64) [][]raster.Pt {
	at := func(q Pt) raster.Pt { return raster.Pt{X: x + q.X*scale, Y: y + q.Y*scale} }
	var out [][]raster.Pt
	var line []raster.Pt
	end := func() {
		if len(line) > 1 {
			out = append(out, line)
		}
		line = nil
	}
	for _, s := range steps {
		switch s.Do {
		case MoveTo:
			end()
			line = []raster.Pt{at(s.P[2])}
		case LineTo:
			line = append(line, at(s.P[2]))
		case CurveTo:
			if len(line) == 0 {
				continue
			}
			line = raster.Curve(line, at(s.P[0]), at(s.P[1]), at(s.P[2]))
		case ClosePath:
			if len(line) > 0 {
				line = append(line, line[0])
			}
			end()
		}
	}
	end()
	return out
}
