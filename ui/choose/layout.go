package choose

import (
	"image"
	"image/color"
	"path/filepath"

	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"

	"turngauge/annotations/words"
	"turngauge/ui/draw"
)

// The panel's own measures; they follow the text scale.
const (
	panelWidth  unit.Sp = 860
	panelHeight unit.Sp = 600
	sideWidth   unit.Sp = 170
	rowHeight   unit.Sp = 30
	tallRow     unit.Sp = 60 // of a list with small pictures
	thumbWidth  unit.Sp = 72
	sizeWidth   unit.Sp = 84
	whenWidth   unit.Sp = 150
	barWidth    unit.Sp = 12
	placesFrom  unit.Sp = 520 // the panel's width below which it does without places
	datesFrom   unit.Sp = 440 // the list's width below which it does without dates
)

// panelPad keeps what is in the panel off its edges, as on every card.
const panelPad unit.Dp = 22

// Layout draws the panel over the whole of the constraints if it is out. Draw it last, and everything else
// with a disabled context, so that the Tab key stays within.
func (c *Chooser) Layout(gtx layout.Context, th *draw.Theme) layout.Dimensions {
	size := gtx.Constraints.Max
	if !c.shown {
		return layout.Dimensions{Size: size}
	}
	gtx = th.Context(gtx)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Scrim)
	all := clip.Rect{Max: size}.Push(gtx.Ops)
	c.swallow(gtx)
	margin := gtx.Dp(24)
	w := min(size.X-2*margin, gtx.Sp(panelWidth))
	h := min(size.Y-2*margin, gtx.Sp(panelHeight))
	if w > 0 && h > 0 {
		at := image.Pt((size.X-w)/2, (size.Y-h)/2)
		off := op.Offset(at).Push(gtx.Ops)
		c.layoutPanel(gtx, th, image.Pt(w, h))
		off.Pop()
	}
	all.Pop()
	return layout.Dimensions{Size: size}
}

// swallow keeps the pointer from what lies behind.
func (c *Chooser) swallow(gtx layout.Context) {
	event.Op(gtx.Ops, c)
	for {
		if _, ok := gtx.Event(pointer.Filter{
			Target:  c,
			Kinds:   pointer.Press | pointer.Release | pointer.Move | pointer.Drag | pointer.Scroll,
			ScrollX: pointer.ScrollRange{Min: -1 << 16, Max: 1 << 16},
			ScrollY: pointer.ScrollRange{Min: -1 << 16, Max: 1 << 16},
		}); !ok {
			return
		}
	}
}

// within lays out a part inside a rectangle of the panel.
func within(gtx layout.Context, r image.Rectangle, w layout.Widget) layout.Dimensions {
	off := op.Offset(r.Min).Push(gtx.Ops)
	defer off.Pop()
	gtx.Constraints = layout.Constraints{Max: image.Pt(max(r.Dx(), 0), max(r.Dy(), 0))}
	return w(gtx)
}

func (c *Chooser) layoutPanel(gtx layout.Context, th *draw.Theme, size image.Point) {
	th.Card(gtx, image.Rectangle{Max: size})
	pad, gap, control := gtx.Dp(panelPad), gtx.Dp(2*draw.Gap), gtx.Sp(draw.Control)
	left, right := pad, size.X-pad
	y := pad

	y += within(gtx, image.Rect(left, y, right, size.Y), func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Title, font.Medium, th.Text, c.title)
	}).Size.Y + gap

	within(gtx, image.Rect(left, y, left+control, y+control), func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &c.up, draw.ButtonStyle{
			Icon: draw.IconUp, Name: "Parent folder", Tip: "Parent folder", Keys: "Backspace", TipSide: draw.TipBelowStart,
			Disabled: c.list.Dir == "" || filepath.Dir(c.list.Dir) == c.list.Dir,
		})
	})
	y += within(gtx, image.Rect(left+control+gap, y, right, size.Y), func(gtx layout.Context) layout.Dimensions {
		return th.Field(gtx, &c.path, draw.FieldStyle{Name: "Path", Hint: "Type or paste a path", Error: c.note})
	}).Size.Y + gap

	bottom := size.Y - pad - control
	c.layoutFooter(gtx, th, image.Rect(left, bottom, right, bottom+control))
	bottom -= gap
	hair := max(gtx.Dp(1), 1)
	if size.X >= gtx.Sp(placesFrom) {
		side := gtx.Sp(sideWidth)
		within(gtx, image.Rect(left, y, left+side, bottom), func(gtx layout.Context) layout.Dimensions {
			return c.layoutSide(gtx, th)
		})
		draw.Fill(gtx.Ops, image.Rect(left+side+gap/2, y, left+side+gap/2+hair, bottom), th.Line)
		left += side + gap
	}
	c.layoutList(gtx, th, image.Rect(left, y, right, bottom))
}

// layoutFooter draws the filter, what is chosen, and the buttons.
func (c *Chooser) layoutFooter(gtx layout.Context, th *draw.Theme, r image.Rectangle) {
	gap := gtx.Dp(2 * draw.Gap)
	m := op.Record(gtx.Ops)
	g := gtx
	g.Constraints = layout.Constraints{Max: r.Size()}
	d := draw.Row(g, 2*draw.Gap,
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &c.quit, draw.ButtonStyle{Label: "Cancel", Tip: "Choose nothing", Keys: "Esc", TipSide: draw.TipAboveEnd})
		},
		func(gtx layout.Context) layout.Dimensions {
			if c.folder {
				return th.Button(gtx, &c.open, draw.ButtonStyle{
					Label: "Take this folder", Kind: draw.Primary, Disabled: c.folderTaken() == "", Keys: "Ctrl+Enter", Tip: "The chosen folder, or the one shown", TipSide: draw.TipAboveEnd,
				})
			}
			return th.Button(gtx, &c.open, draw.ButtonStyle{
				Label: "Open", Kind: draw.Primary, Disabled: len(c.sel.on) == 0, Keys: "Enter", Tip: "Open what is chosen", TipSide: draw.TipAboveEnd,
			})
		})
	call := m.Stop()
	x := r.Max.X - d.Size.X
	off := op.Offset(image.Pt(x, r.Min.Y)).Push(gtx.Ops)
	call.Add(gtx.Ops)
	off.Pop()
	left := r.Min.X
	if len(c.kinds) > 0 {
		on := 0
		if c.everyKind {
			on = 1
		}
		left += within(gtx, image.Rect(left, r.Min.Y, x-gap, r.Max.Y), func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &c.filter, "Files shown", on, kindsName(c.kinds), "All files")
		}).Size.X + gap
	}
	within(gtx, image.Rect(left, r.Min.Y, x-gap, r.Max.Y), func(gtx layout.Context) layout.Dimensions {
		if gtx.Constraints.Max.X < gtx.Sp(60) {
			return layout.Dimensions{}
		}
		gtx.Constraints.Min.Y = r.Dy()
		return th.Label(gtx, draw.Small, font.Normal, th.Dim, c.status())
	})
}

// status says what is chosen, or what there is.
func (c *Chooser) status() string {
	chosen := c.sel.chosen()
	switch {
	case c.slow():
		return "Reading the folder. This takes a while."
	case c.folder && c.list.Dir != "":
		taken := filepath.Base(c.folderTaken())
		if n := c.list.Hidden; n > 0 && len(chosen) == 0 {
			taken += ", with " + words.Count(n, "file", "files")
		}
		return taken
	case len(chosen) == 1 && c.list.Entries[chosen[0]].Folder:
		return "1 folder chosen"
	case len(chosen) > 0:
		return words.Count(len(chosen), "file", "files") + " chosen"
	case c.list.More:
		return "Only the first " + words.Count(maxEntries, "name", "names") + " are shown"
	case c.list.Hidden > 0:
		return words.Count(c.list.Hidden, "file", "files") + " of other kinds not shown"
	}
	return ""
}

// layoutSide draws the places and the recent folders.
func (c *Chooser) layoutSide(gtx layout.Context, th *draw.Theme) layout.Dimensions {
	n := len(c.places) + len(c.Recent)
	for len(c.goTo) < n {
		c.goTo = append(c.goTo, new(widget.Clickable))
	}
	lines := n
	if len(c.Recent) > 0 {
		lines++ // its heading
	}
	h := gtx.Sp(rowHeight)
	return c.side.Layout(gtx, lines, func(gtx layout.Context, i int) layout.Dimensions {
		sz := image.Pt(gtx.Constraints.Max.X, h)
		switch {
		case i < len(c.places):
			p := c.places[i]
			return c.layoutPlace(gtx, th, sz, i, p.Name, p.Dir)
		case i == len(c.places):
			at := image.Rect(gtx.Sp(8), 0, sz.X, sz.Y)
			within(gtx, at, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.Y = sz.Y
				return th.Label(gtx, draw.Small, font.Medium, th.Dim, "Recent")
			})
			return layout.Dimensions{Size: sz}
		}
		dir := c.Recent[i-1-len(c.places)]
		return c.layoutPlace(gtx, th, sz, i-1, filepath.Base(dir), dir)
	})
}

// layoutPlace draws one folder to go to.
func (c *Chooser) layoutPlace(gtx layout.Context, th *draw.Theme, sz image.Point, i int, name, dir string) layout.Dimensions {
	k := c.goTo[i]
	here := dir == c.list.Dir
	gtx.Constraints = layout.Exact(sz)
	d := k.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		semantic.LabelOp("Go to " + name).Add(gtx.Ops)
		semantic.DescriptionOp(dir).Add(gtx.Ops)
		semantic.SelectedOp(here).Add(gtx.Ops)
		pointer.CursorPointer.Add(gtx.Ops)
		var ground color.NRGBA
		switch {
		case here:
			ground = th.AccentLow
		case k.Hovered():
			ground = th.Hover
		}
		if ground.A > 0 {
			draw.RoundRect(gtx.Ops, image.Rectangle{Max: sz}, gtx.Dp(draw.Radius), ground)
		}
		icon, x := gtx.Sp(16), gtx.Sp(8)
		th.Icon(gtx.Ops, draw.IconOpen, image.Pt(x, (sz.Y-icon)/2), icon, th.Dim)
		x += icon + gtx.Sp(6)
		within(gtx, image.Rect(x, 0, sz.X-gtx.Sp(4), sz.Y), func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.Y = sz.Y
			return th.Label(gtx, draw.Body, font.Normal, th.Text, name)
		})
		return layout.Dimensions{Size: sz}
	})
	if gtx.Focused(k) {
		th.FocusRing(gtx, image.Rectangle{Max: sz}.Inset(gtx.Dp(2)))
	}
	return d
}
