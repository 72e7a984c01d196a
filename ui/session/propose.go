package session

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/propose"
	"turngauge/video/motion"
	"turngauge/video/take"
)

// search is the search for key positions in a clip's motion: once for every
// moment of the strike, and not where the coach has set what it could find.
type search struct {
	strike float64 // seconds along the clip; unheard if it is to be seen in the motion
	begun  bool
	silent bool // the sound tells of no strike

	listening bool // for the strike
	busy      bool
	cancel    context.CancelFunc
}

// anotherStrikeS is by how much a strike must have moved for key positions to be looked
// for anew, seconds: taking impact at a frame moves it by less.
const anotherStrikeS = 0.05

// unheard is the strike of a clip whose sound tells of none.
const unheard = -1

func (p *search) stop() {
	if p.cancel != nil {
		p.cancel()
	}
}

// Searching reports whether key positions are being looked for in a clip.
func (s *Session) Searching() bool {
	for i := range s.searches {
		if s.searches[i].busy || s.searches[i].listening {
			return true
		}
	}
	return false
}

// search looks, in the background, for key positions in the clips whose strike
// is known.
func (s *Session) search() {
	for i := range s.Bench.Stages {
		st := &s.Bench.Stages[i]
		strike, ok := s.Bench.Impact(i)
		p := &s.searches[i]
		if !ok && p.silent {
			strike, ok = unheard, true
		}
		if s.Films[i] == nil || !ok || p.begun && math.Abs(p.strike-strike) < anotherStrikeS || !s.wantsProposals(i) {
			continue
		}
		p.stop()
		ctx, cancel := context.WithCancel(s.ctx)
		*p = search{strike: strike, begun: true, busy: true, silent: p.silent, listening: p.listening, cancel: cancel}
		f, view, part := s.Films[i], st.View, st.Part
		slows := slowsOf(s.Bench.Swing().Clip(st.Clip), &f.Info)
		s.env.Go("Looking for key positions", func() { s.searchClip(ctx, i, f, part, strike, view, slows) }, func() { p.busy = false })
	}
}

// wantsProposals reports whether the start or the top of the swing is not set
// yet in a stage's clip.
func (s *Session) wantsProposals(stage int) bool {
	for _, name := range []geometry.PositionName{geometry.Address, geometry.Top} {
		if t, ok := s.Bench.TickOf(stage, name); !ok || t.Proposed {
			return true
		}
	}
	return false
}

// searchClip looks through one clip, on its own goroutine.
func (s *Session) searchClip(ctx context.Context, stage int, f *Film, part annotations.Part, strike float64, view geometry.View, slows []float64) {
	found, slow, uneven, err := f.propose(ctx, part, strike, slows)
	s.env.Post(func() {
		if ctx.Err() != nil {
			return // another search, or none, is under way
		}
		s.searches[stage].busy = false
		if !s.closed && s.Films[stage] == f {
			s.doubtSpeed(stage, slow, uneven)
		}
		switch {
		case s.closed || s.Films[stage] != f:
		case errors.Is(err, motion.ErrNoSwing), errors.Is(err, motion.ErrNoStrike):
			if s.Bench.Borrow(stage) {
				s.env.warn(bench.Note(fmt.Sprintf("No key positions could be told from the motion in the %s clip: those of the other view are proposed in it, at the same moments. Look at each.", view)))
				return
			}
			s.env.warn(bench.Note(fmt.Sprintf("No key positions could be told from the motion in the %s clip. Find address and the top by eye: press 1 and 4.", view)))
		case err == nil:
			var list []bench.Proposal
			for _, p := range found {
				if name := geometry.PositionName(p.Name); name != geometry.Impact || strike == unheard {
					list = append(list, bench.Proposal{Name: name, Frame: p.Frame, Unsure: p.Unsure || strike == unheard})
				}
			}
			if strike == unheard {
				s.env.warn(bench.Note(fmt.Sprintf("No strike is heard in the %s clip, so its key positions are proposed from the motion alone: look at each before you take it.", view)))
			}
			s.Bench.Propose(stage, list)
			s.Bench.Borrow(stage)
			s.Bench.Borrow(1 - stage)
		}
	})
}

// propose looks through the whole clip for the key positions of a swing whose
// strike is at a moment of it, seconds, at each of the speeds that it may play at.
func (f *Film) propose(ctx context.Context, part annotations.Part, strike float64, slows []float64) (found []motion.Proposal, slow float64, uneven bool, err error) {
	r, err := propose.Reader(ctx, f.source.Index)
	if err != nil { // the stage says so
		return nil, 0, false, err
	}
	defer r.Close()
	if strike == unheard {
		var ok bool
		if strike, ok, err = propose.StrikeIn(ctx, r, part); err != nil || !ok {
			return nil, 0, false, cmp.Or(err, motion.ErrNoStrike)
		}
	}
	return motion.ProposeAt(ctx, r, take.Size, strike, slows)
}
