// Package overlay lays one of two compared swings over the other, half
// transparent, aligned at feet and ball.
package overlay

import (
	"fmt"
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/compare/laid"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
)

// Overlay is whether the other swing's picture lies over this one's, and how
// strongly it is seen. It belongs to the window's goroutine.
type Overlay struct {
	host kit.Host
	state
}

// state is what is forgotten with the comparison.
type state struct {
	on    bool
	of    *bench.Comparison // that it is on for
	share widget.Float      // of the other picture

	from    source
	aligned laid.Aligned
	why     string
}

// source is what two pictures were aligned from.
type source struct {
	this, other *annotations.Lesson
	mine, their any // what was fitted
	swing       string
	clips       [bench.NumStages]string
}

const (
	step  = 0.1 // of a key
	width = unit.Sp(520)
	high  = unit.Sp(28)
)

// New returns the overlay of a window; nothing lies over anything yet.
func New(host kit.Host) *Overlay { return &Overlay{host: host} }

// Commands are those of laying one swing over the other.
func (o *Overlay) Commands() []kit.Command {
	blend := func(by float32) func() {
		return func() {
			o.share.Value = float32(math.Round(float64(min(max(o.share.Value+by, 0), 1))/step) * step)
			o.host.Tell(bench.Note(o.percent()))
		}
	}
	return []kit.Command{
		{ID: "lay over", Group: "Lesson", After: "compared view", Help: "Comparing: lay one over the other, or not",
			Keys: kit.WithMod(key.ModShift, "O"), Do: o.toggle},
		{ID: "less of the other", Group: "Lesson", After: "lay over", Hidden: true, Keys: kit.On(","), Do: blend(-step), Enabled: o.On},
		{ID: "more of the other", Group: "Lesson", After: "less of the other", Help: "Laid over: more of the other; less with ,", Keys: kit.On("."), Do: blend(step), Enabled: o.On},
	}
}

func (o *Overlay) percent() string {
	return fmt.Sprintf("The other swing is seen at %.0f %%.", 100*o.share.Value)
}

func (o *Overlay) toggle() {
	s := o.host.Session()
	if s.Comparing == nil {
		if o.host.Run("compare"); s.Comparing == nil {
			return // it is still to be chosen
		}
	}
	if o.End() {
		return
	}
	o.state = state{on: true, of: s.Comparing, share: widget.Float{Value: 0.5}}
	s.Comparing.Activate(0)
	if o.align(); o.why != "" {
		o.host.Tell(bench.Note(o.why))
	}
}

// End puts the pictures side by side again, and reports whether they were not.
func (o *Overlay) End() bool {
	was := o.On()
	o.state = state{}
	return was
}

// On reports whether the coach asked for it: it may be that the pictures can't be
// aligned.
func (o *Overlay) On() bool {
	s := o.host.Session()
	return o.on && s != nil && s.Comparing != nil && s.Comparing == o.of
}

// Laid returns how the other picture lies over this one, from its upright pixels to
// this one's, and how strongly it is seen, from 0 to 1. ok is false while the
// pictures stand side by side.
func (o *Overlay) Laid() (over geometry.Similarity, share float64, ok bool) {
	if !o.On() {
		return geometry.Similarity{}, 0, false
	}
	o.align()
	return o.aligned.Similarity, float64(o.share.Value), o.why == ""
}

// Words says how the pictures are aligned, or what is wanting; "" while they are
// to stand side by side.
func (o *Overlay) Words() string {
	if !o.On() {
		return ""
	}
	if o.align(); o.why != "" {
		return o.why
	}
	return o.aligned.Words(o.host.Settings().Imperial)
}

// align brings the alignment into line with what is shown and known.
func (o *Overlay) align() {
	s := o.host.Session()
	c, other := s.Comparing, s.Other
	from := source{this: s.Bench.Lesson(), other: other.Lesson, mine: s.Result.Sheet, their: other.Result,
		swing: s.Bench.Swing().ID, clips: [bench.NumStages]string{c.Stages[0].Clip, c.Stages[1].Clip}}
	if from == o.from {
		return
	}
	o.from = from
	for i := range c.Stages {
		if from.clips[i] == "" {
			o.aligned, o.why = laid.Aligned{}, fmt.Sprintf("To lay one swing over the other, both must be filmed %s.", c.View())
			return
		}
	}
	this := laid.Side{Lesson: from.this, Swing: from.swing, Clip: from.clips[0]}
	that := laid.Side{Lesson: from.other, Swing: other.Swing().ID, Clip: from.clips[1]}
	if l := s.Result.Lesson; l != nil {
		this.Seen = seenAtAddress(s.Result.Seen, l.Swing(from.swing), from.clips[0])
	}
	if r := other.Result; r != nil && r.Solution != nil && !r.Mistake().WithholdsAll() {
		that.Seen = seenAtAddress(explain.See(r.Solution, &r.Problem), other.Swing(), from.clips[1])
	}
	o.aligned, o.why = laid.Align(&this, &that)
}

// seenAtAddress is what a fit sees in a clip at address; sw is nil where the swing
// was not fitted.
func seenAtAddress(all [][]explain.Seen, sw *annotations.Swing, clip string) explain.Seen {
	if sw == nil {
		return explain.Seen{}
	}
	c, p := sw.ClipIndex(clip), sw.PositionIndex(geometry.Address)
	if c < 0 || p < 0 || c >= len(all) || p >= len(all[c]) {
		return explain.Seen{}
	}
	return all[c][p]
}

// Layout draws the slider between the two swings at the top of a picture of the
// given size, for passing notices are shown at its foot.
func (o *Overlay) Layout(gtx layout.Context, size image.Point) {
	if _, _, ok := o.Laid(); !ok {
		return
	}
	th := o.host.Theme()
	w, h := min(gtx.Sp(width), size.X-2*gtx.Dp(draw.Pad)), gtx.Sp(high)
	defer op.Offset(image.Pt((size.X-w)/2, gtx.Dp(10))).Push(gtx.Ops).Pop()
	defer clip.Rect(image.Rect(0, 0, w, h)).Push(gtx.Ops).Pop()
	semantic.LabelOp("How much of the other swing is seen").Add(gtx.Ops)
	semantic.DescriptionOp(o.percent()).Add(gtx.Ops)
	draw.RoundRect(gtx.Ops, image.Rect(0, 0, w, h), gtx.Dp(draw.Radius), th.Plate)
	pad, mid := float32(gtx.Dp(draw.Pad)), float32(h)/2
	left := th.TextAt(gtx, f32.Pt(pad, mid), 0, 0.5, draw.Small, font.Medium, th.PlateText, "this swing")
	right := th.TextAt(gtx, f32.Pt(float32(w)-pad, mid), 1, 0.5, draw.Small, font.Medium, th.PlateText, "the other")
	track := image.Rect(left.Max.X+gtx.Dp(10), 0, right.Min.X-gtx.Dp(10), h)
	if track.Dx() < gtx.Dp(40) {
		return
	}
	kit.At(gtx, track, func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints = layout.Exact(track.Size())
		d := o.share.Layout(gtx, layout.Horizontal, 0)
		area := clip.Rect(image.Rectangle{Max: track.Size()}).Push(gtx.Ops)
		pointer.CursorColResize.Add(gtx.Ops)
		area.Pop()
		thick, r := float32(gtx.Dp(2)), float32(gtx.Dp(7))
		x := r + o.share.Value*(float32(track.Dx())-2*r)
		accent := draw.DarkPalette().Accent
		draw.Line(gtx.Ops, f32.Pt(r, mid), f32.Pt(float32(track.Dx())-r, mid), thick, draw.Alpha(th.PlateText, 0.6))
		draw.Line(gtx.Ops, f32.Pt(r, mid), f32.Pt(x, mid), 2*thick, accent)
		draw.Circle(gtx.Ops, f32.Pt(x, mid), r, accent)
		return d
	})
}

// Update takes up what the pointer did to the slider.
func (o *Overlay) Update(gtx layout.Context) {
	if o.On() && o.share.Update(gtx) {
		gtx.Execute(op.InvalidateCmd{})
	}
}
