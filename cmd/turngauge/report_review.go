//go:build !nowindow

package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/annotations/saver"
	"turngauge/annotations/words"
	"turngauge/ui/review/film"
	"turngauge/ui/takehome"
)

// mostMB is the most megabytes that a film can be asked to fit.
const mostMB = 100_000

// lastReview is how the newest review is named.
const lastReview = "last"

// reviewFilm makes the film of a review of the lesson at q.Path.
func (r *run) reviewFilm(c *command, name string, q film.Request) int {
	var err error
	if q.Lesson, err = r.load(q.Path); err != nil {
		return r.fail(err, exitInput)
	}
	if q.Review, err = reviewOf(q.Lesson, name); err != nil {
		return r.fail(err, exitInput)
	}
	if q.MP4 == "" {
		q.MP4 = beside(q.Path, "", " review.mp4")
	}
	list, voice := q.Review.Files(filepath.Dir(q.Path))
	for _, f := range []string{q.Path, list, voice} {
		if sameFile(q.MP4, f) {
			return r.misuse(c, "%s belongs to the lesson: name another file to write", f)
		}
	}
	if f := overClip(&takehome.Request{MP4: q.MP4}, q.Lesson, q.Path); f != "" {
		return r.misuse(c, "%s is a clip of the lesson: name another file to write", f)
	}
	notes, err := film.Write(r.ctx, q)
	for _, n := range notes {
		r.say("%s", n)
	}
	if err != nil {
		return r.fail(err, exitFailed)
	}
	_, _ = fmt.Fprintln(r.stdout, q.MP4)
	if err := noteFilm(q); err != nil {
		r.say("the film is there, but the lesson doesn't name it: %v", err)
	}
	return exitOK
}

// noteFilm notes in a lesson the film that was made of a review, if it lies beside the lesson.
func noteFilm(q film.Request) error {
	if !sameFile(filepath.Dir(q.MP4), filepath.Dir(q.Path)) || q.Review.Film == filepath.Base(q.MP4) {
		return nil
	}
	to, err := saver.Open(q.Path, func(error) {}) // what can't be saved, Flush says
	if err != nil {
		return err
	}
	l, _, err := annotations.Load(q.Path) // it may be another than before the film was made
	if err != nil {
		return errors.Join(err, to.Close())
	}
	made, ok := l.Reviews.Find(q.Review.ID)
	if !ok {
		return errors.Join(errors.New("the review was taken out meanwhile"), to.Close())
	}
	made.Film = filepath.Base(q.MP4)
	e := annotations.NewEditor(l)
	if err := e.Apply(annotations.SetReviews{Reviews: l.Reviews.With(made), What: "make a film of the review"}); err != nil {
		return errors.Join(err, to.Close())
	}
	to.Save(e.Lesson())
	return errors.Join(to.Flush(), to.Close())
}

// reviewOf finds a review by its ID or title, or the newest.
func reviewOf(l *annotations.Lesson, name string) (review.Review, error) {
	if len(l.Reviews) == 0 {
		return review.Review{}, fmt.Errorf("no review: nobody has talked this lesson through yet; that is done in the window")
	}
	if name == lastReview {
		return l.Reviews[len(l.Reviews)-1], nil
	}
	var known []string
	for _, x := range l.Reviews {
		if x.ID == name || strings.EqualFold(x.Title, name) {
			return x, nil
		}
		if x.Title != "" {
			known = append(known, words.Quote(x.Title))
		} else {
			known = append(known, x.ID)
		}
	}
	return review.Review{}, fmt.Errorf("there is no review %s in the lesson; it has %s", words.Quote(name), words.Or(known))
}
