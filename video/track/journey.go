package track

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// gap is the segment of one point's track between two marks, or before the first
// or after the last.
type gap struct {
	first, last  int           // frames
	from, to     *Placed       // the marks at first and last; nil where there is none
	observations []Observation // of the track, the same frames
	track        int
	tries        [windows]try
}

// windows is how many windows, each twice as large as the one before, a point
// is followed with.
const windows = 2

// try is one gap gone through with one window.
type try struct {
	ahead, backward []footprint // of the frames first to last
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
		t := Track{Point: own[0].Point, First: first, Observations: make([]Observation, last-first+1)}
		add := func(a, b int, from, to *Placed) {
			if b > a {
				gaps = append(gaps, gap{first: a, last: b, from: from, to: to, observations: t.Observations[a-first : b-first+1], track: len(tracks)})
			}
		}
		add(first, own[0].Frame, nil, &own[0])
		for i := range own {
			m := &own[i]
			t.Observations[m.Frame-first] = Observation{State: Marked, X: m.X, Y: m.Y, Confidence: 1, Correlation: 1}
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
		for i := range g.tries {
			g.tries[i] = try{make([]footprint, n), make([]footprint, n), walker{m: j.m, template: newTemplate(j.o.Window), o: j.o, base: i}}
		}
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
			start, end := g.from, g.last
			if direction < 0 {
				start, end = g.to, g.first
			}
			if start == nil || (n-start.Frame)*direction < 0 || (end-n)*direction < 0 {
				continue
			}
			for i := range g.tries {
				t := &g.tries[i]
				prints := t.ahead
				if direction < 0 {
					prints = t.backward
				}
				if n == start.Frame {
					prints[n-g.first] = t.walker.begin(here, start.X-0.5, start.Y-0.5)
				} else {
					prints[n-g.first] = t.walker.step(before, here)
				}
				prints[n-g.first].x += 0.5
				prints[n-g.first].y += 0.5
				if n == end {
					retract(prints, direction)
				}
			}
			if n != start.Frame {
				j.done++
			}
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

// retract takes back the places that the template did not fit before the point
// was lost.
func retract(prints []footprint, direction int) {
	unseen := false
	for i := range prints {
		if direction > 0 {
			i = len(prints) - 1 - i
		}
		p := &prints[i]
		if unseen = !p.there || unseen && !p.held; unseen {
			*p = footprint{}
		}
	}
}
