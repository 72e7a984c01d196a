package bench

import (
	"fmt"
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/teach"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Following is what is to be proposed at the key position that a stage shows: the
// points not marked there, followed through the clip from their marks at the key
// positions before and after it, or looked for in the picture.
type Following struct {
	Stage    int
	Clip     string
	View     geometry.View
	Position geometry.PositionName
	Frame    int
	Marks    []FollowedMark
	// Looked are the points that the picture may show: see Look.
	Looked []geometry.Point
	// What is known of the golfer and the club; 0 where it is not.
	Handed          geometry.Handed
	StatureM, ClubM float64
	// GolferAt is where in the picture the golfer is to be looked for among others,
	// pixels; the zero value is nowhere.
	GolferAt geometry.ImagePt
	// Background are frames of the clip over the swing, in order, at which the club is at
	// different places: what they have in common stands still. Empty where too few key
	// positions are known.
	Background []int
	// Before and After are how many frames before a point's first mark, and
	// after its last one, the frame lies at most.
	Before, After int
}

// FollowedMark is a mark that a point is followed from.
type FollowedMark struct {
	Point geometry.Point
	Frame int
	At    geometry.ImagePt
	SDPx  float64 // of a mark that the coach is unsure of; else 0
}

// Found is where a point was found.
type Found struct {
	Point geometry.Point
	At    geometry.ImagePt
	// SigmaPx is the standard deviation of a coordinate: for a Tracked one what
	// following adds to the marks' own.
	SigmaPx float64
	// SharedBiasPx is the part of it that is alike at all key positions of the clip.
	SharedBiasPx float64
	State        geometry.MarkState // Tracked, or Proposed where it was seen in the picture
}

// Asked is how many points are to be found.
func (f *Following) Asked() int {
	asked := map[geometry.Point]bool{}
	for _, m := range f.Marks {
		asked[m.Point] = true
	}
	for _, p := range f.Looked {
		asked[p] = true
	}
	return len(asked)
}

// Missing are the points to be looked for that have not been found yet.
func (f *Following) Missing(found []Found) []geometry.Point {
	return slices.DeleteFunc(slices.Clone(f.Looked), func(p geometry.Point) bool {
		return slices.ContainsFunc(found, func(x Found) bool { return x.Point == p })
	})
}

// Follow says what can be followed to the key position that the stages show, and
// what can be looked for there.
func (b *Bench) Follow() ([]Following, Note) {
	if b.blind.on {
		return nil, b.Busy()
	}
	var out []Following
	shown := false
	for i := range b.Stages {
		position, ok := b.PositionAt(i)
		if !ok || b.Stages[i].Film == nil {
			continue
		}
		shown = true
		if f := b.following(i, position, b.Stages[i].Frame); f.Asked() > 0 {
			out = append(out, f)
		}
	}
	switch {
	case !shown:
		return nil, "This frame is no key position. Press 1 to 7 to make it one; then marks can be proposed here."
	case len(out) == 0:
		return nil, "There is nothing left to propose here: every point that can be followed or seen is marked."
	}
	return out, ""
}

// FollowAll is Follow for every key position that is set, in order of time, first
// of one clip and then of the other.
func (b *Bench) FollowAll() ([]Following, Note) {
	if b.blind.on {
		return nil, b.Busy()
	}
	var out []Following
	set := false
	for i := range b.Stages {
		for _, p := range b.Swing().Positions {
			ref, ok := p.Frame(b.Stages[i].Clip)
			if !ok || b.Stages[i].Film == nil {
				continue
			}
			set = true
			if f := b.following(i, p.Name, clampFrame(ref.Index, b.Stages[i].Film)); f.Asked() > 0 {
				out = append(out, f)
			}
		}
	}
	switch {
	case !set:
		return nil, "No key position is set yet. Find address and the top, and press 1 and 4; then marks can be proposed there."
	case len(out) == 0:
		return nil, "There is nothing left to propose: every point that can be followed or seen is marked at every key position."
	}
	return out, ""
}

// following says what can be followed to a key position on a stage, and what can
// be looked for there.
func (b *Bench) following(stage int, position geometry.PositionName, frame int) Following {
	st := &b.Stages[stage]
	f := Following{
		Stage: stage, Clip: st.Clip, View: st.View, Position: position, Frame: frame,
		GolferAt: b.Swing().Clip(st.Clip).GolferAt, Background: b.backgroundFrames(stage),
		Handed: b.Lesson().HandedIn(b.Swing().Clip(st.Clip)), StatureM: b.Lesson().Student.StatureM, ClubM: b.Swing().Club.LengthM,
	}
	for p := range geometry.Point(geometry.NumPoints) {
		if !b.isMarked(stage, position, p) {
			f.add(b.marksAround(st, p, frame))
		}
	}
	for _, p := range Useful(st.View, position) {
		if !b.isMarked(stage, position, p) && looked(p) {
			f.Looked = append(f.Looked, p)
		}
	}
	return f
}

// marksAround returns a point's nearest marks before and after a frame.
// What is only proposed is no ground to follow from, nor is what was taken
// unmoved and can be looked for anew.
func (b *Bench) marksAround(st *Stage, p geometry.Point, frame int) []FollowedMark {
	var before, after *FollowedMark
	var around []FollowedMark
	sw := b.Swing()
	for i := range sw.Marks {
		m := &sw.Marks[i]
		ref, ok := sw.FrameOf(st.Clip, m.Position)
		if !ok || m.Clip != st.Clip || m.Point != p || m.State != geometry.Placed || ref.Index == frame || m.LowConfidence(st.View) && looked(p) {
			continue
		}
		f := &FollowedMark{p, clampFrame(ref.Index, st.Film), m.At, m.SDPx}
		switch {
		case f.Frame < frame && (before == nil || f.Frame > before.Frame):
			before = f
		case f.Frame > frame && (after == nil || f.Frame < after.Frame):
			after = f
		}
	}
	for _, f := range []*FollowedMark{before, after} {
		if f != nil {
			around = append(around, *f)
		}
	}
	return around
}

func (f *Following) add(around []FollowedMark) {
	if len(around) == 0 {
		return
	}
	f.Marks = append(f.Marks, around...)
	f.After = max(f.After, f.Frame-around[len(around)-1].Frame)
	f.Before = max(f.Before, around[0].Frame-f.Frame)
}

// TakeFollowed puts what was found onto the key position, as marks for the
// coach to take, correct or delete. A frame or a mark that has changed meanwhile
// is left alone.
func (b *Bench) TakeFollowed(f Following, found []Found) (placed int, note Note) {
	sw := b.Swing()
	ref, ok := sw.FrameOf(f.Clip, f.Position)
	st := &b.Stages[f.Stage]
	if !ok || ref.Index != f.Frame || st.Clip != f.Clip {
		return 0, ""
	}
	b.editor.Begin("propose marks at " + string(f.Position))
	for _, x := range found {
		if b.isMarked(f.Stage, f.Position, x.Point) || !(x.At.X >= 0 && x.At.Y >= 0 && x.At.X <= st.Picture.W && x.At.Y <= st.Picture.H) {
			continue
		}
		sd := x.SigmaPx
		if x.State == geometry.Tracked {
			own := geometry.DefaultSigmaPx(x.Point, geometry.Tracked, st.View)
			for _, m := range f.Marks {
				if m.Point == x.Point {
					own = math.Max(own, m.SDPx)
				}
			}
			sd = math.Hypot(own, sd)
		}
		err := b.editor.Apply(annotations.SetMark{Swing: b.swing, Mark: annotations.Mark{
			Clip: f.Clip, Position: f.Position, Point: x.Point, At: x.At, State: x.State, SDPx: sd, SharedBiasPx: x.SharedBiasPx,
		}})
		if err != nil {
			b.editor.Cancel()
			return 0, Note(err.Error())
		}
		placed++
	}
	// What hands have corrected in other swings holds for what was seen here too.
	_, err := teach.Apply(b.editor, func(s *annotations.Swing, m annotations.Mark) bool {
		return s.ID == b.swing && m.Clip == f.Clip && m.Position == f.Position && slices.ContainsFunc(found, func(x Found) bool { return x.Point == m.Point && x.State == m.State })
	})
	if err != nil {
		b.editor.Cancel()
		return 0, Note(err.Error())
	}
	b.editor.End()
	b.Refresh()
	if placed > 0 {
		b.disarm()
	}
	return placed, ""
}

// Followed says what came of it.
func Followed(placed, asked int) Note {
	if placed == 0 {
		return "No mark can be proposed here: nothing could be followed to this frame, and no golfer is seen clearly enough. Mark by hand, or copy with C."
	}
	return Note(fmt.Sprintf("%d of %s proposed: Enter takes each in turn, dragging corrects, Delete takes it away.", placed, words.Count(asked, "point", "points")))
}
