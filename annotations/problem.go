package annotations

import (
	"math"
	"slices"

	"turngauge/geometry"
)

// MarkRefs maps the index of a mark in geometry.Swing.Marks to its index in
// Swing.Marks.
type MarkRefs []int

// Problem returns the swing with the given index as the input of the fit.
// Clips and positions keep their indices; coordinates stay pixels of the
// upright picture as it was filmed, also for a left-hander. The lesson must be
// valid.
func Problem(l *Lesson, swing int) (geometry.Swing, MarkRefs) {
	s := &l.Swings[swing]
	out := geometry.Swing{
		Golfer: geometry.Golfer{
			Handed:   l.Student.Handed,
			StatureM: l.Student.StatureM, StatureSigmaM: l.Student.StatureSDM,
			MassKg: l.Student.MassKg, Sex: l.Student.Sex,
		},
		ClubLengthM:  s.Club.LengthM,
		ClickSigmaPx: l.ClickSDPx,
	}
	clips := make(map[string]int, len(s.Clips))
	frames := make([]float64, len(s.Clips)) // seconds each lasts
	for i := range s.Clips {
		c := &s.Clips[i]
		clips[c.ID] = i
		frames[i] = s.frameSeconds(c)
		g := geometry.Clip{
			View: c.View, Width: c.Width, Height: c.Height,
			FocalPx: c.FocalPx, FocalRelSigma: c.FocalRelSD, Mirrored: c.Mirrored, Clock: s.Clock(c), Stand: c.Stand,
		}
		for _, line := range l.LinesOf(c) {
			g.GroundLines = append(g.GroundLines, geometry.GroundLine{
				LengthM: line.LengthM, Along: line.Along, Ends: line.Ends, SigmaPx: line.SDPx,
			})
		}
		out.Clips = append(out.Clips, g)
	}
	positions := make(map[geometry.PositionName]int, len(s.Positions))
	for i := range s.Positions {
		p := &s.Positions[i]
		positions[p.Name] = i
		g := geometry.Position{
			Name:         p.Name,
			Seconds:      make([]float64, len(s.Clips)),
			FrameSeconds: slices.Clone(frames),
			OffSeconds:   make([]float64, len(s.Clips)),
		}
		for k := range s.Clips {
			g.Seconds[k] = math.NaN()
			if f, ok := p.Frame(s.Clips[k].ID); ok && out.Clips[k].Clock == geometry.LifesTime {
				g.Seconds[k] = s.Clips[k].Seconds(f)
				if f.Proposed {
					g.OffSeconds[k] = proposedSeconds(p.Name, frames[k])
				}
			}
		}
		out.Positions = append(out.Positions, g)
	}
	var refs MarkRefs
	for i := range s.Marks {
		m := &s.Marks[i]
		c, okClip := clips[m.Clip]
		p, okPosition := positions[m.Position]
		if !okClip || !okPosition {
			continue // not in a valid lesson
		}
		out.Marks = append(out.Marks, geometry.Mark{
			Clip: c, Position: p, Point: m.Point, At: m.At, SigmaPx: m.SDPx, SharedBiasPx: m.SharedBiasPx, State: m.State,
			LowConfidence: m.LowConfidence(s.Clips[c].View),
		})
		refs = append(refs, i)
	}
	return out, refs
}

// proposedSeconds is the standard deviation, seconds, by which a frame that was
// proposed and merely taken lies beside the instant, beyond half a frame. Impact is
// heard, within 2 ms (video/sound) and the way of the sound, 4 m; what motion tells
// is off by up to 12 ms in the demo's clips (TestMotionFindsTheDemoSwing), and by a
// frame in slower ones. An address is left slowly, so that two clips of golfers who
// did the same differ by 20 ms. Ours.
func proposedSeconds(name geometry.PositionName, frame float64) float64 {
	switch name {
	case geometry.Impact:
		return 0.004
	case geometry.Address:
		return math.Max(0.015, frame/2)
	}
	return math.Max(0.008, frame/2)
}

// Seconds returns the time of a frame on the clip's own clock, or NaN where the
// document does not tell. It is the time of life: in a clip that plays at another
// speed each frame comes 1/FilmedFPS second after the one before.
func (c *Clip) Seconds(f FrameRef) float64 {
	if c.FilmedFPS > 0 {
		return float64(f.Index) / c.FilmedFPS
	}
	if f.PTSUnknown || c.TimeBase == ([2]int64{}) {
		return math.NaN()
	}
	return float64(f.PTS) * float64(c.TimeBase[0]) / float64(c.TimeBase[1])
}

// frameSeconds returns how long a frame of c lasts: the median, over
// neighbouring key positions, of the time between them divided by the frames
// between them. It is 0 where fewer than two frames have times.
func (s *Swing) frameSeconds(c *Clip) float64 {
	if c.FilmedFPS > 0 {
		return 1 / c.FilmedFPS
	}
	type at struct {
		index   int
		seconds float64
	}
	var ats []at
	for i := range s.Positions {
		if f, ok := s.Positions[i].Frame(c.ID); ok {
			if t := c.Seconds(f); !math.IsNaN(t) {
				ats = append(ats, at{f.Index, t})
			}
		}
	}
	slices.SortFunc(ats, func(a, b at) int { return a.index - b.index })
	var lasts []float64
	for i := 1; i < len(ats); i++ {
		n, dt := ats[i].index-ats[i-1].index, ats[i].seconds-ats[i-1].seconds
		if n > 0 && dt > 0 {
			lasts = append(lasts, dt/float64(n))
		}
	}
	if len(lasts) == 0 {
		return 0
	}
	slices.Sort(lasts)
	return lasts[len(lasts)/2]
}
