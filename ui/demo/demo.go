package demo

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"turngauge/annotations/place"
	"turngauge/geometry/golfer"
)

// Version of what this package makes; it grows whenever the files change.
const Version = 6

// The files of a demo. Those of the second visit have names of their own.
const (
	LessonFile       = "lesson.json"
	MarkedFile       = "lesson-marked.json"
	TruthFile        = "truth.json"
	SecondLessonFile = "second-lesson.json"
	SecondMarkedFile = "second-lesson-marked.json"
	SecondTruthFile  = "second-truth.json"
	VisitMarkedFile  = "visit-lesson-marked.json"
	VisitTruthFile   = "visit-truth.json"

	stampFile = "demo.json"
)

// Options change what is made. The zero value makes the first visit in full.
type Options struct {
	// Second makes the second visit, four weeks later, as well.
	Second bool
	// Visit makes a visit of several swings, filmed by each phone in one take, in place
	// of the others.
	Visit bool
	// Swings is how many a visit has, for tests; 0 means five.
	Swings int
	// Shrink divides the size of the pictures, for tests; 0 means 1.
	Shrink int
	// EndSeconds ends the clips early on the swing's clock, for tests; 0
	// means 0.3 s after the finish.
	EndSeconds float64
}

func (o Options) shrink() int { return max(o.Shrink, 1) }

func (o Options) swings() int {
	if o.Swings == 0 {
		return visitSwings
	}
	return o.Swings
}

func (o Options) end() float64 {
	if o.EndSeconds != 0 {
		return o.EndSeconds
	}
	return golfer.FinishTime + after
}

// set is one visit's files.
type set struct {
	params                golfer.Params
	visit                 visit
	prefix                string // of the clips
	lesson, marked, truth string
	seed                  uint64
	take                  *take // nil for one swing
	cast                  *Cast // nil for Mara
}

// film sets the stage for what a phone films.
func (s *set) film(p phone, o Options) *film {
	p.seed += 100 * s.seed
	if s.take != nil {
		return s.take.film(p, o)
	}
	f := newFilm(golfer.New(s.params), p, o)
	if s.cast != nil {
		s.cast.dress(f)
	}
	return f
}

// frames returns how many pictures a phone takes.
func (s *set) frames(p phone, o Options) int {
	if s.take != nil {
		return s.take.frames(p)
	}
	if s.cast != nil && s.cast.Rate != 0 {
		return frames(p, o) * s.cast.Rate / rate
	}
	return frames(p, o)
}

// documents are the names of the lesson documents, the one to open first.
func (s *set) documents() []string {
	if s.lesson == "" {
		return []string{s.marked}
	}
	return []string{s.lesson, s.marked}
}

func (o Options) sets() []set {
	if o.Visit {
		return []set{{visit: visits[2], prefix: "visit-", marked: VisitMarkedFile, truth: VisitTruthFile, seed: 3, take: newTake(visitSeed, o.swings())}}
	}
	all := []set{{golfer.MaraFirstVisit(), visits[0], "mara-", LessonFile, MarkedFile, TruthFile, 1, nil, nil}}
	if o.Second {
		all = append(all, set{golfer.MaraSecondVisit(), visits[1], "mara-second-", SecondLessonFile, SecondMarkedFile, SecondTruthFile, 2, nil, nil})
	}
	return all
}

// Create makes the demo lesson in dir: two clips, the lesson document with
// nothing marked, a second document with everything marked, and the truth. It
// returns the path of the first document. Where dir already holds a complete
// demo of this version it does nothing; what is incomplete is made again.
//
// progress, which may be nil, is called with the pictures done so far and the
// pictures in all, from the calling goroutine. When ctx ends, files in the
// making are removed and its error is returned.
func Create(ctx context.Context, dir string, progress func(done, total int)) (lessonPath string, err error) {
	return CreateWith(ctx, dir, Options{}, progress)
}

// CreateWith is Create with options.
func CreateWith(ctx context.Context, dir string, o Options, progress func(done, total int)) (lessonPath string, err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", fmt.Errorf("the demo needs the folder %s, which can't be made: %w", dir, err)
	}
	total, done := 0, 0
	var todo []set
	for _, s := range o.sets() {
		if s.complete(dir, o) {
			continue
		}
		todo = append(todo, s)
		for _, p := range phones() {
			total += s.frames(p, o)
		}
	}
	step := func() {
		done++
		if progress != nil {
			progress(done, total)
		}
	}
	for _, s := range todo {
		if err := s.create(ctx, dir, o, step); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, o.sets()[0].documents()[0]), nil
}

// create makes one visit's files. The lesson documents come last but for the
// stamp, which says that all is there.
func (s *set) create(ctx context.Context, dir string, o Options, step func()) error {
	stamp := filepath.Join(dir, s.prefix+stampFile)
	if err := os.Remove(stamp); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("the old demo in %s can't be replaced: %w", dir, err)
	}
	var truths []*Truth
	if s.take != nil {
		truths = s.take.truths()
	} else {
		truths = []*Truth{newTruth(golfer.New(s.params))}
	}
	for _, p := range phones() {
		if err := ctx.Err(); err != nil {
			return err
		}
		file := s.prefix + p.view.String() + ".mp4"
		path := filepath.Join(dir, file)
		f := s.film(p, o)
		if err := f.write(ctx, path, step); err != nil {
			return err
		}
		if err := addTo(truths, f, path, file); err != nil {
			return err
		}
	}
	var known any = truths[0]
	if s.take != nil {
		known = s.take.truth(truths)
	}
	if err := writeJSON(filepath.Join(dir, s.truth), known); err != nil {
		return err
	}
	l := newLesson(s.visit, truths, s.seed)
	if s.cast != nil {
		s.cast.student(l)
	}
	if s.lesson != "" {
		if err := save(filepath.Join(dir, s.lesson), l); err != nil {
			return err
		}
	}
	for i, t := range truths {
		mark(&l.Swings[i], t, s.seed+10*uint64(i))
	}
	l.Title += ", marked"
	l.ID = l.ID[:len(l.ID)-1] + "1"
	if err := save(filepath.Join(dir, s.marked), l); err != nil {
		return err
	}
	return s.sign(dir, o)
}

// stamp says what a complete demo consists of.
type stamp struct {
	Version    int              `json:"version"`
	Shrink     int              `json:"shrink"`
	EndSeconds float64          `json:"end_seconds"`
	Swings     int              `json:"swings,omitempty"` // of a visit
	Sizes      map[string]int64 `json:"sizes"`            // of the files that nobody edits, bytes
}

// swings is how many there are in a visit's takes; 0 where each clip has one.
func (s *set) swings() int {
	if s.take == nil {
		return 0
	}
	return len(s.take.swings())
}

// fixed are the files whose sizes never change after they were made. The
// lesson documents are the coach's to edit.
func (s *set) fixed() []string {
	out := []string{s.truth}
	for _, p := range phones() {
		out = append(out, s.prefix+p.view.String()+".mp4")
	}
	return out
}

func (s *set) sign(dir string, o Options) error {
	st := stamp{Version: Version, Shrink: o.shrink(), EndSeconds: o.end(), Swings: s.swings(), Sizes: map[string]int64{}}
	for _, name := range s.fixed() {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			return fmt.Errorf("demo: %w", err)
		}
		st.Sizes[name] = info.Size()
	}
	return writeJSON(filepath.Join(dir, s.prefix+stampFile), st)
}

// complete reports whether dir holds all files of the set.
func (s *set) complete(dir string, o Options) bool {
	b, err := os.ReadFile(filepath.Join(dir, s.prefix+stampFile))
	if err != nil {
		return false
	}
	var st stamp
	if json.Unmarshal(b, &st) != nil || st.Version != Version || st.Shrink != o.shrink() || st.EndSeconds != o.end() || st.Swings != s.swings() {
		return false
	}
	for _, name := range s.fixed() {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.Size() != st.Sizes[name] {
			return false
		}
	}
	for _, name := range s.documents() {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			return false
		}
	}
	return true
}

// writeJSON writes v to path.
func writeJSON(path string, v any) error {
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	if err := place.Bytes(path, append(b, '\n')); err != nil {
		return fmt.Errorf("%s can't be written: %w", path, err)
	}
	return nil
}
