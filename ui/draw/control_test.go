package draw_test

import (
	"image"
	"testing"
	"time"

	"gioui.org/io/key"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"github.com/stretchr/testify/assert"

	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// panel is a set of controls with what they told.
type panel struct {
	plain, off, toggle draw.Button
	seg                draw.Segmented
	field              draw.Field
	clicks, offClicks  int
	on                 bool
	choice             int
}

func (p *panel) layout(gtx layout.Context, th *draw.Theme) {
	for p.plain.Clicked(gtx) {
		p.clicks++
	}
	for p.off.Clicked(gtx.Disabled()) {
		p.offClicks++
	}
	if p.toggle.Clicked(gtx) {
		p.on = !p.on
	}
	if i, ok := p.seg.Update(gtx); ok {
		p.choice = i
	}
	gtx.Constraints.Min = image.Point{}
	y := 10
	for _, w := range []layout.Widget{
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.plain, draw.ButtonStyle{Label: "Measure", Tip: "Solve the swing", Keys: "M"})
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.off, draw.ButtonStyle{Label: "Off", Disabled: true})
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.toggle, draw.ButtonStyle{Icon: draw.IconLink, Name: "Lock", Toggle: true, On: p.on})
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &p.seg, "Position", p.choice, "Address", "Top", "Impact")
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &p.field, draw.FieldStyle{Label: "Stature", Suffix: "cm", Error: "Give a number."})
		},
	} {
		t := op.Offset(image.Pt(10, y)).Push(gtx.Ops)
		g := gtx
		g.Constraints.Max.X -= 20
		y += w(g).Size.Y + 10
		t.Pop()
	}
}

func newPanel(t *testing.T) (*panel, *drawtest.Driver) {
	th := draw.NewFixedTheme(true, 1)
	p := new(panel)
	return p, drawtest.NewDriver(t, 400, 300, func(gtx layout.Context) { p.layout(th.Context(gtx), th) })
}

func TestButtons(t *testing.T) {
	p, d := newPanel(t)
	n, ok := d.Find("Measure")
	assert.True(t, ok)
	assert.Equal(t, semantic.Button, n.Class)
	assert.False(t, n.Disabled)
	assert.GreaterOrEqual(t, n.Bounds.Dy(), 28)
	d.Click("Measure")
	assert.Equal(t, 1, p.clicks)
	n, _ = d.Find("Off")
	assert.True(t, n.Disabled)
	d.Click("Off")
	assert.Zero(t, p.offClicks)

	n, _ = d.Find("Lock")
	assert.Equal(t, semantic.Switch, n.Class)
	assert.False(t, n.Selected)
	d.Click("Lock")
	n, _ = d.Find("Lock")
	assert.True(t, n.Selected)
}

func TestKeysWorkTheControls(t *testing.T) {
	p, d := newPanel(t)
	d.Tab()
	d.Key(key.NameReturn, 0)
	assert.Equal(t, 1, p.clicks)
	d.Tab() // the disabled button is passed over
	d.Key(key.NameSpace, 0)
	assert.True(t, p.on)
	d.Tab()
	d.Key(key.NameRightArrow, 0)
	assert.Equal(t, 1, p.choice)
	d.Key(key.NameRightArrow, 0)
	d.Key(key.NameRightArrow, 0)
	assert.Equal(t, 2, p.choice, "stays at the end")
	d.Key(key.NameLeftArrow, 0)
	assert.Equal(t, 1, p.choice)
}

func TestSegmented(t *testing.T) {
	p, d := newPanel(t)
	d.Click("Impact")
	assert.Equal(t, 2, p.choice)
	n, _ := d.Find("Impact")
	assert.True(t, n.Selected)
	assert.Equal(t, "Position", n.Description)
	n, _ = d.Find("Address")
	assert.False(t, n.Selected)
}

func TestField(t *testing.T) {
	p, d := newPanel(t)
	assert.True(t, d.Shows("Stature"))
	assert.True(t, d.Shows("Give a number."))
	d.Click("Stature")
	d.Send(key.EditEvent{Text: "172"})
	d.Frame()
	assert.Equal(t, "172", p.field.Text())
}

func TestTooltipComesAfterAWhile(t *testing.T) {
	_, d := newPanel(t)
	d.Hover("Measure")
	assert.False(t, d.Shows("Solve the swing"))
	d.Wait(300 * time.Millisecond)
	assert.False(t, d.Shows("Solve the swing"))
	d.Wait(400 * time.Millisecond)
	assert.True(t, d.Shows("Solve the swing"))
	d.Hover("Lock")
	d.Frame()
	assert.False(t, d.Shows("Solve the swing"))
}

func TestVerdictWords(t *testing.T) {
	for v := draw.Within; v <= draw.CantTell; v++ {
		assert.Equal(t, v, draw.ParseVerdict(v.String()))
	}
	assert.Equal(t, draw.NoVerdict, draw.ParseVerdict(""))
}
