package drills

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/shelf/shelftest"
	"turngauge/ui/shelf/worker"
)

func TestDrillFromTheShelf(t *testing.T) {
	var r *Room
	var c *worker.Client
	w := kittest.New(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"), func(w *kittest.Window) kit.Room {
		c = shelftest.Client(w)
		r = New(w, c)
		return r
	})
	w.Run("drills")
	assert.False(t, r.IsOpen(), "there is no library yet")
	shelftest.Open(t, w, c)
	w.Run("drills")
	w.Frame()
	w.Frame()
	w.Click("Put it on the shelf")
	w.Until("what is missing", func() bool { return w.Shows("The drill needs a name.") })
	w.Frame()
	w.Write("Chair")
	w.Click("Put it on the shelf")
	w.Until("the drill", func() bool { return len(r.list) == 1 })
	w.Frame()
	assert.True(t, w.Focused(&r.name.Editor), "for the next one's name")
	w.Click("Prescribe Chair")
	assert.Equal(t, "Chair", w.Lesson().Prescription.Drill)
	assert.False(t, r.IsOpen())
	w.Run("drills")
	w.Until("it to be counted", func() bool { return len(r.list) == 1 && r.list[0].Used == 1 })
	w.Frame()
	w.Click("Take Chair off the shelf")
	w.Until("an empty shelf", func() bool { return len(r.list) == 0 })
	w.Frame()
	w.Click("Put the drill back")
	w.Until("it to be back", func() bool { return len(r.list) == 1 })
}
