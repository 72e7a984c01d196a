package ui

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gioui.org/layout"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/video"
	"turngauge/video/track"
)

// following is marks being proposed at a key position, in the background.
type following struct {
	cancel      context.CancelFunc // nil while nothing is followed
	done, total [bench.NumStages]int
	pictures    int // to look for the golfer in
	looked      int // of them
	left        int // clips that are still being worked on
	placed      int
	asked       int
	stop        draw.Button
}

// mostSigma is the standard deviation up to which a place is offered, as a part
// of the picture's height: 13 pixels of 1080. Beyond it a point is quicker
// marked by hand than corrected.
const mostSigma = 0.012

// proposeMarks proposes marks at the key position that the stages show, in both
// clips at once: what is marked at the key positions around is followed, and what
// can't be is looked for in the picture.
func (a *App) proposeMarks() { a.startProposing((*bench.Bench).Follow) }

// proposeAllMarks does so at every key position, and shows one.
func (a *App) proposeAllMarks() {
	b := a.desk.Bench
	if _, key := b.PositionAt(b.Active); !key && len(b.Swing().Positions) > 0 {
		a.notices.Tell(b.GoToPosition(b.Swing().Positions[0].Name))
	}
	a.startProposing((*bench.Bench).FollowAll)
}

func (a *App) startProposing(which func(*bench.Bench) ([]bench.Following, bench.Note)) {
	d := a.desk
	if d.follow.cancel != nil {
		return
	}
	list, note := which(d.Bench)
	if note != "" {
		a.notices.Tell(note)
		return
	}
	ctx, cancel := context.WithCancel(d.ctx)
	d.follow = following{cancel: cancel}
	for stage := range bench.NumStages {
		own := slices.DeleteFunc(slices.Clone(list), func(f bench.Following) bool { return f.Stage != stage })
		if len(own) == 0 {
			continue
		}
		d.follow.left++
		for i := range own {
			d.follow.asked += own[i].Asked()
			d.follow.pictures++
		}
		clip := d.films[stage].source.Index
		a.work.Go("Proposing marks", func() { a.followClip(ctx, d, own, clip) }, func() {
			cancel()
			a.followEnded(ctx, d)
		})
	}
}

// followClip follows and looks for the points in one clip, at one key position
// after the other, and offers what it found.
func (a *App) followClip(ctx context.Context, d *desk, list []bench.Following, clip *video.Index) {
	for i, f := range list {
		found, err := follow(ctx, f, clip, func(done, total int) {
			a.work.Post(func() { d.follow.done[f.Stage], d.follow.total[f.Stage] = i*total+done, len(list)*total })
		})
		if missing := f.Missing(found); err == nil && len(missing) > 0 {
			var seen []bench.Found
			seen, err = d.sights.look(ctx, f, clip.Info().Path)
			for _, x := range seen {
				if slices.Contains(missing, x.Point) {
					found = append(found, x)
				}
			}
		}
		a.work.Post(func() {
			switch {
			case a.desk != d, ctx.Err() != nil:
			case err != nil:
				a.notices.Alert(err.Error())
			default:
				d.follow.looked++
				placed, note := d.Bench.TakeFollowed(f, found)
				a.notices.Tell(note)
				d.follow.placed += placed
			}
		})
		if err != nil {
			break
		}
	}
	a.work.Post(func() { a.followEnded(ctx, d) })
}

// followEnded counts a clip as done with, and says what came of all of them
// after the last.
func (a *App) followEnded(ctx context.Context, d *desk) {
	s := &d.follow
	if s.left--; s.left > 0 || a.desk != d {
		return
	}
	if ctx.Err() == nil {
		a.notices.Tell(bench.Followed(s.placed, s.asked))
	}
	s.cancel()
	s.cancel = nil
}

// follow follows points through a clip to one frame.
func follow(ctx context.Context, f bench.Following, clip *video.Index, progress func(done, total int)) ([]bench.Found, error) {
	if len(f.Marks) == 0 {
		return nil, nil
	}
	src, err := clip.Open(ctx)
	if err != nil {
		return nil, err
	}
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(motionCacheBytes)})
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
	most := mostSigma * float64(src.Info().Height)
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

// layoutFollowing stands in the guide's place while marks are proposed.
func (a *App) layoutFollowing(gtx layout.Context) layout.Dimensions {
	s := &a.desk.follow
	done, total := 0, 0
	for i := range s.done {
		done, total = done+s.done[i], total+s.total[i]
	}
	part := float32(done) / float32(max(total, 1))
	p := a.beginGuidePlace(gtx)
	p.Add(func(gtx layout.Context) layout.Dimensions {
		text := "Looking for the golfer in the picture …"
		switch {
		case done < total:
			text = fmt.Sprintf("Following the marks: %.0f %%", 100*part)
		case s.pictures > bench.NumStages:
			text = fmt.Sprintf("Looking for the golfer: picture %d of %d", min(s.looked+1, s.pictures), s.pictures)
			part = float32(s.looked) / float32(s.pictures)
		}
		return kit.Progress(gtx, a.theme, text, part, &s.stop)
	})
	return p.end()
}

// updateFollowing stops following when the coach says so.
func (a *App) updateFollowing(gtx layout.Context) {
	s := &a.desk.follow
	if s.cancel != nil && s.stop.Clicked(gtx) {
		s.cancel()
	}
}
