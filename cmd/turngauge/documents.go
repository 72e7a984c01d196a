package main

import (
	"fmt"
	"os"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/saver"
)

// load reads a lesson document and says its warnings.
func (r *run) load(path string) (*annotations.Lesson, error) {
	lesson, warnings, err := loadQuietly(path)
	for _, w := range warnings {
		r.say("warning: %s", w)
	}
	return lesson, err
}

// loadQuietly reads a lesson document and returns what load says.
func loadQuietly(path string) (lesson *annotations.Lesson, warnings []string, err error) {
	lesson, unknown, err := annotations.Load(path)
	if err != nil {
		return nil, nil, err
	}
	for _, w := range unknown {
		warnings = append(warnings, path+": "+w)
	}
	if spare, _, ok := saver.SpareCopy(path); ok {
		warnings = append(warnings, fmt.Sprintf("a newer copy of %s could not be saved in its place and is kept as %s", path, spare))
	}
	return lesson, warnings, nil
}

// lessonsOf lists the lesson documents that are named, and those in folders that
// are, each once. What can't be listed is said, and gives the exit code.
func lessonsOf(r *run, named []string) (lessons []string, code int) {
	known := make(map[string]bool)
	add := func(path string) {
		real, err := filepath.EvalSymlinks(path)
		if err != nil {
			real = path
		}
		if abs, err := filepath.Abs(real); err == nil {
			real = abs
		}
		if !known[real] {
			lessons = append(lessons, path)
		}
		known[real] = true
	}
	for _, path := range named {
		if !place.IsFolder(path) {
			add(path)
			continue
		}
		entries, err := os.ReadDir(path)
		if err != nil {
			code = max(code, r.fail(fmt.Errorf("the folder can't be read: %w", err), exitInput))
			continue
		}
		found := false
		for _, e := range entries {
			if f := filepath.Join(path, e.Name()); e.Type().IsRegular() && annotations.IsDocument(f) {
				add(f)
				found = true
			}
		}
		if !found {
			r.say("%s holds no lesson document: name a folder that does", path)
			code = max(code, exitInput)
		}
	}
	return lessons, code
}
