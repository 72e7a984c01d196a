package session

import (
	"context"
	"fmt"

	"turngauge/ui/bench"
	"turngauge/ui/propose"
)

// instants is the search for the key positions that motion does not tell, once a clip.
type instants struct {
	begun  bool
	busy   bool
	cancel context.CancelFunc
}

func (i *instants) stop() {
	if i.cancel != nil {
		i.cancel()
	}
}

// SearchingInstants reports whether the key positions are being looked for that motion
// does not tell.
func (s *Session) SearchingInstants() bool {
	for i := range s.instants {
		if s.instants[i].busy {
			return true
		}
	}
	return false
}

// searchInstants looks, in the background, for the key positions between start, top and
// strike, and for the finish, of a swing that nothing is marked in yet. Of two clips of
// one swing the face-on one tells.
func (s *Session) searchInstants() {
	if len(s.Bench.Swing().Marks) > 0 || s.Searching() {
		return
	}
	if _, on := s.Proposing(); on {
		return // it looks for them in every swing
	}
	for i := range s.Bench.Stages {
		film, p := s.Films[i], &s.instants[i]
		look, ok := s.Bench.Instants(i)
		if !ok || film == nil || p.begun {
			continue
		}
		ctx, cancel := context.WithCancel(s.ctx)
		*p = instants{begun: true, busy: true, cancel: cancel}
		s.env.Go("Looking for key positions", func() { s.searchInstantsOf(ctx, i, film, look) }, func() { p.busy = false })
	}
}

// searchInstantsOf looks through one clip, on its own goroutine.
func (s *Session) searchInstantsOf(ctx context.Context, stage int, f *Film, look bench.Instants) {
	found, err := propose.Instants(ctx, f.source.Index, look)
	s.env.Post(func() {
		if ctx.Err() != nil {
			return // another search, or none, is under way
		}
		s.instants[stage].busy = false
		if err != nil || s.closed || s.Films[stage] != f {
			return // the stage says what can't be read
		}
		before := s.Bench.Proposals()
		s.Bench.ProposeSeen(stage, found)
		if n := s.Bench.Proposals() - before; n > 0 {
			s.env.Tell(bench.Note(fmt.Sprintf("%d more key positions are proposed. Shift+Enter takes them; look at each.", n)))
		}
	})
}
