package fit

import (
	"fmt"
	"math"

	"turngauge/geometry"
)

// pixelSpan bounds how far outside its picture a mark or a stick's end may
// lie, in widths of the picture.
const pixelSpan = 2

// check returns what movesWithBody a swing from being fitted, or nil.
func check(sw *geometry.Swing) *geometry.Insufficient {
	var bad []geometry.Missing
	say := func(format string, a ...any) { bad = append(bad, geometry.Missing{Reason: fmt.Sprintf(format, a...)}) }
	g := &sw.Golfer
	if !geometry.Finite(g.StatureM, g.StatureSigmaM, g.MassKg, sw.ClubLengthM, sw.ClickSigmaPx) {
		say("the student's stature, mass, club length or marking error is not a number: enter it again")
	}
	if g.StatureM != 0 && (g.StatureM < 0.8 || g.StatureM > 2.6) {
		say("a stature of %.2f m is out of range: enter it in metres", g.StatureM)
	}
	if sw.ClubLengthM != 0 && (sw.ClubLengthM < 0.3 || sw.ClubLengthM > 1.6) {
		say("a club length of %.2f m is out of range: enter it in metres", sw.ClubLengthM)
	}
	if sw.ClickSigmaPx < 0 || sw.ClickSigmaPx > 200 {
		say("a marking error of %g px is out of range", sw.ClickSigmaPx)
	}
	if len(sw.Clips) == 0 {
		say("add a clip")
	}
	for i := range sw.Clips {
		checkClip(i, &sw.Clips[i], say)
	}
	if len(sw.Positions) == 0 {
		say("set a key position")
	}
	seen := map[geometry.PositionName]bool{}
	for _, p := range sw.Positions {
		if seen[p.Name] {
			say("the position %q is set twice: remove one", p.Name)
		}
		seen[p.Name] = true
		for _, f := range p.FrameSeconds {
			if !geometry.Finite(f) || f < 0 || f > 10 {
				say("the frame rate of a clip at %s is out of range", p.Name)
			}
		}
	}
	checkMarks(sw, say)
	if bad != nil {
		return &geometry.Insufficient{Missing: bad}
	}
	return nil
}

func checkClip(i int, c *geometry.Clip, say func(string, ...any)) {
	if c.View != geometry.FaceOn && c.View != geometry.DownTheLine {
		say("say which view clip %d is: face-on or down-the-line", i+1)
	}
	if c.Width < 16 || c.Height < 16 || c.Width > 1<<16 || c.Height > 1<<16 {
		say("clip %d has no usable picture size (%d x %d)", i+1, c.Width, c.Height)
		return
	}
	long := float64(max(c.Width, c.Height))
	if !geometry.Finite(c.FocalPx, c.FocalRelSigma) || c.FocalPx < 0 || c.FocalRelSigma < 0 || c.FocalRelSigma > 2 ||
		(c.FocalPx > 0 && (c.FocalPx < 0.2*long || c.FocalPx > 30*long)) {
		say("the focal length of clip %d is out of range: leave it empty if it is not known", i+1)
	}
	for _, l := range c.GroundLines {
		if !geometry.Finite(l.LengthM, l.SigmaPx, l.Ends[0].X, l.Ends[0].Y, l.Ends[1].X, l.Ends[1].Y) ||
			l.LengthM < 0 || l.LengthM > 100 || l.SigmaPx < 0 || !near(l.Ends[0], c) || !near(l.Ends[1], c) {
			say("a ground stick in clip %d has an end or a length out of range: mark it again", i+1)
		} else if math.Hypot(l.Ends[0].X-l.Ends[1].X, l.Ends[0].Y-l.Ends[1].Y) < 2 {
			say("the two ends of a ground stick in clip %d are in the same place: mark them apart", i+1)
		}
	}
}

func near(p geometry.ImagePt, c *geometry.Clip) bool {
	w, h := float64(c.Width), float64(c.Height)
	return p.X > -pixelSpan*w && p.X < (1+pixelSpan)*w && p.Y > -pixelSpan*h && p.Y < (1+pixelSpan)*h
}

func checkMarks(sw *geometry.Swing, say func(string, ...any)) {
	type key struct {
		clip, pos int
		pt        geometry.Point
	}
	seen := map[key]bool{}
	placed := 0
	for i, m := range sw.Marks {
		if m.Clip < 0 || m.Clip >= len(sw.Clips) || m.Position < 0 || m.Position >= len(sw.Positions) || int(m.Point) >= geometry.NumPoints {
			say("mark %d belongs to no clip, position or point of this swing", i+1)
			continue
		}
		k := key{m.Clip, m.Position, m.Point}
		if seen[k] {
			say("the %s at %s is marked twice in the %s clip: remove one", m.Point, sw.Positions[m.Position].Name, sw.Clips[m.Clip].View)
		}
		seen[k] = true
		if m.State == geometry.Hidden {
			continue
		}
		placed++
		if !geometry.Finite(m.At.X, m.At.Y, m.SigmaPx, m.SharedBiasPx) || m.SigmaPx < 0 || m.SharedBiasPx < 0 || m.SharedBiasPx > m.SigmaPx || !near(m.At, &sw.Clips[m.Clip]) {
			say("the mark of the %s at %s in the %s clip is not in the picture: place it again", m.Point, sw.Positions[m.Position].Name, sw.Clips[m.Clip].View)
		}
	}
	if placed == 0 && len(sw.Clips) > 0 && len(sw.Positions) > 0 {
		say("mark both hips at %s", sw.Positions[0].Name)
	}
}
