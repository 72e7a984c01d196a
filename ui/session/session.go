// Package session is an open lesson without a window: what is worked on, where
// it is kept, and the work that goes on beside the coach's hand. Opened clips,
// the fit of the swing on the bench and what would sharpen it, what is proposed,
// and the swing that it is compared with belong to it.
//
// A session belongs to the goroutine that owns the window. What it has done
// elsewhere comes back through the mailbox of its [Work]; a result that is not
// wanted any more, because the lesson was closed or another swing is on the
// bench, is dropped there.
package session

import (
	"context"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/annotations/teach"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/fault"
	"turngauge/video"
)

// Env is what sessions are given by the window.
type Env struct {
	*Work
	// Tell shows a passing notice.
	Tell func(bench.Note)
	// Warn shows a passing notice of what is not as it should be; nil tells it.
	Warn func(bench.Note)
	// Budget is the memory for decoded pictures, shared by all clips.
	Budget *video.Budget
	// Terms are what numbers are made with; they are asked for at every fit.
	Terms func() Terms
	// AskSpeed asks the coach how fast the clips of the swing on the bench play; nil
	// asks nothing.
	AskSpeed func()
	// Edited is told of every state of the lesson but the first.
	Edited func(path string, l *annotations.Lesson)
}

func (e *Env) warn(n bench.Note) {
	if e.Warn == nil {
		e.Tell(n)
		return
	}
	e.Warn(n)
}

// Terms are what the numbers of a fit are written in and judged by.
type Terms struct {
	Imperial bool
	Targets  annotations.Targets
	Rules    annotations.Rules
	Decided  float64 // as in annotations.Options
}

// opened is what a film was opened for.
type opened struct {
	clip   string
	filmed float64 // as annotations.Clip.FilmedFPS
}

// Session is an open lesson.
type Session struct {
	// Path is where the lesson's document lies.
	Path string
	// Bench is the lesson under the coach's hand, with one of its swings.
	Bench *bench.Bench
	// Reels are the opened clips of the swing on the bench.
	Reels
	// Result is the newest fit of the swing on the bench.
	Result Result
	// Other is the swing compared with, or nil; Comparing, while its pictures are
	// beside the bench's.
	Other     *Other
	Comparing *bench.Comparison

	env   *Env
	saver *saver.Saver
	swing string                  // the ID of the one on the bench
	clips [bench.NumStages]opened // what films were opened for

	fitter   *fitter
	revision uint64 // of the lesson last sent to the fitter and the saver
	asked    bool   // whether any was

	searches   [bench.NumStages]search
	instants   [bench.NumStages]instants
	speeds     speeds
	offLine    map[string]bool // clips whose camera was told to have stood off its line
	follow     Following
	visit      visit
	proposing  Proposing
	arrival    Arrival
	pending    func(swings []string) // see TellProposing
	detections detections

	ctx    context.Context
	stop   context.CancelFunc
	closed bool

	teaching  bool                  // what is marked on clothes is looked for in the other swings
	teachings int                   // that have come to their end
	sought    map[teach.Sought]bool // what was, in vain
}

// Open takes the document at a path for this window, so that no other can write
// it, then has it read, and begins work on its first swing. The lesson is saved
// from then on. Where it can't be taken, which an *saver.InUseError says,
// nothing is read.
func Open(env *Env, path string, read func() (*annotations.Lesson, error)) (*Session, error) {
	saver, err := saver.Open(path, func(err error) {
		env.Post(func() { env.Alert(err.Error()) })
	})
	if err != nil {
		return nil, err
	}
	l, err := read()
	if err != nil {
		_ = saver.Close() // nothing was saved through it
		return nil, err
	}
	if len(l.Swings) == 0 {
		l = l.Clone()
		l.Swings = append(l.Swings, annotations.Swing{ID: annotations.NewID(), Label: "Swing 1"})
	}
	ctx, stop := context.WithCancel(context.Background())
	s := &Session{Path: path, env: env, saver: saver, ctx: ctx, stop: stop}
	s.Bench, s.swing = bench.New(annotations.NewEditor(l), l.Swings[0].ID), l.Swings[0].ID
	s.fitter = newFitter(&env.Mailbox, s.fitDone, s.adviceDone,
		func(f *fault.Error) { env.Faulty("Measuring", f, nil) })
	s.OpenClips()
	return s, nil
}

// Close saves the lesson and ends all work on it; first the one, because the other may
// take as long as a file that can't be read.
func (s *Session) Close() error {
	s.closed = true
	s.stop()
	err := s.saver.Close()
	s.fitter.close()
	s.closeAll()
	if s.Other != nil {
		s.Other.closeAll()
	}
	return err
}

// Closed reports whether the lesson was closed: then what was made for it is
// not wanted any more.
func (s *Session) Closed() bool { return s.closed }

// Context ends when the lesson is closed.
func (s *Session) Context() context.Context { return s.ctx }

// Edit changes the lesson; it can be undone. The error says, for the coach, why
// it can't be done.
func (s *Session) Edit(e annotations.Edit) error { return s.Bench.Editor().Apply(e) }

// Save has the lesson saved as it is, edited or not.
func (s *Session) Save() { s.saver.Save(s.Bench.Lesson()) }

// Flush waits until everything is saved.
func (s *Session) Flush() error { return s.saver.Flush() }

// Show returns what the stages show: the bench, or the comparison.
func (s *Session) Show() *bench.Show {
	if s.Comparing != nil {
		return &s.Comparing.Show
	}
	return &s.Bench.Show
}

// Update brings everything into line with the lesson, which the coach's hand, or
// undo and redo, has changed: what is opened, proposed, saved and solved. It
// costs nothing where nothing was.
func (s *Session) Update() {
	s.Bench.Refresh()
	if id := s.Bench.Swing().ID; id != s.swing {
		s.ShowSwing(id)
	} else if s.clipsChanged() {
		s.OpenClips()
	}
	s.search()
	s.searchInstants()
	s.askSpeeds()
	s.measureVisit()
	s.Send()
}

// clipsChanged reports whether the stages have other clips than were opened.
func (s *Session) clipsChanged() bool {
	for i := range s.clips {
		if st := &s.Bench.Stages[i]; (opened{st.Clip, st.FilmedFPS}) != s.clips[i] {
			return true
		}
	}
	return false
}

// ShowSwing puts another swing of the lesson on the bench.
func (s *Session) ShowSwing(id string) {
	s.Comparing = nil
	s.StopFollowing() // its marks are of the swing before
	s.Bench, s.swing = bench.New(s.Bench.Editor(), id), id
	for i := range s.searches {
		s.searches[i].stop()
		s.searches[i] = search{}
		s.instants[i].stop()
		s.instants[i] = instants{}
	}
	s.Result = Result{}
	s.asked = false
	s.closeAll()
	s.OpenClips()
	s.Send()
}

// NextSwing puts the lesson's next swing on the bench, round and round.
func (s *Session) NextSwing() {
	l := s.Bench.Lesson()
	i := l.SwingIndex(s.Bench.Swing().ID)
	s.ShowSwing(l.Swings[(i+1)%len(l.Swings)].ID)
}

// Send sends a lesson that has changed to be saved and solved.
func (s *Session) Send() {
	e := s.Bench.Editor()
	if e.Revision() == s.revision && s.asked {
		return
	}
	if e.Revision() != s.revision {
		s.saver.Save(e.Lesson())
		s.env.Edited(s.Path, e.Lesson())
	}
	s.revision, s.asked = e.Revision(), true
	r := request{Terms: s.env.Terms(), lesson: e.Lesson(), swing: s.Bench.Swing().ID, revision: s.revision}
	r.visit, r.alone = s.each(), s.visit.alone
	if s.Other != nil {
		r.earlier = s.Other.Visit
		r.apart = s.Other.Lesson.ID == r.lesson.ID
		r.alone = r.alone || r.apart
	}
	s.fitter.request(r)
}

// SolveAnew has the swing solved, and its numbers written, once more: the terms
// have changed.
func (s *Session) SolveAnew() { s.asked = false }

// StopSolving ends the solving for good; the numbers stay those of the last fit.
// It is for measurements of what the window itself costs.
func (s *Session) StopSolving() { s.fitter.close() }

// ClipFolder returns the folder of the lesson's first clip, to look for more, or
// "".
func (s *Session) ClipFolder() string {
	for _, f := range s.Films {
		if f != nil {
			return filepath.Dir(f.Info.Path)
		}
	}
	return ""
}

// Target is the range that a measure of the swing on the bench should lie in at a
// key position, as far as there is one.
func (s *Session) Target(name string, at geometry.PositionName) (r geometry.Range, ok bool) {
	t, ok := s.env.Terms().Targets.Find(name, at, s.Bench.Swing().Club.Group(), s.Bench.Lesson().Student.Sex)
	return t.Range, ok
}

// GoTo shows a key position.
func (s *Session) GoTo(name geometry.PositionName) {
	if c := s.Comparing; c != nil {
		s.env.Tell(c.GoToPosition(name))
		return
	}
	b := s.Bench
	if again, on := b.Blind(); on && again.Position != name {
		s.env.Tell(b.Busy()) // its first marks would be asked for, and seen, elsewhere
		return
	}
	s.env.Tell(b.GoToPosition(name))
}

// GoToNeighbour shows the next key position (1) or the one before (-1).
func (s *Session) GoToNeighbour(step int) {
	name, note := s.Show().Neighbour(step)
	if name == "" {
		s.env.Tell(note)
		return
	}
	s.GoTo(name)
}
