package annotations

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// drawn puts a "drawings" list into the example document.
func drawn(t testing.TB, list string) string {
	t.Helper()
	const before = `"positions": [`
	text := string(example(t))
	require.Equal(t, 1, strings.Count(text, before))
	return strings.Replace(text, before, `"drawings": [`+list+`], `+before, 1)
}

const (
	lineText  = `{"id": "a", "clip": "fo", "index": 240, "pts": 90000, "position": "top", "kind": "line", "points": [[10, 20], [300.5, 40]]}`
	angleText = `{"id": "b", "clip": "fo", "index": 17, "pts": 6375, "kind": "angle", "points": [[10, 20], [30, 40], [50, 5]], "text": "wrist"}`
	noteText  = `{"id": "c", "clip": "dl", "index": 31, "position": "address", "kind": "note", "points": [[500, 900]], "text": "weight here", "later": [1]}`
)

func TestDrawingsAreReadAndWritten(t *testing.T) {
	l, warnings, err := Decode([]byte(drawn(t, lineText+", "+angleText+", "+noteText)))
	require.NoError(t, err)
	assert.Equal(t, []string{"swings[0].drawings[2].later: not a field this version of Turngauge knows; it is kept as it is"}, warnings)
	d := l.Swings[0].Drawings
	require.Len(t, d, 3)
	assert.Equal(t, Drawing{ID: "a", Frame: FrameRef{Clip: "fo", Index: 240, PTS: 90000}, Kind: DrawnLine,
		Points: []geometry.ImagePt{{X: 10, Y: 20}, {X: 300.5, Y: 40}}}, d[0])
	assert.Equal(t, DrawnAngle, d[1].Kind)
	assert.Equal(t, "wrist", d[1].Text)
	assert.True(t, d[2].Frame.PTSUnknown)
	out := encoded(t, l)
	for _, one := range []string{lineText, angleText, noteText} {
		assert.Contains(t, out, one, "written as it was read")
	}
}

func TestALessonWithoutDrawingsIsWrittenAsBefore(t *testing.T) {
	assert.NotContains(t, encoded(t, exampleLesson(t)), "drawings")
}

// The key position beside a drawing is for readers of the document: it comes
// from the positions, not from what the document claims.
func TestTheKeyPositionOfADrawingFollowsItsFrame(t *testing.T) {
	l, _, err := Decode([]byte(drawn(t, strings.Replace(lineText, `"top"`, `"impact"`, 1))))
	require.NoError(t, err)
	assert.Contains(t, encoded(t, l), lineText)
	e := NewEditor(l)
	require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "fo", Position: geometry.Top, Index: 241, PTS: 90375}))
	assert.Equal(t, 240, e.Lesson().Swings[0].Drawings[0].Frame.Index, "a drawing stays on the frame it was made on")
	assert.Contains(t, encoded(t, e.Lesson()), strings.Replace(lineText, `"position": "top", `, "", 1))
}

func TestFaultyDrawings(t *testing.T) {
	for _, c := range []struct {
		name, list string
		want       []string
	}{
		{"no list", `7], "x": [`, []string{`swings[0].drawings[0]: must be an object, not a number`}},
		{"nothing in it", `{}`, []string{
			`swings[0].drawings[0].id: is missing`, `swings[0].drawings[0].clip: is missing`, `swings[0].drawings[0].index: is missing`,
			`swings[0].drawings[0].kind: is missing; use "line", "angle" or "note"`,
			`swings[0].drawings[0].points: is missing; give a list of points, each with x and y, such as [[812, 431.5], [905, 640]]`}},
		{"kind", strings.Replace(lineText, `"line"`, `"circle"`, 1), []string{`swings[0].drawings[0].kind: "circle" is not known here; use "line", "angle" or "note"`}},
		{"clip", strings.Replace(lineText, `"fo"`, `"rear"`, 1), []string{`swings[0].drawings[0].clip: there is no clip "rear" in this swing`}},
		{"frame", strings.Replace(lineText, `240`, `-1`, 1), []string{`swings[0].drawings[0].index: must be from 0 to 100000000, not -1`}},
		{"too few points", strings.Replace(lineText, `, [300.5, 40]`, ``, 1), []string{`swings[0].drawings[0].points: has 1 points; a line has 2`}},
		{"point shape", strings.Replace(lineText, `[300.5, 40]`, `[300.5]`, 1), []string{`swings[0].drawings[0].points[1]: must be x and y`}},
		{"points shape", strings.Replace(lineText, `[[10, 20], [300.5, 40]]`, `"here"`, 1),
			[]string{`swings[0].drawings[0].points: must be a list of points, each with x and y, such as [[812, 431.5], [905, 640]], at most 3 of them`}},
		{"point no number", strings.Replace(lineText, `300.5`, `"far"`, 1), []string{`swings[0].drawings[0].points[1][0]: must be a number, not a text`}},
		{"far outside", strings.Replace(lineText, `300.5`, `3000`, 1), []string{`swings[0].drawings[0].points[1][0]: x = 3000 lies far outside the picture, which is 1920 pixels wide`}},
		{"same place", strings.Replace(lineText, `[300.5, 40]`, `[10, 20]`, 1), []string{`swings[0].drawings[0].points[1]: is at the same place as the point before it`}},
		{"a note without a word", strings.Replace(noteText, `"text": "weight here", "later": [1]`, `"later": 1`, 1),
			[]string{`swings[0].drawings[0].text: a note says something; give its text or take the note out`}},
		{"id twice", lineText + ", " + lineText, []string{`swings[0].drawings[1].id: "a" is already the id of swings[0].drawings[0]; give each drawing its own`}},
		{"text too long", strings.Replace(angleText, "wrist", strings.Repeat("å", 501), 1), []string{`swings[0].drawings[0].text: has 501 characters; at most 500 are allowed`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Decode([]byte(drawn(t, c.list)))
			var faults Faults
			require.ErrorAs(t, err, &faults)
			assert.Equal(t, strings.Join(c.want, "\n"), err.Error())
		})
	}
}

func aLine(id string, x float64) Drawing {
	return Drawing{ID: id, Kind: DrawnLine, Frame: FrameRef{Clip: "fo", Index: 5, PTS: 1875},
		Points: []geometry.ImagePt{{X: x, Y: 10}, {X: x + 50, Y: 60}}}
}

func TestDrawingsAreUndone(t *testing.T) {
	l, _, err := Decode([]byte(drawn(t, noteText)))
	require.NoError(t, err)
	e := NewEditor(l)
	start := encoded(t, l)
	for x := range 20 {
		require.NoError(t, e.Apply(SetDrawing{Swing: "s1", Drawing: aLine("n", float64(x)), Gesture: 3}))
	}
	require.NoError(t, e.Apply(SetDrawing{Swing: "s1", Drawing: aLine("n", 500), Gesture: 4, Change: true}))
	d := *e.Lesson().Swing("s1").Drawing("c")
	d.Text = "weight there"
	d.unknown = nil
	require.NoError(t, e.Apply(SetDrawing{Swing: "s1", Drawing: d}))
	assert.Contains(t, encoded(t, e.Lesson()), `"text": "weight there", "later": [1]`, "unknown fields survive an edit")
	require.NoError(t, e.Apply(DeleteDrawing{Swing: "s1", ID: "n", Kind: DrawnLine}))
	assert.Nil(t, e.Lesson().Swing("s1").Drawing("n"))
	var labels []string
	for {
		label, ok := e.Undo()
		if !ok {
			break
		}
		labels = append(labels, label)
	}
	assert.Equal(t, []string{"delete a line", "write a note", "change the line", "draw a line"}, labels)
	assert.Equal(t, start, encoded(t, e.Lesson()))
	for range labels {
		e.Redo()
	}
	assert.Nil(t, e.Lesson().Swing("s1").Drawing("n"))
	assert.Equal(t, "weight there", e.Lesson().Swing("s1").Drawing("c").Text)
}

func TestEditsOfDrawingsThatChangeNothingOrCantBe(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	require.NoError(t, e.Apply(SetDrawing{Swing: "s1", Drawing: aLine("n", 1)}))
	l := e.Lesson()
	require.NoError(t, e.Apply(SetDrawing{Swing: "s1", Drawing: aLine("n", 1)}))
	require.NoError(t, e.Apply(DeleteDrawing{Swing: "s1", ID: "other"}))
	assert.Same(t, l, e.Lesson())
	assert.ErrorContains(t, e.Apply(SetDrawing{Swing: "s9", Drawing: aLine("n", 2)}), `there is no swing "s9"`)
	gone := aLine("m", 1)
	gone.Frame.Clip = "rear"
	assert.ErrorContains(t, e.Apply(SetDrawing{Swing: "s1", Drawing: gone}), `there is no clip "rear"`)
	assert.ErrorContains(t, e.Apply(SetDrawing{Swing: "s1", Drawing: aLine("m", 1e6)}), "lies far outside the picture")
	assert.Same(t, l, e.Lesson())
}

func TestADrawingHandedInIsNotShared(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	d := aLine("n", 1)
	require.NoError(t, e.Apply(SetDrawing{Swing: "s1", Drawing: d}))
	d.Points[0].X = 999
	assert.Equal(t, 1.0, e.Lesson().Swing("s1").Drawing("n").Points[0].X)
	c := e.Lesson().Clone()
	c.Swings[0].Drawings[0].Points[0].X = 999
	assert.Equal(t, 1.0, e.Lesson().Swing("s1").Drawing("n").Points[0].X)
}

func TestRemovingAClipTakesItsDrawingsAlong(t *testing.T) {
	l, _, err := Decode([]byte(drawn(t, lineText+", "+noteText)))
	require.NoError(t, err)
	e := NewEditor(l)
	require.NoError(t, e.Apply(RemoveClip{Swing: "s1", Clip: "fo"}))
	require.Len(t, e.Lesson().Swings[0].Drawings, 1)
	assert.Equal(t, "c", e.Lesson().Swings[0].Drawings[0].ID)
}
