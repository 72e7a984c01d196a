package track

import (
	"context"
	"fmt"
	"image"
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

// State says what an Observation is.
type State uint8

// The states of an observation.
const (
	Lost     State = iota // the point could not be followed to here; there is no place
	Marked                // a mark lies here; the place is the mark's
	Followed              // followed from the marks on both sides
	OneWay                // followed from the mark on one side only
)

// Observation is a point in one frame.
type Observation struct {
	State State
	X, Y  float64 // upright pixels; 0 when lost
	// Sigma is the standard deviation to be expected of X and of Y, pixels,
	// for a point that a coach would mark again in this frame: what the marks
	// themselves are worth comes on top.
	Sigma float64
	// Confidence is 1 for a mark, near 1 where the point is held firmly and
	// falls to 0 where the track is worth nothing.
	Confidence float64
	// Apart is how far the tracks from both marks lie apart, pixels; 0 when
	// there is one only.
	Apart float64
	// Part, from 0 to 1, is the weight of the mark after it in the blend: the place
	// carries 1 - Part of the error of the mark before and Part of that after, so
	// that the track passes through both.
	Part float64
	// RoundTrip is the forward-backward error: how far going back to the frame
	// before ended from where it began, pixels. Correlation is that with the
	// template, at most 1. Each is the worse of both ways.
	RoundTrip, Correlation float64
}

// Track is one point over a run of frames.
type Track struct {
	Point        int
	First        int           // frame of Observations[0]
	Observations []Observation // of frames First, First+1, ...
	Gaps         []Gap         // between its marks, in order; those that were followed through
}

// Gap is what following from one mark of a point to the next said of the two.
type Gap struct {
	From, To int // the marks' frames
	// MissedX and MissedY are by how much what was followed from the first came out
	// beside the second, pixels: the error of the first mark less that of the
	// second, but for what following adds.
	MissedX, MissedY float64
	Travel           float64 // the length of the path between them, pixels
	Both             bool    // followed both ways, which agree
}

// At returns the observation in frame n; one outside the track is lost.
func (t *Track) At(n int) Observation {
	if n < t.First || n >= t.First+len(t.Observations) {
		return Observation{}
	}
	return t.Observations[n-t.First]
}

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
		g := &gaps[i]
		if missed, ok := g.blend(&o); ok {
			tracks[g.track].Gaps = append(tracks[g.track].Gaps, missed)
		}
	}
	return tracks, nil
}
