package panel

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
)

// keptFrame is what can be drawn on a frame, and what it was gathered from.
type keptFrame struct {
	key   frameKey
	frame *explain.Frame
}

type frameKey struct {
	lesson   *annotations.Lesson
	measured any // what the lines of the fit come from
	swing    string
	clip     string
	index    int
	paired   bool
	followed bool
}

// frame gathers what can be drawn on the frame a stage shows. It is not
// to be changed.
func (x *Room) frame(stage int) *explain.Frame {
	s := x.host.Session()
	l, st := s.Bench.Lesson(), &s.Show().Stages[stage]
	k := frameKey{lesson: l, measured: s.Result.Sheet, swing: s.Bench.Swing().ID, clip: st.Clip, index: st.Frame, paired: x.paired()}
	_, k.followed = s.Bench.Curves()
	other := s.Comparing != nil && stage == 1
	if other {
		k.lesson, k.measured, k.swing = s.Other.Lesson, s.Other.Result, s.Other.Swing().ID
	}
	kept := &x.kept[stage]
	if k != kept.key {
		kept.key = k
		if other {
			kept.frame = x.gatherOther(st)
		} else {
			kept.frame = x.gather(stage)
		}
	}
	return kept.frame
}

func (x *Room) gather(stage int) *explain.Frame {
	s := x.host.Session()
	l, st := s.Bench.Lesson(), &s.Show().Stages[stage]
	var seen explain.Seen
	written := make(map[string]string)
	name, set := s.Show().PositionAt(stage)
	if set && s.Result.Lesson != nil {
		// The result may be of a lesson a moment older: its own order counts.
		if sw := s.Result.Lesson.Swing(s.Bench.Swing().ID); sw != nil {
			seen = seenAt(s.Result.Seen, sw, st.Clip, name)
			x.write(written, s.Result.Measures, name)
		}
	}
	f := explain.NewFrame(l, s.Bench.Swing().ID, st.Clip, st.Frame, seen, written)
	if !set {
		follow(f, s.Bench.Tracked(st.Clip, st.Frame))
	}
	f.ClickSDPx, f.Paired = l.ClickSDPx, x.paired()
	return f
}

// gatherOther is gather for the swing that is compared with.
func (x *Room) gatherOther(st *bench.Stage) *explain.Frame {
	o := x.host.Session().Other
	var seen explain.Seen
	written := make(map[string]string)
	if name, ok := o.Swing().PositionAt(st.Clip, st.Frame); ok && o.Result != nil && o.Result.Solution != nil && !o.Result.Mistake().WithholdsAll() {
		if x.otherSeen == nil || x.seenOf != o.Result {
			x.otherSeen, x.seenOf = explain.See(o.Result.Solution, &o.Result.Problem), o.Result
		}
		seen = seenAt(x.otherSeen, o.Swing(), st.Clip, name)
		x.write(written, o.Result.Values(), name)
	}
	f := explain.NewFrame(o.Lesson, o.Swing().ID, st.Clip, st.Frame, seen, written)
	f.ClickSDPx = o.Lesson.ClickSDPx
	return f
}

// seenAt is what the fit sees in a clip of a swing at a key position.
func seenAt(all [][]explain.Seen, sw *annotations.Swing, clip string, name geometry.PositionName) explain.Seen {
	c, p := sw.ClipIndex(clip), sw.PositionIndex(name)
	if c < 0 || p < 0 || c >= len(all) || p >= len(all[c]) {
		return explain.Seen{}
	}
	return all[c][p]
}

// write writes down the measures of a key position.
func (x *Room) write(written map[string]string, measures []geometry.Measure, name geometry.PositionName) {
	for k := range measures {
		if m := &measures[k]; m.Position == name {
			written[m.Name] = words.Exact(m.Unit, x.host.Settings().Imperial).Of(m.Name, name).Written(m)
		}
	}
}

// follow puts the points of a frame between key positions where they were followed to, so
// that the lines stay through the swing.
func follow(f *explain.Frame, points []bench.TrackedPoint) {
	if len(points) == 0 {
		return
	}
	f.Position = explain.InMotion
	for _, p := range points {
		f.Spots[p.Point] = explain.Spot{At: p.At, Known: true}
	}
}

// paired reports whether both views are shown side by side.
func (x *Room) paired() bool {
	if x.host.Session().Comparing != nil {
		return false
	}
	stages := &x.host.Session().Bench.Stages
	return len(x.doors.Shown()) == len(stages) && stages[0].Film != nil && stages[1].Film != nil
}

// lacks says what a line that is on still needs to be drawn on one of the stages
// shown, or "".
func (x *Room) lacks(l explain.Line) string {
	best, reason := -1, ""
	for _, i := range x.doors.Shown() {
		if x.host.Session().Show().Stages[i].Clip == "" {
			continue
		}
		f := x.frame(i)
		needs := f.Needs(l)
		if needs == "" {
			return ""
		}
		// The frame where least is wanting has the most to say.
		rank := 0
		if f.View == geometry.DownTheLine || l != explain.AnkleKneeLine && l != explain.ShaftPlane {
			rank += 2
		}
		if f.Position != "" {
			rank++
		}
		if rank > best {
			best, reason = rank, needs
		}
	}
	if reason == "" {
		return ""
	}
	return fmt.Sprintf("The %s %s.", l, reason)
}
