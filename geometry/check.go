package geometry

import "math"

// pixelSpan bounds how far outside its picture a mark or a stick's end may
// lie, in widths of the picture.
const pixelSpan = 2

// Check returns what keeps a swing from being fitted, all of it, or nil.
//
// The limits are those of the possible and not of the likely: 0.8 to 2.6 m takes children
// and the tallest, and refuses centimetres and inches; a focal length of a fifth of the
// picture's long side is a fisheye, thirty times it a telescope. What is merely unusual
// is left to the priors.
func (sw *Swing) Check() *Insufficient {
	var bad []Missing
	say := func(f InputFault) { bad = append(bad, Missing{Why: BadInput, Fault: &f}) }
	g := &sw.Golfer
	if !Finite(g.StatureM, g.StatureSigmaM, g.MassKg, sw.ClubLengthM, sw.ClickSigmaPx) {
		say(InputFault{What: NotANumber})
	}
	if g.StatureM != 0 && (g.StatureM < 0.8 || g.StatureM > 2.6) {
		say(InputFault{What: StatureOutOfRange, Value: g.StatureM})
	}
	if sw.ClubLengthM != 0 && (sw.ClubLengthM < 0.3 || sw.ClubLengthM > 1.6) {
		say(InputFault{What: ClubOutOfRange, Value: sw.ClubLengthM})
	}
	if sw.ClickSigmaPx < 0 || sw.ClickSigmaPx > 200 {
		say(InputFault{What: ClickOutOfRange, Value: sw.ClickSigmaPx})
	}
	if len(sw.Clips) == 0 {
		say(InputFault{What: NoClips})
	}
	for i := range sw.Clips {
		checkClip(i, &sw.Clips[i], say)
	}
	if len(sw.Positions) == 0 {
		say(InputFault{What: NoPositions})
	}
	seen := map[PositionName]bool{}
	for _, p := range sw.Positions {
		if seen[p.Name] {
			say(InputFault{What: PositionTwice, Position: p.Name})
		}
		seen[p.Name] = true
		for _, f := range p.FrameSeconds {
			if !Finite(f) || f < 0 || f > 10 {
				say(InputFault{What: FrameRateOutOfRange, Position: p.Name})
			}
		}
		for _, off := range p.OffSeconds {
			if !Finite(off) || off < 0 || off > 10 {
				say(InputFault{What: FrameRateOutOfRange, Position: p.Name})
			}
		}
	}
	// The least that anything can be fitted from is one point; what is asked for, however, is what the
	// simplest measure needs.
	if placed := checkMarks(sw, say); placed == 0 && len(sw.Clips) > 0 && len(sw.Positions) > 0 {
		bad = append(bad, Missing{Why: NotMarked, Wanted: []Wanted{
			{Need: DefinitionOf("pelvis tilt").Needs[0], Positions: []PositionName{sw.Positions[0].Name}}}})
	}
	if bad != nil {
		return &Insufficient{Missing: bad}
	}
	return nil
}

// Below 16 pixels a picture holds no golfer, and above 65536 no camera makes one. The ends of a
// stick less than two pixels apart have no direction: each is marked to 2.5. A relative standard
// deviation of the focal length above 2 says less than nothing being known.
func checkClip(i int, c *Clip, say func(InputFault)) {
	if c.View != FaceOn && c.View != DownTheLine {
		say(InputFault{What: NoView, Clip: i})
	}
	if c.Width < 16 || c.Height < 16 || c.Width > 1<<16 || c.Height > 1<<16 {
		say(InputFault{What: NoPictureSize, Clip: i, Width: c.Width, Height: c.Height})
		return
	}
	long := float64(max(c.Width, c.Height))
	if !Finite(c.FocalPx, c.FocalRelSigma) || c.FocalPx < 0 || c.FocalRelSigma < 0 || c.FocalRelSigma > 2 ||
		(c.FocalPx > 0 && (c.FocalPx < 0.2*long || c.FocalPx > 30*long)) {
		say(InputFault{What: FocalOutOfRange, Clip: i})
	}
	for _, l := range c.GroundLines {
		if !Finite(l.LengthM, l.SigmaPx, l.Ends[0].X, l.Ends[0].Y, l.Ends[1].X, l.Ends[1].Y) ||
			l.LengthM < 0 || l.LengthM > 100 || l.SigmaPx < 0 || !near(l.Ends[0], c) || !near(l.Ends[1], c) {
			say(InputFault{What: StickOutOfRange, Clip: i})
		} else if math.Hypot(l.Ends[0].X-l.Ends[1].X, l.Ends[0].Y-l.Ends[1].Y) < 2 {
			say(InputFault{What: StickTooShort, Clip: i})
		}
	}
}

// Marks may lie outside the picture, as a clubhead that has left it does for whoever knows where
// it must be. Two widths further a pixel is no angle any more that the camera model is good for.
func near(p ImagePt, c *Clip) bool {
	w, h := float64(c.Width), float64(c.Height)
	return p.X > -pixelSpan*w && p.X < (1+pixelSpan)*w && p.Y > -pixelSpan*h && p.Y < (1+pixelSpan)*h
}

// checkMarks returns how many points are marked.
//
// Every fault is told, not only the first, since a document may come from another program. Of two
// marks of one point in one picture neither is better, and averaging them would hide that
// somebody meant something else.
func checkMarks(sw *Swing, say func(InputFault)) int {
	type key struct {
		clip, pos int
		pt        Point
	}
	at := func(what FaultKind, m *Mark) InputFault {
		return InputFault{What: what, Point: m.Point, Position: sw.Positions[m.Position].Name, View: sw.Clips[m.Clip].View}
	}
	seen := map[key]bool{}
	placed := 0
	for i, m := range sw.Marks {
		if m.Clip < 0 || m.Clip >= len(sw.Clips) || m.Position < 0 || m.Position >= len(sw.Positions) || int(m.Point) >= NumPoints {
			say(InputFault{What: StrayMark, Mark: i})
			continue
		}
		k := key{m.Clip, m.Position, m.Point}
		if seen[k] {
			say(at(MarkTwice, &m))
		}
		seen[k] = true
		if m.State == Hidden {
			continue
		}
		placed++
		if !Finite(m.At.X, m.At.Y, m.SigmaPx, m.SharedBiasPx) || m.SigmaPx < 0 || m.SharedBiasPx < 0 || m.SharedBiasPx > m.SigmaPx || !near(m.At, &sw.Clips[m.Clip]) {
			say(at(MarkOutside, &m))
		}
	}
	return placed
}
