package takehome

import (
	"context"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/curves"
	"turngauge/ui/explain"
)

// Motion is a swing's motion between its key positions, as it was followed
// through its clips.
type Motion struct {
	Swing    string // its ID
	Followed *curves.Followed
	// Fit is nil where there is none: then there are lines without numbers.
	Fit *geometry.Curves
}

// follows reports whether the swing is to be followed now.
func (r *Request) follows() bool { return r.MP4 != "" && r.Follow && r.Motion == nil }

// motion returns what the clip draws between the key positions: what the request
// brings or, where it asks for it, what following comes to now. A swing that
// can't be followed goes without.
func (b *builder) motion(ctx context.Context) (*Motion, error) {
	r, s := b.request, b.now.swing()
	if r.Motion != nil && r.Motion.Swing == s.ID {
		return r.Motion, nil
	}
	if !r.follows() {
		return nil, nil
	}
	before := r.steps() - 201
	followed, fit, err := curves.Run(ctx, b.now.lesson, b.now.lesson.SwingIndex(s.ID), filepath.Dir(r.Path), func(part float64) { r.step(before + int(100*part)) })
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		b.note("In the clip the lines stand at the key positions only: %v.", err)
	}
	if followed == nil {
		return nil, nil
	}
	return &Motion{s.ID, followed, fit}, nil
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
// they were followed to in a frame; nil where nothing was.
func (l *reel) followed(p *panel, n int) *explain.Figure {
	c, _ := l.motion.clip(p.clip.ID)
	if c == nil {
		return nil
	}
	f := explain.Frame{
		View: p.clip.View, Handed: l.b.now.lesson.Student.Handed, Position: "in motion",
		Width: float64(p.clip.Width), Height: float64(p.clip.Height),
	}
	for point := range geometry.Ball {
		if s, ok := c.At(point, n); ok {
			f.Spots[point] = explain.Spot{At: geometry.ImagePt{X: s.X, Y: s.Y}, Known: true}
		}
	}
	return f.Figure(explain.Set{explain.HipLine: true, explain.ShoulderLine: true, explain.TrunkLine: p.clip.View == geometry.DownTheLine})
}

// turnsNow writes the turns at a moment in motion, with their intervals, or ""
// where they are not known.
func (l *reel) turnsNow(m *moment) string {
	if l.motion == nil || l.motion.Fit == nil || m.position != "" {
		return ""
	}
	fit := l.motion.Fit
	c, k := l.motion.clip(l.panels[0].clip.ID)
	n := m.frames[0]
	if c == nil || n < 0 || n >= len(c.Seconds) || k >= len(fit.Shift) {
		return ""
	}
	var parts []string
	for i := range fit.Curves {
		curve := &fit.Curves[i]
		if curve.Name != "pelvis turn" && curve.Name != "torso turn" {
			continue
		}
		if v := fit.At(i, c.Seconds[n]+fit.Shift[k]); v.Known {
			parts = append(parts, curve.Name+" "+annotations.Told(curve.Unit, v.Value, false)+" ("+annotations.ToldRange(curve.Unit, v.Low95, v.High95, false)+")")
		}
	}
	return sentence(strings.Join(parts, ", "))
}
