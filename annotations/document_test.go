package annotations

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// example is the document of the format's description with a hidden, a placed
// and a proposed mark.
func example(t testing.TB) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "lessons", "example.json"))
	require.NoError(t, err)
	return data
}

func exampleLesson(t testing.TB) *Lesson {
	t.Helper()
	l, warnings, err := Decode(example(t))
	require.NoError(t, err)
	require.Empty(t, warnings)
	return l
}

func TestDecodeReadsEveryField(t *testing.T) {
	l := exampleLesson(t)
	assert.Equal(t, "First visit", l.Title)
	assert.Equal(t, "2026-05-02", l.Date)
	assert.Equal(t, Student{Name: "Mara Lindqvist", Handed: geometry.RightHanded, StatureM: 1.72, StatureSDM: 0.01, MassKg: 66, Sex: geometry.Female}, l.Student)
	s := l.Swing("s1")
	require.NotNil(t, s)
	assert.Equal(t, Club{Name: "7-iron", LengthM: 0.94}, s.Club)
	fo := s.ClipOf(geometry.FaceOn)
	assert.Equal(t, [2]int64{1, 90000}, fo.TimeBase)
	assert.Equal(t, 1387.0, fo.FocalPx)
	assert.Equal(t, GroundLine{LengthM: 1.22, Along: geometry.AlongTargetLine,
		Ends: [2]geometry.ImagePt{{X: 512, Y: 955.5}, {X: 1405, Y: 957}}}, fo.GroundLines[0])
	f, ok := s.FrameOf("fo", geometry.Top)
	assert.True(t, ok)
	assert.Equal(t, FrameRef{Clip: "fo", Index: 240, PTS: 90000}, f)
	_, ok = s.FrameOf("dl", geometry.Top)
	assert.False(t, ok)
	m, ok := s.Mark("fo", geometry.Address, geometry.LeadHip)
	assert.True(t, ok)
	assert.Equal(t, Mark{Clip: "fo", Position: geometry.Address, Point: geometry.LeadHip,
		At: geometry.ImagePt{X: 1001.5, Y: 577}, SDPx: 2.5, State: geometry.Placed}, m)
	m, ok = s.Mark("dl", geometry.Address, geometry.LeadHip)
	assert.True(t, ok)
	assert.Equal(t, geometry.Hidden, m.State)
}

func TestEncodeIsStableAndReadable(t *testing.T) {
	once, err := exampleLesson(t).Encode()
	require.NoError(t, err)
	assert.Equal(t, string(example(t)), string(once), "the checked-in example is in the program's own layout")
	for _, line := range strings.Split(string(once), "\n") {
		assert.LessOrEqual(t, len(line), 220)
	}
}

func TestMeasurableWithTheLeastThatTheFormatAsksFor(t *testing.T) {
	l, warnings, err := Decode([]byte(`{"kind":"turngauge-lesson","version":1,"student":{"handed":"left"},"swings":[{"id":"a",
		"clips":[{"id":"c","view":"face-on","width":100,"height":100}],
		"positions":[{"name":"top"}],"marks":[{"clip":"c","position":"top","point":"head","x":1,"y":2}]}]}`))
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, geometry.LeftHanded, l.Student.Handed)
	assert.Equal(t, geometry.Placed, l.Swings[0].Marks[0].State, "a mark without a state is placed")
	out, err := l.Encode()
	require.NoError(t, err)
	assert.NotContains(t, string(out), "sd_px")
	assert.NotContains(t, string(out), "stature")
	assert.NotContains(t, string(out), "null")
}

// TestUnknownFieldsSurvive puts a field this version does not know into every
// object of the document.
func TestUnknownFieldsSurvive(t *testing.T) {
	n, err := jsontree.Parse(example(t))
	require.NoError(t, err)
	// 0.10 and 1e400 are numbers no float64 gives back as they were written.
	extra, err := jsontree.Parse([]byte(`{"deep": [1, 0.10, 1e400, null, true, "<å&\u0000>"]}`))
	require.NoError(t, err)
	var objects int
	var grown func(*jsontree.Node) *jsontree.Node
	grown = func(n *jsontree.Node) *jsontree.Node {
		tree := &jsontree.Node{Kind: n.Kind, Text: n.Text}
		switch n.Kind {
		case jsontree.Object:
			n.EachField(func(name string, value []byte) bool {
				tree.Members = append(tree.Members, jsontree.Member{Name: name, Value: grown(jsontree.Read(value))})
				return true
			})
			objects++
			tree.Members = append(tree.Members, jsontree.Member{Name: "later", Value: extra})
		case jsontree.Array:
			items, _ := n.List(1 << 20)
			for _, it := range items {
				tree.Items = append(tree.Items, grown(it))
			}
		}
		return tree
	}
	data := append(grown(n).AppendIndented(nil, 0), '\n')

	l, warnings, err := Decode(data)
	require.NoError(t, err)
	assert.Len(t, warnings, objects)
	assert.Contains(t, warnings[0]+strings.Join(warnings, "\n"), "swings[0].clips[0].ground_lines[0].later: not a field")
	assert.Contains(t, warnings, "later: not a field this version of Turngauge knows; it is kept as it is")

	out, err := l.Encode()
	require.NoError(t, err)
	assert.Equal(t, objects, strings.Count(string(out), `1e400`))
	again, _, err := Decode(out)
	require.NoError(t, err)
	twice, err := again.Encode()
	require.NoError(t, err)
	assert.Equal(t, string(out), string(twice))

	// Edits of the objects keep them too.
	e := NewEditor(l)
	m := l.Swings[0].Marks[0]
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: Mark{Clip: m.Clip, Position: m.Position, Point: m.Point, At: geometry.ImagePt{X: 1, Y: 1}}}))
	require.NoError(t, e.Apply(SetStudent{Student: Student{Name: "A"}}))
	require.NoError(t, e.Apply(SetSwing{Swing: "s1", NewLabel: "new", Club: Club{Name: "driver"}}))
	require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "fo", Position: geometry.Top, Index: 9, PTS: 9}))
	require.NoError(t, e.Apply(SetClip{Swing: "s1", Clip: Clip{ID: "dl", View: geometry.DownTheLine, Width: 1920, Height: 1080}}))
	require.NoError(t, e.Apply(SetGroundLine{Swing: "s1", Clip: "fo", Line: GroundLine{Ends: [2]geometry.ImagePt{{X: 1}, {X: 2}}}}))
	out, err = e.Lesson().Encode()
	require.NoError(t, err)
	assert.Equal(t, objects, strings.Count(string(out), `1e400`))
}

func TestNewerVersionIsRefused(t *testing.T) {
	_, _, err := Decode([]byte(`{"kind":"turngauge-lesson","version":2,"swings":17}`))
	var newer *NewerError
	require.ErrorAs(t, err, &newer)
	assert.Contains(t, err.Error(), "newer Turngauge (document version 2; this program reads version 1): update the program")
}

func TestSyntaxErrorsSayWhere(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"cut off", "{\"kind\": \"turngauge-lesson\",\n  \"swings\": [", "line 2, column 14: the file ends too early"},
		{"empty", "", "line 1, column 1: the file ends too early"},
		{"trailing comma", "{\n \"å\": 1,\n}", "line 3, column 1: invalid character '}'"},
		{"not UTF-8", "{\n\"kind\": \"\xff\"}", "line 2, column 10: a byte that is not UTF-8 text"},
		{"two values", "{} {}", "line 1, column 4"},
		{"a video", "\x00\x00\x00\x20ftypisom", "line 1, column 1: invalid character"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Decode([]byte(c.text))
			var se *SyntaxError
			require.ErrorAs(t, err, &se)
			assert.Contains(t, err.Error(), c.want)
		})
	}
	_, _, err := Decode([]byte("\xef\xbb\xbf" + string(example(t))))
	assert.NoError(t, err, "a byte order mark is no fault")
}

// TestFaults changes one thing in the example and expects exactly the faults
// listed, so that no fault drags others along.
func TestFaults(t *testing.T) {
	const hip = `"x": 1001.5, "y": 577, "sd_px": 2.5, "state": "placed"`
	for _, c := range []struct {
		name, old, new string
		want           []string
	}{
		{"wrong kind", `"turngauge-lesson"`, `"recipe"`, []string{`kind: "recipe" is not a lesson; a lesson document says "turngauge-lesson"`}},
		{"no kind", `"kind": "turngauge-lesson",`, ``, []string{`kind: is not there, so this is not a lesson; a lesson document says "turngauge-lesson"`}},
		{"kind no text", `"turngauge-lesson"`, `7`, []string{`kind: is not there, so this is not a lesson; a lesson document says "turngauge-lesson"`}},
		{"version text", `"version": 1`, `"version": "1"`, []string{`version: must be a number, not a text`}},
		{"version nought", `"version": 1`, `"version": 0`, []string{`version: 0 is not a version; this program reads version 1`}},
		{"bad date", `2026-05-02`, `2026-02-30`, []string{`date: "2026-02-30" is not a date; write year-month-day, such as 2026-05-02`}},
		{"hand", `"right"`, `"both"`, []string{`student.handed: "both" is not known here; use "right" or "left"`}},
		{"no hand", `"handed": "right", `, ``, []string{`student.handed: is missing; use "right" or "left"`}},
		{"centimetres", `"stature_m": 1.72`, `"stature_m": 172`, []string{`student.stature_m: 172 is not from 0.8 to 2.6 metres`}},
		{"nought", `"mass_kg": 66`, `"mass_kg": 0`, []string{`student.mass_kg: must be above 0; leave it out where it is not known`}},
		{"null", `"mass_kg": 66`, `"mass_kg": null`, []string{`student.mass_kg: is null; leave the field out where nothing is known`}},
		{"too large", `"mass_kg": 66`, `"mass_kg": 1e999`, []string{`student.mass_kg: "1e999" is too large to be a number here`}},
		{"twice", `"mass_kg": 66`, `"mass_kg": 66, "mass_kg": 67`, []string{`student.mass_kg: is given twice; keep one`}},
		{"view", `"view": "face-on"`, `"view": "from above"`, []string{`swings[0].clips[0].view: "from above" is not known here; use "face-on" or "down-the-line"`}},
		{"no width", `"width": 1920, "height": 1080}`, `"height": 1080}`, []string{`swings[0].clips[1].width: is missing`}},
		{"half a pixel", `"width": 1920, "height": 1080}`, `"width": 19.5, "height": 1080}`, []string{`swings[0].clips[1].width: "19.5" must be a whole number`}},
		{"clip id twice", `"id": "dl"`, `"id": "fo"`, []string{
			`swings[0].clips[1].id: "fo" is already the id of swings[0].clips[0]; give each clip its own`,
			`swings[0].positions[0].frames[1].clip: there is no clip "dl" in this swing`,
			`swings[0].marks[2].clip: there is no clip "dl" in this swing`}},
		{"time base", `[1, 90000]`, `[0, 90000]`, []string{`swings[0].clips[0].time_base[0]: must be a whole number above 0`}},
		{"time base shape", `[1, 90000]`, `90000`, []string{`swings[0].clips[0].time_base: must be two whole numbers such as [1, 90000]`}},
		{"filmed in no time", `"width": 1920, "height": 1080}`, `"width": 1920, "height": 1080, "filmed_fps": 0}`, []string{`swings[0].clips[1].filmed_fps: must be above 0; leave it out where it is not known`}},
		{"filmed too fast", `"width": 1920, "height": 1080}`, `"width": 1920, "height": 1080, "filmed_fps": 24e4}`, []string{`swings[0].clips[1].filmed_fps: 240000 is not from 1 to 20000 frames a second of life`}},
		{"line end", `[512, 955.5]`, `[512]`, []string{`swings[0].clips[0].ground_lines[0].ends[0]: must be x and y`}},
		{"line outside", `[512, 955.5]`, `[512, 9555]`, []string{`swings[0].clips[0].ground_lines[0].ends[0][1]: y = 9555 lies far outside the picture, which is 1080 pixels high`}},
		{"fingerprint", `"file": "mara-face-on.mp4"`, `"file": "a.mp4", "sha256": "…"`, []string{`swings[0].clips[0].sha256: must be 64 digits 0-9 and a-f`}},
		{"position twice", `"name": "top"`, `"name": "address"`, []string{`swings[0].positions[1].name: "address" is already the name of swings[0].positions[0]; keep one`}},
		{"frame before the first", `"index": 240`, `"index": -1`, []string{`swings[0].positions[1].frames[0].index: must be from 0 to 100000000, not -1`}},
		{"point without a side", `"lead hip", "x"`, `"left hip", "x"`, []string{`swings[0].marks[0].point: "left hip" is not a point; use "lead hip" or "trail hip"`}},
		{"point misspelt", `"lead hip", "x"`, `"Lead_Hip", "x"`, []string{`swings[0].marks[0].point: "Lead_Hip" is not a point; use "lead hip"`}},
		{"mark twice", `"trail hip"`, `"lead hip"`, []string{`swings[0].marks[1]: "lead hip" is already marked there by swings[0].marks[0]; keep one`}},
		{"mark without x", hip, `"y": 577, "state": "placed"`, []string{`swings[0].marks[0].x: is missing; give the pixel, or state "hidden" where the point can't be seen`}},
		{"mark far out", hip, `"x": 4500, "y": 577`, []string{`swings[0].marks[0].x: x = 4500 lies far outside the picture, which is 1920 pixels wide`}},
		{"hidden with a place", hip, `"x": 1, "y": 577, "state": "hidden"`, []string{`swings[0].marks[0]: a hidden mark has no x and y; take them out or change the state`}},
		{"state", hip, `"x": 1, "y": 577, "state": "guessed"`, []string{`swings[0].marks[0].state: "guessed" is not known here; use "placed", "hidden", "proposed" or "tracked"`}},
		{"unset position", `"fo", "position": "address", "point": "trail hip"`, `"fo", "position": "impact", "point": "trail hip"`,
			[]string{`swings[0].marks[1].position: there is no position "impact" in this swing; add it to positions`}},
		{"mark not an object", `{"clip": "dl", "position": "address", "point": "lead hip", "state": "hidden"}`, `7`, []string{`swings[0].marks[2]: must be an object, not a number`}},
		{"mark without anything", `{"clip": "dl", "position": "address", "point": "lead hip", "state": "hidden"}`, `{}`, []string{
			`swings[0].marks[2].clip: is missing`, `swings[0].marks[2].position: is missing`, `swings[0].marks[2].point: is missing`,
			`swings[0].marks[2].x: is missing; give the pixel, or state "hidden" where the point can't be seen`,
			`swings[0].marks[2].y: is missing; give the pixel, or state "hidden" where the point can't be seen`}},
		{"many at once", `"right", "stature_m": 1.72`, `"none", "stature_m": -3`, []string{
			`student.handed: "none" is not known here; use "right" or "left"`,
			`student.stature_m: must be above 0; leave it out where it is not known`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := string(example(t))
			require.Equal(t, 1, strings.Count(text, c.old), "the row must change one place")
			_, _, err := Decode([]byte(strings.Replace(text, c.old, c.new, 1)))
			var faults Faults
			require.ErrorAs(t, err, &faults)
			assert.Equal(t, strings.Join(c.want, "\n"), err.Error())
		})
	}
}

func TestMarksJustOutsideThePictureAreAllowed(t *testing.T) {
	text := strings.Replace(string(example(t)), `"x": 1001.5, "y": 577`, `"x": -40, "y": 1200`, 1)
	_, _, err := Decode([]byte(text))
	assert.NoError(t, err)
}

func TestPositionsOutOfOrderAreWarnedAbout(t *testing.T) {
	text := strings.Replace(string(example(t)), `"index": 240`, `"index": 5`, 1)
	_, warnings, err := Decode([]byte(text))
	require.NoError(t, err)
	assert.Equal(t, []string{`swings[0].positions: in clip "fo", "top" does not come after "address"; check their frames`}, warnings)
}

func TestLoadSaysWhichFile(t *testing.T) {
	_, _, err := Load(filepath.Join(t.TempDir(), "none.json"))
	assert.ErrorIs(t, err, os.ErrNotExist)
	dir := t.TempDir()
	_, _, err = Load(dir)
	assert.ErrorContains(t, err, "is a folder, not a lesson document")
	path := filepath.Join(dir, "bad.json")
	require.NoError(t, os.WriteFile(path, []byte("{"), 0o600))
	_, _, err = Load(path)
	assert.ErrorContains(t, err, path+" can't be used:\nnot valid JSON at line 1, column 2")
}

func TestDeepNestingIsRefused(t *testing.T) {
	text := `{"kind":"turngauge-lesson","version":1,"x":` + strings.Repeat("[", 5000) + strings.Repeat("]", 5000) + `}`
	_, _, err := Decode([]byte(text))
	assert.ErrorContains(t, err, "nested more than 100 deep")
}

func FuzzDecode(f *testing.F) {
	f.Add(example(f))
	f.Add([]byte(`{"kind":"turngauge-lesson","version":1,"student":{"handed":"left"}}`))
	f.Add([]byte(`{"kind":"turngauge-lesson","version":1,"student":{"handed":"left","x":[1e400,{"a":null}]},"swings":[{"id":"a","clips":[{"id":"c","view":"face-on","width":16,"height":16}],"positions":[{"name":"top"}],"marks":[{"clip":"c","position":"top","point":"ball","x":1e-300,"y":0.1}]}]}`))
	f.Add([]byte(`[[[[`))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, _, err := Decode(data)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a word")
			}
			return
		}
		out, err := l.Encode()
		if err != nil {
			t.Fatalf("what was read can't be written: %v", err)
		}
		again, _, err := Decode(out)
		if err != nil {
			t.Fatalf("what was written can't be read: %v\n%s", err, out)
		}
		twice, err := again.Encode()
		if err != nil || string(twice) != string(out) {
			t.Fatalf("written twice, unlike: %v\n%s\n%s", err, out, twice)
		}
	})
}

// TestTheStudentInTheDocument: what the card says comes back, and a handicap that golfers
// don't write is named. Handicap Indexes run from plus to 54.0 (Rules of Handicapping,
// rule 5.3; from memory).
func TestTheStudentInTheDocument(t *testing.T) {
	l := NewLesson()
	l.Student = Student{ID: "01J", Name: "Mara", Handicap: "+2.1", Injuries: "lead knee\nsince May"}
	data, err := l.Encode()
	require.NoError(t, err)
	back, warnings, err := Decode(data)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, l.Student, back.Student)
	for text, fine := range map[string]bool{"": true, "0": true, "54": true, "54.0": true, "9.9": true, "+4": true, "54.1": false, "-2": false, "12,4": false, "12.45": false, "scratch": false} {
		assert.Equal(t, fine, words.Handicap(text), text)
		l.Student.Handicap = text
		_, err := l.Encode()
		assert.Equal(t, fine, err == nil, text)
	}
}
