package propose

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"

	"golang.org/x/sync/errgroup"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
	"turngauge/video/motion"
	"turngauge/video/pose"
	"turngauge/video/sound"
	"turngauge/video/take"
)

// Found is what was found of a swing in one of its clips before.
type Found struct {
	Strike    float64 // seconds on the clip's clock
	Positions []motion.Proposal
}

// Done is what came of a swing.
type Done struct {
	Positions, Marks int      // that were proposed
	Notes            []string // sentences for the coach: what could not be told
}

// Wants reports whether there is something to propose for a swing: it has clips and no
// mark yet.
func Wants(s *annotations.Swing) bool { return len(s.Clips) > 0 && len(s.Marks) == 0 }

// Swing proposes key positions, where none is set, and marks at them for a swing of the
// lesson that the editor holds, whose document lies in a folder. found tells, by the
// clips' IDs, what is known of them; it may be nil. The marks stay proposed, for the
// coach to take or correct, and count by the standard deviations that they are given.
// Nothing is changed where the error is not nil: it is ctx's, or that of a file.
func Swing(ctx context.Context, e *annotations.Editor, swing, folder string, found map[string]Found) (Done, error) {
	w, err := newWork(ctx, e, swing, folder, found)
	if err != nil {
		return Done{}, err
	}
	defer w.close()
	e.Begin("propose key positions and marks")
	if err := w.do(ctx); err != nil {
		e.Cancel()
		return Done{}, err
	}
	e.End()
	return w.done, nil
}

// work is that on one swing.
type work struct {
	b      *bench.Bench
	folder string
	clips  [bench.NumStages]clip
	done   Done
}

// newWork opens the clips of a swing.
func newWork(ctx context.Context, e *annotations.Editor, swing, folder string, found map[string]Found) (*work, error) {
	w := &work{b: bench.New(e, swing), folder: folder}
	for i := range w.clips {
		st := &w.b.Stages[i]
		c := w.b.Swing().Clip(st.Clip)
		if c == nil {
			continue
		}
		if c.File == "" {
			w.note("The %s clip has no file: open the lesson and give it one.", st.View)
			continue
		}
		x, err := video.ReadIndex(ctx, c.PathIn(folder))
		if err != nil {
			return nil, err
		}
		if info := x.Info(); info.Width != c.Width || info.Height != c.Height {
			return nil, fmt.Errorf("%s is %d × %d, but the lesson says %d × %d: find the clip that belongs to it",
				filepath.Base(info.Path), info.Width, info.Height, c.Width, c.Height)
		}
		w.clips[i] = clip{index: x.Filmed(c.FilmedFPS), part: c.Part, view: st.View, golferAt: c.GolferAt}
		if f, ok := found[c.ID]; ok {
			w.clips[i].found, w.clips[i].known = f, true
		}
		w.b.OpenFilm(i, w.clips[i].index)
	}
	return w, nil
}

// close closes the clips that were looked at.
func (w *work) close() {
	for i := range w.clips {
		if v := w.clips[i].seen; v != nil {
			v.r.Close()
		}
	}
}

// clip is one of the swing's.
type clip struct {
	index    *video.Index // nil for none
	part     annotations.Part
	view     geometry.View
	golferAt geometry.ImagePt // where the coach has pointed at the golfer
	found    Found
	known    bool // found was given
	seen     *viewing
}

// look returns the clip to be looked at, opened once.
func (c *clip) look(ctx context.Context) (*viewing, error) {
	var err error
	if c.seen == nil {
		c.seen, err = open(ctx, c.index)
	}
	return c.seen, err
}

func (w *work) note(format string, args ...any) {
	w.done.Notes = append(w.done.Notes, fmt.Sprintf(format, args...))
}

func (w *work) do(ctx context.Context) error {
	if len(w.b.Swing().Positions) == 0 {
		if err := w.positions(ctx); err != nil {
			return err
		}
	}
	if len(w.b.Swing().Positions) == 0 {
		w.note("No key position could be told: open the lesson, find address and the top, and press 1 and 4.")
		return nil
	}
	return w.marks(ctx)
}

// each runs work on every clip at once.
func (w *work) each(ctx context.Context, do func(ctx context.Context, stage int, c *clip) error) error {
	g, ctx := errgroup.WithContext(ctx)
	for i := range w.clips {
		if c := &w.clips[i]; c.index != nil {
			g.Go(func() error { return do(ctx, i, c) })
		}
	}
	return g.Wait()
}

// positions proposes key positions from sound and motion, and sets them.
func (w *work) positions(ctx context.Context) error {
	unsure := [bench.NumStages]bool{}
	err := w.each(ctx, func(ctx context.Context, stage int, c *clip) error {
		if c.known {
			return nil
		}
		var err error
		c.found, unsure[stage], err = c.find(ctx)
		return err
	})
	if err != nil {
		return err
	}
	for i := range w.clips {
		c := &w.clips[i]
		switch {
		case c.index == nil:
		case len(c.found.Positions) == 0:
			w.note("No key positions could be told from the motion in the %s clip.", c.view)
		default:
			w.b.HearStrike(i, c.found.Strike, unsure[i])
		}
	}
	for i := range w.clips {
		if len(w.clips[i].found.Positions) == 0 {
			continue
		}
		var list []bench.Proposal
		for _, p := range w.clips[i].found.Positions {
			list = append(list, bench.Proposal{Name: geometry.PositionName(p.Name), Frame: p.Frame, Unsure: p.Unsure || unsure[i]})
		}
		w.b.Propose(i, list)
	}
	for i := range w.clips {
		w.b.Borrow(i)
	}
	for i := range w.clips {
		if look, ok := w.b.Instants(i); ok {
			v, err := w.clips[i].look(ctx)
			if err != nil {
				return err
			}
			found, err := v.instants(ctx, look)
			if err != nil {
				return err
			}
			w.b.ProposeSeen(i, found)
		}
	}
	w.done.Positions = w.b.Proposals()
	if w.done.Positions > 0 {
		w.b.AcceptPositions()
	}
	return nil
}

// find looks for the strike of a clip's swing and for its key positions. unsure says
// that the strike is told by the motion alone, or badly by the sound.
func (c *clip) find(ctx context.Context) (f Found, unsure bool, err error) {
	first, last := c.part.Of(c.index.Frames())
	from, to := c.index.Seconds(first), c.index.Seconds(last)
	strikes, err := take.Strikes(ctx, c.index)
	if err != nil {
		return f, false, err
	}
	strikes = slices.DeleteFunc(strikes, func(s sound.Strike) bool { return s.Seconds < from || s.Seconds > to })
	v, err := c.look(ctx)
	if err != nil {
		return f, false, err
	}
	r := v.r
	if len(strikes) > 0 {
		best := slices.MaxFunc(strikes, func(a, b sound.Strike) int {
			return cmp.Compare(a.Strength*a.Confidence, b.Strength*b.Confidence)
		})
		f.Strike, unsure = best.Seconds, best.Confidence < sound.Sure
	} else {
		var ok bool
		if f.Strike, ok, err = StrikeIn(ctx, r, c.part); err != nil || !ok {
			return Found{}, true, err
		}
		unsure = true
	}
	f.Positions, err = motion.Propose(ctx, r, take.Size, f.Strike)
	if errors.Is(err, motion.ErrNoSwing) || errors.Is(err, motion.ErrNoStrike) {
		err = nil
	}
	return f, unsure, err
}

// StrikeIn returns about when the strike is in a part of a clip, seconds of its clock,
// told by the motion alone. It reports false where no time is livelier than the rest.
func StrikeIn(ctx context.Context, r *video.Reader, part annotations.Part) (seconds float64, ok bool, err error) {
	first, last := part.Of(r.Frames())
	seconds, ok, err = motion.Strike(ctx, &within{r, first, last}, take.Size, 1)
	return r.Seconds(first) + seconds, ok, err
}

// within is a part of a clip as a clip of its own.
type within struct {
	*video.Reader
	first, last int
}

func (w *within) Frames() int { return w.last - w.first + 1 }
func (w *within) Seconds(n int) float64 {
	return w.Reader.Seconds(w.first+n) - w.Reader.Seconds(w.first)
}

// marks looks for points in the pictures of the key positions, and places them.
func (w *work) marks(ctx context.Context) error {
	list, note := w.b.FollowAll()
	if note != "" {
		w.note("%s", note)
		return nil
	}
	seen := make([][]bench.Found, len(list))
	err := w.each(ctx, func(ctx context.Context, stage int, c *clip) error {
		finder, err := pose.NewFinder()
		if err != nil {
			return err
		}
		v, err := c.look(ctx)
		if err != nil {
			return err
		}
		at := c.golferAt
		if strike, ok := w.b.Impact(stage); ok && at == (geometry.ImagePt{}) && !math.IsNaN(strike) {
			if at, err = v.golfer(ctx, strike); err != nil {
				return err
			}
		}
		var standing *image.RGBA
		for i, f := range list {
			if f.Stage != stage {
				continue
			}
			if standing == nil {
				if standing, err = v.background(ctx, f.Background); err != nil {
					return err
				}
			}
			im, err := Picture(ctx, v.r, f.Frame)
			if err != nil {
				return err
			}
			f.GolferAt = at
			seen[i] = f.Look(finder, im, standing)
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for i, f := range list {
		missing := f.Missing(nil)
		wanted := slices.DeleteFunc(slices.Clone(seen[i]), func(x bench.Found) bool { return !slices.Contains(missing, x.Point) })
		n, note := w.b.TakeFollowed(f, wanted)
		if note != "" {
			return errors.New(string(note))
		}
		if n == 0 {
			w.note("No golfer is seen clearly enough at %s in the %s clip.", bench.InText(f.Position), f.View)
		}
		w.done.Marks += n
	}
	// What hands have marked on the student's clothes in other swings.
	found, err := Cloth(ctx, w.b.Lesson(), w.b.Swing().ID, w.folder)
	if err != nil {
		return err
	}
	for _, m := range found {
		if err := w.b.Editor().Apply(annotations.SetMark{Swing: w.b.Swing().ID, Mark: m}); err != nil {
			return err
		}
	}
	w.done.Marks += len(found)
	return nil
}
