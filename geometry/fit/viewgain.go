package fit

import (
	"math"

	"turngauge/geometry"
)

// ViewGain is what a clip from a view not filmed yet would do for a measure.
type ViewGain struct {
	View                        geometry.View
	HalfWidthNow, HalfWidthThen float64 // half the 95 % interval, in the measure's unit
}

// WithView returns the interval of a measure to be expected if the swing were
// filmed from one more view, by a phone on a stand at four metres, and the
// golfer marked in it as well as elsewhere (the front and rear points left
// out, which may be out of sight). ok is false where the view is there already
// or the measure does not apply.
func (s *Solution) WithView(v geometry.View, name string, position geometry.PositionName) (g ViewGain, ok bool) {
	d, pos := geometry.DefinitionOf(name), s.position(position)
	if d == nil || pos < 0 || !d.AppliesTo(position) || (v != geometry.FaceOn && v != geometry.DownTheLine) || !d.Covered(s.slotPositions(pos)) || s.post.m == nil {
		return g, false
	}
	for _, have := range s.p.views {
		if have == v {
			return g, false
		}
	}
	sw := s.sw
	sw.Clips = append(append([]geometry.Clip(nil), sw.Clips...), geometry.Clip{View: v, Width: 1920, Height: 1080})
	sw.Marks = append([]geometry.Mark(nil), sw.Marks...)
	clip := len(sw.Clips) - 1
	cam := nominalCamera(&sw.Clips[clip])
	for i := range s.p.names {
		for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
			if pt == geometry.Buckle || pt == geometry.Tailbone || pt == geometry.Breastbone || pt == geometry.UpperBack {
				continue
			}
			if at, err := cam.Project(s.st.at(i, pt)); err == nil {
				sw.Marks = append(sw.Marks, geometry.Mark{Clip: clip, Position: i, Point: pt, At: at})
			}
		}
	}
	p := newProblem(&sw)
	copy(p.poor, s.p.poor)
	p.scale, p.wrong = s.p.scale, s.p.wrong
	st := s.st.clone()
	st.cams = append(st.cams, cam)
	// The new camera's unknowns stand before everything else that is shared.
	st.g = make([]float64, p.nG)
	copy(st.g[p.oLengths:], s.st.g[s.p.oLengths:])
	p.setSigmas(&sw, st)
	post := newPosterior(newEngine(p, st), st)
	slots := s.slotPositions(pos)
	now := s.post.variance(s.p, s.st, d, slots)
	then := post.variance(p, st, d, slots)
	if !geometry.Finite(now, then) || then >= now {
		return g, false
	}
	g = ViewGain{View: v, HalfWidthNow: geometry.Z95 * math.Sqrt(now), HalfWidthThen: geometry.Z95 * math.Sqrt(then)}
	return g, true
}

// variance is the linearised variance of a measure.
func (q *posterior) variance(p *problem, st *state, d *geometry.Definition, slots [geometry.NumSlots]int) float64 {
	_, gr := p.differentiate(st, d, slots)
	return q.solveFor(gr, false)
}
