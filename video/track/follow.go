package track

import (
	"cmp"
	"context"
	"fmt"
	"image"
	"math"
	"slices"
)

// Clip is what points are followed through.
type Clip interface {
	Frames() int
	// Size is that of the upright picture, pixels.
	Size() image.Point
	// Gray draws frame n whole, pixel by pixel, into dst, which has the
	// clip's size.
	Gray(ctx context.Context, n int, dst *image.Gray) error
}

// Placed is a mark: where a point is seen in one frame.
type Placed struct {
	Point int // the caller's own number for the point
	Frame int
	X, Y  float64 // upright pixels
}

// State says what a Spot is.
type State uint8

// The states of a spot.
const (
	Lost     State = iota // the point could not be followed to here; there is no place
	Marked                // a mark lies here; the place is the mark's
	Followed              // followed from the marks on both sides
	OneWay                // followed from the mark on one side only
)

// Spot is a point in one frame.
type Spot struct {
	State State
	X, Y  float64 // upright pixels; 0 when lost
	// Sigma is the standard deviation to be expected of X and of Y, pixels,
	// for a point that a coach would mark again in this frame: what the marks
	// themselves are worth comes on top.
	Sigma float64
	// Confidence is 1 for a mark, near 1 where the point is held firmly and
	// falls to 0 where the track is worth nothing.
	Confidence float64
	// Apart is how far the ways from both marks lie apart, pixels; 0 when
	// there is one only.
	Apart float64
	// Back is how far going back to the frame before ended from where it
	// began, pixels, and Alike the correlation with what the point looked like,
	// each the worse of both ways.
	Back, Alike float64
}

// Track is one point over a run of frames.
type Track struct {
	Point int
	First int    // frame of Spots[0]
	Spots []Spot // of frames First, First+1, ...
}

// At returns the spot in frame n; one outside the track is lost.
func (t *Track) At(n int) Spot {
	if n < t.First || n >= t.First+len(t.Spots) {
		return Spot{}
	}
	return t.Spots[n-t.First]
}

// Options of Follow. The zero value of each field stands for its default.
type Options struct {
	// Window is the side of the window looked at, pixels, odd. The default is
	// 21 for pictures 1080 pixels high and grows with them.
	Window int
	// Levels is how many times halved pictures are looked at, with the full
	// one; 4.
	Levels int
	// Before and After are how many frames a point is followed beyond its
	// first and last mark.
	Before, After int
	// Back is how far going back may end from where it began before the
	// point counts as lost, pixels; 1 at 1080 pixels.
	Back float64
	// Alike is the correlation below which the look does not fit; 0.8.
	Alike float64
	// Renew is the correlation below which the look is taken anew, 0.93, and
	// Strain how far it may be turned or stretched, 0.35.
	Renew, Strain float64
	// Slack is how far the look may be found from where the step led, pixels;
	// 2 at 1080 pixels.
	Slack float64
	// Apart is how far both ways may lie apart before neither is believed,
	// pixels; 12 at 1080 pixels.
	Apart float64
	// MemoryBytes bounds the pictures kept for going back; 256 MiB. Pictures
	// beyond it are drawn twice.
	MemoryBytes int64
	// Progress, which may be nil, is called from Follow's goroutine with the
	// steps done and the steps in all.
	Progress func(done, total int)
}

func (o Options) withDefaults(size image.Point) Options {
	scale := float64(min(size.X, size.Y)) / 1080
	pixels := func(v *float64, at1080 float64) {
		if !(*v > 0) {
			*v = at1080 * math.Max(scale, 0.5)
		}
	}
	part := func(v *float64, d float64) {
		if !(*v > 0) {
			*v = d
		}
	}
	if o.Window <= 0 {
		o.Window = max(2*int(math.Round(10.5*scale-0.5))+1, leastWindow)
	}
	o.Window = min(max(o.Window|1, leastWindow), mostWindow)
	if o.Levels <= 0 {
		o.Levels = 4
	}
	pixels(&o.Back, 1)
	pixels(&o.Slack, 2)
	pixels(&o.Apart, 12)
	part(&o.Alike, 0.8)
	part(&o.Renew, 0.93)
	part(&o.Strain, 0.35)
	if o.MemoryBytes <= 0 {
		o.MemoryBytes = 256 << 20
	}
	o.Before, o.After = max(o.Before, 0), max(o.After, 0)
	return o
}

const leastWindow, mostWindow = 11, 63

// MarkError says what is wrong with a mark.
type MarkError struct {
	Index int // of the mark
	Mark  Placed
	Text  string
}

func (e *MarkError) Error() string {
	return fmt.Sprintf("the mark at (%.1f, %.1f) in frame %d can't be followed: %s", e.Mark.X, e.Mark.Y, e.Mark.Frame, e.Text)
}

// check reports the first mark that can't be followed.
func check(marks []Placed, frames int, size image.Point) error {
	type place struct{ point, frame int }
	seen := make(map[place]bool, len(marks))
	for i, m := range marks {
		at := place{m.Point, m.Frame}
		switch {
		case m.Frame < 0 || m.Frame >= frames:
			return &MarkError{i, m, fmt.Sprintf("the clip has frames 0 to %d", frames-1)}
		case !(m.X >= 0 && m.Y >= 0 && m.X <= float64(size.X) && m.Y <= float64(size.Y)):
			return &MarkError{i, m, fmt.Sprintf("it lies outside the picture of %d x %d pixels", size.X, size.Y)}
		case seen[at]:
			return &MarkError{i, m, "the point has a second mark in that frame"}
		}
		seen[at] = true
	}
	return nil
}

// Follow follows every point through the frames between its marks, and
// beyond them as the options say. The tracks are in the order of the points'
// numbers. The same clip, marks and options give the same tracks.
//
// Each frame is drawn, and its pyramid built, once for all points and both
// directions as long as MemoryBytes holds the frames between marks of
// different frames. The error is ctx's, the clip's, or a *MarkError.
func Follow(ctx context.Context, c Clip, marks []Placed, o Options) ([]Track, error) {
	size := c.Size()
	if size.X <= 0 || size.Y <= 0 || c.Frames() <= 0 {
		return nil, fmt.Errorf("track: a clip of %d frames of %d x %d pixels holds nothing to follow", c.Frames(), size.X, size.Y)
	}
	if err := check(marks, c.Frames(), size); err != nil {
		return nil, err
	}
	o = o.withDefaults(size)
	gaps, tracks := plan(marks, c.Frames(), &o)
	j := &journey{
		store: newStore(c, &o),
		m:     newMatcher(o.Window, true),
		o:     &o,
	}
	for _, g := range gaps {
		j.total += g.steps()
	}
	for _, part := range together(gaps) {
		if err := j.through(ctx, part); err != nil {
			return nil, err
		}
	}
	for i := range gaps {
		gaps[i].blend(&o)
	}
	return tracks, nil
}

// gap is a stretch of one point's track between two marks, or before the
// first or after the last.
type gap struct {
	first, last     int         // frames
	from, to        *Placed     // the marks at first and last; nil where there is none
	ahead, backward []footprint // of the frames first to last
	spots           []Spot      // of the track, the same frames
	walker          walker
}

func (g *gap) steps() int {
	n := 0
	if g.from != nil {
		n += g.last - g.first
	}
	if g.to != nil {
		n += g.last - g.first
	}
	return n
}

// plan makes the tracks, their marks set, and the gaps between them.
func plan(marks []Placed, frames int, o *Options) ([]gap, []Track) {
	sorted := slices.Clone(marks)
	slices.SortFunc(sorted, func(a, b Placed) int {
		return cmp.Or(cmp.Compare(a.Point, b.Point), cmp.Compare(a.Frame, b.Frame))
	})
	var gaps []gap
	var tracks []Track
	for len(sorted) > 0 {
		n := 1
		for n < len(sorted) && sorted[n].Point == sorted[0].Point {
			n++
		}
		own := sorted[:n]
		sorted = sorted[n:]
		first := max(own[0].Frame-o.Before, 0)
		last := min(own[n-1].Frame+o.After, frames-1)
		t := Track{Point: own[0].Point, First: first, Spots: make([]Spot, last-first+1)}
		add := func(a, b int, from, to *Placed) {
			if b > a {
				gaps = append(gaps, gap{first: a, last: b, from: from, to: to, spots: t.Spots[a-first : b-first+1]})
			}
		}
		add(first, own[0].Frame, nil, &own[0])
		for i := range own {
			m := &own[i]
			t.Spots[m.Frame-first] = Spot{State: Marked, X: m.X, Y: m.Y, Confidence: 1, Alike: 1}
			if i+1 < n {
				add(m.Frame, own[i+1].Frame, m, &own[i+1])
			}
		}
		add(own[n-1].Frame, last, &own[n-1], nil)
		tracks = append(tracks, t)
	}
	return gaps, tracks
}

// together divides the gaps into parts that share no frames but their ends,
// in the order of their frames.
func together(gaps []gap) [][]*gap {
	order := make([]*gap, len(gaps))
	for i := range gaps {
		order[i] = &gaps[i]
	}
	slices.SortStableFunc(order, func(a, b *gap) int { return cmp.Compare(a.first, b.first) })
	var parts [][]*gap
	end := math.MinInt
	for _, g := range order {
		if len(parts) == 0 || g.first >= end {
			parts = append(parts, nil)
		}
		parts[len(parts)-1] = append(parts[len(parts)-1], g)
		end = max(end, g.last)
	}
	return parts
}

// journey is one run of Follow.
type journey struct {
	store       *store
	m           *matcher
	o           *Options
	done, total int
}

// through goes through the frames of one part forward and backward.
func (j *journey) through(ctx context.Context, part []*gap) error {
	first, last := part[0].first, part[0].last
	for _, g := range part {
		last = max(last, g.last)
		n := g.last - g.first + 1
		g.ahead, g.backward = make([]footprint, n), make([]footprint, n)
		g.walker = walker{m: j.m, look: newAnchor(j.o.Window), o: j.o}
	}
	if err := j.sweep(ctx, part, first, last, 1); err != nil {
		return err
	}
	return j.sweep(ctx, part, last, first, -1)
}

// sweep takes every walker from its mark through the frames from to until, in
// steps of direction.
func (j *journey) sweep(ctx context.Context, part []*gap, from, until, direction int) error {
	var before *pyramid
	for n := from; ; n += direction {
		if err := ctx.Err(); err != nil {
			return err
		}
		here, err := j.store.picture(ctx, n)
		if err != nil {
			return err
		}
		for _, g := range part {
			start, end, prints := g.from, g.last, g.ahead
			if direction < 0 {
				start, end, prints = g.to, g.first, g.backward
			}
			if start == nil || (n-start.Frame)*direction < 0 || (end-n)*direction < 0 {
				continue
			}
			if n == start.Frame {
				prints[n-g.first] = g.walker.begin(here, start.X-0.5, start.Y-0.5)
				continue
			}
			prints[n-g.first] = g.walker.step(before, here)
			j.done++
		}
		if j.o.Progress != nil {
			j.o.Progress(j.done, j.total)
		}
		if n == until {
			return nil
		}
		before = here
	}
}
