package ui

import (
	"image"
	"slices"
	"testing"

	"gioui.org/io/semantic"
	"github.com/stretchr/testify/assert"

	"turngauge/annotations"
	"turngauge/annotations/repeatability"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/help"
	"turngauge/ui/repeats"
)

// shown lays the window out at a size, as it is seen when nothing moves any more.
func (h *harness) shown(size image.Point, scale float32) {
	h.t.Helper()
	h.size = size
	h.a.settings.TextScale = scale
	for range 3 {
		h.frame()
	}
	if h.a.desk != nil {
		h.rest()
	}
	h.frame()
}

// reads asserts that texts are in the window, one after the other.
func (h *harness) reads(texts ...string) {
	h.t.Helper()
	nodes := h.nodes()
	for _, text := range texts {
		i := 0
		for i < len(nodes) && nodes[i].Desc.Label != text {
			i++
		}
		if !assert.Less(h.t, i, len(nodes), "%q is not there, or not behind what was before it", text) {
			return
		}
		nodes = nodes[i+1:]
	}
}

// controls asserts that what can be clicked under these names lies in the window and
// that none lies over another, and returns where each is.
func (h *harness) controls(names ...string) map[string]image.Rectangle {
	h.t.Helper()
	at := make(map[string]image.Rectangle)
	for _, n := range h.nodes() {
		switch n.Desc.Class {
		case semantic.Button, semantic.Switch, semantic.RadioButton:
			if slices.Contains(names, n.Desc.Label) {
				at[n.Desc.Label] = n.Desc.Bounds // what is drawn last lies on top
			}
		}
	}
	for _, name := range names {
		b := at[name]
		assert.True(h.t, !b.Empty() && b.In(image.Rectangle{Max: h.size}), "%q at %v is not in the window", name, b)
		for other, o := range at {
			assert.True(h.t, other == name || !b.Overlaps(o), "%q covers %q", name, other)
		}
	}
	return at
}

var smallWindow, largeWindow = image.Pt(1100, 700), image.Pt(1600, 1000)

func TestFirstWindowSaysWhatItIsForAndHowToBegin(t *testing.T) {
	h := newHarness(t)
	h.shown(smallWindow, 1)
	h.reads("Turngauge",
		"Measure a golfer's turn, sway and posture from two clips of one swing, and see how sure each number is.",
		"Open the demo lesson", "New student", "Open …",
		"Drop your clips here", "one filmed face-on, one down-the-line, of the same swing",
		"Film", "Mark", "Read",
		"Not a medical device. Pain or injury: stop, and see a licensed professional. A coach's judgement comes first.")
	at := h.controls("Open the demo lesson", "New student", "Open …")
	assert.Less(t, at["Open the demo lesson"].Max.X, at["New student"].Min.X)
	film, mark, read := h.find("Film"), h.find("Mark"), h.find("Read")
	assert.True(t, film.Min.Y == mark.Min.Y && mark.Min.Y == read.Min.Y && film.Max.X < mark.Min.X && mark.Max.X < read.Min.X, "three steps side by side")
	assert.True(t, h.find("Drop your clips here").Max.Y < film.Min.Y)
}

func TestEveryPointCanBeChosenByItsName(t *testing.T) {
	h := staged(t)
	h.a.Run("points")
	h.shown(smallWindow, 1)
	h.reads("Point chooser", "Choose a point")
	var names []string
	for p := range geometry.Point(geometry.NumPoints) {
		names = append(names, p.String())
	}
	card := h.find("Point chooser")
	for name, at := range h.controls(names...) {
		assert.True(t, at.In(card), "%s at %v in %v", name, at, card)
	}
}

// tabs are the pages of the help.
var tabs = []string{"Keys", "Film it", "Mark it", "Read it", "Measures"}

func TestHelpListsEveryCommandWithItsKeys(t *testing.T) {
	h := staged(t)
	roomOf[*help.Room](h.a).Show(0)
	h.shown(largeWindow, 1)
	h.controls(tabs...)
	listed := 0
	for _, c := range h.a.commands.list {
		if c.Hidden || c.Help == "" {
			continue
		}
		listed++
		at := h.find(c.Help)
		assert.True(t, at.Min.In(image.Rectangle{Max: h.size}) && at.Max.X <= h.size.X, "%s at %v", c.Help, at)
		if keys := h.a.Shortcut(c.ID); keys != "" {
			assert.True(t, h.shows(keys), "%s: %s", c.Help, keys)
		}
	}
	assert.Greater(t, listed, 60)
}

func TestPagesOfTheHelp(t *testing.T) {
	const caution = "Not a medical device. Pain or injury: stop, and see a licensed professional. A coach's judgement comes first."
	for page, c := range []struct {
		size  image.Point
		scale float32
		says  []string
	}{
		1: {largeWindow, 1, []string{"Film it", "Two views", "Fast and still", "A stick on the ground", "Clothes that can be told apart", "Sound on",
			"The strike is heard in both clips; by it they are locked together.", caution}},
		2: {smallWindow, 1.375, []string{"Mark it", "Key positions", "Joints, not cloth", "Front and rear", "Hidden is an answer",
			"H says that a point can't be seen, U that you are unsure of it. A guess that looks like knowledge is worse than none.", "What to mark next", "How well you repeat it"}},
		3: {largeWindow, 1, []string{"Read it", "A number with its interval", "within", "below", "above", "can't tell"}},
		4: {largeWindow, 1, nil},
	} {
		if page == 0 {
			continue
		}
		if page == 4 {
			for _, d := range geometry.Definitions() {
				c.says = append(c.says, bench.Title(d.Name), "Exactly: "+d.Definition+".")
			}
		}
		h := newHarness(t)
		roomOf[*help.Room](h.a).Show(page)
		h.shown(c.size, c.scale)
		h.controls(tabs...)
		h.reads(c.says...)
	}
}

func TestErrorOfTheOwnClicksIsTold(t *testing.T) {
	h := staged(t)
	roomIn[*repeats.Room](h.a).Present(geometry.Address, &repeatability.Report{
		Position: geometry.Address, Here: 22, Enough: true, Click: geometry.Repeatability{Pairs: 22, ClickSigmaPx: 1.6},
		ShiftX: geometry.Agreement{Bias: -0.4}, ShiftY: geometry.Agreement{Bias: 0.9},
		Largest: annotations.Repeat{Clip: "fo", Point: geometry.TrailToe}, LargestPx: 12.3,
		Measures: []repeatability.Measure{
			{Name: "forward bend", Unit: geometry.Degrees, First: 33.4, Second: 32.9, SEM: 0.6, MDC95: geometry.MDC95(0.6)},
			{Name: "stance width", Unit: geometry.Centimetres, First: 37.6, Second: 38, SEM: 0.4, MDC95: geometry.MDC95(0.4)},
		},
	})
	h.shown(smallWindow, 1)
	h.reads("1.6 px",
		"is your own click error: one standard deviation of one coordinate, from 22 points marked twice in this lesson. Until you say otherwise the usual 2.5 px counts.",
		"The second time your points at address lie 0.4 px to the right and 0.9 px higher on average. Farthest apart: the trail toe face-on, 12.3 px; if that was a slip, throw these away and mark again.",
		"Throw the second marks away", "Close", "Use 1.6 px from now on",
		"Measure", "first", "second", "by your clicks", "smallest real change",
		"Forward bend", "33.4°", "32.9°", "± 0.6", "1.7°", // 1.96 sqrt 2 times 0.6
		"Stance width", "37.6 cm", "38.0 cm", "± 0.4 cm", "1.1 cm")
	h.controls("Throw the second marks away", "Close", "Use 1.6 px from now on")
}

func TestStepsOfTheTour(t *testing.T) {
	for _, c := range []struct {
		step  int
		size  image.Point
		panel string // something of what it is about, which it must not cover
		says  []string
	}{
		{2, largeWindow, "Choose another point", []string{"Step 3 of 5", "Marking"}},
		{3, smallWindow, "Pelvis turn, top", []string{"Step 4 of 5", "The sheet",
			"What is decided stands first: what lies outside or within its target range, or is settled at one end, and how surely; can't tell is an answer. All lists every number with its interval, and which point to mark for what is missing."}},
	} {
		h := staged(t)
		h.a.tour.Start()
		h.a.tour.Show(c.step)
		h.shown(c.size, 1)
		h.reads(append([]string{c.panel}, c.says...)...)
		about := h.find(c.panel)
		for name, r := range h.controls("Skip the tour", "Back", "Next") {
			assert.False(t, r.Overlaps(about), name)
		}
	}
}
