package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"turngauge/annotations/library"
	"turngauge/ui/profile"
)

const importHelp = `turngauge import FILE... [--to FOLDER] [--ranges-of NAME]...
                 [--large] [--json] [--library FOLDER]

Takes lessons into the library: zip files that were exported, each of whose lessons
gets a folder of its own; and lesson documents, or folders of them, which stay
where they are. A lesson that is there already with the same content is not taken
twice; with other content both are kept. Nothing is replaced.

  --to FOLDER       where lessons from zip files go; else beside the lessons of
                    this program
  --ranges-of NAME  the target ranges for this student that came with the lessons,
                    too: they change every verdict on the student. Without it they
                    are shown and left out. May be said several times
  --large           a zip file that unpacks to more than 2 GB, too
  --json            print JSON instead
  --library FOLDER  the library in this folder, in place of your own

Exit codes: 0 taken; 1 the library or the folder can't be written; 2 the command
line is wrong; 3 a file can't be read or holds no lesson.
`

// taken is a lesson as import prints it.
type taken struct {
	Document string   `json:"document"`
	Lesson   string   `json:"lesson,omitempty"`
	Outcome  string   `json:"outcome"` // taken, known, or kept beside another version
	Clips    int      `json:"clips"`
	Notes    []string `json:"notes,omitempty"`
}

func importLessons(r *run, c *command) int {
	fs := c.flags()
	to, folder := fs.String("to", "", ""), fs.String("library", "", "")
	asJSON, large := fs.Bool("json", false, ""), fs.Bool("large", false, "")
	var ranges many
	fs.Var(&ranges, "ranges-of", "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(files) == 0 {
		return r.misuse(c, "name a zip file, a lesson document or a folder to import")
	}
	if *to == "" {
		*to = profile.LessonFolder()
	}
	l, err := r.openLibrary(*folder)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	defer func() { _ = l.Close() }()
	out := []taken{}
	for _, f := range files {
		if strings.EqualFold(filepath.Ext(f), ".zip") {
			got, err := l.ImportZip(r.ctx, f, *to, library.ImportOptions{Large: *large, RangesOf: ranges})
			for _, i := range got.Lessons {
				out = append(out, takenOf(i))
			}
			for _, n := range got.Notes {
				r.say("%s: %s", f, n)
				code = max(code, exitInput)
			}
			for _, o := range got.Ranges {
				r.sayRanges(f, o)
			}
			if tooMuch := (*library.LargeError)(nil); errors.As(err, &tooMuch) {
				err = fmt.Errorf("%w. If you know who made it, and there is room, add --large", err)
			}
			if err != nil {
				code = max(code, r.fail(err, exitInput))
			}
			continue
		}
		lessons, bad := lessonsOf(r, []string{f})
		code = max(code, bad)
		for _, path := range lessons {
			lesson, err := r.load(path)
			if err != nil {
				code = max(code, r.fail(err, exitInput))
				continue
			}
			if _, err := l.Record(r.ctx, path, lesson, false); err != nil {
				return r.fail(err, exitFailed)
			}
			abs, err := filepath.Abs(path)
			if err != nil {
				abs = path
			}
			out = append(out, taken{Document: abs, Lesson: library.Joined(lesson.Student.Name, lesson.Title, lesson.Date), Outcome: "taken"})
		}
	}
	if *asJSON {
		err = writeJSON(r, out)
	} else {
		err = writeTaken(r, out)
	}
	if err != nil {
		return r.fail(fmt.Errorf("what was imported can't be written here: %w", err), exitFailed)
	}
	return code
}

// sayRanges shows the target ranges that came with a zip file.
func (r *run) sayRanges(file string, o library.OfferedRanges) {
	what := fmt.Sprintf("were left out; to take them, add --ranges-of %q", o.Student)
	if o.Taken {
		what = "are those for the student from now on"
	}
	r.say("%s: the target ranges for %s in it %s:", file, o.Student, what)
	for _, line := range o.Lines(false) {
		r.say("  %s", line)
	}
}

func takenOf(i library.Import) taken {
	t := taken{Document: i.Path, Lesson: i.Title, Outcome: "taken", Clips: i.Clips, Notes: i.Notes}
	switch {
	case i.Known:
		t.Outcome = "known"
	case i.Changed:
		t.Outcome = "kept beside another version"
	}
	return t
}

func writeTaken(r *run, out []taken) error {
	for _, t := range out {
		if _, err := fmt.Fprintf(r.stdout, "%s: %s, clips %d: %s\n", oneLine(t.Lesson), t.Outcome, t.Clips, oneLine(t.Document)); err != nil {
			return err
		}
		for _, n := range t.Notes {
			r.say("%s: %s", t.Lesson, n)
		}
	}
	return nil
}
