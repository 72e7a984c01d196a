package findings

import (
	"fmt"
	"slices"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/sheet"
)

// subject is the part of a finding's row that says what it is about: the frame that
// shows it and the measure that it rests on.
type subject struct {
	frame, noFrame, go_ draw.Button
	measure, noMeasure  draw.Button
	choosing            bool // of the measure
	asked               bool // the filter is to get the keyboard
	filter              draw.Field
	choices             map[string]*draw.Button
}

// mostChoices is how many measures are offered at once: typing finds the others.
const mostChoices = 10

// here is the frame that the active stage shows; ok is false where no clip is open.
func (p *Room) here() (f annotations.FrameRef, ok bool) {
	b := p.host.Session().Bench
	st := &b.Stages[b.Active]
	if st.Clip == "" || st.Film == nil {
		return f, false
	}
	return annotations.FrameRef{Clip: st.Clip, Index: st.Frame, PTS: st.Film.PTS(st.Frame)}, true
}

// frameWords says which frame it is: "Down-the-line, top (frame 264)".
func frameWords(s *annotations.Swing, f annotations.FrameRef) string {
	c := s.Clip(f.Clip)
	if c == nil {
		return "a frame of a clip that is gone"
	}
	position, _ := s.PositionAt(f.Clip, f.Index)
	text := fmt.Sprintf("%s (frame %d)", named(bench.Title(c.View.String()), position), f.Index+1)
	drawn := 0
	for i := range s.Drawings {
		if s.Drawings[i].On(f.Clip, f.Index) {
			drawn++
		}
	}
	if drawn > 0 {
		text += ", " + words.Count(drawn, "drawing", "drawings")
	}
	return text
}

// updateSubject takes up what was done with the subject of a finding; set puts the
// finding into the lesson.
func (p *Room) updateSubject(gtx layout.Context, u *subject, f annotations.Finding, set func(annotations.Finding)) {
	switch {
	case u.frame.Clicked(gtx):
		at, ok := p.here()
		if !ok {
			p.host.Tell("No clip is open on the stage: there is no frame to take.")
			return
		}
		f.Frame = at
		set(f)
	case u.noFrame.Clicked(gtx):
		f.Frame = annotations.FrameRef{}
		set(f)
	case u.go_.Clicked(gtx):
		b := p.host.Session().Bench
		if st, ok := b.StageOf(f.Frame.Clip); ok {
			b.Pause()
			b.GoTo(st, f.Frame.Index)
		}
	case u.measure.Clicked(gtx):
		u.choosing = !u.choosing
		u.filter.SetText("")
		u.asked = u.choosing
	case u.noMeasure.Clicked(gtx):
		f.Measure, f.Position, f.Rule = "", "", ""
		f.Value, f.Low95, f.High95, f.Unit, f.Verdict = 0, 0, 0, "", ""
		set(f)
	}
	if !u.choosing {
		return
	}
	if u.asked {
		u.asked = false
		gtx.Execute(key.FocusCmd{Tag: &u.filter.Editor})
	}
	found := p.matching(u.filter.Text())
	entered := u.filter.Entered(gtx)
	for i := range found {
		m := &found[i]
		b := u.choices[sheet.Key(m.Name, m.Position)]
		if b != nil && b.Clicked(gtx) || entered && i == 0 {
			u.choosing = false
			p.rest = p.rest || gtx.Focused(&u.filter.Editor)
			set(resting(f, m))
			return
		}
	}
}

// resting returns a finding that rests on a measure as it is now.
func resting(f annotations.Finding, m *annotations.Measured) annotations.Finding {
	f.Measure, f.Position = m.Name, m.Position
	f.Value, f.Low95, f.High95, f.Unit, f.Verdict = m.Value, m.Low95, m.High95, m.Unit, m.Verdict
	if f.Verdict == "" {
		f.Verdict = geometry.CantTell
	}
	return f
}

// matching are the measures whose names hold every word of a text; those at the key
// position on the stages first.
func (p *Room) matching(text string) (out []annotations.Measured) {
	d := p.host.Session()
	parts := strings.Fields(strings.ToLower(text))
	if d.Result.Evaluation == nil {
		return nil
	}
	for i := range d.Result.Evaluation.Measures {
		m := d.Result.Evaluation.Measures[i].Rounded()
		name := strings.ToLower(m.Name + " " + string(m.Position))
		if !slices.ContainsFunc(parts, func(w string) bool { return !strings.Contains(name, w) }) {
			out = append(out, m)
		}
	}
	at, _ := d.Bench.PositionAt(d.Bench.Active)
	rank := func(m annotations.Measured) int {
		if m.Position == at {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out, func(x, y annotations.Measured) int { return rank(x) - rank(y) })
	return out
}

// addSubject adds what a finding is about below its words, and drop, which takes the
// finding out.
func (p *Room) addSubject(u *subject, f *annotations.Finding, drop layout.Widget, add func(unit.Dp, layout.Widget), quiet func(unit.Dp, string)) {
	th, sw := p.host.Theme(), p.host.Session().Bench.Swing()
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		s.Compact, s.Kind = true, draw.Quiet
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	if f.Frame.Clip != "" {
		text := frameWords(sw, f.Frame)
		add(4, func(gtx layout.Context) layout.Dimensions {
			return draw.Row(gtx, draw.Gap,
				func(gtx layout.Context) layout.Dimensions { return p.small.layout(gtx, p, f.Frame) },
				button(&u.go_, draw.ButtonStyle{Label: text, Name: "Go to the picture: " + text}),
				button(&u.noFrame, draw.ButtonStyle{Icon: draw.IconClose, Name: "Take the picture out", Tip: "Take the picture out"}))
		})
	}
	if f.Measure != "" {
		where := named(f.Measure, f.Position)
		n := words.Told(f.Unit, p.host.Settings().Imperial).Of(f.Measure, f.Position)
		add(2, func(gtx layout.Context) layout.Dimensions {
			return draw.Row(gtx, draw.Gap,
				button(&u.measure, draw.ButtonStyle{Label: where + ": " + n.WithInterval(f.Value, f.Low95, f.High95), Name: "Measure: " + where, Tip: "Choose another measure"}),
				button(&u.noMeasure, draw.ButtonStyle{Icon: draw.IconClose, Name: "Take the measure out", Tip: "Take the measure out"}))
		})
	}
	add(2, func(gtx layout.Context) layout.Dimensions {
		label := "This frame"
		if f.Frame.Clip != "" {
			label = "This frame instead"
		}
		parts := []layout.Widget{button(&u.frame, draw.ButtonStyle{Label: label, Icon: draw.IconPicture,
			Tip: "The frame on the active stage, with its drawings, stands beside this on the sheet", Keys: p.host.Shortcut("frame of finding")})}
		if f.Measure == "" {
			parts = append(parts, button(&u.measure, draw.ButtonStyle{Label: "A measure …", Name: "Choose a measure", Tip: "The number this rests on"}))
		}
		return draw.Row(gtx, draw.Gap, append(parts, drop)...)
	})
	if u.choosing {
		p.addChoices(u, add, quiet)
	}
}

// addChoices offers the measures.
func (p *Room) addChoices(u *subject, add func(unit.Dp, layout.Widget), quiet func(unit.Dp, string)) {
	th := p.host.Theme()
	add(6, func(gtx layout.Context) layout.Dimensions {
		u.filter.Submit = true
		return th.Field(gtx, &u.filter, draw.FieldStyle{Name: "Which measure", Hint: "Type a part of its name, such as hips or top"})
	})
	found := p.matching(u.filter.Text())
	if u.choices == nil {
		u.choices = make(map[string]*draw.Button)
	}
	for i := range min(len(found), mostChoices) {
		m := &found[i]
		k := sheet.Key(m.Name, m.Position)
		if u.choices[k] == nil {
			u.choices[k] = new(draw.Button)
		}
		name := words.Sentence(named(m.Name, m.Position))
		number := words.Told(m.Unit, p.host.Settings().Imperial).Of(m.Name, m.Position).WithInterval(m.Value, m.Low95, m.High95)
		add(2, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, u.choices[k], draw.ButtonStyle{Label: name + ": " + number, Kind: draw.Quiet, Compact: true})
		})
	}
	switch n := len(found) - mostChoices; {
	case len(found) == 0 && u.filter.Len() > 0:
		quiet(4, "No measure of this swing is called so.")
	case len(found) == 0:
		quiet(4, "Nothing is measured yet: mark the swing first.")
	case n > 0:
		quiet(4, "And "+words.Count(n, "other", "others")+": type to find them.")
	}
}

// takeFrame shows the finding that was written last by the frame on the active stage.
func (p *Room) takeFrame() {
	at, ok := p.here()
	sw := p.host.Session().Bench.Swing()
	switch {
	case !ok:
		p.host.Tell("No clip is open on the stage: there is no frame to take.")
	case p.draft != nil:
		p.draft.finding.Frame = at
	case len(sw.Findings) == 0:
		p.host.Tell("There is no finding yet that a frame could show: write one first.")
	default:
		f := sw.Findings[len(sw.Findings)-1]
		for i := range sw.Findings {
			if r := p.taken[sw.Findings[i].ID]; r != nil && p.writing == &r.field {
				f = sw.Findings[i]
			}
		}
		f.Frame = at
		kit.Edit(p.host, annotations.SetFinding{Swing: sw.ID, Finding: f})
		p.host.Tell(bench.Note("“" + shortened(f.Text) + "” is shown by " + frameWords(sw, at) + "."))
	}
}

// named names a measure, or a view, with a key position, "" for none.
func named(what string, position geometry.PositionName) string {
	if position == "" {
		return what
	}
	return what + ", " + string(position)
}

// shortened is the beginning of a text.
func shortened(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + " …"
	}
	return s
}
