package session

import (
	"context"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/propose"
	"turngauge/video"
	"turngauge/video/track"
)

// Following is how far marks are being proposed at key positions.
type Following struct {
	// Done and Total count the frames that marks are followed through, per stage.
	Done, Total [bench.NumStages]int
	// Pictures are to be looked into for the golfer, and Looked of them have been.
	Pictures, Looked int

	cancel context.CancelFunc // nil while nothing is followed
	left   int                // clips that are still being worked on
	placed int
	asked  int
}

// mostSigma is the standard deviation up to which a place is offered, as a part
// of the picture's height: 13 pixels of 1080. Beyond it a point is quicker
// marked by hand than corrected.
const mostSigma = 0.012

// Following returns how far marks are being proposed, and whether they are.
func (s *Session) Following() (f Following, on bool) { return s.follow, s.follow.cancel != nil }

// StopFollowing ends the proposing of marks, and reports whether any was going
// on.
func (s *Session) StopFollowing() bool {
	if s.follow.cancel == nil {
		return false
	}
	s.follow.cancel()
	return true
}

// ProposeMarks proposes marks at the key position that the stages show, in both
// clips at once: what is marked at the key positions around is followed, and what
// can't be is looked for in the picture.
func (s *Session) ProposeMarks() { s.startFollowing((*bench.Bench).Follow) }

// ProposeAllMarks does so at every key position, and shows one.
func (s *Session) ProposeAllMarks() {
	b := s.Bench
	if _, key := b.PositionAt(b.Active); !key && len(b.Swing().Positions) > 0 {
		s.env.Tell(b.GoToPosition(b.Swing().Positions[0].Name))
	}
	s.startFollowing((*bench.Bench).FollowAll)
}

func (s *Session) startFollowing(which func(*bench.Bench) ([]bench.Following, bench.Note)) {
	if s.follow.cancel != nil {
		return
	}
	list, note := which(s.Bench)
	if note != "" {
		s.env.Tell(note)
		return
	}
	ctx, cancel := context.WithCancel(s.ctx)
	s.follow = Following{cancel: cancel}
	for stage := range bench.NumStages {
		own := slices.DeleteFunc(slices.Clone(list), func(f bench.Following) bool { return f.Stage != stage })
		if len(own) == 0 {
			continue
		}
		s.follow.left++
		for i := range own {
			s.follow.asked += own[i].Asked()
			s.follow.Pictures++
		}
		clip := s.Films[stage].source.Index
		strike, known := s.Bench.Impact(stage)
		if !known {
			strike = math.NaN()
		}
		s.env.Go("Proposing marks", func() { s.followClip(ctx, own, clip, strike) }, func() {
			cancel()
			s.followEnded(ctx)
		})
	}
}

// followClip follows and looks for the points in one clip, at one key position
// after the other, and offers what it found. Where the strike is known, seconds, the
// golfer is the one who moves before it; else the largest person.
func (s *Session) followClip(ctx context.Context, list []bench.Following, clip *video.Index, strike float64) {
	var mover geometry.ImagePt
	if !math.IsNaN(strike) {
		mover, _ = golferAt(ctx, clip, strike) // an error is that of reading what follows
	}
	for i, f := range list {
		if f.GolferAt == (geometry.ImagePt{}) {
			f.GolferAt = mover
		}
		found, err := follow(ctx, f, clip, func(done, total int) {
			s.env.Post(func() { s.follow.Done[f.Stage], s.follow.Total[f.Stage] = i*total+done, len(list)*total })
		})
		if missing := f.Missing(found); err == nil && len(missing) > 0 {
			var seen []bench.Found
			seen, err = s.detections.look(ctx, f, clip)
			for _, x := range seen {
				if slices.Contains(missing, x.Point) {
					found = append(found, x)
				}
			}
		}
		s.env.Post(func() {
			switch {
			case s.closed, ctx.Err() != nil:
			case err != nil:
				s.env.Alert(err.Error())
			default:
				s.follow.Looked++
				placed, note := s.Bench.TakeFollowed(f, found)
				s.env.Tell(note)
				s.follow.placed += placed
			}
		})
		if err != nil {
			break
		}
	}
	s.env.Post(func() { s.followEnded(ctx) })
}

// followEnded counts a clip as done with, and says what came of all of them
// after the last.
func (s *Session) followEnded(ctx context.Context) {
	f := &s.follow
	if f.left--; f.left > 0 || s.closed {
		return
	}
	if ctx.Err() == nil {
		s.env.Tell(bench.Followed(f.placed, f.asked))
	}
	f.cancel()
	f.cancel = nil
}

// follow follows points through a clip to one frame.
func follow(ctx context.Context, f bench.Following, clip *video.Index, progress func(done, total int)) ([]bench.Found, error) {
	if len(f.Marks) == 0 {
		return nil, nil
	}
	r, err := propose.Reader(ctx, clip)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	marks := make([]track.Placed, len(f.Marks))
	for i, m := range f.Marks {
		marks[i] = track.Placed{Point: int(m.Point), Frame: m.Frame, X: m.At.X, Y: m.At.Y}
	}
	tracks, err := track.Follow(ctx, r, marks,
		track.Options{Before: f.Before, After: f.After, Progress: progress})
	if err != nil {
		return nil, err
	}
	most := mostSigma * float64(clip.Info().Height)
	var found []bench.Found
	for i := range tracks {
		s := tracks[i].At(f.Frame)
		if s.State == track.Lost || s.Sigma > most || math.IsNaN(s.X+s.Y) {
			continue
		}
		found = append(found, bench.Found{Point: geometry.Point(tracks[i].Point), At: geometry.ImagePt{X: s.X, Y: s.Y}, SigmaPx: s.Sigma, State: geometry.Tracked})
	}
	return found, nil
}
