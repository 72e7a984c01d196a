package session

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
)

// Other is the swing that the one on the bench is compared with. It is only
// looked at: its lesson is never changed.
type Other struct {
	Path   string // of its lesson document
	Lesson *annotations.Lesson

	// Measured says that the measuring is done; Result is nil until then, and where
	// it broke.
	Measured bool
	Result   *annotations.Result
	// Visit are the measured swings of its lesson that were swung alike, Result among
	// them; of the lesson on the bench, Result alone.
	Visit []*annotations.Result

	Reels
	swing string
}

// Swing is the swing compared with.
func (o *Other) Swing() *annotations.Swing { return o.Lesson.Swing(o.swing) }

// Title tells the swing apart from the one on the bench, which is of the lesson
// given: what is the same is left out.
func (o *Other) Title(bench *annotations.Lesson) string {
	l, name := o.Lesson, ""
	if l.ID == bench.ID {
		return o.Swing().Label
	}
	if l.Student.Name != bench.Student.Name {
		name = l.Student.Name
	}
	words := slices.DeleteFunc([]string{name, l.Title, l.Date}, func(w string) bool { return w == "" })
	if len(words) == 0 {
		return o.Swing().Label
	}
	return strings.Join(words, "  ·  ")
}

// PointsAt returns the fitted points of a position, or nil.
func (o *Other) PointsAt(name geometry.PositionName) *[geometry.NumPoints]geometry.PointEstimate {
	return o.Result.Points(name)
}

// CompareWith makes a swing the one compared with, and has it measured.
func (s *Session) CompareWith(path string, l *annotations.Lesson, swing string) {
	s.CompareWithNone()
	o := &Other{Path: path, Lesson: l, swing: swing}
	s.Other = o
	index, terms, mine := l.SwingIndex(swing), s.env.Terms(), s.Bench.Lesson().ID
	s.env.Go("Measuring the swing to compare with", func() {
		options := annotations.Options{Targets: terms.Targets, Decided: terms.Decided}
		result, err := annotations.Evaluate(s.ctx, l, index, options)
		visit := []*annotations.Result{result}
		if err == nil && l.ID != mine {
			visit, err = series.Visit(s.ctx, result, nil, options)
		}
		s.env.Post(func() {
			if s.closed || s.Other != o {
				return
			}
			o.Measured = true
			if err == nil {
				o.Result, o.Visit = result, visit
			}
			s.SolveAnew() // for a sheet with the changes
			switch m := o.Result.Mistake(); {
			case m.WithholdsAll():
				s.env.Tell(bench.Note("The swing to compare with has no numbers: " + words.Mistake(&o.Result.Problem, m) + ". Open its lesson to mend that."))
			case len(o.Result.Values()) == 0:
				s.env.Tell("Nothing can be measured in the swing to compare with: mark it first.")
			}
		})
	}, func() { o.Measured = true })
}

// CompareWithNone puts the other swing away, and its pictures.
func (s *Session) CompareWithNone() {
	if s.Other == nil {
		return
	}
	s.StopComparing()
	s.Other.closeAll()
	s.Other = nil
	s.SolveAnew()
}

// StartComparing puts the other swing beside the one on the bench.
func (s *Session) StartComparing() {
	s.Bench.Pause()
	view := s.Bench.Stages[s.Bench.Active].View
	if s.Other.Swing().ClipOf(view) == nil {
		if v := s.Bench.Stages[1-s.Bench.Active].View; s.Other.Swing().ClipOf(v) != nil {
			view = v
		}
	}
	s.Comparing = bench.NewComparison(s.Bench.Swing, s.Other.Swing, view, s.Bench.Position)
	s.openCompared()
}

// StopComparing goes back to the bench, at the key position looked at last.
func (s *Session) StopComparing() {
	if s.Comparing == nil {
		return
	}
	position := s.Comparing.Position
	s.Comparing = nil
	s.env.Tell(s.Bench.GoToPosition(position))
}

// CompareOtherView shows both swings from the other view.
func (s *Session) CompareOtherView() {
	c := s.Comparing
	view := geometry.DownTheLine
	if c.View() == view {
		view = geometry.FaceOn
	}
	if !c.Shows(0, view) && !c.Shows(1, view) {
		s.env.Tell(bench.Note(fmt.Sprintf("Neither swing has a %s clip.", view)))
		return
	}
	c.SetView(view)
	s.openCompared()
}

// openCompared gives the stages of the comparison their films.
func (s *Session) openCompared() {
	c, o := s.Comparing, s.Other
	at := viewStage(c.View())
	if f := s.Films[at]; f != nil && c.Stages[0].Clip != "" {
		c.OpenFilm(0, f)
	}
	clip := o.Swing().ClipOf(c.View())
	switch {
	case clip == nil:
		o.Errors[at] = fmt.Sprintf("This swing was not filmed %s.", c.View())
	case o.Films[at] != nil:
		c.OpenFilm(1, o.Films[at])
	case clip.File == "":
		o.Errors[at] = "This clip has no file, so there is no picture of it; its numbers are in the sheet."
	default:
		path, filmed := clip.PathIn(filepath.Dir(o.Path)), clip.FilmedFPS
		o.Errors[at] = ""
		s.env.Go("Opening "+path, func() { s.openOther(o, at, path, filmed) }, nil)
	}
}

// openOther opens one file of the other swing on its own goroutine.
func (s *Session) openOther(o *Other, at int, path string, filmed float64) {
	src, err := video.OpenContext(s.ctx, path)
	if err != nil {
		s.env.Post(func() { o.Errors[at] = err.Error() })
		return
	}
	src.SetFilmed(filmed)
	f := s.env.newFilm(src)
	s.env.Post(func() {
		if s.closed || s.Other != o || o.Films[at] != nil {
			f.close()
			return
		}
		o.Films[at] = f
		if c := s.Comparing; c != nil && viewStage(c.View()) == at {
			c.OpenFilm(1, f)
		}
	})
}

// viewStage is the stage on which the bench shows a view.
func viewStage(v geometry.View) int {
	if v == geometry.DownTheLine {
		return 1
	}
	return 0
}
