package drawtest

import (
	"image"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
)

// Driver lays out a part of the window without a window, and sends it events
// the way a user would: at places found by their semantic labels.
type Driver struct {
	t      testing.TB
	router input.Router
	ops    op.Ops
	size   image.Point
	now    time.Time
	clock  time.Duration
	layout func(gtx layout.Context)
}

// NewDriver returns a driver of a part w by h pixels at one pixel per dp. It
// draws two frames, so that every filter is known.
func NewDriver(t testing.TB, w, h int, layout func(gtx layout.Context)) *Driver {
	d := &Driver{t: t, size: image.Pt(w, h), now: Now, layout: layout}
	d.Frame()
	d.Frame()
	return d
}

// Context returns a context for the next frame without starting it.
func (d *Driver) context() layout.Context {
	return layout.Context{
		Ops: &d.ops, Now: d.now, Source: d.router.Source(),
		Metric:      unit.Metric{PxPerDp: 1, PxPerSp: 1},
		Constraints: layout.Exact(d.size),
	}
}

// Frame draws a frame.
func (d *Driver) Frame() {
	d.ops.Reset()
	d.layout(d.context())
	d.router.Frame(&d.ops)
}

// Wait lets time pass and draws a frame.
func (d *Driver) Wait(by time.Duration) {
	d.now = d.now.Add(by)
	d.clock += by
	d.Frame()
}

// Send queues events and draws a frame.
func (d *Driver) Send(events ...event.Event) {
	d.router.Queue(events...)
	d.Frame()
}

// Focused reports whether what has a tag has the keyboard.
func (d *Driver) Focused(tag event.Tag) bool { return d.router.Source().Focused(tag) }

// Nodes returns every semantic node of the last frame.
func (d *Driver) Nodes() []input.SemanticNode {
	return d.router.AppendSemantics(nil)
}

// Find returns the first node with the label; of several, one with a class
// other than plain text comes first.
func (d *Driver) Find(label string) (input.SemanticDesc, bool) {
	var found input.SemanticDesc
	ok := false
	for _, n := range d.Nodes() {
		if n.Desc.Label == label && (!ok || found.Class == semantic.Unknown && n.Desc.Class != semantic.Unknown) {
			found, ok = n.Desc, true
		}
	}
	return found, ok
}

// Shows reports whether a node with the label is laid out.
func (d *Driver) Shows(label string) bool {
	_, ok := d.Find(label)
	return ok
}

func (d *Driver) middle(label string) f32.Point {
	d.t.Helper()
	n, ok := d.Find(label)
	if !ok {
		d.t.Fatalf("nothing is called %q", label)
	}
	return layout.FPt(n.Bounds.Min.Add(n.Bounds.Max)).Mul(0.5)
}

// Hover moves the pointer over the node with the label.
func (d *Driver) Hover(label string) {
	d.t.Helper()
	d.HoverAt(d.middle(label))
}

// HoverAt moves the pointer.
func (d *Driver) HoverAt(at f32.Point) {
	d.clock += 10 * time.Millisecond
	d.Send(pointer.Event{Kind: pointer.Move, Source: pointer.Mouse, Position: at, Time: d.clock})
	d.Frame()
}

// Click clicks the node with the label.
func (d *Driver) Click(label string) {
	d.t.Helper()
	d.ClickAt(d.middle(label))
}

// ClickWith clicks the node with the label while modifier keys are held.
func (d *Driver) ClickWith(label string, held key.Modifiers) {
	d.t.Helper()
	d.clickAt(d.middle(label), held)
}

// ClickAt clicks a place.
func (d *Driver) ClickAt(at f32.Point) { d.clickAt(at, 0) }

func (d *Driver) clickAt(at f32.Point, held key.Modifiers) {
	d.clock += time.Second
	d.Send(pointer.Event{Kind: pointer.Move, Source: pointer.Mouse, Position: at, Time: d.clock})
	d.Send(
		pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: at, Modifiers: held, Time: d.clock},
		pointer.Event{Kind: pointer.Release, Source: pointer.Mouse, Position: at, Modifiers: held, Time: d.clock + 50*time.Millisecond},
	)
	d.Frame()
}

// Scroll turns the wheel over a place by px pixels, down if positive.
func (d *Driver) Scroll(at f32.Point, px float32) {
	d.Send(pointer.Event{Kind: pointer.Scroll, Source: pointer.Mouse, Position: at, Scroll: f32.Pt(0, px)})
	d.Frame()
}

// Key presses and releases a key.
func (d *Driver) Key(name key.Name, mods key.Modifiers) {
	d.Send(
		key.Event{Name: name, Modifiers: mods, State: key.Press},
		key.Event{Name: name, Modifiers: mods, State: key.Release},
	)
	d.Frame()
}

// Tab moves the keyboard focus on, the way the window does for Tab.
func (d *Driver) Tab() {
	d.router.MoveFocus(key.FocusForward)
	d.Frame()
	d.Frame()
}
