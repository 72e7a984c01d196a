package library

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"turngauge/annotations/place"
)

// Held is what is kept of a student on this computer, as far as the library knows.
type Held struct {
	Name    string
	Lessons []Entry // those in the trash, too
	// Clips are the files that the lessons name as their clips and that are there. They
	// lie where the coach has them, and other lessons may need them.
	Clips []string
	// Exported are files that carry the student's name, in the folder for exports and
	// beside the lessons: sheets, stills, annotated clips, zip files; and films of reviews,
	// in which the coach speaks of the student, whatever they are called.
	Exported []string
	Consent  Consent
	Card     Card

	ids, handles []string // his own and those of who is joined to him
	shared       bool     // another student has the name
}

// HeldOf tells what is kept of a student; exports is the folder that exports and sheets
// go to.
func (l *Library) HeldOf(ctx context.Context, student int64, exports string) (Held, error) {
	var h Held
	for _, trash := range []bool{false, true} {
		list, err := l.Lessons(ctx, Query{Student: student, Trash: trash})
		if err != nil {
			return h, err
		}
		h.Lessons = append(h.Lessons, list...)
	}
	var err error
	if h.Card, err = l.Card(ctx, student); err != nil {
		return h, err
	}
	h.Name, h.shared = h.Card.Name, len(h.Card.Others) > 0
	err = l.query(ctx, "the student can't be read", "SELECT id, folded FROM student WHERE key = $1 OR joined = $1", []any{student}, func(r *sql.Rows) error {
		var id, handle string
		err := r.Scan(&id, &handle)
		if id != "" {
			h.ids = append(h.ids, id)
		}
		h.handles = append(h.handles, handle)
		return err
	})
	if err != nil {
		return h, err
	}
	err = l.query(ctx, "the clips can't be listed", `SELECT DISTINCT clip.path FROM clip JOIN swing ON swing.key = clip.swing
		JOIN lesson ON lesson.key = swing.lesson WHERE lesson.student = $1 AND clip.path <> '' ORDER BY clip.path`, []any{student}, func(r *sql.Rows) error {
		var path string
		err := r.Scan(&path)
		if info, statErr := os.Lstat(path); statErr == nil && info.Mode().IsRegular() {
			h.Clips = append(h.Clips, path)
		}
		return err
	})
	if err != nil {
		return h, err
	}
	folders := []string{exports}
	for _, e := range h.Lessons {
		for _, path := range []string{e.Path, e.Origin} {
			if dir := filepath.Dir(path); path != "" && !slices.Contains(folders, dir) {
				folders = append(folders, dir)
			}
		}
	}
	for _, dir := range folders {
		h.Exported = append(h.Exported, named(dir, h.Name)...)
	}
	for _, e := range h.Lessons {
		h.Exported = append(h.Exported, filmsOf(e)...)
	}
	slices.Sort(h.Exported)
	h.Exported = slices.DeleteFunc(slices.Compact(h.Exported), func(f string) bool {
		return slices.Contains(h.Clips, f) || slices.ContainsFunc(h.Lessons, func(e Entry) bool { return e.Path == f })
	})
	h.Consent, _, err = l.ConsentOf(ctx, student)
	return h, err
}

// named lists the files of a folder whose names carry a student's.
func named(dir, name string) (out []string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		if e.Type().IsRegular() && carries(e.Name(), name) {
			out = append(out, filepath.Join(dir, e.Name()))
		}
	}
	return out
}

// carries reports whether the name of a file says a student's: the words of it, one
// behind the other, whatever stands between them.
func carries(file, name string) bool {
	words := func(s string) string {
		return " " + strings.Join(strings.FieldsFunc(fold(s), func(r rune) bool { return strings.ContainsRune(" -_.,()", r) }), " ") + " "
	}
	student := words(place.SafeName(name))
	return strings.TrimSpace(student) != "" && strings.Contains(words(file), student)
}
