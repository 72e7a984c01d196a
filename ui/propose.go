package ui

import (
	"context"
	"errors"
	"fmt"
	"image"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
	"turngauge/video/motion"
)

// proposal is the search for key positions in a clip's motion: once for every
// moment of the strike, and not where the coach has set what it could find.
type proposal struct {
	strike float64
	begun  bool
	busy   bool
	cancel context.CancelFunc
}

// motionSize is the size of the pictures that motion is looked for in.
var motionSize = image.Pt(192, 108)

// motionCacheBytes is enough for the reader that looks through a clip once;
// it is no use to keep what it has seen.
const motionCacheBytes = 64 << 20

// proposePositions looks, in the background, for key positions in the clips
// whose strike is known.
func (a *App) proposePositions() {
	d := a.desk
	for i := range d.Bench.Stages {
		st := &d.Bench.Stages[i]
		strike, ok := d.Bench.Impact(i)
		p := &d.proposals[i]
		if d.films[i] == nil || !ok || p.begun && p.strike == strike || !d.wantsProposals(i) {
			continue
		}
		if p.cancel != nil {
			p.cancel()
		}
		ctx, cancel := context.WithCancel(d.ctx)
		*p = proposal{strike: strike, begun: true, busy: true, cancel: cancel}
		f, view := d.films[i], st.View
		a.work.Go("Looking for key positions", func() { a.propose(ctx, d, i, f, strike, view) }, func() { p.busy = false })
	}
}

// wantsProposals reports whether the start or the top of the swing is not set
// yet in a stage's clip.
func (d *desk) wantsProposals(stage int) bool {
	for _, name := range []geometry.PositionName{geometry.Address, geometry.Top} {
		if t, ok := d.Bench.TickOf(stage, name); !ok || t.Proposed {
			return true
		}
	}
	return false
}

// propose looks through one clip.
func (a *App) propose(ctx context.Context, d *desk, stage int, f *film, strike float64, view geometry.View) {
	src, err := f.source.Index.Open(ctx)
	if err != nil { // the stage says so
		a.work.Post(func() { d.proposals[stage].busy = false })
		return
	}
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(motionCacheBytes)})
	found, err := motion.Propose(ctx, r, motionSize, strike)
	r.Close()
	a.work.Post(func() {
		if ctx.Err() == nil {
			d.proposals[stage].busy = false
		}
		switch {
		case a.desk != d || d.films[stage] != f || ctx.Err() != nil:
		case errors.Is(err, motion.ErrNoSwing), errors.Is(err, motion.ErrNoStrike):
			a.notices.Tell(bench.Note(fmt.Sprintf("No key positions could be told from the motion in the %s clip. Find address and the top by eye: press 1 and 4.", view)))
		case err == nil:
			var list []bench.Proposal
			for _, p := range found {
				if name := geometry.PositionName(p.Name); name != geometry.Impact {
					list = append(list, bench.Proposal{Name: name, Frame: p.Frame, Unsure: p.Unsure})
				}
			}
			d.Bench.Propose(stage, list)
		}
	})
}
