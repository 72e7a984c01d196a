package curves

import (
	"context"
	"errors"
	"sync"

	"golang.org/x/sync/errgroup"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry/motion"
	"turngauge/ui/fault"
)

// Missing returns what has to be set or marked before a swing has curves, as
// sentences without a full stop, or nil.
func Missing(l *annotations.Lesson, swing int) []string {
	sw, _ := annotations.Problem(l, swing)
	return words.Lacks(motion.Missing(&sw))
}

// Run follows the marks of a swing through its clips, all of them at once, and
// fits the motion to them and to what was evaluated of the key positions, whose
// Solution it uses. folder is where the lesson's document lies. progress is
// told the part done, from 0 to 1, from any goroutine, one call at a time.
//
// What was followed is returned with an error of the fit too; a *motion.NoCurves
// says what is missing.
func Run(ctx context.Context, r *annotations.Result, folder string, progress func(part float64)) (*Followed, *motion.Curves, error) {
	if missing := motion.Missing(&r.Problem); len(missing) > 0 {
		return nil, nil, &motion.NoCurves{Lacks: missing}
	}
	s := r.Swing()
	for i := range s.Clips { // before any work, and the same clip each time
		if err := placed(&s.Clips[i]); err != nil {
			return nil, nil, err
		}
	}
	out := &Followed{Clips: make([]Clip, len(s.Clips))}
	parts := make([]float64, len(s.Clips))
	var mu sync.Mutex
	tell := func(clip int, part float64) {
		mu.Lock()
		defer mu.Unlock()
		parts[clip] = part
		var sum float64
		for _, p := range parts {
			sum += p / float64(len(parts))
		}
		progress(followShare * sum)
	}
	g, following := errgroup.WithContext(ctx)
	for i := range s.Clips {
		g.Go(fault.Guard(func() (err error) {
			out.Clips[i], err = Follow(following, s, i, s.Clips[i].PathIn(folder), func(done, total int) {
				tell(i, float64(done)/float64(max(total, 1)))
			})
			return err
		}))
	}
	if err := g.Wait(); err != nil {
		return nil, nil, err
	}
	c, err := Fit(ctx, r, out, func(part float64) { progress(followShare + (1-followShare)*part) })
	for i := range out.Clips {
		out.Clips[i].kept = nil // the frames have served
	}
	return out, c, err
}

// followShare is the part of the work that following is.
const followShare = 0.9

// Fit fits the motion of a swing to what was followed.
func Fit(ctx context.Context, r *annotations.Result, f *Followed, progress func(part float64)) (*motion.Curves, error) {
	if r.Err != nil {
		return nil, &motion.NoCurves{Lacks: []motion.Lack{{What: motion.NoKeyFit, Err: r.Err}}}
	}
	if m := r.Mistake(); m != nil && m.Withholds() {
		return nil, &motion.NoCurves{Lacks: []motion.Lack{{What: motion.NoKeyFit, Err: errors.New(words.Mistake(&r.Problem, m))}}}
	}
	return motion.Fit(ctx, motion.Input{Swing: r.Problem, Key: r.Solution, Tracks: f.curveTracks(), Cloth: newCloth(f), Progress: progress})
}
