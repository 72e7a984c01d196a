package panel

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/sheet"
)

// keptFrame is what can be drawn on a frame, and what it was gathered from.
type keptFrame struct {
	key   frameKey
	frame *explain.Frame
}

type frameKey struct {
	lesson   *annotations.Lesson
	measured *sheet.Model
	swing    string
	clip     string
	index    int
	paired   bool
}

// frame gathers what can be drawn on the frame a stage shows. It is not
// to be changed.
func (x *Room) frame(stage int) *explain.Frame {
	s := x.host.Session()
	l, st := s.Bench.Lesson(), &s.Bench.Stages[stage]
	kept := &x.kept[stage]
	if k := (frameKey{l, s.Result.Sheet, s.Bench.Swing().ID, st.Clip, st.Frame, x.paired()}); k != kept.key {
		kept.key, kept.frame = k, x.gather(stage)
	}
	return kept.frame
}

func (x *Room) gather(stage int) *explain.Frame {
	s := x.host.Session()
	l, st := s.Bench.Lesson(), &s.Bench.Stages[stage]
	var seen explain.Seen
	written := make(map[string]string)
	if name, ok := s.Bench.PositionAt(stage); ok && s.Result.Lesson != nil {
		// The result may be of a lesson a moment older: its own order counts.
		if sw := s.Result.Lesson.Swing(s.Bench.Swing().ID); sw != nil {
			c, p := sw.ClipIndex(st.Clip), sw.PositionIndex(name)
			if c >= 0 && p >= 0 && c < len(s.Result.Seen) && p < len(s.Result.Seen[c]) {
				seen = s.Result.Seen[c][p]
			}
			for k := range s.Result.Measures {
				if m := &s.Result.Measures[k]; m.Position == name {
					written[m.Name] = words.Exact(m.Unit, x.host.Settings().Imperial).Of(m.Name, name).Written(m)
				}
			}
		}
	}
	f := explain.NewFrame(l, s.Bench.Swing().ID, st.Clip, st.Frame, seen, written)
	f.ClickSDPx, f.Paired = l.ClickSDPx, x.paired()
	return f
}

// paired reports whether both views are shown side by side.
func (x *Room) paired() bool {
	stages := &x.host.Session().Bench.Stages
	return len(x.doors.Shown()) == len(stages) && stages[0].Film != nil && stages[1].Film != nil
}

// lacks says what a line that is on still needs to be drawn on one of the stages
// shown, or "".
func (x *Room) lacks(l explain.Line) string {
	best, reason := -1, ""
	for _, i := range x.doors.Shown() {
		if x.host.Session().Bench.Stages[i].Clip == "" {
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
