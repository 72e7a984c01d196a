package takehome

import (
	"context"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/takehome/sight"
)

// pictures takes the pictures of a finding: the frame that the coach chose or else the
// one that shows its measure best, and the same of the lesson before.
func (b *builder) pictures(ctx context.Context, f *annotations.Finding, out *Finding) (err error) {
	if f.Frame.Clip == "" {
		if f.Measure == "" {
			return nil
		}
		if out.Picture, err = b.album.picture(ctx, b.now, f.Measure, f.Position); err != nil || b.before == nil || b.earlier == nil {
			return err
		}
		out.Before, err = b.earlier.picture(ctx, b.before, f.Measure, f.Position)
		return err
	}
	clip, name := b.now.Swing().Clip(f.Frame.Clip), f.Measure
	if clip == nil {
		return nil
	}
	if name == "" {
		name = "what the words say"
	}
	position, _ := b.now.Swing().PositionAt(clip.ID, f.Frame.Index)
	how := sight.Of(f, clip.View, position)
	if out.Picture, err = b.album.frame(ctx, b.now, how, clip, f.Frame, position, name, nil); err != nil {
		return err
	}
	// What a measure is at another key position is no picture of before.
	if b.before == nil || b.earlier == nil || position == "" || f.Measure != "" && position != toldAt(f.Position) {
		return nil
	}
	if c, _, ok := how.In(b.before.Swing(), position); ok && c.View == clip.View {
		out.Before, err = b.earlier.show(ctx, b.before, how, position, name, nil)
	}
	return err
}

// drawn is what is drawn on a finding's own frame, in the clip: the lines of its
// measure, where they stand there, and the coach's own.
func (s *side) drawn(f *annotations.Finding) *explain.Figure {
	clip := s.Swing().Clip(f.Frame.Clip)
	position, _ := s.Swing().PositionAt(clip.ID, f.Frame.Index)
	how := sight.Of(f, clip.View, position)
	return how.Figure(s.frame(clip.ID, f.Frame, position), s.address(clip.ID, position))
}

// whereSeen says in which view and at which key position, "" for none, a picture is.
func whereSeen(v geometry.View, position geometry.PositionName) string {
	if position == "" {
		return viewWords(v)
	}
	return viewWords(v) + ", at " + at(position)
}

// tale is what the clip tells of a finding.
func (b *builder) tale(f *annotations.Finding) *tale {
	t := &tale{measure: f.Measure, text: oneLine(f.Text)}
	if f.Measure != "" {
		t.numbers = []string{b.told(f.Measure, f.Position, f.Unit, f.Value, f.Low95, f.High95)}
	}
	if f.Frame.Clip != "" {
		t.finding = f
	}
	return t
}

// framed are the findings that the clip tells on frames of their own.
func (b *builder) framed() (out []*tale) {
	if b.other != nil {
		return nil
	}
	list := b.now.findings()
	for i := range list {
		if list[i].Frame.Clip != "" {
			out = append(out, b.tale(&list[i]))
		}
	}
	return out
}

// halt has the clip stand still at the frame of a finding: at the stop that shows it, or
// at one of its own, where the other panel is at that moment.
func halt(stops []stop, panels []panel, base int, x *tale, locks []bench.Lock, moving func(t float64) moment) []stop {
	k := slices.IndexFunc(panels, func(p panel) bool { return p.clip.ID == x.finding.Frame.Clip })
	if k < 0 {
		return stops
	}
	src := panels[k].reader.Source()
	n := min(max(frameNumber(src, x.finding.Frame), 0), src.Frames()-1)
	for i := range stops {
		if stops[i].frames[k] == n {
			stops[i].told = append(stops[i].told, x)
			return stops
		}
	}
	at := src.Seconds(n)
	if k != base {
		at = locks[k].Map(1, at)
	}
	frames := moving(at).frames
	frames[k] = n
	st := stop{frames: frames, told: []*tale{x}}
	for i := range panels {
		st.seconds = append(st.seconds, panels[i].reader.Source().Seconds(frames[i]))
	}
	st.seconds[base] = at
	return append(stops, st)
}
