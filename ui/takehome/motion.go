package takehome

import (
	"context"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/curves"
	"turngauge/ui/explain"
)

// Motion is a swing's motion between its key positions, as it was followed
// through its clips.
type Motion struct {
	Swing    string // its ID
	Followed *curves.Followed
	// Fit is nil where there is none: then there are lines without numbers.
	Fit *motion.Curves
}

// follows counts the swings that are to be followed now.
func (r *Request) follows() int {
	n := 0
	if r.MP4 != "" && r.Follow && r.Motion == nil {
		n++
	}
	if r.MP4 != "" && r.Follow && r.Beside != nil {
		n++
	}
	return n
}

// motions finds what the clip draws between the key positions: what the request
// brings or, where it asks for it, what following comes to now. A swing that
// can't be followed goes without.
func (b *builder) motions(ctx context.Context, sides []*side) error {
	r := b.request
	before := r.steps() - 101 - 100*r.follows()
	for _, s := range sides {
		own := s.measured == b.now
		switch {
		case own && r.Motion != nil:
			if r.Motion.Swing == s.Swing().ID {
				s.motion = r.Motion
			}
			continue
		case !r.Follow:
			continue
		}
		followed, fit, err := curves.Run(ctx, s.Result, s.album.folder, func(part float64) { r.step(before + int(100*part)) })
		if ctx.Err() != nil {
			return ctx.Err()
		}
		before += 100
		if err != nil {
			b.note("In the clip the lines stand at the key positions only%s: %s.", s.of(), words.Trouble(err))
		}
		if followed != nil {
			s.motion = &Motion{s.Swing().ID, followed, fit}
		}
	}
	return nil
}

// clip returns a followed clip and its index, or nil.
func (m *Motion) clip(id string) (*curves.Clip, int) {
	if m == nil {
		return nil, 0
	}
	for i := range m.Followed.Clips {
		if c := &m.Followed.Clips[i]; c.ID == id {
			return c, i
		}
	}
	return nil, 0
}

// followed draws the hips, the shoulders and, down the line, the trunk where
// they were followed to in a frame, or where the fit has them at a key position:
// what is hidden there, too. nil where nothing was followed.
func (p *panel) followed(n int, position geometry.PositionName) *explain.Figure {
	c, _ := p.side.motion.clip(p.clip.ID)
	if c == nil {
		return nil
	}
	lines := explain.Set{explain.HipLine: true, explain.ShoulderLine: true, explain.TrunkLine: p.clip.View == geometry.DownTheLine}
	if ref, ok := p.side.Swing().FrameOf(p.clip.ID, position); ok && ref.Index == n {
		return p.side.frame(p.clip.ID, ref, position).Figure(lines)
	}
	return p.motionFrame(c, n).Figure(lines)
}

// motionFrame is a frame between key positions with the points that were followed to it.
func (p *panel) motionFrame(c *curves.Clip, n int) *explain.Frame {
	f := &explain.Frame{
		View: p.clip.View, Handed: p.side.Lesson.HandedIn(p.clip), Position: explain.InMotion,
		Width: float64(p.clip.Width), Height: float64(p.clip.Height),
	}
	for point := range geometry.Ball {
		if s, ok := c.At(point, n); ok {
			f.Spots[point] = explain.Spot{At: geometry.ImagePt{X: s.X, Y: s.Y}, Known: true}
		}
	}
	return f
}

// turnAt returns a turn at a frame; ok is false where it is not known.
func (p *panel) turnAt(name string, n int) (v motion.Value, ok bool) {
	m := p.side.motion
	if m == nil || m.Fit == nil {
		return v, false
	}
	c, k := m.clip(p.clip.ID)
	if c == nil || n < 0 || n >= len(c.Seconds) || k >= len(m.Fit.Shift) {
		return v, false
	}
	for i := range m.Fit.Curves {
		if m.Fit.Curves[i].Name == name {
			v = m.Fit.At(i, c.Seconds[n]+m.Fit.Shift[k])
			return v, v.Known
		}
	}
	return v, false
}
