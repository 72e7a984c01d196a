package sheet

import (
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// rig is a sheet on its own, with what it told.
type rig struct {
	*drawtest.Driver
	sheet  Sheet
	model  *Model
	events []Event
}

func newRig(t *testing.T, w, h int) *rig {
	r := &rig{model: Build(lessonInput())}
	r.sheet.View = Whole
	th := draw.NewFixedTheme(true, 1)
	r.Driver = drawtest.NewDriver(t, w, h, func(gtx layout.Context) {
		for {
			e, ok := r.sheet.Update(gtx, r.model)
			if !ok {
				break
			}
			r.events = append(r.events, e)
		}
		d := r.sheet.Layout(gtx, th, r.model)
		if d.Size != gtx.Constraints.Max {
			t.Errorf("size %v in %v", d.Size, gtx.Constraints.Max)
		}
	})
	return r
}

func (r *rig) last(t *testing.T) Event {
	t.Helper()
	require.NotEmpty(t, r.events)
	return r.events[len(r.events)-1]
}

// enter goes into the sheet by Tab, which passes the header's controls.
func (r *rig) enter() {
	for range 12 {
		if r.sheet.Selected() != "" {
			break
		}
		r.Tab()
	}
}

func TestClickSelectsAndTheCardTells(t *testing.T) {
	r := newRig(t, 360, 700)
	assert.True(t, r.Shows("Forward bend, address"))
	r.Click("Forward bend, address")
	e := r.last(t)
	assert.Equal(t, Selected, e.Kind)
	assert.Equal(t, Key("forward bend", geometry.Address), e.Row.Key)
	n, _ := r.Find("Forward bend, address")
	assert.True(t, n.Selected)
	assert.True(t, r.Shows("joint fit, 2 views"), "the card gives the method")
	assert.Contains(t, n.Description, "39.4° ± 1.2")
}

func TestPointingShowsTheCardWithoutSelecting(t *testing.T) {
	r := newRig(t, 360, 700)
	r.Hover("Lead foot flare, address")
	assert.Equal(t, Key("lead foot flare", geometry.Address), r.sheet.Hovered())
	assert.Empty(t, r.sheet.Selected())
	assert.Empty(t, r.events)
	assert.True(t, r.Shows("10 to 30°: 100 % within"))
	r.HoverAt(f32.Pt(100, 690)) // on the card: the row is no longer pointed at
	assert.Empty(t, r.sheet.Hovered())
	assert.True(t, r.Shows("10 to 30°: 100 % within"), "but the card stays")
	r.HoverAt(f32.Pt(-50, -50))
	assert.False(t, r.Shows("10 to 30°: 100 % within"))
}

func TestKeysWalkTheRowsAndKeepThemInView(t *testing.T) {
	r := newRig(t, 360, 480)
	r.enter()
	first := r.sheet.items[1].row
	require.Equal(t, first.Key, r.sheet.Selected(), "Tab reaches the sheet and selects its first row")
	var want []string
	for _, it := range r.sheet.items[1:] {
		if it.row != nil {
			want = append(want, it.row.Key)
		}
	}
	got := []string{r.sheet.Selected()}
	for range want[1:] {
		r.Key(key.NameDownArrow, 0)
		got = append(got, r.sheet.Selected())
		it := r.sheet.items[r.sheet.index()]
		assert.GreaterOrEqual(t, it.top, r.sheet.offset)
		assert.LessOrEqual(t, it.bot, r.sheet.offset+r.sheet.view)
	}
	assert.Equal(t, want, got)
	r.Key(key.NameDownArrow, 0)
	assert.Equal(t, want[len(want)-1], r.sheet.Selected(), "stays at the end")
	r.Key(key.NameHome, 0)
	assert.Equal(t, want[0], r.sheet.Selected())
	r.Key(key.NamePageDown, 0)
	assert.NotEqual(t, want[0], r.sheet.Selected())
	r.Key(key.NameEnd, 0)
	r.Key(key.NamePageUp, 0)
	assert.NotEqual(t, want[len(want)-1], r.sheet.Selected())
	r.Key(key.NameUpArrow, 0)
	r.Key(key.NameReturn, 0)
	assert.Equal(t, Opened, r.last(t).Kind)
}

// A row that is chosen with the keyboard is pointed at while the sheet has that, and, once it
// is shown, while its key position is.
func TestKeysPointAtRows(t *testing.T) {
	r := newRig(t, 360, 480)
	assert.Empty(t, r.sheet.Pointed())
	r.enter()
	r.Key(key.NameDownArrow, 0)
	chosen := r.sheet.Selected()
	assert.Equal(t, chosen, r.sheet.Pointed())
	r.Key(key.NameReturn, 0)
	row := r.last(t).Row
	r.sheet.At = row.Position
	assert.Equal(t, chosen, r.sheet.Pointed())
	r.sheet.At = "elsewhere"
	assert.Empty(t, r.sheet.Pointed(), "another is shown")
	r.Key(key.NameDownArrow, 0)
	assert.Equal(t, r.sheet.Selected(), r.sheet.Pointed(), "chosen anew")
}

// TestKeysOnTheFirstRow: what can be done with any row can be done with the first.
func TestKeysOnTheFirstRow(t *testing.T) {
	r := newRig(t, 360, 480)
	r.enter()
	first := r.sheet.items[r.sheet.index()].row
	r.Key(key.NameReturn, 0)
	assert.Equal(t, Event{Kind: Opened, Row: first}, r.last(t))
	r.Key("C", key.ModShortcut)
	assert.Equal(t, Event{Kind: Copied, Row: first, Text: first.Text() + "\n"}, r.last(t))
}

// TestGoingUpShowsTheWholeRow: a row that comes into view from above is not left behind
// the heading that stays at the top.
func TestGoingUpShowsTheWholeRow(t *testing.T) {
	r := newRig(t, 360, 480)
	r.enter()
	r.Key(key.NameEnd, 0)
	for range r.sheet.items {
		r.Key(key.NameUpArrow, 0)
		it := r.sheet.items[r.sheet.index()]
		assert.GreaterOrEqual(t, it.top, r.sheet.offset)
		assert.LessOrEqual(t, it.bot, r.sheet.offset+r.sheet.view)
		if g := r.sheet.items[1].row; it.row != g {
			assert.GreaterOrEqual(t, it.top-r.sheet.offset, r.sheet.items[1].top-r.sheet.items[0].top, "below the heading")
		}
	}
}

// TestWhatIsMarkedWorst is told by name, and leads to its position.
func TestWhatIsMarkedWorst(t *testing.T) {
	r := newRig(t, 360, 700)
	r.model.marked = marked{says: "Your marks agree to 1.9 px", worst: "The hips at impact fit one body less well", at: geometry.Impact}
	r.Frame()
	assert.True(t, r.Shows("The hips at impact fit one body less well"))
	r.Click("The hips at impact fit one body less well")
	assert.Equal(t, Event{Kind: WentTo, At: geometry.Impact}, r.last(t))
}

func TestCopy(t *testing.T) {
	r := newRig(t, 360, 700)
	r.Click("Copy the sheet")
	assert.Equal(t, Event{Kind: Copied, Text: r.model.Text()}, r.last(t))
	r.Click("Lead foot flare, address")
	r.Click("Copy this row")
	e := r.last(t)
	assert.Equal(t, Copied, e.Kind)
	assert.Equal(t, e.Row.Text()+"\n", e.Text)
	r.Click("Lead foot flare, address")
	r.Key("C", key.ModShortcut)
	assert.Equal(t, e.Text, r.last(t).Text)
	r.Key("C", key.ModShortcut|key.ModShift)
	assert.Equal(t, r.model.Text(), r.last(t).Text)
}

func TestFilters(t *testing.T) {
	r := newRig(t, 360, 1100)
	assert.True(t, r.Shows("Balance, address"))
	r.Click("Only measured")
	assert.False(t, r.Shows("Balance, address"))
	r.Click("Only measured")
	r.sheet.At = geometry.Impact
	r.Frame()
	r.Frame()
	assert.True(t, r.Shows("Pelvis turn, impact"), "the rows of the stages' position come into view")
	r.Click("Here")
	assert.Equal(t, AtNow, r.sheet.View)
	for _, it := range r.sheet.items {
		if it.row != nil {
			assert.Equal(t, geometry.Impact, it.row.Position)
		}
	}
	r.Click("Change")
	assert.True(t, r.sheet.Changes)
	r.sheet.At = geometry.Finish
	r.Frame()
	assert.Empty(t, r.sheet.items)
	r.Click("All")
	assert.Len(t, r.sheet.items, 30+len(r.model.Groups))
}

// What is known stands first: what lies outside, the surest before the others,
// then what lies within, then what is settled at one end.
func TestWhatIsKnownStandsFirst(t *testing.T) {
	r := newRig(t, 416, 1100)
	r.sheet.View, r.sheet.At = Known, geometry.Top
	r.Frame()
	r.Frame()
	var titles []string
	last, judged := draw.Verdict(0), 0
	sure := 1.0
	for _, it := range r.sheet.items {
		if it.row == nil {
			titles, sure = append(titles, it.group.Title), 1
			continue
		}
		judged++
		assert.LessOrEqual(t, it.row.Probability, sure, "%s", it.row.Key)
		sure, last = it.row.Probability, it.row.Verdict
	}
	assert.Equal(t, []string{"Outside the range", "Within the range", "One end is settled"}, titles)
	assert.False(t, last.TwoSided())
	want := 0
	for _, g := range r.model.Groups {
		for i := range g.Rows {
			if g.Rows[i].Verdict != draw.NoVerdict {
				want++
			}
		}
	}
	assert.Equal(t, want, judged, "every judged row, and no other")

	r.Click("Stance width, address")
	assert.Equal(t, Key("stance width", geometry.Address), r.last(t).Row.Key)
	r.Click("Change")
	assert.Equal(t, "Changed", r.sheet.items[0].group.Title)
	assert.True(t, r.sheet.items[1].row.ChangeTold)

	// Where nothing is judged yet, what to mark is shown.
	r.model = Build(Input{Missing: []geometry.Missing{{Name: "balance", Position: geometry.Address}}})
	r.Frame()
	assert.True(t, r.Shows("Balance, address"))
}

func TestScrollStaysInsideTheList(t *testing.T) {
	r := newRig(t, 360, 480)
	at := f32.Pt(100, 200)
	r.Scroll(at, 60)
	assert.Equal(t, 60, r.sheet.offset)
	r.Scroll(at, 1e5)
	assert.Equal(t, r.sheet.total-r.sheet.view, r.sheet.offset)
	r.Scroll(at, -1e6)
	assert.Zero(t, r.sheet.offset)
	r.HoverAt(at)
	was := r.sheet.Hovered()
	assert.NotEmpty(t, was)
	r.Scroll(at, 120)
	assert.NotEqual(t, was, r.sheet.Hovered(), "another row has come under the pointer")
}

func TestANewModelKeepsTheSelection(t *testing.T) {
	r := newRig(t, 360, 700)
	r.Click("Forward bend, address")
	r.model = Build(lessonInput())
	r.Frame()
	assert.Equal(t, Key("forward bend", geometry.Address), r.sheet.Selected())
	r.model = Build(Input{Why: "mark both hips at address"})
	r.Frame()
	r.Key(key.NameDownArrow, 0)
	r.Key("C", key.ModShortcut)
	assert.True(t, r.Shows("Nothing is measured yet: mark both hips at address. The numbers appear here as you go."))
	r.model = nil
	r.Frame()
	r.Key("C", key.ModShortcut|key.ModShift)
}

// Any size and scale must be laid out: sizes of zero, a sliver, text twice as
// big as meant for the width.
func TestAnySize(t *testing.T) {
	m := Build(lessonInput())
	for _, text := range []float32{0.8, 1, 1.5, 2} {
		th := draw.NewFixedTheme(true, text)
		for _, w := range []int{0, 3, 40, 120, 300, 420, 560, 1400} {
			for _, h := range []int{0, 5, 90, 300, 900} {
				s := Sheet{At: geometry.Top}
				s.Select(Key("pelvis turn", geometry.Top))
				var ops op.Ops
				gtx := drawtest.Context(&ops, w, h, 1.5)
				assert.Equal(t, gtx.Constraints.Max, s.Layout(gtx, th, m).Size)
			}
		}
	}
}

// The parts of a row must not overlap, at any width the window allows.
func TestColumnsDoNotOverlap(t *testing.T) {
	m := Build(lessonInput())
	for _, text := range []float32{0.8, 1, 1.25, 1.5, 2} {
		th := draw.NewFixedTheme(true, text)
		for w := 300; w <= 700; w += 5 {
			for _, changes := range []bool{false, true} {
				s := Sheet{Changes: changes}
				s.build(m)
				var ops op.Ops
				gtx := th.Context(drawtest.Context(&ops, w, 400, 1))
				c := s.measureColumns(gtx, th, w)
				switch c.form {
				case wide:
					assert.LessOrEqual(t, c.nameEnd, c.numberStart)
					assert.LessOrEqual(t, c.numberEnd, c.scale0)
					assert.LessOrEqual(t, c.scale1, c.verdict)
					assert.GreaterOrEqual(t, c.scale1-c.scale0, gtx.Sp(scaleRoom)-1)
				case twoLine:
					assert.LessOrEqual(t, c.nameEnd, c.numberStart)
					assert.LessOrEqual(t, c.scale1, c.verdict)
				case stacked:
					assert.LessOrEqual(t, c.numberEnd, w-c.pad)
				}
				assert.Less(t, c.scale0, c.scale1, "width %d, text %g", w, text)
			}
		}
	}
}

func BenchmarkSheet(b *testing.B) {
	m := Build(lessonInput())
	th := draw.NewFixedTheme(true, 1)
	var s Sheet
	s.Select(Key("pelvis turn", geometry.Top))
	var ops op.Ops
	gtx := drawtest.Context(&ops, 560, 1000, 1)
	b.ReportAllocs()
	for b.Loop() {
		ops.Reset()
		for {
			if _, ok := s.Update(gtx, m); !ok {
				break
			}
		}
		s.Layout(gtx, th, m)
	}
}

func BenchmarkBuild(b *testing.B) {
	in := lessonInput()
	b.ReportAllocs()
	for b.Loop() {
		Build(in)
	}
}
