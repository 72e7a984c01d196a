package help

import (
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/manual"
)

func TestHelpShowsTheKeysAndThePagesAndLeadsToTheTour(t *testing.T) {
	list := []*kit.Command{
		{ID: "tour", Group: "Lesson", Help: "A tour of the window", Keys: kit.WithMod(key.ModShift, key.NameF1)},
		{ID: "fine", Group: "Marks", Help: "Said elsewhere", Keys: kit.On("X"), Hidden: true},
	}
	w := kittest.New(t, nil, func(w *kittest.Window) kit.Room {
		return New(w, func() []*kit.Command { return list }, Group{Title: "On the shelf", Lines: [][2]string{{"Up", "The one above"}}})
	})
	r := w.Room.(*Room)
	w.Key(key.NameF1, 0)
	w.Frame()
	for _, text := range []string{"A tour of the window", "Shift+F1", "The one above"} {
		assert.True(t, w.Shows(text), text)
	}
	assert.False(t, w.Shows("Said elsewhere"))
	w.Click(manual.Titles[0])
	w.Frame()
	assert.False(t, w.Shows("The one above"))
	r.Show(0)
	w.Frame()
	w.Click("A tour of the window")
	assert.Equal(t, []string{"tour"}, w.Ran)
	assert.False(t, r.IsOpen())
}

func TestAQuestionIsLookedUp(t *testing.T) {
	w := kittest.New(t, nil, func(w *kittest.Window) kit.Room {
		return New(w, func() []*kit.Command { return nil }, Group{Title: "On the shelf", Lines: [][2]string{{"Up", "The one above"}}})
	})
	r := w.Room.(*Room)
	w.Key(key.NameF1, 0)
	w.Frame()
	w.Send(key.EditEvent{Range: key.Range{Start: 1 << 16, End: 1 << 16}, Text: "how far did the hips turn"})
	w.Frame()
	assert.True(t, w.Shows("Pelvis turn"))
	assert.False(t, w.Shows("The one above"))
	require.True(t, r.Escape())
	w.Frame()
	assert.True(t, w.Shows("The one above"), "Esc takes the question back first")
	r.Escape()
	assert.False(t, r.IsOpen())
}

// No column is taller than the least that holds the parts in their order: for
// 3, 3, 2 and 4 in two columns 3+3 | 2+4 is 6 (by hand).
func TestShortest(t *testing.T) {
	assert.Equal(t, 6, shortest([]int{3, 3, 2, 4}, 2))
	assert.Equal(t, 12, shortest([]int{3, 3, 2, 4}, 1))
	assert.Equal(t, 4, shortest([]int{3, 3, 2, 4}, 9))
}
