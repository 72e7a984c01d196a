package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations/library"
	"turngauge/video"
)

const exportHelp = `turngauge export [LESSON...] [--student NAME] [--clips] [--out FILE.zip]
                 [--also FILE]... [--library FOLDER]

Writes lessons to one zip file, to take to another computer or to keep: of each
its document and, with --clips, the clips beside it. The file is of use without
this program, too. Name lesson documents, or a student for all of their lessons.

  --student NAME    all lessons of this student
  --clips           the clips, too: those that lie in the folder of their lesson
                    and open as a video
  --also FILE       this one, too, wherever it lies and whatever it is: a lesson that
                    came from elsewhere may name any file as its clip. Say it once
                    for each file that was left out
  --out FILE.zip    the file to write; else one named after the student or the
                    lesson, in this folder. A file that is there is not replaced
                    without --out
  --library FOLDER  the library in this folder, in place of your own

Exit codes: 0 written; 1 it can't be written; 2 the command line is wrong; 3 a
document can't be read or is invalid, or there is no such student.
`

func export(r *run, c *command) int {
	fs := c.flags()
	student, out, folder := fs.String("student", "", ""), fs.String("out", "", ""), fs.String("library", "", "")
	clips := fs.Bool("clips", false, "")
	var also many
	fs.Var(&also, "also", "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if (len(files) == 0) == (*student == "") {
		return r.misuse(c, "name lesson documents to export, or a student with --student")
	}
	l, err := r.openLibrary(*folder)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	defer func() { _ = l.Close() }()
	var keys []int64
	name := *student
	if *student != "" {
		key, err := studentOf(r.ctx, l, *student)
		if err != nil {
			return r.fail(err, exitInput)
		}
		entries, err := l.Lessons(r.ctx, library.Query{Student: key})
		if err != nil {
			return r.fail(err, exitFailed)
		}
		for _, e := range entries {
			keys, name = append(keys, e.Key), e.Student
		}
	}
	for _, f := range files {
		lesson, err := r.load(f)
		if err != nil {
			return r.fail(err, exitInput)
		}
		key, err := l.Record(r.ctx, f, lesson, false)
		if err != nil {
			return r.fail(err, exitFailed)
		}
		keys = append(keys, key)
		if name == "" {
			name = strings.TrimSuffix(filepath.Base(f), filepath.Ext(f))
		}
	}
	to := *out
	if to == "" {
		to = library.ExportName(name) + ".zip"
		if _, err := os.Lstat(to); err == nil {
			return r.fail(fmt.Errorf("there is a file %s already: say --out and another name, or the same to replace it", to), exitFailed)
		}
	}
	if err := also.resolve(); err != nil {
		return r.fail(err, exitInput)
	}
	x, err := l.Export(r.ctx, to, keys, library.ExportOptions{Clips: *clips, Opens: opensAsVideo, Allowed: also})
	if err != nil {
		return r.fail(err, exitFailed)
	}
	r.sayWithheld(x, "If it is to go out")
	_, _ = fmt.Fprintf(r.stdout, "%s: lessons %d, clips %d\n", to, x.Lessons, x.Clips)
	return exitOK
}

// many are the values of an option that may be given several times.
type many []string

func (m *many) String() string { return strings.Join(*m, ", ") }

func (m *many) Set(s string) error {
	*m = append(*m, s)
	return nil
}

// resolve makes the values, names of files to take along, their places without links.
func (m many) resolve() error {
	for i, file := range m {
		real, err := filepath.EvalSymlinks(file)
		if err != nil {
			return fmt.Errorf("there is no such file to take along: %w", err)
		}
		if m[i], err = filepath.Abs(real); err != nil {
			return err
		}
	}
	return nil
}

// sayWithheld says what an export had to note, and which files are not in it; with --also
// they may be, on the condition given.
func (r *run) sayWithheld(x library.Exported, condition string) {
	for _, n := range x.Notes {
		r.say("%s", n)
	}
	for _, w := range x.Withheld {
		r.say("%s is not in it: it %s. %s, add --also and its name", w.File, w.Why, condition)
	}
}

func opensAsVideo(ctx context.Context, file string) error {
	_, err := video.ReadIndex(ctx, file)
	return err
}
