package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"text/tabwriter"

	"turngauge/annotations/library"
	"turngauge/ui/profile"
)

const listHelp = `turngauge list [WORD...] [--student NAME] [--tag TAG] [--trash | --missing]
               [--json] [--library FOLDER]

Lists the lessons of the library, the newest first: when, who, what, how many
marks, and where the document is. With words, those lessons in which each of them
begins a word of the student's name, the title, the tags, the notes, the findings
or the prescription; case and accents don't matter.

  --student NAME    lessons of this student only
  --tag TAG         lessons with this tag only
  --trash           lessons that were deleted and can be got back
  --missing         the clips whose files are not where their lessons say: put
                    them back, or open the lesson, which looks for them near by
  --json            print JSON instead
  --library FOLDER  the library in this folder, in place of your own

Lessons come into the library when the window opens them, or by "import".

Exit codes: 0 listed; 1 there is no library that can be read; 2 the command line is
wrong; 4 nothing was found.
`

// openLibrary opens the library in a folder, or the coach's own.
func (r *run) openLibrary(folder string) (*library.Library, error) {
	if folder == "" {
		folder = profile.LibraryFolder()
	}
	l, err := library.Open(r.ctx, folder)
	if err != nil {
		return nil, err
	}
	for _, n := range l.Notices() {
		r.say("%s", n)
	}
	return l, nil
}

// listed is a lesson as list prints it.
type listed struct {
	Lesson   string   `json:"lesson,omitempty"`
	Title    string   `json:"title,omitempty"`
	Date     string   `json:"date,omitempty"`
	Student  string   `json:"student,omitempty"`
	Clubs    string   `json:"clubs,omitempty"`
	Tags     []string `json:"tags,omitempty"`
	Swings   int      `json:"swings"`
	Marks    int      `json:"marks"`
	Shots    int      `json:"shots"`
	Opened   string   `json:"opened"`
	Deleted  string   `json:"deleted,omitempty"`
	Document string   `json:"document"`
	// Missing says that the document is not there.
	Missing bool `json:"missing,omitempty"`
}

func list(r *run, c *command) int {
	fs := c.flags()
	asJSON, trash := fs.Bool("json", false, ""), fs.Bool("trash", false, "")
	lost := fs.Bool("missing", false, "")
	student, tag, folder := fs.String("student", "", ""), fs.String("tag", "", ""), fs.String("library", "", "")
	words, code, done := r.parse(c, fs)
	if done {
		return code
	}
	l, err := r.openLibrary(*folder)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	defer func() { _ = l.Close() }()
	if *lost {
		if len(words) > 0 || *tag != "" || *student != "" || *trash {
			return r.misuse(c, "--missing lists the clips of all lessons; say it alone")
		}
		return listMissing(r, l, *asJSON)
	}
	q := library.Query{Text: strings.Join(words, " "), Tag: *tag, Trash: *trash}
	if *student != "" {
		if q.Student, err = studentOf(r.ctx, l, *student); err != nil {
			return r.fail(err, exitNothing)
		}
	}
	entries, err := l.Lessons(r.ctx, q)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	out := make([]listed, len(entries))
	for i, e := range entries {
		_, err := os.Stat(e.Path)
		out[i] = listed{
			Lesson: e.ID, Title: e.Title, Date: e.Date, Student: e.Student, Clubs: e.Clubs, Tags: e.Tags, Swings: e.Swings,
			Marks: e.Marks, Shots: e.Shots, Opened: e.Opened.Format("2006-01-02T15:04:05Z07:00"), Document: e.Path,
			Missing: errors.Is(err, os.ErrNotExist),
		}
		if !e.Deleted.IsZero() {
			out[i].Deleted = e.Deleted.Format("2006-01-02T15:04:05Z07:00")
		}
	}
	if *asJSON {
		err = writeJSON(r, out)
	} else {
		err = writeList(r, out)
	}
	if err != nil {
		return r.fail(fmt.Errorf("the list can't be written: %w", err), exitFailed)
	}
	if len(out) == 0 {
		switch {
		case len(words) > 0 || *tag != "" || *student != "":
			r.say("no lesson was found")
		case *trash:
			r.say("the trash is empty")
		default:
			r.say("there is no lesson in the library yet: open one in the window, or say \"turngauge import FILE\"")
		}
		return exitNothing
	}
	return exitOK
}

// studentOf returns the key of a student by name.
func studentOf(ctx context.Context, l *library.Library, name string) (int64, error) {
	list, err := l.Called(ctx, name)
	switch {
	case err != nil:
		return 0, err
	case len(list) == 0:
		return 0, fmt.Errorf("there is no student %q in the library; \"turngauge list\" shows who there is", name)
	case len(list) == 1:
		return list[0].Student, nil
	}
	said := make([]string, len(list))
	for i, o := range list {
		said[i] = fmt.Sprintf("%s, last lesson %s", o.ID, o.Last)
	}
	return 0, fmt.Errorf("%d students are called %q; say whom by the id in place of the name: %s", len(list), name, strings.Join(said, "; "))
}

func writeList(r *run, out []listed) error {
	if len(out) == 0 {
		return nil
	}
	w := tabwriter.NewWriter(r.stdout, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(w, "date\tstudent\tlesson\tclubs\tmarks\ttags\tdocument")
	for _, e := range out {
		where := e.Document
		if e.Missing {
			where += " (not there)"
		}
		_, _ = fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%d\t%s\t%s\n", oneLine(e.Date), oneLine(e.Student), oneLine(e.Title), oneLine(e.Clubs), e.Marks, oneLine(strings.Join(e.Tags, ", ")), oneLine(where))
	}
	return w.Flush()
}

// missingClip is a clip as list --missing prints it.
type missingClip struct {
	Student  string `json:"student,omitempty"`
	Date     string `json:"date,omitempty"`
	Lesson   string `json:"title,omitempty"`
	View     string `json:"view"`
	File     string `json:"file"`
	SHA256   string `json:"sha256,omitempty"`
	Document string `json:"document"`
}

func listMissing(r *run, l *library.Library, asJSON bool) int {
	clips, err := l.MissingClips(r.ctx)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	out := make([]missingClip, len(clips))
	for i, m := range clips {
		out[i] = missingClip{m.Lesson.Student, m.Lesson.Date, m.Lesson.Title, m.View, m.Path, m.Hash, m.Lesson.Path}
	}
	if asJSON {
		err = writeJSON(r, out)
	} else {
		w := tabwriter.NewWriter(r.stdout, 0, 0, 2, ' ', 0)
		for _, m := range out {
			_, _ = fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", oneLine(m.Date), oneLine(m.Student), oneLine(m.Lesson), m.View, oneLine(m.File))
		}
		err = w.Flush()
	}
	if err != nil {
		return r.fail(fmt.Errorf("the list can't be written: %w", err), exitFailed)
	}
	if len(out) == 0 {
		r.say("all clips are where their lessons say")
		return exitNothing
	}
	return exitOK
}
