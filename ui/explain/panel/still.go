package panel

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"

	"turngauge/ui/bench"
	"turngauge/ui/compare/laid"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
	"turngauge/ui/session"
)

// still gathers what is shown now. What it holds does not change any more, so
// that it can be drawn on another goroutine; ctx ends that. ok is false where
// no picture is shown.
func (x *Room) still(ctx context.Context) (s *explain.Still, ok bool) {
	d := x.host.Session()
	l := d.Bench.Lesson()
	s = &explain.Still{Title: kit.Joined(l.Student.Name, l.Date, d.Bench.Swing().Label)}
	for _, i := range x.doors.Shown() {
		st, f := &d.Show().Stages[i], d.Film(i)
		if f == nil {
			continue
		}
		seen := st.Port.Visible(st.Picture, x.doors.Size(i))
		if seen.Empty() {
			continue
		}
		shown, part := st.Frame, image.Rect(seen.X0, seen.Y0, seen.X1, seen.Y1)
		p := explain.Panel{
			Part: part, Figure: x.frame(i).Figure(x.lines), Caption: x.caption(i),
			Picture: func(dst *image.RGBA) error { return render(ctx, f, shown, dst, part) },
		}
		if over, share, ok := x.doors.Over(); ok && d.Film(1) != nil {
			other, frame := d.Film(1), d.Show().Stages[1].Frame
			p.Caption = kit.Joined(p.Caption, fmt.Sprintf("over it at %.0f %%: %s", 100*share, d.Other.Title(l)))
			under, size := p.Picture, image.Rect(0, 0, other.Info.Width, other.Info.Height)
			p.Picture = func(dst *image.RGBA) error {
				picture := image.NewRGBA(size)
				if err := errors.Join(under(dst), render(ctx, other, frame, picture, size)); err != nil {
					return err
				}
				laid.Blend(dst, part, picture, size, over, share)
				return nil
			}
		}
		s.Panels = append(s.Panels, p)
	}
	return s, len(s.Panels) > 0
}

// render fills dst with a part of a frame of a film.
func render(ctx context.Context, f *session.Film, frame int, dst *image.RGBA, part image.Rectangle) error {
	fr, err := f.Reader.Read(ctx, frame)
	if err != nil {
		return err
	}
	defer fr.Release()
	return fr.Render(dst, part)
}

// caption says what a stage shows.
func (x *Room) caption(stage int) string {
	st := &x.host.Session().Show().Stages[stage]
	position := ""
	if name, ok := x.host.Session().Show().PositionAt(stage); ok {
		position = bench.Title(string(name))
	}
	return kit.Joined(bench.Title(st.View.String()), position, fmt.Sprintf("frame %d of %d", st.Frame+1, st.Frames()))
}

// drawStill draws what is shown as a PNG on another goroutine and hands it to
// keep there, which says in a sentence what has become of it, or what went
// wrong.
func (x *Room) drawStill(keep func(png []byte) (told, problem string)) {
	if x.drawing {
		x.host.Tell("The last picture is still being drawn.")
		return
	}
	ctx := x.host.Session().Context()
	s, ok := x.still(ctx)
	if !ok {
		x.host.Tell("No picture is shown yet: drop a clip on the window, or press Ctrl+O.")
		return
	}
	x.drawing = true
	x.host.Tell("Drawing the picture …")
	x.host.Go("Drawing the picture", func() {
		var told, problem string
		data, err := encodeStill(s)
		if err == nil {
			told, problem = keep(data)
		} else if !errors.Is(err, context.Canceled) { // the lesson was not closed
			problem = "The picture can't be drawn: " + err.Error() + "."
		}
		x.host.Post(func() {
			x.drawing = false
			if problem != "" {
				x.host.Alert(problem)
			}
			x.host.Tell(bench.Note(told))
		})
	}, func() { x.drawing = false })
}

func encodeStill(s *explain.Still) ([]byte, error) {
	img, err := s.Draw()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	// Most of it is video: more effort takes seconds and saves little.
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	err = e.Encode(&b, img)
	return b.Bytes(), err
}

// copyStill puts what is shown on the clipboard.
func (x *Room) copyStill() {
	put, save := x.doors.CopyPNG, x.host.Shortcut("save still")
	x.drawStill(func(data []byte) (told, problem string) {
		if err := put(data); err != nil {
			return "", fmt.Sprintf("The picture can't be put on the clipboard here; save it with %s instead (%v).", save, err)
		}
		return "The picture is on the clipboard, as long as Turngauge is open.", ""
	})
}

// Drawing reports whether a picture is being drawn.
func (x *Room) Drawing() bool { return x.drawing }
