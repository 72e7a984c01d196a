package panel

import (
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/kit/kittest"
	"turngauge/ui/visit"
)

// swings says, row by row, which swing of the face-on and of the down-the-line film the
// card shows, counted from 1; 0 for none.
func swings(r *Room) [][2]int {
	var out [][2]int
	for _, row := range r.found.Rows {
		var n [2]int
		for k, s := range row.Shots {
			if s.Film != nil {
				n[k] = s.Swing + 1
			}
		}
		out = append(out, n)
	}
	return out
}

func middle(t *testing.T, w *kittest.Window, label string) f32.Point {
	t.Helper()
	for _, n := range w.Nodes() {
		if n.Desc.Label == label {
			b := n.Desc.Bounds
			return f32.Pt(float32(b.Min.X+b.Max.X)/2, float32(b.Min.Y+b.Max.Y)/2)
		}
	}
	t.Fatalf("%s is not there", label)
	return f32.Point{}
}

// TestPicturesAreDragged onto another row, onto the row of their own that shows while one
// is dragged, and beside the card, where nothing happens.
func TestPicturesAreDragged(t *testing.T) {
	t.Parallel()
	r, w, _ := newCard(t)
	drag := func(from string, by f32.Point) {
		a := middle(t, w, from)
		send := func(kind pointer.Kind, at f32.Point) {
			e := pointer.Event{Kind: kind, Source: pointer.Mouse, Position: at, Buttons: pointer.ButtonPrimary}
			if kind == pointer.Release {
				e.Buttons = 0
			}
			w.Send(e)
			w.Frame()
		}
		send(pointer.Press, a)
		send(pointer.Move, a.Add(by.Mul(0.3)))
		send(pointer.Move, a.Add(by))
		assert.True(t, r.drag.on)
		send(pointer.Release, a.Add(by))
		w.Frame()
		assert.False(t, r.drag.on)
	}
	down := float32(r.pitch.Y)
	first := "Swing 1, down-the-line: side.mp4, at 0:01.0"
	drag(first, f32.Pt(5, 2*down))
	assert.Equal(t, [][2]int{{1, 3}, {2, 2}, {3, 1}}, swings(r))
	drag("Swing 3, "+first[9:], f32.Pt(0, down))
	assert.Equal(t, [][2]int{{1, 3}, {2, 2}, {3, 0}, {0, 1}}, swings(r))
	drag("Swing 4, "+first[9:], f32.Pt(-float32(r.pitch.X), 0))
	assert.Equal(t, [][2]int{{1, 3}, {2, 2}, {3, 0}, {1, 0}}, swings(r), "seen from the other side")
	drag("Swing 2, down-the-line: side.mp4, at 0:02.0", f32.Pt(700, 0))
	assert.Equal(t, [][2]int{{1, 3}, {2, 2}, {3, 0}, {1, 0}}, swings(r))
	for range 3 {
		w.Key("Z", key.ModCtrl)
	}
	assert.Equal(t, [][2]int{{1, 1}, {2, 2}, {3, 3}}, swings(r))
	w.Key("Y", key.ModCtrl)
	w.Key("Z", key.ModCtrl|key.ModShift)
	assert.Equal(t, [][2]int{{1, 3}, {2, 2}, {3, 0}, {0, 1}}, swings(r))
	w.Click("Add 4 swings")
	assert.Len(t, w.Lesson().Swings, 4)
	w.Open.StopProposing()
}

// TestPicturesAreTakenAlongByKey: the arrows lead from picture to picture, with Ctrl they
// take it along, and the keyboard stays with it.
func TestPicturesAreTakenAlongByKey(t *testing.T) {
	t.Parallel()
	r, w, _ := newCard(t)
	for range 40 {
		if w.Tab(); r.focusedAt(w) == (visit.Place{Row: 0, View: 0}) {
			break
		}
	}
	require.Equal(t, visit.Place{Row: 0, View: 0}, r.focusedAt(w))
	w.Key(key.NameRightArrow, 0)
	w.Key(key.NameDownArrow, 0)
	require.Equal(t, visit.Place{Row: 1, View: 1}, r.focusedAt(w))
	w.Key(key.NameDownArrow, key.ModCtrl)
	assert.Equal(t, [][2]int{{1, 1}, {2, 3}, {3, 2}}, swings(r))
	require.Equal(t, visit.Place{Row: 2, View: 1}, r.focusedAt(w))
	w.Key(key.NameDownArrow, key.ModCtrl)
	assert.Equal(t, [][2]int{{1, 1}, {2, 3}, {3, 0}, {0, 2}}, swings(r))
	w.Key(key.NameDownArrow, key.ModCtrl)
	assert.Equal(t, [][2]int{{1, 1}, {2, 3}, {3, 0}, {0, 2}}, swings(r), "it has its row for itself")
	w.Key(key.NameUpArrow, key.ModCtrl)
	assert.Equal(t, [][2]int{{1, 1}, {2, 3}, {3, 2}}, swings(r))
	w.Key(key.NameLeftArrow, key.ModCtrl)
	assert.Equal(t, [][2]int{{1, 1}, {2, 3}, {2, 3}}, swings(r), "the views of one swing change places")
	assert.Equal(t, r.found.Films[1], r.found.Rows[2].Shots[0].Film)
	w.Key("Z", key.ModCtrl)
	assert.Equal(t, [][2]int{{1, 1}, {2, 3}, {3, 2}}, swings(r))
}

// focusedAt is the picture that has the keyboard.
func (r *Room) focusedAt(w *kittest.Window) visit.Place {
	for i := range r.rows {
		for k := range r.rows[i].cells {
			if w.Focused(&r.rows[i].cells[k].Clickable) {
				return visit.Place{Row: i, View: k}
			}
		}
	}
	return visit.Place{Row: -1}
}
