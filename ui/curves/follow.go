// Package curves follows the marks of a swing through both of its clips and fits
// the golfer's motion to them, without a window: for the window, the command line
// and whoever wants to draw what was followed.
//
// What is followed goes from mark to mark of each point. The fit itself, and what
// its numbers mean, are motion.Fit.
package curves

import (
	"context"
	"fmt"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/video"
	"turngauge/video/patch"
	"turngauge/video/track"
)

// Clip is one clip of a swing, followed.
type Clip struct {
	ID     string
	Tracks []track.Track // one for each segment of a point; see Clip.At
	// Seconds is when each frame is shown, on the clock of its key positions.
	Seconds []float64
	scale   float64 // of its pixels, 1 at 1080
	kept    *patch.Keep
}

// Followed is what following the marks of a swing came to.
type Followed struct {
	Clips []Clip // in the order of the swing's clips; without tracks where there was nothing to follow
}

// clipCacheBytes is enough to read a clip once forward and once back.
const clipCacheBytes = 64 << 20

// placed says in an error that the lesson does not know a clip's file.
func placed(c *annotations.Clip) error {
	if c.File == "" {
		return fmt.Errorf("the lesson does not say where the %s clip is: drop its file on the window", c.View)
	}
	return nil
}

// Follow follows the placed marks of one clip of a swing from each to the next.
// Marks that wait to be taken are no ground to follow from. The error is ctx's or
// the clip's.
func Follow(ctx context.Context, s *annotations.Swing, clip int, path string, progress func(done, total int)) (Clip, error) {
	c := &s.Clips[clip]
	out := Clip{ID: c.ID}
	if err := placed(c); err != nil {
		return out, err
	}
	src, err := video.OpenContext(ctx, path)
	if err != nil {
		return out, err
	}
	info := src.Info()
	if info.Width != c.Width || info.Height != c.Height {
		src.Close()
		return out, fmt.Errorf("%s is %d × %d, but it was marked at %d × %d: find the clip that belongs to the lesson", path, info.Width, info.Height, c.Width, c.Height)
	}
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(clipCacheBytes)})
	defer r.Close()
	timed := *c
	if timed.TimeBase == ([2]int64{}) {
		timed.TimeBase = [2]int64{int64(info.TimeBase[0]), int64(info.TimeBase[1])}
	}
	out.scale = float64(min(info.Width, info.Height)) / 1080
	out.Seconds = make([]float64, src.Frames())
	for n := range out.Seconds {
		out.Seconds[n] = timed.Seconds(annotations.FrameRef{Index: n, PTS: src.PTS(n)})
	}
	marks := Marks(s, clip, src.Frames())
	if len(marks) == 0 {
		return out, nil
	}
	out.kept = patch.NewKeep(r, clothBytes, keepBelt(s, clip, out.Seconds))
	out.Tracks, err = track.Follow(ctx, out.kept, marks, track.Options{Progress: progress})
	return out, err
}

// Marks returns what is followed in a clip: the placed marks of all points but the
// ball, each in its frame. Of two key positions in one frame the first counts.
// A point is not followed past a key position at which others are marked and it is
// not: it is hidden there, and what would be followed is what hides it. So each of
// its segments has a number of its own, from which pointOf tells the point.
func Marks(s *annotations.Swing, clip, frames int) []track.Placed {
	c := &s.Clips[clip]
	type key struct {
		frame    int
		position geometry.PositionName
	}
	var keys []key
	for i := range s.Positions {
		name := s.Positions[i].Name
		ref, ok := s.FrameOf(c.ID, name)
		marked := slices.ContainsFunc(s.Marks, func(m annotations.Mark) bool { return m.Clip == c.ID && m.Position == name })
		if ok && marked && ref.Index >= 0 && ref.Index < frames && !slices.ContainsFunc(keys, func(k key) bool { return k.frame == ref.Index }) {
			keys = append(keys, key{ref.Index, name})
		}
	}
	slices.SortFunc(keys, func(a, b key) int { return a.frame - b.frame })
	var out []track.Placed
	for p := range geometry.Ball {
		segment := 0
		for _, k := range keys {
			m, ok := s.Mark(c.ID, k.position, p)
			if !ok || m.State != geometry.Placed || !(m.At.X >= 0 && m.At.Y >= 0 && m.At.X <= float64(c.Width) && m.At.Y <= float64(c.Height)) {
				segment++
				continue
			}
			out = append(out, track.Placed{Point: segment*geometry.NumPoints + int(p), Frame: k.frame, X: m.At.X, Y: m.At.Y})
		}
	}
	return out
}

// pointOf is the point that a segment of a track is of.
func pointOf(t *track.Track) geometry.Point { return geometry.Point(t.Point % geometry.NumPoints) }

// At returns where a point was followed to in a frame; ok is false where it was
// lost, or not followed at all.
func (c *Clip) At(p geometry.Point, frame int) (track.Observation, bool) {
	for i := range c.Tracks {
		if pointOf(&c.Tracks[i]) == p {
			if s := c.Tracks[i].At(frame); s.State != track.Lost {
				return s, true
			}
		}
	}
	return track.Observation{}, false
}

// missSigma is the standard deviation of what following from one mark of a point to
// the next says of their difference, in a picture 1080 pixels high, or 0 where it
// says nothing. gone is the way between them, and both whether it was followed from
// both ends. What is followed is what is seen. A shoe and a belt are rigid; what
// lies over a knee or a hip parts from the joint as the limb turns, the more the
// deeper the joint, and a shoulder moves under its cloth. From the demo swing.
func missSigma(p geometry.Point, gone float64, both bool) float64 {
	if !both {
		return 0
	}
	switch p {
	case geometry.LeadHeel, geometry.TrailHeel, geometry.LeadToe, geometry.TrailToe, geometry.LeadAnkle, geometry.TrailAnkle:
		if gone > 9 { // the foot came off the ground
			return 0.35 * gone
		}
		return 0.5
	case geometry.Buckle, geometry.Tailbone:
		return 0.7 + 0.02*gone
	case geometry.Head:
		return 1 + 0.1*gone
	case geometry.LeadKnee, geometry.TrailKnee:
		return 0.8 + 0.07*gone
	}
	return 0
}

// curveTracks hands tracks to the fit, all segments of a point as one.
func (f *Followed) curveTracks() []motion.Track {
	var out []motion.Track
	for c := range f.Clips {
		for p := range geometry.Ball {
			t := motion.Track{Clip: c, Point: p}
			for i := range f.Clips[c].Tracks {
				if pointOf(&f.Clips[c].Tracks[i]) == p {
					f.Clips[c].add(&t, &f.Clips[c].Tracks[i])
				}
			}
			if len(t.Anchors) > 0 {
				out = append(out, t)
			}
		}
	}
	return out
}

// add adds a segment to a point's track.
func (c *Clip) add(out *motion.Track, t *track.Track) {
	for i, s := range t.Observations {
		n := t.First + i
		if s.State == track.Lost || n >= len(c.Seconds) {
			continue
		}
		if s.State == track.Marked {
			a := motion.Anchor{Observation: len(out.Observations)}
			for _, g := range t.Gaps {
				if g.From == n {
					a.Missed = geometry.ImagePt{X: g.MissedX, Y: g.MissedY}
					a.MissSigmaPx = c.scale * missSigma(geometry.Point(out.Point), g.Travel/c.scale, g.Both)
				}
			}
			out.Anchors = append(out.Anchors, a)
		}
		out.Observations = append(out.Observations, motion.Observation{
			Seconds: c.Seconds[n], At: geometry.ImagePt{X: s.X, Y: s.Y},
			SigmaPx: spotSigma * c.scale, DriftPx: driftShare * s.Sigma, Part: s.Part,
		})
	}
}

// spotSigma is what finding a point in a frame costs, anew in each, pixels.
const spotSigma = 0.3

// driftShare is by how much more than it says itself a track may have left the
// point: what it says is right for the median, and the rest has a long tail. From
// the demo swing.
const driftShare = 2.5
