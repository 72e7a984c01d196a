//go:build !nowindow

package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"turngauge/ui/takehome"
)

// batch reports on several lessons.
type batch struct {
	request takehome.Request // but for the lesson and the files
	kinds   string           // what to write, with commas between; "" for a PDF
	folder  string           // where to; "" for beside each lesson
	// progress adds the measures over each student's lessons.
	progress bool
}

func (b *batch) report(r *run, c *command, named []string) int {
	kinds := strings.Split(b.kinds, ",")
	if b.kinds == "" {
		kinds = []string{"pdf"}
	}
	for _, k := range kinds {
		if k != "pdf" && k != "html" && k != "png" && k != "mp4" {
			return r.misuse(c, "a report can't be written as %q; use pdf, html, png or mp4, with commas between", k)
		}
	}
	lessons, code := lessonsOf(r, named)
	from := make(map[string]string)
	var requests []takehome.Request
	for _, path := range lessons {
		q := b.request
		q.Path = path
		for _, k := range kinds {
			f := beside(path, b.folder, "."+k)
			abs, err := filepath.Abs(f)
			if err != nil {
				return r.fail(err, exitFailed)
			}
			if other := from[abs]; other != "" && other != path {
				return r.misuse(c, "%s and %s would both be written as %s: report on them one by one", other, path, f)
			}
			from[abs] = path
			*map[string]*string{"pdf": &q.PDF, "html": &q.HTML, "png": &q.Image, "mp4": &q.MP4}[k] = f
		}
		requests = append(requests, q)
	}
	if b.folder != "" && len(requests) > 0 {
		if err := os.MkdirAll(b.folder, 0o755); err != nil {
			return r.fail(fmt.Errorf("the folder to write to can't be made: %w", err), exitFailed)
		}
	}
	for i := range requests {
		if err := r.ctx.Err(); err != nil {
			return r.fail(err, exitFailed)
		}
		code = max(code, one(r, requests[i], b.progress))
	}
	return code
}

// one reports on one lesson of several and says in a line what was written.
func one(r *run, q takehome.Request, progress bool) int {
	fail := func(err error, code int) int { return r.fail(fmt.Errorf("%s: %w", q.Path, err), code) }
	var err error
	if q.Lesson, err = r.load(q.Path); err != nil {
		return fail(err, exitInput)
	}
	if progress {
		if q.Course, err = r.course(q.Lesson); err != nil {
			return fail(err, exitFailed)
		}
	}
	if f := overClip(&q, q.Lesson, q.Path); f != "" {
		return fail(fmt.Errorf("%s is a clip of the lesson and stays: say --out and another folder", f), exitFailed)
	}
	notes, err := takehome.Write(r.ctx, q)
	for _, n := range notes {
		r.say("%s: %s", q.Path, n)
	}
	if errors.Is(err, takehome.ErrNoSwing) {
		return fail(err, exitInput)
	}
	if err != nil {
		return fail(err, exitFailed)
	}
	files := slices.DeleteFunc([]string{q.PDF, q.HTML, q.Image, q.MP4}, func(f string) bool { return f == "" })
	_, _ = fmt.Fprintf(r.stdout, "%s: %s\n", q.Path, strings.Join(files, ", "))
	return exitOK
}

// beside is the name of what is written of a lesson: its own with another
// ending, in a folder or beside it.
func beside(lesson, folder, ending string) string {
	name := strings.TrimSuffix(lesson, filepath.Ext(lesson)) + ending
	if folder == "" {
		return name
	}
	return filepath.Join(folder, filepath.Base(name))
}
