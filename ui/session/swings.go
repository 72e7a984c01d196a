package session

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/teach"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/propose"
)

// Proposing is how far key positions and marks are being proposed in all swings.
type Proposing struct {
	Done, Total int // swings

	marks  int
	more   map[string]map[string]propose.Found // of swings that have come since
	cancel context.CancelFunc                  // nil while nothing is proposed
	left   []string                            // IDs of the swings that this began with
}

// TellProposing has pending told, on the window's goroutine, in which swings by their IDs
// marks are being proposed: whenever some are added, and none once all is done and saved,
// or the coach has stopped it. When the lesson is closed in the middle it is told nothing.
func (s *Session) TellProposing(pending func(swings []string)) { s.pending = pending }

func (s *Session) tellProposing() {
	if s.pending == nil {
		return
	}
	left := slices.Clone(s.proposing.left)
	for id := range s.proposing.more {
		left = append(left, id)
	}
	slices.Sort(left)
	s.pending(slices.Compact(left))
}

// Arrival is how far clips that have come into a watched folder are looked through.
type Arrival struct {
	Clips int     // 0 for none
	Part  float32 // of the work that is done, 0 to 1
}

// SetArrival says how far that is.
func (s *Session) SetArrival(a Arrival) { s.arrival = a }

// Progress says in a few words what is being done beside the coach's own work, and how far
// it is, 0 to 1. It reports false where nothing is.
func (s *Session) Progress() (text string, part float32, on bool) {
	p, proposing := s.Proposing()
	switch {
	case s.arrival.Clips > 0:
		return "Looking for swings in " + words.Count(s.arrival.Clips, "new clip", "new clips"), s.arrival.Part, true
	case proposing:
		return fmt.Sprintf("Proposing marks: swing %d of %d", min(p.Done+1, p.Total), p.Total), float32(p.Done) / float32(max(p.Total, 1)), true
	}
	return "", 0, false
}

// Proposing returns how far that is, and whether it is going on.
func (s *Session) Proposing() (p Proposing, on bool) { return s.proposing, s.proposing.cancel != nil }

// StopProposing ends it, and reports whether it was going on.
func (s *Session) StopProposing() bool {
	if s.proposing.cancel == nil {
		return false
	}
	s.proposing.cancel()
	s.proposing = Proposing{}
	s.tellProposing()
	s.env.Tell("Proposing has stopped. What is proposed so far stays.")
	return true
}

// ProposeSwings proposes, in the background, key positions and marks in every swing that
// has no mark yet: first in the one on the bench, then in the others from the last one
// on. found is what is known of swings, by their IDs and those of their clips; it may be
// nil. Each swing is one step of undo.
func (s *Session) ProposeSwings(found map[string]map[string]propose.Found) {
	l := s.Bench.Lesson()
	var ids []string
	for i := range l.Swings {
		if propose.Wants(&l.Swings[i]) {
			ids = append(ids, l.Swings[i].ID)
		}
	}
	slices.Reverse(ids)
	if i := slices.Index(ids, s.Bench.Swing().ID); i > 0 {
		ids = slices.Insert(slices.Delete(ids, i, i+1), 0, s.Bench.Swing().ID)
	}
	switch {
	case s.proposing.cancel != nil: // it goes on with them at its end
		for id, f := range found {
			if s.proposing.more == nil {
				s.proposing.more = make(map[string]map[string]propose.Found)
			}
			s.proposing.more[id] = f
		}
		s.tellProposing()
		return
	case len(ids) == 0:
		s.env.Tell("Every swing with clips has marks already.")
		return
	}
	ctx, cancel := context.WithCancel(s.ctx)
	s.proposing = Proposing{Total: len(ids), cancel: cancel, left: ids}
	s.tellProposing()
	ended := func() {
		cancel()
		s.proposing.cancel = nil
	}
	s.env.Go("Proposing marks in all swings", func() {
		for _, id := range ids {
			s.proposeSwing(ctx, l, id, found[id])
		}
		s.env.Post(func() {
			if ctx.Err() != nil {
				return // stopped, or the lesson is closed
			}
			more := s.proposing.more
			ended()
			s.proposing.left, s.proposing.more = nil, nil
			if s.Save(); s.Flush() == nil { // what is told as done must not be lost
				s.tellProposing()
			}
			if more != nil {
				s.ProposeSwings(more)
				return
			}
			s.env.Tell(bench.Note(fmt.Sprintf("%s proposed in %s: look at each, Enter takes it and dragging corrects it.",
				words.Count(s.proposing.marks, "mark is", "marks are"), words.Count(s.proposing.Total, "swing", "swings"))))
		})
	}, ended)
}

// proposeSwing works on one swing, on a goroutine of its own and a copy of the lesson.
func (s *Session) proposeSwing(ctx context.Context, l *annotations.Lesson, id string, found map[string]propose.Found) {
	if ctx.Err() != nil {
		return
	}
	copied := annotations.NewEditor(l)
	done, err := propose.Swing(ctx, copied, id, filepath.Dir(s.Path), found)
	s.env.Post(func() {
		if ctx.Err() != nil || s.closed {
			return
		}
		s.proposing.Done++
		if err != nil {
			s.env.Alert(err.Error())
			return
		}
		number := s.Bench.Lesson().SwingIndex(id) + 1
		for _, n := range done.Notes {
			s.env.warn(bench.Note(fmt.Sprintf("Swing %d: %s", number, n)))
		}
		if s.take(copied.Lesson().Swing(id)) {
			s.proposing.marks += done.Marks
		}
	})
}

// take puts what was proposed for a swing into the lesson, unless the coach has begun
// with it himself, and reports whether it did.
func (s *Session) take(proposed *annotations.Swing) bool {
	now := s.Bench.Lesson().Swing(proposed.ID)
	if now == nil || !propose.Wants(now) {
		return false
	}
	e := s.Bench.Editor()
	e.Begin("propose marks in a swing")
	defer e.End()
	set := len(now.Positions) > 0
	for i := range proposed.Positions {
		p := &proposed.Positions[i]
		for _, f := range p.Frames {
			if set {
				if own, ok := now.FrameOf(f.Clip, p.Name); !ok || own.Index != f.Index {
					continue
				}
			}
			if e.Apply(annotations.SetPosition{Swing: now.ID, Clip: f.Clip, Position: p.Name, Index: f.Index, PTS: f.PTS, Proposed: f.Proposed}) != nil {
				continue // the clip has gone
			}
			for _, m := range proposed.MarksAt(f.Clip, p.Name) {
				_ = e.Apply(annotations.SetMark{Swing: now.ID, Mark: m}) // as the frame that it is on
			}
		}
	}
	// The coach may have corrected other swings since this one was begun with.
	_, err := teach.Apply(e, func(s *annotations.Swing, _ annotations.Mark) bool { return s.ID == now.ID })
	if err != nil {
		s.env.warn(bench.Note(err.Error()))
	}
	s.Bench.Refresh()
	return true
}
