package library

import (
	"bytes"
	"context"
	"encoding/csv"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/annotations/saver"
	"turngauge/annotations/shots"
)

const (
	erasedName = "Zerlina Quastenflosser"
	erasedNote = "torn meniscus in the lead knee"
)

// kept is a library with two students, of whom one has lessons here and there, in the
// trash, in copies of three days, in backups, and as a spare copy.
type kept struct {
	l            *Library
	dir, exports string
	student      int64
	paths        []string
	clip, sheet  string
	other        string // a lesson of the other student
}

func keptStudent(t *testing.T) *kept {
	t.Helper()
	ctx, dir := context.Background(), t.TempDir()
	faultfs.SetBase(t, "XDG_STATE_HOME", filepath.Join(dir, "state"))
	k := &kept{l: openAt(t, filepath.Join(dir, "data", "library")), dir: dir, exports: filepath.Join(dir, "exports")}
	require.NoError(t, os.MkdirAll(k.exports, 0o700))
	k.clip, k.sheet = filepath.Join(dir, "mine", "face-on.mp4"), filepath.Join(k.exports, "2026-05-02 "+erasedName+" sheet.pdf")
	lessons := filepath.Join(dir, "data", "lessons")
	for i, name := range []string{erasedName, erasedName, erasedName, "Bjørn Håland"} {
		path := filepath.Join(lessons, string(rune('a'+i)), "lesson.json")
		if i == 0 {
			path = filepath.Join(dir, "mine", "lesson.json")
		}
		note := func(l *annotations.Lesson) {
			l.ID = annotations.NewID()
			if name == erasedName {
				l.Notes, l.Question = erasedNote, "how to hit a draw"
				l.Shots = shots.List{{ID: "1", Block: "before", Club: "=7-iron", Values: map[shots.Reading]float64{shots.Carry: 130.5}}}
				l.Prescription.Feel = "the belt to the target"
			}
		}
		k.l.now = func() time.Time { return day }
		lesson := written(t, path, name, "Visit "+string(rune('1'+i)), "2026-05-02", note)
		key := record(t, k.l, path, lesson)
		e, err := k.l.Lesson(ctx, key)
		require.NoError(t, err)
		require.NoError(t, k.l.RecordMeasures(ctx, key, e.SHA256, resultOf(31.25, 2)))
		for d := range 3 {
			k.l.now = func() time.Time { return day.AddDate(0, 0, d) }
			lesson.Notes += "."
			require.NoError(t, annotations.Save(path, lesson))
			record(t, k.l, path, lesson)
			require.NoError(t, k.l.Backup(ctx))
		}
		if name == erasedName {
			k.student, k.paths = e.StudentKey, append(k.paths, path)
		} else {
			k.other = path
			// It was the student's before it was put right.
			wrong := lesson.Clone()
			wrong.Student.Name, wrong.Notes = erasedName, erasedNote
			data, err := wrong.Encode()
			require.NoError(t, err)
			require.NoError(t, k.l.keepCopy(e.uid, path, data))
			record(t, k.l, path, lesson)
		}
		if i == 2 {
			require.NoError(t, k.l.Delete(ctx, key))
		}
	}
	require.NoError(t, os.WriteFile(k.clip, []byte("film"), 0o600))
	require.NoError(t, os.WriteFile(k.sheet, []byte("sheet"), 0o600))
	spares := filepath.Join(dir, "state", "turngauge", "unsaved")
	require.NoError(t, os.MkdirAll(spares, 0o700))
	spare, err := saver.SparePath(k.paths[0])
	require.NoError(t, err)
	data, err := os.ReadFile(k.paths[0])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(spare, data, 0o600))
	require.NoError(t, os.WriteFile(strings.TrimSuffix(spare, ".json")+"-older-2026-05-01-101112.json", data, 0o600))
	require.NoError(t, k.l.SetConsent(ctx, Consent{Student: k.student, Minor: true, By: "Anna, mother of " + erasedName, Given: "2026-05-02", Keep: true, Until: "2027-05-02"}))
	return k
}

// matches counts the files under a folder that hold a text, as it is or in a copy.
func matches(t *testing.T, dir, text string) (out []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		if strings.HasSuffix(path, copySuffix) {
			data, _, err = readCopy(path)
			require.NoError(t, err)
		}
		if bytes.Contains(bytes.ToLower(data), []byte(strings.ToLower(text))) {
			out = append(out, path)
		}
		return nil
	}))
	return out
}

// TestEraseLeavesNoByte erases a student and looks for the name and a note in every file
// of the program's, and that the other student has lost nothing.
func TestEraseLeavesNoByte(t *testing.T) {
	ctx, k := context.Background(), keptStudent(t)
	require.Greater(t, len(matches(t, k.dir, erasedName)), 10, "there was much")
	require.Greater(t, len(matches(t, k.dir, erasedNote)), 10)
	h, err := k.l.HeldOf(ctx, k.student, k.exports)
	require.NoError(t, err)
	require.Len(t, h.Lessons, 3)
	assert.Equal(t, []string{k.clip}, h.Clips)
	assert.Equal(t, []string{k.sheet}, h.Exported)
	assert.True(t, h.Consent.Minor)

	// One that is open stops it before anything is gone.
	s, err := saver.Open(k.paths[1], nil)
	require.NoError(t, err)
	_, err = k.l.EraseStudent(ctx, k.student, h, nil)
	require.Error(t, err)
	require.FileExists(t, k.paths[0])
	require.NoError(t, s.Close())
	_, err = k.l.EraseStudent(ctx, k.student, h, []string{"/etc/hostname"})
	require.ErrorContains(t, err, "none of the files")

	out, err := k.l.EraseStudent(ctx, k.student, h, []string{k.sheet}, k.exports)
	require.NoError(t, err)
	assert.Equal(t, 3, out.Lessons)
	assert.Empty(t, out.Left)
	assert.NoFileExists(t, k.sheet)
	assert.FileExists(t, k.clip, "the coach did not name it")
	for _, text := range []string{erasedName, fold(erasedName), "quastenflosser", erasedNote, "meniscus"} {
		assert.Empty(t, matches(t, k.dir, text), text)
	}
	for _, p := range k.paths {
		assert.NoFileExists(t, p)
	}
	assert.Equal(t, []string{"Visit 4"}, titles(t, k.l, Query{}))
	assert.Empty(t, titles(t, k.l, Query{Trash: true}))
	assert.Equal(t, []string{"Visit 4"}, titles(t, k.l, Query{Text: "bjorn"}))
	assert.FileExists(t, k.other)
	list, err := k.l.Lessons(ctx, Query{})
	require.NoError(t, err)
	copies, err := k.l.Copies(ctx, list[0].Key)
	require.NoError(t, err)
	assert.NotEmpty(t, copies)
	for _, b := range k.l.listBackups() {
		// One file, without a log that would be looked for beside it: 1 at offsets 18 and 19,
		// where 2 is WAL (sqlite.org/fileformat.html, 1.3.3).
		head, err := os.ReadFile(b)
		require.NoError(t, err)
		assert.Equal(t, []byte{1, 1}, head[18:20], b)
		dir := filepath.Join(t.TempDir(), "library")
		require.NoError(t, os.MkdirAll(dir, 0o700))
		require.NoError(t, copyFile(b, filepath.Join(dir, indexName)))
		again := openAt(t, dir)
		require.NoError(t, again.store.Sound(ctx))
		assert.LessOrEqual(t, len(titles(t, again, Query{})), 1)
		assert.Empty(t, titles(t, again, Query{Trash: true}))
	}
}

// TestHeldNamesFilesOfTheStudentAlone: of what was exported the files that carry the name,
// however it is written, and nothing else that lies there.
func TestHeldNamesFilesOfTheStudentAlone(t *testing.T) {
	ctx, k := context.Background(), keptStudent(t)
	lower := filepath.Join(k.exports, "sheet of "+strings.ToLower(erasedName)+".html")
	for _, name := range []string{lower, filepath.Join(k.exports, "Bjørn Håland.pdf"), filepath.Join(k.exports, "notes.txt")} {
		require.NoError(t, os.WriteFile(name, nil, 0o600))
	}
	require.NoError(t, os.MkdirAll(filepath.Join(k.exports, erasedName+" is a folder"), 0o700))
	h, err := k.l.HeldOf(ctx, k.student, k.exports)
	require.NoError(t, err)
	assert.ElementsMatch(t, []string{k.sheet, lower}, h.Exported)
}

// TestEraseTellsWhatIsLeft: files that it may not touch and that still hold the name.
func TestEraseTellsWhatIsLeft(t *testing.T) {
	ctx, k := context.Background(), keptStudent(t)
	mention := filepath.Join(k.exports, "all students.txt")
	require.NoError(t, os.WriteFile(mention, []byte("Bjørn, "+erasedName), 0o600))
	h, err := k.l.HeldOf(ctx, k.student, k.exports)
	require.NoError(t, err)
	out, err := k.l.EraseStudent(ctx, k.student, h, nil, k.exports)
	require.NoError(t, err)
	assert.ElementsMatch(t, []Left{{mention, "it still holds the name"}, {k.sheet, "its name says the student's"}}, out.Left)
}

// TestHandOverHoldsEverything reads what a student is given.
func TestHandOverHoldsEverything(t *testing.T) {
	ctx, k := context.Background(), keptStudent(t)
	h, err := k.l.HeldOf(ctx, k.student, k.exports)
	require.NoError(t, err)
	to := filepath.Join(k.dir, "for her")
	out, err := k.l.HandOver(ctx, k.student, h, to, ExportOptions{Opens: anyFilm})
	require.NoError(t, err)
	assert.Equal(t, 3, out.Lessons)
	assert.Equal(t, 1, out.Clips)
	text := func(path ...string) string {
		data, err := os.ReadFile(filepath.Join(append([]string{to}, path...)...))
		require.NoError(t, err)
		return string(data)
	}
	assert.Contains(t, text("README.txt"), "What is held on "+erasedName)
	assert.Contains(t, text("README.txt"), "the student is a minor")
	one := erasedName + " 2026-05-02 Visit 1"
	assert.Contains(t, text(one, "lesson.txt"), "Notes: "+erasedNote)
	assert.Contains(t, text(one, "lesson.txt"), "Question: how to hit a draw")
	assert.Contains(t, text(one, "lesson.txt"), "Feel: the belt to the target")
	assert.Equal(t, "film", text(one, "face-on.mp4"))
	assert.Equal(t, "sheet", text("exported", filepath.Base(k.sheet)))
	_, _, err = annotations.Load(filepath.Join(to, one, "lesson.json"))
	require.NoError(t, err)
	rows, err := csv.NewReader(strings.NewReader(text("measures.csv"))).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 4, "the trash, too")
	assert.Equal(t, []string{"pelvis turn", "top", "deg", "31.25"}, rows[1][3:7])
	rows, err = csv.NewReader(strings.NewReader(text(one, "shots.csv"))).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, "'=7-iron", rows[1][1])
	assert.Contains(t, rows[1], "130.5")
	for _, f := range everything(t, to) {
		info, err := os.Stat(filepath.Join(to, f))
		require.NoError(t, err)
		assert.Equal(t, fs.FileMode(0o600), info.Mode().Perm(), f)
	}
	_, err = k.l.HandOver(ctx, k.student, h, to, ExportOptions{Opens: anyFilm})
	require.Error(t, err, "nothing is replaced")
}

func TestConsentsAreDue(t *testing.T) {
	ctx, k := context.Background(), keptStudent(t)
	due, err := k.l.Due(ctx)
	require.NoError(t, err)
	assert.Empty(t, due)
	k.l.now = func() time.Time { return time.Date(2027, 5, 2, 23, 0, 0, 0, time.Local) }
	due, err = k.l.Due(ctx)
	require.NoError(t, err)
	assert.Empty(t, due, "the last day counts")
	k.l.now = func() time.Time { return time.Date(2027, 5, 3, 1, 0, 0, 0, time.Local) }
	due, err = k.l.Due(ctx)
	require.NoError(t, err)
	require.Len(t, due, 1)
	assert.Equal(t, erasedName, due[0].Name)
	for _, c := range []Consent{
		{Student: k.student, Given: "2026-05-02"}, {Student: k.student, By: "x", Given: "yesterday"}, {Student: k.student, By: "x"},
		{Student: k.student, By: "x", Given: "2026-05-02", Minor: true}, {Student: k.student, By: "x", Given: "2026-05-02", Until: "2027"},
	} {
		assert.Error(t, k.l.SetConsent(ctx, c), "%+v", c)
	}
	require.NoError(t, k.l.SetConsent(ctx, Consent{Student: k.student, By: erasedName, Given: "2027-05-03"}))
	c, ok, err := k.l.ConsentOf(ctx, k.student)
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, erasedName+" gave consent on 3 May 2027: films may not be kept, shown or shared", c.Says())
}

// TestNobodyTakesANoForAYes: what was refused stands behind its own "not", with "or" between.
func TestNobodyTakesANoForAYes(t *testing.T) {
	for want, c := range map[string]Consent{
		"kept, shown, shared":       {Keep: true, Show: true, Share: true},
		"kept, shown, not shared":   {Keep: true, Show: true},
		"kept, not shown or shared": {Keep: true},
		"shared, not kept or shown": {Share: true},
		"shown, shared, not kept":   {Show: true, Share: true},
	} {
		c.By, c.Given, c.Until = "Anna", "2026-05-02", "2027-05-02"
		assert.Equal(t, "Anna gave consent on 2 May 2026: films may be "+want+"; until 2 May 2027", c.Says())
	}
}
