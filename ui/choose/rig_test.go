package choose

import (
	"image"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
	"gioui.org/widget"
	"github.com/stretchr/testify/require"

	"turngauge/ui/draw"
)

// rig is a window without a window: a router that frames are laid out for and events are put into.
type rig struct {
	t      *testing.T
	c      *Chooser
	th     *draw.Theme
	router input.Router
	ops    op.Ops
	size   image.Point
	now    time.Time
	awake  chan struct{}
	behind widget.Clickable // what lies behind the panel
	hits   int              // clicks it got

	paths []string
	done  int // how often Update said it was over
}

func newRig(t *testing.T, kinds ...Kind) *rig {
	t.Helper()
	r := &rig{
		t: t, th: draw.NewFixedTheme(true, 1), size: image.Pt(1000, 700),
		now: time.Date(2026, 5, 2, 10, 0, 0, 0, time.UTC), awake: make(chan struct{}, 100),
	}
	r.c = New(func() { r.awake <- struct{}{} }, kinds...)
	return r
}

// frame runs one frame of the window.
func (r *rig) frame() {
	r.ops.Reset()
	r.now = r.now.Add(10 * time.Millisecond)
	gtx := layout.Context{
		Ops: &r.ops, Source: r.router.Source(), Now: r.now,
		Metric: unit.Metric{PxPerDp: 1, PxPerSp: 1}, Constraints: layout.Exact(r.size),
	}
	if paths, done := r.c.Update(gtx); done {
		r.paths = paths
		r.done++
	}
	if r.behind.Clicked(gtx) {
		r.hits++
	}
	r.behind.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Dimensions{Size: gtx.Constraints.Max}
	})
	r.c.Layout(gtx, r.th)
	r.router.Frame(&r.ops)
}

// settle runs frames until no other goroutine owes an answer.
func (r *rig) settle() {
	r.t.Helper()
	r.frame()
	deadline := time.After(20 * time.Second)
	for r.c.asking != nil || r.c.reading != nil || r.c.resolving != nil || r.c.looking != nil {
		select {
		case <-r.awake:
		case <-deadline:
			require.Fail(r.t, "the folder was never read")
		}
		r.frame()
	}
	r.frame()
	r.frame()
}

// node finds what is on the panel by its semantic label; of several, what can be clicked.
func (r *rig) node(label string) (found input.SemanticDesc, ok bool) {
	for _, n := range r.router.AppendSemantics(nil) {
		if n.Desc.Label == label && (!ok || n.Desc.Gestures != 0) {
			found, ok = n.Desc, true
		}
	}
	return found, ok
}

func (r *rig) at(label string) f32.Point {
	r.t.Helper()
	n, ok := r.node(label)
	require.True(r.t, ok, "%q is not on the panel", label)
	b := n.Bounds
	return f32.Pt(float32(b.Min.X+b.Max.X)/2, float32(b.Min.Y+b.Max.Y)/2)
}

// click clicks on something, n times in a row.
func (r *rig) click(label string, n int, mods key.Modifiers) {
	r.t.Helper()
	r.clickAt(r.at(label), n, mods)
}

func (r *rig) clickAt(p f32.Point, n int, mods key.Modifiers) {
	r.t.Helper()
	at := r.now.Sub(time.Time{})
	for i := range n {
		when := at + time.Duration(i)*20*time.Millisecond
		r.router.Queue(
			pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: p, Modifiers: mods, Time: when},
			pointer.Event{Kind: pointer.Release, Source: pointer.Mouse, Position: p, Modifiers: mods, Time: when + 5*time.Millisecond},
		)
	}
	r.now = r.now.Add(2 * time.Second) // the next click is another one
	r.settle()
}

// press presses and lets go of a key.
func (r *rig) press(name key.Name, mods key.Modifiers) {
	r.t.Helper()
	r.router.Queue(
		key.Event{Name: name, Modifiers: mods, State: key.Press},
		key.Event{Name: name, Modifiers: mods, State: key.Release},
	)
	r.settle()
}

// typeText types text where the keyboard is.
func (r *rig) typeText(s string) {
	r.t.Helper()
	r.router.Queue(key.EditEvent{Text: s})
	r.settle()
}

// selected lists the rows shown as chosen.
func (r *rig) selected() []string {
	var out []string
	for _, n := range r.router.AppendSemantics(nil) {
		if n.Desc.Selected && n.Desc.Gestures != 0 && r.c.list.index(n.Desc.Label) >= 0 {
			out = append(out, n.Desc.Label)
		}
	}
	return out
}
