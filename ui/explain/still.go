package explain

import (
	"image"
	"image/color"
	"math"
)

// Still is a picture to keep or to give away: one or more frames side by side
// with what is drawn on them, and below them what they show.
type Still struct {
	Panels []Panel
	// Title says who and when, for all of it.
	Title string
}

// Panel is one frame of a still.
type Panel struct {
	// Part is the part of the upright picture that is shown, in its pixels.
	Part image.Rectangle
	// Picture fills dst with that part, scaled to it.
	Picture func(dst *image.RGBA) error
	Figure  *Figure // of the whole picture
	// Caption says which frame it is.
	Caption string
}

// interval is written on every still that shows a number.
const interval = "± is half a 95 % interval. Estimates from video; a coach's judgement comes first."

// The measures of a still, in units.
const (
	unitPx      = 760.0 // the side of a square as large as a picture whose units are pixels
	labelText   = 14.0
	captionText = 14.0
	smallText   = 12.0
	captionPad  = 9.0
	panelGap    = 6.0
)

var (
	stillGround = color.NRGBA{0x1c, 0x1e, 0x21, 0xff}
	stillText   = color.NRGBA{0xe9, 0xea, 0xec, 0xff}
	stillDim    = color.NRGBA{0xa4, 0xa9, 0xb1, 0xff}
)

// leastHeight is the least height of the pictures on a still: a small part of a
// clip is enlarged, so that the lines and their words find room.
const leastHeight = 720

// Draw renders the still. The tallest part keeps the clip's own pixels, unless
// it is very small; the others are brought to its height. The error is that of
// a picture.
func (s *Still) Draw() (*image.RGBA, error) {
	if len(s.Panels) == 0 {
		return image.NewRGBA(image.Rectangle{}), nil
	}
	height := leastHeight
	for i := range s.Panels {
		height = max(height, s.Panels[i].Part.Dy())
	}
	area := 0.0
	widths := make([]int, len(s.Panels))
	for i := range s.Panels {
		p := s.Panels[i].Part
		widths[i] = max(int(math.Round(float64(p.Dx())*float64(height)/float64(p.Dy()))), 1)
		area = math.Max(area, float64(widths[i])*float64(height))
	}
	unit := math.Sqrt(area) / unitPx
	px := func(units float64) int { return max(int(math.Round(units*unit)), 1) }
	gap := px(panelGap)
	width := gap * (len(s.Panels) - 1)
	for _, w := range widths {
		width += w
	}
	line := px(captionText + captionPad)
	dst := image.NewRGBA(image.Rect(0, 0, width, height+2*line+px(captionPad)))
	fillRect(dst, dst.Rect, stillGround)

	x := 0
	numbers := false
	for i := range s.Panels {
		p := &s.Panels[i]
		part := image.Rect(x, 0, x+widths[i], height)
		// A painter wants its corner at (0, 0).
		view := dst.SubImage(part).(*image.RGBA)
		view.Rect = image.Rect(0, 0, widths[i], height)
		if err := p.Picture(view); err != nil {
			return nil, err
		}
		if p.Figure != nil {
			face := NewTypeface(labelText*unit, false)
			scale := float64(height) / float64(p.Part.Dy())
			c := Canvas{
				Scale: scale, Left: -float64(p.Part.Min.X) * scale, Top: -float64(p.Part.Min.Y) * scale,
				Width: float64(widths[i]), Height: float64(height), Unit: unit, Measure: face.Measure,
			}
			Paint(view, c.Lay(p.Figure), face)
			numbers = numbers || p.Figure.HasNumbers()
		}
		writeLine(dst, p.Caption, span{x, x + widths[i]}, height+px(captionPad/2), captionText*unit, stillText)
		x += widths[i] + gap
	}
	below := height + line + px(captionPad/2)
	room := span{0, width}
	if numbers {
		room.to -= writeLine(dst, interval, span{width, width / 2}, below, smallText*unit, stillDim)
	}
	writeLine(dst, s.Title, room, below, captionText*unit, stillDim)
	return dst, nil
}

// HasNumbers reports whether a figure shows a measured number.
func (g *Figure) HasNumbers() bool {
	for i := range g.Labels {
		if g.Labels[i].Value != "" {
			return true
		}
	}
	return false
}

// span is the room of a line of text, from its start to its end. A text that
// runs from right to left of it, from being larger than to, stands at the right.
type span struct{ from, to int }

// writeLine writes one line into its room, smaller where it would not fit, and
// returns the width it takes with its margins.
func writeLine(dst *image.RGBA, text string, room span, y int, size float64, c color.NRGBA) int {
	if text == "" {
		return 0
	}
	pad := 0.6 * size
	face := NewTypeface(size, false)
	w, _ := face.Measure(text)
	if most := math.Abs(float64(room.to-room.from)) - 2*pad; w > most && most > 0 {
		face = NewTypeface(size*math.Max(most/w, 0.4), false)
		w, _ = face.Measure(text)
	}
	left := float64(room.from) + pad
	if room.from > room.to {
		left = float64(room.from) - pad - w
	}
	face.Draw(dst, Pt{left, float64(y)}, c, text)
	return int(math.Ceil(w + 2*pad))
}

func fillRect(dst *image.RGBA, r image.Rectangle, c color.NRGBA) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			dst.SetRGBA(x, y, color.RGBA(c)) // opaque: both forms agree
		}
	}
}
