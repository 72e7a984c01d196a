package annotations

import (
	"fmt"
	"math"
	"regexp"
	"time"
	"unicode/utf8"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// The most a document may hold. They are far above any lesson and keep a
// damaged or hostile file from filling the memory.
const (
	maxSwings      = 1000
	maxClips       = 16
	maxPositions   = 64
	maxMarks       = 20_000
	maxGroundLines = 32

	maxName  = 200
	maxNotes = 20_000
	maxPath  = 4096

	minSide, maxSide = 16, 16384   // pixels
	maxIndex         = 100_000_000 // frames: five days at 240 a second
)

// How far beyond the picture's edge a place may lie, as a fraction of the
// picture's side: a coach may put a foot that is cut off, or the end of a stick,
// where it must be. A mark may lie as far as a club reaches that leaves a picture
// which the golfer fills; from outside on it is warned of.
const (
	outside     = 0.25
	outsideMark = 1
)

var fingerprint = regexp.MustCompile(`^[0-9a-f]{64}$`)

// Validate checks l against the rules of the document. The error is Faults
// with every fault by its JSON path, or nil.
func (l *Lesson) Validate() error {
	if f := l.check(); len(f) > 0 {
		return f
	}
	return nil
}

func (l *Lesson) check() Faults {
	var f Faults
	f.text("id", l.ID, maxName)
	f.text("title", l.Title, maxName)
	f.text("coach", l.Coach, maxName)
	f.text("place", l.Place, maxName)
	f.text("notes", l.Notes, maxNotes)
	f.text("question", l.Question, maxNotes)
	f.within("click_sd_px", l.ClickSDPx, minClickSD, maxClickSD, "pixels")
	if l.Date != "" {
		if _, err := time.Parse(time.DateOnly, l.Date); err != nil {
			f.add("date", "%s is not a date; write year-month-day, such as 2026-05-02", words.Quote(l.Date))
		}
	}
	s := &l.Student
	f.text("student.id", s.ID, maxName)
	f.text("student.name", s.Name, maxName)
	f.text("student.injuries", s.Injuries, maxNotes)
	if !words.Handicap(s.Handicap) {
		f.add("student.handicap", "%s is not a handicap; write one such as \"12.4\" or, for one better than scratch, \"+2.1\"", words.Quote(s.Handicap))
	}
	if nameOf(handedWords, s.Handed) == "" {
		f.add("student.handed", "must be %s", choices(handedWords))
	}
	if s.Sex != geometry.SexUnset && nameOf(sexWords, s.Sex) == "" {
		f.add("student.sex", "must be %s", choices(sexWords))
	}
	f.within("student.stature_m", s.StatureM, 0.8, 2.6, "metres")
	f.within("student.stature_sd_m", s.StatureSDM, 0.0001, 0.5, "metres")
	f.within("student.mass_kg", s.MassKg, 10, 350, "kilograms")
	if len(l.Swings) > maxSwings {
		f.add("swings", "has %d entries; at most %d are allowed", len(l.Swings), maxSwings)
	}
	seen := map[string]int{}
	for i := range l.Swings {
		l.Swings[i].check(&f, i, seen)
	}
	l.Prescription.check(&f)
	l.Reviews.Check(f.add)
	l.checkShots(&f)
	return f
}

func (s *Swing) check(f *Faults, i int, seen map[string]int) {
	at := fmt.Sprintf("swings[%d]", i)
	f.id(at+".id", s.ID)
	f.once(seen, s.ID, at+".id", "swings", "swing", i)
	f.text(at+".label", s.Label, maxName)
	f.text(at+".tried", s.Tried, maxName)
	f.text(at+".club.name", s.Club.Name, maxName)
	f.within(at+".club.length_m", s.Club.LengthM, 0.3, 1.6, "metres")
	if len(s.Clips) > maxClips || len(s.Positions) > maxPositions || max(len(s.Marks), len(s.Repeats)) > maxMarks {
		f.add(at, "at most %d clips, %d positions, and %d marks and repeats each are allowed", maxClips, maxPositions, maxMarks)
		return
	}
	clips := map[string]int{}
	for k := range s.Clips {
		s.Clips[k].check(f, fmt.Sprintf("%s.clips[%d]", at, k))
		f.once(clips, s.Clips[k].ID, fmt.Sprintf("%s.clips[%d].id", at, k), at+".clips", "clip", k)
	}
	if len(s.Drawings) > maxDrawings {
		f.add(at+".drawings", "has %d entries; at most %d are allowed", len(s.Drawings), maxDrawings)
		return
	}
	s.checkDrawings(f, at, clips)
	s.checkPositions(f, at, clips)
	s.checkMarks(f, at, clips)
	s.checkRepeats(f, at, clips)
	s.checkFindings(f, at, clips)
	if s.Followed != nil {
		s.Followed.check(at+".followed", f)
	}
}

func (c *Clip) check(f *Faults, at string) {
	f.id(at+".id", c.ID)
	if nameOf(viewWords, c.View) == "" {
		f.add(at+".view", "must be %s", choices(viewWords))
	}
	f.text(at+".file", c.File, maxPath)
	if c.SHA256 != "" && !fingerprint.MatchString(c.SHA256) {
		f.add(at+".sha256", "must be 64 digits 0-9 and a-f")
	}
	for _, side := range []struct {
		name string
		px   int
	}{{".width", c.Width}, {".height", c.Height}} {
		if side.px < minSide || side.px > maxSide {
			f.add(at+side.name, "must be from %d to %d pixels, not %d", minSide, maxSide, side.px)
		}
	}
	if c.TimeBase != ([2]int64{}) && (c.TimeBase[0] <= 0 || c.TimeBase[1] <= 0) {
		f.add(at+".time_base", "must be two whole numbers above 0, such as [1, 90000]")
	}
	c.Part.check(f, at+".part")
	f.within(at+".filmed_fps", c.FilmedFPS, 1, 20000, "frames a second of life")
	if c.Speed != SpeedUntold && nameOf(speedWords, c.Speed) == "" {
		f.add(at+".speed", "must be %s", choices(speedWords))
	}
	if side := float64(max(c.Width, c.Height)); side >= minSide {
		f.within(at+".focal_px", c.FocalPx, 0.2*side, 30*side, "pixels for a picture of this size")
	}
	f.within(at+".focal_rel_sd", c.FocalRelSD, 1e-4, 1, "of the focal length")
	f.within(at+".stand", float64(c.Stand), 1, 1e6, "counted from 1")
	if c.GolferAt != (geometry.ImagePt{}) {
		c.inside(f, outside, at+".golfer_at", "[0]", "[1]", c.GolferAt)
	}
	if len(c.GroundLines) > maxGroundLines {
		f.add(at+".ground_lines", "has %d entries; at most %d are allowed", len(c.GroundLines), maxGroundLines)
		return
	}
	for i := range c.GroundLines {
		g := &c.GroundLines[i]
		in := fmt.Sprintf("%s.ground_lines[%d]", at, i)
		f.within(in+".length_m", g.LengthM, 0.05, 100, "metres")
		f.within(in+".sd_px", g.SDPx, 0.01, 1000, "pixels")
		if g.Along != geometry.DirectionUnset && nameOf(alongWords, g.Along) == "" {
			f.add(in+".along", "must be %s", choices(alongWords))
		}
		for e, p := range g.Ends {
			c.inside(f, outside, fmt.Sprintf("%s.ends[%d]", in, e), "[0]", "[1]", p)
		}
		if g.Ends[0] == g.Ends[1] {
			f.add(in+".ends", "both ends are at the same place")
		}
	}
}

// inside checks a coordinate against the picture of c, with a margin as a fraction
// of its sides.
func (c *Clip) inside(f *Faults, margin float64, at, x, y string, p geometry.ImagePt) {
	for _, a := range []struct {
		name, axis string
		v          float64
		side       int
		word       string
	}{{x, "x", p.X, c.Width, "wide"}, {y, "y", p.Y, c.Height, "high"}} {
		if a.side < minSide {
			continue // the size of the picture is at fault, not the point
		}
		far := margin * float64(a.side)
		if !(a.v >= -far && a.v <= float64(a.side)+far) { // also NaN
			f.add(at+a.name, "%s = %g lies far outside the picture, which is %d pixels %s", a.axis, a.v, a.side, a.word)
		}
	}
}

func (s *Swing) checkPositions(f *Faults, at string, clips map[string]int) {
	seen := map[geometry.PositionName]int{}
	for i := range s.Positions {
		p := &s.Positions[i]
		in := fmt.Sprintf("%s.positions[%d]", at, i)
		f.id(in+".name", string(p.Name))
		if j, twice := seen[p.Name]; twice {
			f.add(in+".name", "%s is already the name of %s.positions[%d]; keep one", words.Quote(string(p.Name)), at, j)
		}
		seen[p.Name] = i
		for k, fr := range p.Frames {
			path := fmt.Sprintf("%s.frames[%d]", in, k)
			if _, ok := clips[fr.Clip]; !ok {
				f.add(path+".clip", "there is no clip %s in this swing", words.Quote(fr.Clip))
			}
			if fr.Index < 0 || fr.Index > maxIndex {
				f.add(path+".index", "must be from 0 to %d, not %d", maxIndex, fr.Index)
			}
			if fr.PTS > maxInteger || fr.PTS < -maxInteger {
				f.add(path+".pts", "%d is too large for a time", fr.PTS)
			}
			for j := range k {
				if p.Frames[j].Clip == fr.Clip {
					f.add(path+".clip", "clip %s already has a frame at this position; keep one", words.Quote(fr.Clip))
				}
			}
		}
	}
}

func (s *Swing) checkMarks(f *Faults, at string, clips map[string]int) {
	type key struct {
		clip, position int
		point          geometry.Point
	}
	positions := make(map[geometry.PositionName]int, len(s.Positions))
	for i := range s.Positions {
		positions[s.Positions[i].Name] = i
	}
	seen := make(map[key]int, len(s.Marks))
	for i := range s.Marks {
		m := &s.Marks[i]
		in := func() string { return fmt.Sprintf("%s.marks[%d]", at, i) }
		c, okClip := clips[m.Clip]
		if !okClip {
			f.add(in()+".clip", "there is no clip %s in this swing", words.Quote(m.Clip))
		}
		p, okPosition := positions[m.Position]
		if !okPosition {
			f.add(in()+".position", "there is no position %s in this swing; add it to positions", words.Quote(string(m.Position)))
		}
		if m.Point >= geometry.NumPoints {
			f.add(in()+".point", "point number %d is not a point", m.Point)
		}
		if nameOf(stateWords, m.State) == "" {
			f.add(in()+".state", "must be %s", choices(stateWords))
		}
		if m.SDPx != 0 && !(m.SDPx >= 0.01 && m.SDPx <= 1000) {
			f.within(in()+".sd_px", m.SDPx, 0.01, 1000, "pixels")
		}
		if m.SharedBiasPx != 0 && !(m.SharedBiasPx >= 0.01 && m.SharedBiasPx <= m.SDPx) {
			f.add(in()+".shared_bias_px", "must be between 0.01 and sd_px, of which it is a part; leave it out for a mark by hand")
		}
		if okClip && m.State != geometry.Hidden {
			if cl := &s.Clips[c]; !(m.At.X >= 0 && m.At.X <= float64(cl.Width) && m.At.Y >= 0 && m.At.Y <= float64(cl.Height)) {
				cl.inside(f, outsideMark, in(), ".x", ".y", m.At)
			}
		}
		if okClip {
			m.Seen.check(f, in()+".seen_at", &s.Clips[c])
		}
		if okClip && okPosition {
			k := key{c, p, m.Point}
			if j, twice := seen[k]; twice {
				f.add(in(), "%s is already marked there by %s.marks[%d]; keep one", words.Quote(m.Point.String()), at, j)
			} else {
				seen[k] = i
			}
		}
	}
}

// warnings says what is allowed but probably not meant.
func (l *Lesson) warnings() []string {
	var out []string
	for i := range l.Swings {
		s := &l.Swings[i]
		for k := range s.Marks {
			if m := &s.Marks[k]; m.State != geometry.Hidden && s.farOut(m) {
				out = append(out, fmt.Sprintf("swings[%d].marks[%d]: the %s at %s lies outside its picture, at %g, %g; it counts as it stands, so take it out if it is not meant",
					i, k, m.Point, m.Position, m.At.X, m.At.Y))
			}
		}
		for _, c := range s.Clips {
			var last FrameRef
			var name geometry.PositionName
			for _, k := range geometry.KeyPositions {
				fr, ok := s.FrameOf(c.ID, k)
				if !ok {
					continue
				}
				if name != "" && fr.Index <= last.Index {
					out = append(out, fmt.Sprintf("swings[%d].positions: in clip %s, %q does not come after %q; check their frames", i, words.Quote(c.ID), k, name))
				}
				last, name = fr, k
			}
		}
	}
	return out
}

// farOut reports whether a mark lies further outside its picture than a point that
// the edge has just cut off.
func (s *Swing) farOut(m *Mark) bool {
	c := s.Clip(m.Clip)
	if c == nil {
		return false
	}
	var f Faults
	c.inside(&f, outside, "", "", "", m.At)
	return len(f) > 0
}

func (f *Faults) id(path, v string) {
	if v == "" {
		f.add(path, "is missing")
		return
	}
	f.text(path, v, maxName)
}

// once notes at which index of a list each ID stands, and one that stands there
// twice as a fault.
func (f *Faults) once(seen map[string]int, id, path, list, thing string, i int) {
	if j, twice := seen[id]; twice {
		f.add(path, "%s is already the id of %s[%d]; give each %s its own", words.Quote(id), list, j, thing)
	}
	seen[id] = i
}

func (f *Faults) text(path, v string, limit int) {
	if n := utf8.RuneCountInString(v); n > limit {
		f.add(path, "has %d characters; at most %d are allowed", n, limit)
	}
	if !utf8.ValidString(v) {
		f.add(path, "is not UTF-8 text")
	}
}

// within checks an optional number; 0 means not known.
func (f *Faults) within(path string, v, low, high float64, unit string) {
	if v == 0 || v >= low && v <= high {
		return
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		f.add(path, "is not a number; leave it out where it is not known")
		return
	}
	f.add(path, "%g is not from %g to %g %s", v, low, high, unit)
}
