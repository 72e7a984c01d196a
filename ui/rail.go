package ui

import (
	"image"
	"slices"
	"strconv"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

const railHeight unit.Sp = 46

// railView is the time rail under a stage.
type railView struct {
	width int
	pad   int
	held  bool
	id    pointer.ID
}

// frameAt returns the frame under a place on the rail.
func (r *railView) frameAt(x float32, frames int) int {
	if r.width <= 2*r.pad || frames < 2 {
		return 0
	}
	t := (float64(x) - float64(r.pad)) / float64(r.width-2*r.pad)
	return min(max(int(t*float64(frames-1)+0.5), 0), frames-1)
}

// xOf returns where on the rail a moment of the clip lies, as a fraction of
// its frames.
func (r *railView) xOf(fraction float64) float32 {
	return float32(float64(r.pad) + fraction*float64(r.width-2*r.pad))
}

// updateRail scrubs: the frame follows the pointer, and a request that was
// overtaken is dropped by the reader.
func (a *App) updateRail(gtx layout.Context, i int) {
	r := &a.stages[i].rail
	st := &a.desk.bench.Stages[i]
	for {
		ev, ok := gtx.Event(pointer.Filter{
			Target:  r,
			Kinds:   pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Scroll,
			ScrollY: pointer.ScrollRange{Min: -200, Max: 200},
		})
		if !ok {
			break
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		switch e.Kind {
		case pointer.Press:
			r.held, r.id = true, e.PointerID
			a.desk.bench.Pause()
			a.desk.bench.Activate(i)
			gtx.Execute(key.FocusCmd{Tag: a})
			a.desk.bench.GoTo(i, r.frameAt(e.Position.X, st.Frames()))
		case pointer.Drag:
			if r.held && e.PointerID == r.id {
				a.desk.bench.GoTo(i, r.frameAt(e.Position.X, st.Frames()))
			}
		case pointer.Release, pointer.Cancel:
			r.held = false
		case pointer.Scroll:
			a.desk.bench.Pause()
			a.desk.bench.Activate(i)
			if e.Scroll.Y > 0 {
				a.desk.bench.Step(1)
			} else if e.Scroll.Y < 0 {
				a.desk.bench.Step(-1)
			}
		}
	}
}

// layoutRail draws the clip from end to end: sound, what is decoded already,
// the strike, the key positions and the frame shown.
func (a *App) layoutRail(gtx layout.Context, i int) layout.Dimensions {
	th, v := a.theme, &a.stages[i]
	r := &v.rail
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(railHeight))
	r.width, r.pad = size.X, gtx.Dp(draw.Pad)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Time rail, " + a.desk.bench.Stages[i].View.String()).Add(gtx.Ops)
	event.Op(gtx.Ops, r)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	st := &a.desk.bench.Stages[i]
	f := a.desk.films[i]
	if f == nil || st.Frames() < 2 {
		return layout.Dimensions{Size: size}
	}
	pointer.CursorPointer.Add(gtx.Ops)
	last := float64(st.Frames() - 1)
	top, bottom := float32(gtx.Sp(16)), float32(size.Y-gtx.Dp(8))
	mid := (top + bottom) / 2
	draw.Fill(gtx.Ops, image.Rect(r.pad, int(mid)-gtx.Dp(1), size.X-r.pad, int(mid)+gtx.Dp(1)), th.Track)
	for _, run := range f.reader.CachedRuns() {
		x0, x1 := r.xOf(float64(run[0])/last), r.xOf(float64(run[1])/last)
		draw.Fill(gtx.Ops, image.Rect(int(x0), int(bottom)+gtx.Dp(3), int(x1)+1, int(bottom)+gtx.Dp(5)), th.Edge)
	}
	a.drawWave(gtx, i, mid, (bottom-top)/2)
	if st.StrikeHeard {
		x := r.xOf(float64(st.Film.FrameAt(st.Strike)) / last)
		draw.Circle(gtx.Ops, f32.Pt(x, bottom+float32(gtx.Dp(4))), float32(gtx.Dp(3)), th.Text)
	}
	a.drawTicks(gtx, i, top, bottom)
	x := r.xOf(float64(st.Frame) / last)
	half := float32(gtx.Dp(1))
	draw.Fill(gtx.Ops, image.Rect(int(x-half), 0, int(x+half)+1, size.Y), th.Accent)
	draw.Circle(gtx.Ops, f32.Pt(x, float32(size.Y-gtx.Dp(5))), float32(gtx.Dp(5)), th.Accent)
	return layout.Dimensions{Size: size}
}

// drawWave draws the level of the clip's sound, faintly.
func (a *App) drawWave(gtx layout.Context, i int, mid, half float32) {
	wave := a.desk.waves[i]
	r := &a.stages[i].rail
	if len(wave) == 0 {
		return
	}
	peak := slices.Max(wave)
	if peak <= 0 {
		return
	}
	step := max(gtx.Dp(2), 1)
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	n := (r.width - 2*r.pad) / step
	for k := range n {
		from, to := k*len(wave)/n, max((k+1)*len(wave)/n, k*len(wave)/n+1)
		h := slices.Max(wave[from:to]) / peak * half
		if h < 0.5 {
			continue
		}
		x := float32(r.pad + k*step)
		pen.Line(f32.Pt(x, mid-h), f32.Pt(x, mid+h), float32(step)*0.6)
	}
	pen.Fill(draw.Alpha(a.theme.Dim, 0.45))
}

// drawTicks marks the key positions with the number of their key.
func (a *App) drawTicks(gtx layout.Context, i int, top, bottom float32) {
	th, b := a.theme, a.desk.bench
	st, r := &b.Stages[i], &a.stages[i].rail
	sw := b.Swing()
	for k := range sw.Positions {
		ref, ok := sw.Positions[k].Frame(st.Clip)
		if !ok {
			continue
		}
		name := sw.Positions[k].Name
		x := r.xOf(float64(ref.Index) / float64(st.Frames()-1))
		c := th.Dim
		if name == b.Position {
			c = th.Text
		}
		draw.Fill(gtx.Ops, image.Rect(int(x), int(top), int(x)+max(gtx.Dp(1), 1), int(bottom)), c)
		if d := slices.Index(geometry.KeyPositions, name); d >= 0 {
			th.TextAt(gtx, f32.Pt(x, top), 0.5, 1, draw.Small, font.Normal, c, strconv.Itoa(d+1))
		} else {
			th.TextAt(gtx, f32.Pt(x, top), 0.5, 1, draw.Small, font.Normal, c, bench.Title(string(name))[:1])
		}
	}
}
