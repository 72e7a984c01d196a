package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations/library"
)

const exportHelp = `turngauge export [LESSON...] [--student NAME] [--clips] [--out FILE.zip]
                 [--library FOLDER]

Writes lessons to one zip file, to take to another computer or to keep: of each
its document and, with --clips, the clips beside it. The file is of use without
this program, too. Name lesson documents, or a student for all of their lessons.

  --student NAME    all lessons of this student
  --clips           the clips, too
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
	x, err := l.Export(r.ctx, to, keys, library.ExportOptions{Clips: *clips})
	if err != nil {
		return r.fail(err, exitFailed)
	}
	for _, n := range x.Notes {
		r.say("%s", n)
	}
	_, _ = fmt.Fprintf(r.stdout, "%s: lessons %d, clips %d\n", to, x.Lessons, x.Clips)
	return exitOK
}
