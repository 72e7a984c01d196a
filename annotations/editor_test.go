package annotations

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

func mark(clip string, at geometry.PositionName, p geometry.Point, x, y float64) Mark {
	return Mark{Clip: clip, Position: at, Point: p, At: geometry.ImagePt{X: x, Y: y}}
}

func encoded(t testing.TB, l *Lesson) string {
	t.Helper()
	b, err := l.Encode()
	require.NoError(t, err)
	return string(b)
}

func TestUndoAndRedoGoBackAndForth(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	start := encoded(t, e.Lesson())
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: mark("fo", geometry.Address, geometry.Buckle, 960, 560)}))
	require.NoError(t, e.Apply(DeleteMark{Swing: "s1", Clip: "fo", Position: geometry.Address, Point: geometry.LeadHip}))
	end := encoded(t, e.Lesson())
	label, ok := e.CanUndo()
	assert.Equal(t, "delete lead hip", label)
	assert.True(t, ok)
	_, _ = e.Undo()
	label, ok = e.Undo()
	assert.Equal(t, "place buckle", label)
	assert.True(t, ok)
	assert.Equal(t, start, encoded(t, e.Lesson()))
	_, ok = e.Undo()
	assert.False(t, ok)
	_, _ = e.Redo()
	label, ok = e.Redo()
	assert.Equal(t, "delete lead hip", label)
	assert.True(t, ok)
	assert.Equal(t, end, encoded(t, e.Lesson()))
	_, ok = e.Redo()
	assert.False(t, ok)
	_, _ = e.Undo()
	require.NoError(t, e.Apply(SetHeading{Heading: Title, Text: "other"}))
	_, ok = e.CanRedo()
	assert.False(t, ok, "a new edit ends what could be made again")
}

func TestOneGestureIsOneStep(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	start := e.Lesson()
	for x := range 50 {
		require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: mark("fo", geometry.Address, geometry.LeadHip, 900+float64(x), 500), Gesture: 7}))
	}
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: mark("fo", geometry.Address, geometry.TrailHip, 900, 500), Gesture: 7}))
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: mark("fo", geometry.Address, geometry.TrailHip, 901, 500), Gesture: 8}))
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: mark("fo", geometry.Address, geometry.TrailHip, 902, 500)}))
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: mark("fo", geometry.Address, geometry.TrailHip, 903, 500)}))
	steps := 0
	for {
		if _, ok := e.Undo(); !ok {
			break
		}
		steps++
	}
	assert.Equal(t, 5, steps, "the drag; another point; another gesture; and twice no gesture")
	assert.Same(t, start, e.Lesson())
}

func TestAnEditThatChangesNothingIsNoStep(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	m, _ := e.Lesson().Swing("s1").Mark("fo", geometry.Address, geometry.LeadHip)
	l := e.Lesson()
	for _, edit := range []Edit{
		SetMark{Swing: "s1", Mark: m},
		DeleteMark{Swing: "s1", Clip: "fo", Position: geometry.Address, Point: geometry.Ball},
		SetPosition{Swing: "s1", Clip: "fo", Position: geometry.Top, Index: 240, PTS: 90000},
		ClearPosition{Swing: "s1", Clip: "fo", Position: geometry.Impact},
		SetStudent{Student: l.Student},
		SetHeading{Heading: Title, Text: l.Title},
		SetSwing{Swing: "s1", NewLabel: l.Swings[0].Label, Club: l.Swings[0].Club},
		SetClip{Swing: "s1", Clip: l.Swings[0].Clips[0]},
		SetGroundLine{Swing: "s1", Clip: "fo", Line: l.Swings[0].Clips[0].GroundLines[0]},
	} {
		require.NoError(t, e.Apply(edit))
		assert.Same(t, l, e.Lesson(), "%T", edit)
	}
	assert.Zero(t, e.Revision())
	_, ok := e.CanUndo()
	assert.False(t, ok)
}

func TestGroups(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	start := e.Lesson()
	e.Begin("take in a clip")
	require.NoError(t, e.Apply(AddClip{Swing: "s1", Clip: Clip{ID: "n", View: geometry.FaceOn, Width: 100, Height: 100}}))
	e.Begin("inner")
	require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "n", Position: geometry.Impact, Index: 3}))
	e.End()
	e.End()
	label, ok := e.Undo()
	assert.Equal(t, "take in a clip", label)
	assert.True(t, ok)
	assert.Same(t, start, e.Lesson())
	e.Begin("nothing")
	e.End()
	label, _ = e.CanRedo()
	assert.Equal(t, "take in a clip", label, "an empty group is no step")
	e.Begin("thought better of it")
	require.NoError(t, e.Apply(RemoveSwing{Swing: "s1"}))
	e.Cancel()
	assert.Same(t, start, e.Lesson())
	label, _ = e.CanRedo()
	assert.Equal(t, "take in a clip", label, "nor is one that was cancelled")
	e.Begin("left open")
	require.NoError(t, e.Apply(RemoveSwing{Swing: "s1"}))
	label, ok = e.Undo()
	assert.Equal(t, "left open", label)
	assert.True(t, ok)
	assert.Same(t, start, e.Lesson())
}

func TestFaultyEditsChangeNothing(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	l := e.Lesson()
	for _, c := range []struct {
		edit Edit
		want string
	}{
		{SetMark{Swing: "none", Mark: mark("fo", geometry.Top, geometry.Head, 1, 1)}, `there is no swing "none"`},
		{SetMark{Swing: "s1", Mark: mark("none", geometry.Top, geometry.Head, 1, 1)}, `there is no clip "none"`},
		{SetMark{Swing: "s1", Mark: mark("fo", geometry.Impact, geometry.Head, 1, 1)}, `set the frame of "impact" first`},
		{SetMark{Swing: "s1", Mark: mark("fo", geometry.Top, geometry.Head, 9999, 1)}, `far outside the picture`},
		{CopyForward{Swing: "s1", Clip: "fo", To: geometry.Impact}, `set the frame of "impact" first`},
		{CopyForward{Swing: "s1", Clip: "fo", To: geometry.Address}, `no position before "address" has marks`},
		{AddSwing{Swing{ID: "s1"}}, `already the id`},
		{AddSwing{Swing{}}, `is missing`},
		{AddClip{Swing: "s1", Clip: Clip{ID: "fo", View: geometry.FaceOn, Width: 100, Height: 100}}, `already the id`},
		{SetClip{Swing: "s1", Clip: Clip{ID: "fo", View: geometry.FaceOn, Width: 100, Height: 100}}, `far outside the picture`},
		{RemoveClip{Swing: "s1", Clip: "none"}, `there is no clip "none"`},
		{SetGroundLine{Swing: "s1", Clip: "fo", Index: 2}, `no ground line 3`},
		{DeleteGroundLine{Swing: "s1", Clip: "dl"}, `no ground line 1`},
		{SetStudent{Student: Student{StatureM: 17}}, `student.stature_m: 17 is not from`},
		{SetHeading{Heading: Date, Text: "today"}, `is not a date`},
	} {
		err := e.Apply(c.edit)
		require.ErrorContains(t, err, c.want, "%T", c.edit)
		assert.Same(t, l, e.Lesson())
	}
	_, ok := e.CanUndo()
	assert.False(t, ok)
}

func TestPositionsStandInOrder(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	for _, p := range []struct {
		name  geometry.PositionName
		index int
	}{{geometry.Finish, 500}, {geometry.Impact, 300}, {geometry.LeadArmLevel, 200}, {"half way", 270}} {
		require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "fo", Position: p.name, Index: p.index, PTS: int64(p.index) * 375}))
	}
	var names []geometry.PositionName
	for _, p := range e.Lesson().Swings[0].Positions {
		names = append(names, p.Name)
	}
	assert.Equal(t, []geometry.PositionName{"address", "lead arm level", "top", "half way", "impact", "finish"}, names)
	name, ok := e.Lesson().Swings[0].PositionAt("fo", 270)
	assert.True(t, ok)
	assert.Equal(t, geometry.PositionName("half way"), name)
}

func TestMovingAPositionTurnsItsMarksIntoProposals(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "fo", Position: geometry.Address, Index: 15, PTS: 5625}))
	s := &e.Lesson().Swings[0]
	m, _ := s.Mark("fo", geometry.Address, geometry.LeadHip)
	assert.Equal(t, geometry.Proposed, m.State)
	assert.Zero(t, m.SDPx)
	m, _ = s.Mark("dl", geometry.Address, geometry.LeadHip)
	assert.Equal(t, geometry.Hidden, m.State, "the other clip's marks stay as they are")
}

func TestCopyForward(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: Mark{Clip: "fo", Position: geometry.Address, Point: geometry.TrailToe, State: geometry.Hidden}}))
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: mark("fo", geometry.Top, geometry.TrailHip, 1, 1)}))
	require.NoError(t, e.Apply(CopyForward{Swing: "s1", Clip: "fo", To: geometry.Top}))
	s := &e.Lesson().Swings[0]
	m, ok := s.Mark("fo", geometry.Top, geometry.LeadHip)
	require.True(t, ok)
	assert.Equal(t, Mark{Clip: "fo", Position: geometry.Top, Point: geometry.LeadHip, At: geometry.ImagePt{X: 1001.5, Y: 577}, State: geometry.Proposed}, m)
	m, _ = s.Mark("fo", geometry.Top, geometry.TrailHip)
	assert.Equal(t, geometry.Placed, m.State, "what is marked stays")
	assert.Equal(t, 1.0, m.At.X)
	m, _ = s.Mark("fo", geometry.Top, geometry.TrailToe)
	assert.Equal(t, geometry.Hidden, m.State)
}

func TestRemovingAClipTakesItsMarksAlong(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	require.NoError(t, e.Apply(RemoveClip{Swing: "s1", Clip: "fo"}))
	s := &e.Lesson().Swings[0]
	assert.Len(t, s.Marks, 1)
	assert.Nil(t, s.Position(geometry.Top), "only that clip had a frame there")
	assert.NotNil(t, s.Position(geometry.Address))
}

// TestALessonHandedOutNeverChanges keeps every lesson of a long random
// session, with its document, and compares at the end.
func TestALessonHandedOutNeverChanges(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	rng := rand.New(rand.NewPCG(1, 2))
	var kept []*Lesson
	var docs []string
	for range 400 {
		session(e, func(n int) int { return rng.IntN(n) })
		kept = append(kept, e.Lesson())
		docs = append(docs, encoded(t, e.Lesson()))
	}
	for i := range kept {
		require.Equal(t, docs[i], encoded(t, kept[i]))
	}
}

// session makes one action of a coach, chosen by pick.
func session(e *Editor, pick func(n int) int) string {
	clips := []string{"fo", "dl", "n1", "n2"}
	clip := clips[pick(len(clips))]
	swing := []string{"s1", "s1", "s1", "s2"}[pick(4)]
	name := append(geometry.KeyPositions, "half way")[pick(8)]
	point := geometry.Point(pick(geometry.NumPoints))
	num := func() float64 { return float64(pick(256))*9.37 - 300 }
	var edit Edit
	switch pick(21) {
	case 20:
		list := make([]Repeat, pick(3))
		for i := range list {
			list[i] = Repeat{Clip: clip, Point: geometry.Point(pick(geometry.NumPoints)), First: geometry.ImagePt{X: num(), Y: num()}, Second: geometry.ImagePt{X: num(), Y: num()}}
		}
		edit = SetRepeats{Swing: swing, Position: name, Repeats: list, ClickSDPx: float64(pick(3)), Gesture: uint64(pick(2))}
	case 0, 1, 2, 3, 4:
		m := mark(clip, name, point, num(), num())
		m.State = geometry.MarkState(pick(4))
		m.SDPx = float64(pick(3))
		edit = SetMark{Swing: swing, Mark: m, Gesture: uint64(pick(3))}
	case 5:
		edit = DeleteMark{Swing: swing, Clip: clip, Position: name, Point: point}
	case 6, 7:
		edit = SetPosition{Swing: swing, Clip: clip, Position: name, Index: pick(256), PTS: int64(pick(256))}
	case 8:
		edit = ClearPosition{Swing: swing, Clip: clip, Position: name}
	case 9:
		edit = CopyForward{Swing: swing, Clip: clip, To: name}
	case 10:
		edit = AddClip{Swing: swing, Clip: Clip{ID: clip, View: geometry.View(pick(4)), Width: 10 + pick(2000), Height: 1080}}
	case 11:
		edit = RemoveClip{Swing: swing, Clip: clip}
	case 12:
		edit = SetClip{Swing: swing, Clip: Clip{ID: clip, View: geometry.FaceOn, Width: 1920, Height: 1080, TimeBase: [2]int64{1, int64(pick(3))}}}
	case 13:
		line := GroundLine{LengthM: float64(pick(3)), Ends: [2]geometry.ImagePt{{X: num(), Y: num()}, {X: num(), Y: num()}}}
		edit = SetGroundLine{Swing: swing, Clip: clip, Index: pick(3), Line: line, Gesture: uint64(pick(2))}
	case 14:
		edit = DeleteGroundLine{Swing: swing, Clip: clip, Index: pick(2)}
	case 15:
		edit = SetStudent{Student: Student{Name: "Mara Lindqvist", Handed: geometry.Handed(pick(3)), StatureM: float64(pick(4))}, Gesture: uint64(pick(2))}
	case 16:
		edit = SetHeading{Heading: []Heading{Title, Date, Coach, Place, Notes}[pick(5)], Text: []string{"", "2026-05-02", "\"å\n"}[pick(3)], Gesture: uint64(pick(2))}
	case 17:
		edit = []Edit{
			AddSwing{Swing{ID: "s2", Clips: []Clip{{ID: "fo", View: geometry.FaceOn, Width: 640, Height: 480}}}},
			RemoveSwing{Swing: swing},
			SetSwing{Swing: swing, NewLabel: "rehearsal", Club: Club{LengthM: float64(pick(3)) / 2}},
		}[pick(3)]
	case 18:
		switch pick(3) {
		case 0:
			e.Begin("group")
		case 1:
			e.End()
		default:
			e.Cancel()
		}
		return "group"
	default:
		if pick(2) == 0 {
			_, _ = e.Undo()
			return "undo"
		}
		_, _ = e.Redo()
		return "redo"
	}
	err := e.Apply(edit)
	return fmt.Sprintf("%#v: %v", edit, err)
}

// FuzzSession lets the bytes choose what a coach does, and checks after each
// action that the document is valid; at the end, that undoing everything gives
// the document of the beginning, and redoing as much that of the end.
func FuzzSession(f *testing.F) {
	f.Add([]byte("\x00\x00\x01\x05\x00\x10\x10\x00\x00\x01"))
	rng := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		b := make([]byte, 600)
		for i := range b {
			b[i] = byte(rng.Uint32())
		}
		f.Add(b)
	}
	start := example(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		l, _, err := Decode(start)
		require.NoError(t, err)
		e := NewEditor(l)
		var path []string
		for len(data) > 0 && len(path) < 300 {
			path = append(path, session(e, func(n int) int {
				if len(data) == 0 {
					return 0
				}
				b := data[0]
				data = data[1:]
				return int(b) % n
			}))
			if err := e.Lesson().Validate(); err != nil {
				t.Fatalf("not valid after\n%v\n%v", path, err)
			}
		}
		end := encoded(t, e.Lesson())
		steps := 0
		for {
			if _, ok := e.Undo(); !ok {
				break
			}
			steps++
		}
		if got := encoded(t, e.Lesson()); got != string(start) {
			t.Fatalf("undoing everything gives another document after\n%v\n%s", path, got)
		}
		for range steps {
			_, _ = e.Redo()
		}
		if got := encoded(t, e.Lesson()); got != end {
			t.Fatalf("redoing it gives another document after\n%v\n%s", path, got)
		}
	})
}

func BenchmarkDragMark(b *testing.B) {
	e := NewEditor(fullLesson())
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		err := e.Apply(SetMark{Swing: "s", Mark: mark("fo", geometry.Top, geometry.LeadHip, float64(i%500), 300), Gesture: 1})
		if err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEncode(b *testing.B) {
	l := fullLesson()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := l.Encode(); err != nil {
			b.Fatal(err)
		}
	}
}

// fullLesson has every point marked at every key position in both views.
func fullLesson() *Lesson {
	s := Swing{ID: "s", Clips: []Clip{
		{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080, TimeBase: [2]int64{1, 240}},
		{ID: "dl", View: geometry.DownTheLine, Width: 1920, Height: 1080, TimeBase: [2]int64{1, 240}},
	}}
	for i, name := range geometry.KeyPositions {
		s.Positions = append(s.Positions, Position{Name: name, Frames: []FrameRef{
			{Clip: "fo", Index: 40 * i, PTS: int64(40 * i)}, {Clip: "dl", Index: 40*i + 7, PTS: int64(40*i + 7)},
		}})
		for p := geometry.Point(0); p < geometry.NumPoints; p++ {
			s.Marks = append(s.Marks,
				mark("fo", name, p, 300+31.5*float64(p), 200+17.25*float64(i)),
				mark("dl", name, p, 400+29.5*float64(p), 210+19.25*float64(i)))
		}
	}
	l := NewLesson()
	l.Swings = []Swing{s}
	return l
}
