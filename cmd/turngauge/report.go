package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/ui/takehome"
)

const reportHelp = `turngauge report LESSON [--pdf FILE] [--html FILE] [--paper a4|letter]
                 [--swing ID] [--earlier LESSON] [--targets RANGES.json] [--imperial]

Writes the sheet that a student takes home from a lesson: the coach's findings,
each with its number, its interval and the frame that shows it; the golfer from
above; what to work on; what has changed since an earlier lesson; how sure it all
is. Without --pdf and --html, a PDF goes beside the lesson document.

  --pdf FILE             write a PDF
  --html FILE            write one HTML file that needs no other
  --paper a4|letter      the paper; a4 unless it is said
  --swing ID             the swing; else the first one with findings
  --earlier LESSON       an earlier lesson document to compare with
  --targets RANGES.json  target ranges that go before the program's own, as for
                         "measure"
  --imperial             lengths in inches

Clips that are missing leave the pictures out, and it is said so.

Exit codes: 0 written; 1 a file can't be written; 2 the command line is wrong;
3 a document can't be read or is invalid, or has no such swing.
`

func report(r *run, c *command) int {
	fs := c.flags()
	pdf, html := fs.String("pdf", "", ""), fs.String("html", "", "")
	paper := fs.String("paper", "a4", "")
	swing, earlier := fs.String("swing", "", ""), fs.String("earlier", "", "")
	own := fs.String("targets", "", "")
	imperial := fs.Bool("imperial", false, "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(files) != 1 {
		return r.misuse(c, "name one lesson document to report on, not %d", len(files))
	}
	q := takehome.Request{Path: files[0], Swing: *swing, Imperial: *imperial, PDF: *pdf, HTML: *html}
	var ok bool
	if q.Paper, ok = takehome.ParsePaper(*paper); !ok {
		return r.misuse(c, "there is no paper %q here; use a4 or letter", *paper)
	}
	if q.PDF == "" && q.HTML == "" {
		q.PDF = strings.TrimSuffix(q.Path, filepath.Ext(q.Path)) + ".pdf"
	}
	for _, f := range []string{q.PDF, q.HTML} {
		if sameFile(f, q.Path) || sameFile(f, *earlier) {
			return r.misuse(c, "%s is a lesson document: name another file for the sheet", f)
		}
	}
	if q.PDF != "" && sameFile(q.PDF, q.HTML) {
		return r.misuse(c, "--pdf and --html name the same file")
	}
	q.Targets = annotations.DefaultTargets()
	if *own != "" {
		more, err := readTargets(*own)
		if err != nil {
			return r.fail(err, exitInput)
		}
		q.Targets = append(q.Targets, more...)
	}
	var err error
	if q.Lesson, err = r.load(q.Path); err != nil {
		return r.fail(err, exitInput)
	}
	if *earlier != "" {
		if q.Earlier, err = r.load(*earlier); err != nil {
			return r.fail(err, exitInput)
		}
	}
	return r.write(q)
}

// write writes the sheet and says where it is.
func (r *run) write(q takehome.Request) int {
	notes, err := takehome.Write(r.ctx, q)
	for _, n := range notes {
		r.say("%s", n)
	}
	if err != nil {
		code := exitFailed
		if errors.Is(err, takehome.ErrNoSwing) {
			code = exitInput
		}
		return r.fail(err, code)
	}
	for _, f := range []string{q.PDF, q.HTML} {
		if f != "" {
			_, _ = fmt.Fprintln(r.stdout, f)
		}
	}
	return exitOK
}

// load reads a lesson document and says its warnings.
func (r *run) load(path string) (*annotations.Lesson, error) {
	lesson, warnings, err := annotations.Load(path)
	if err != nil {
		return nil, err
	}
	for _, w := range warnings {
		r.say("warning: %s: %s", path, w)
	}
	if spare, _, ok := annotations.SpareCopy(path); ok {
		r.say("warning: a newer copy of %s could not be saved in its place and is kept as %s", path, spare)
	}
	return lesson, nil
}

// sameFile reports whether two paths lead to one file, there or not.
func sameFile(a, b string) bool {
	if a == "" || b == "" {
		return false
	}
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	if err1 == nil && err2 == nil {
		return os.SameFile(x, y)
	}
	p, err1 := filepath.Abs(a)
	q, err2 := filepath.Abs(b)
	return err1 == nil && err2 == nil && p == q
}
