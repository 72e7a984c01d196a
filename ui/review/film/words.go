package film

import (
	"image"
	"image/draw"
	"strconv"
	"strings"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/ui/explain"
	"turngauge/ui/takehome/raster"
)

// words writes what is seen below the pictures: the key position, the number that is
// pointed at, and whose swing it is.
func (e *easel) words(top int, f foot) {
	img := e.below
	draw.Draw(img, img.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	pad, wide := 16*e.unit, float64(img.Rect.Dx())
	y := 8 * e.unit
	if f.head != "" {
		explain.NewTypeface(17*e.unit, true).Draw(img, explain.Pt{X: pad, Y: y}, accent, words.Sentence(f.head))
	}
	if f.pace != "" {
		face := explain.NewTypeface(15*e.unit, false)
		w, _ := face.Measure(f.pace)
		face.Draw(img, explain.Pt{X: wide - pad - w, Y: y + 2*e.unit}, dim, f.pace)
	}
	y += 26 * e.unit
	if f.said != "" {
		size := 21 * e.unit
		face := explain.NewTypeface(size, true)
		for _, line := range raster.Wrapped(f.said, wide-2*pad, func(s string) float64 { w, _ := face.Measure(s); return w }) {
			face.Draw(img, explain.Pt{X: pad, Y: y}, bright, line)
			y += 1.33 * size
		}
	}
	small := explain.NewTypeface(13*e.unit, false)
	base := float64(img.Rect.Dy()) - 22*e.unit
	l := e.f.request.Lesson
	who := strings.TrimPrefix(strings.TrimSuffix(l.Student.Name+" · "+day(l), " · "), " · ")
	small.Draw(img, explain.Pt{X: pad, Y: base}, dim, who)
	const how = "in brackets the 95 % interval"
	left, _ := small.Measure(who)
	right, _ := small.Measure(how)
	if f.told && wide-pad-right > 2*pad+left {
		small.Draw(img, explain.Pt{X: wide - pad - right, Y: base}, dim, how)
	}
	e.to.Fill(image.Rect(0, top, img.Rect.Dx(), top+img.Rect.Dy()), surround)
	e.to.Over(img, image.Pt(0, top))
}

// pace says how fast clips play that are so many times slower than life; "" while they stand
// still.
func pace(slow float64) string {
	switch {
	case !(slow > 0):
		return ""
	case slow == 1:
		return "as fast as in life"
	}
	return strconv.FormatFloat(slow, 'g', 3, 64) + " times slower than life"
}

// day is the day of a lesson, "" where it isn't known.
func day(l *annotations.Lesson) string {
	d, err := time.Parse(time.DateOnly, l.Date)
	if err != nil {
		return ""
	}
	return d.Format("2 January 2006")
}

// captionAt is the caption at a time of the film.
func (f *Film) captionAt(t float64) string {
	at := f.course.List(t)
	for _, c := range f.request.Review.Captions {
		if c.From <= at && at < c.To {
			return c.Text
		}
	}
	return ""
}

// burn writes a caption at the foot of the pictures.
func (e *easel) burn(text string, room image.Rectangle) {
	size := 22 * e.unit
	face := explain.NewTypeface(size, true)
	measure := func(s string) float64 { w, _ := face.Measure(s); return w }
	lines := raster.Wrapped(text, 0.8*float64(room.Dx()), measure)
	lines = lines[:min(len(lines), 3)]
	wide := 0.0
	for _, line := range lines {
		wide = max(wide, measure(line))
	}
	pad := 8 * e.unit
	img := image.NewRGBA(image.Rect(0, 0, int(wide+2*pad), int(float64(len(lines))*1.33*size+pad)))
	draw.Draw(img, img.Rect, image.NewUniform(plate), image.Point{}, draw.Src)
	for i, line := range lines {
		face.Draw(img, explain.Pt{X: (float64(img.Rect.Dx()) - measure(line)) / 2, Y: pad/2 + float64(i)*1.33*size}, bright, line)
	}
	at := image.Pt((room.Dx()-img.Rect.Dx())/2, room.Max.Y-img.Rect.Dy()-int(pad))
	e.to.Over(img, image.Pt(at.X&^1, at.Y&^1))
}
