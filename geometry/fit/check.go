package fit

import (
	"math"

	"turngauge/geometry"
)

// pixelSpan bounds how far outside its picture a mark or a stick's end may
// lie, in widths of the picture.
const pixelSpan = 2

// check returns what keeps a swing from being fitted, or nil.
//
// The limits are those of the possible and not of the likely: 0.8 to 2.6 m takes children
// and the tallest, and refuses centimetres and inches; a focal length of a fifth of the
// picture's long side is a fisheye, thirty times it a telescope. What is merely unusual
// is left to the priors.
func check(sw *geometry.Swing) *geometry.Insufficient {
	var bad []geometry.Missing
	say := func(f geometry.InputFault) { bad = append(bad, geometry.Missing{Why: geometry.BadInput, Fault: &f}) }
	g := &sw.Golfer
	if !geometry.Finite(g.StatureM, g.StatureSigmaM, g.MassKg, sw.ClubLengthM, sw.ClickSigmaPx) {
		say(geometry.InputFault{What: geometry.NotANumber})
	}
	if g.StatureM != 0 && (g.StatureM < 0.8 || g.StatureM > 2.6) {
		say(geometry.InputFault{What: geometry.StatureOutOfRange, Value: g.StatureM})
	}
	if sw.ClubLengthM != 0 && (sw.ClubLengthM < 0.3 || sw.ClubLengthM > 1.6) {
		say(geometry.InputFault{What: geometry.ClubOutOfRange, Value: sw.ClubLengthM})
	}
	if sw.ClickSigmaPx < 0 || sw.ClickSigmaPx > 200 {
		say(geometry.InputFault{What: geometry.ClickOutOfRange, Value: sw.ClickSigmaPx})
	}
	if len(sw.Clips) == 0 {
		say(geometry.InputFault{What: geometry.NoClips})
	}
	for i := range sw.Clips {
		checkClip(i, &sw.Clips[i], say)
	}
	if len(sw.Positions) == 0 {
		say(geometry.InputFault{What: geometry.NoPositions})
	}
	seen := map[geometry.PositionName]bool{}
	for _, p := range sw.Positions {
		if seen[p.Name] {
			say(geometry.InputFault{What: geometry.PositionTwice, Position: p.Name})
		}
		seen[p.Name] = true
		for _, f := range p.FrameSeconds {
			if !geometry.Finite(f) || f < 0 || f > 10 {
				say(geometry.InputFault{What: geometry.FrameRateOutOfRange, Position: p.Name})
			}
		}
		for _, off := range p.OffSeconds {
			if !geometry.Finite(off) || off < 0 || off > 10 {
				say(geometry.InputFault{What: geometry.FrameRateOutOfRange, Position: p.Name})
			}
		}
	}
	if placed := checkMarks(sw, say); placed == 0 && len(sw.Clips) > 0 && len(sw.Positions) > 0 {
		bad = append(bad, geometry.Missing{Why: geometry.NotMarked, Wanted: []geometry.Wanted{
			{Need: geometry.DefinitionOf("pelvis tilt").Needs[0], Positions: []geometry.PositionName{sw.Positions[0].Name}}}})
	}
	if bad != nil {
		return &geometry.Insufficient{Missing: bad}
	}
	return nil
}

func checkClip(i int, c *geometry.Clip, say func(geometry.InputFault)) {
	if c.View != geometry.FaceOn && c.View != geometry.DownTheLine {
		say(geometry.InputFault{What: geometry.NoView, Clip: i})
	}
	if c.Width < 16 || c.Height < 16 || c.Width > 1<<16 || c.Height > 1<<16 {
		say(geometry.InputFault{What: geometry.NoPictureSize, Clip: i, Width: c.Width, Height: c.Height})
		return
	}
	long := float64(max(c.Width, c.Height))
	if !geometry.Finite(c.FocalPx, c.FocalRelSigma) || c.FocalPx < 0 || c.FocalRelSigma < 0 || c.FocalRelSigma > 2 ||
		(c.FocalPx > 0 && (c.FocalPx < 0.2*long || c.FocalPx > 30*long)) {
		say(geometry.InputFault{What: geometry.FocalOutOfRange, Clip: i})
	}
	for _, l := range c.GroundLines {
		if !geometry.Finite(l.LengthM, l.SigmaPx, l.Ends[0].X, l.Ends[0].Y, l.Ends[1].X, l.Ends[1].Y) ||
			l.LengthM < 0 || l.LengthM > 100 || l.SigmaPx < 0 || !near(l.Ends[0], c) || !near(l.Ends[1], c) {
			say(geometry.InputFault{What: geometry.StickOutOfRange, Clip: i})
		} else if math.Hypot(l.Ends[0].X-l.Ends[1].X, l.Ends[0].Y-l.Ends[1].Y) < 2 {
			say(geometry.InputFault{What: geometry.StickTooShort, Clip: i})
		}
	}
}

func near(p geometry.ImagePt, c *geometry.Clip) bool {
	w, h := float64(c.Width), float64(c.Height)
	return p.X > -pixelSpan*w && p.X < (1+pixelSpan)*w && p.Y > -pixelSpan*h && p.Y < (1+pixelSpan)*h
}

// checkMarks returns how many points are marked.
func checkMarks(sw *geometry.Swing, say func(geometry.InputFault)) int {
	type key struct {
		clip, pos int
		pt        geometry.Point
	}
	at := func(what geometry.FaultKind, m *geometry.Mark) geometry.InputFault {
		return geometry.InputFault{What: what, Point: m.Point, Position: sw.Positions[m.Position].Name, View: sw.Clips[m.Clip].View}
	}
	seen := map[key]bool{}
	placed := 0
	for i, m := range sw.Marks {
		if m.Clip < 0 || m.Clip >= len(sw.Clips) || m.Position < 0 || m.Position >= len(sw.Positions) || int(m.Point) >= geometry.NumPoints {
			say(geometry.InputFault{What: geometry.StrayMark, Mark: i})
			continue
		}
		k := key{m.Clip, m.Position, m.Point}
		if seen[k] {
			say(at(geometry.MarkTwice, &m))
		}
		seen[k] = true
		if m.State == geometry.Hidden {
			continue
		}
		placed++
		if !geometry.Finite(m.At.X, m.At.Y, m.SigmaPx, m.SharedBiasPx) || m.SigmaPx < 0 || m.SharedBiasPx < 0 || m.SharedBiasPx > m.SigmaPx || !near(m.At, &sw.Clips[m.Clip]) {
			say(at(geometry.MarkOutside, &m))
		}
	}
	return placed
}
