package bench

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Comparison is two swings beside each other, both seen from one view: the one
// on the bench on the first stage, another one on the second.
type Comparison struct {
	Show
	swings [NumStages]func() *annotations.Swing
	drag   drag // of a picture
}

// NewComparison compares two swings, locked by key positions. It begins with
// the key position given.
func NewComparison(this, other func() *annotations.Swing, view geometry.View, position geometry.PositionName) *Comparison {
	c := &Comparison{swings: [NumStages]func() *annotations.Swing{this, other}}
	c.Show = Show{
		Position: position, lock: LockByPositions, moved: func() {},
		swingOn: func(stage int) *annotations.Swing { return c.swings[stage]() },
	}
	c.SetView(view)
	return c
}

// SetView chooses the view from which both swings are seen; their films are to
// be opened anew.
func (c *Comparison) SetView(view geometry.View) {
	for i := range c.Stages {
		c.Stages[i] = Stage{View: view}
		if clip := c.swings[i]().ClipOf(view); clip != nil {
			c.Stages[i].Clip, c.Stages[i].Part = clip.ID, clip.Part
			c.Stages[i].Picture = Size{float64(clip.Width), float64(clip.Height)}
		}
	}
	c.Pause()
	c.repeat = repeat{}
	if c.Stages[c.Active].Clip == "" && c.Stages[1-c.Active].Clip != "" {
		c.Active = 1 - c.Active
	}
}

// View is the view from which both swings are seen.
func (c *Comparison) View() geometry.View { return c.Stages[0].View }

// Shows reports whether a swing has a clip from a view.
func (c *Comparison) Shows(stage int, view geometry.View) bool {
	return c.swings[stage]().ClipOf(view) != nil
}

// OpenFilm gives a stage the video of its clip.
func (c *Comparison) OpenFilm(stage int, f Film) {
	c.Stages[stage].Film = f
	c.Stages[stage].Frame = c.Stages[stage].clamp(c.Stages[stage].Frame)
	if n, ok := c.frameOf(stage, c.Position); ok {
		c.Stages[stage].Frame = n
		return
	}
	c.followLock(1 - stage)
}

// Grab takes hold of a stage's picture, Drag moves it and Release lets it go.
func (c *Comparison) Grab(stage int, at ScreenPt) {
	c.Activate(stage)
	c.drag = drag{kind: dragPicture, stage: stage, from: at, port: c.Stages[stage].Port}
}

// Drag moves the picture that Grab took hold of.
func (c *Comparison) Drag(at ScreenPt) {
	if d := c.drag; d.kind == dragPicture {
		st := &c.Stages[d.stage]
		st.Port = d.port.Pan(at.X-d.from.X, at.Y-d.from.Y).Keep(st.Picture)
	}
}

// Release lets the picture go.
func (c *Comparison) Release() { c.drag = drag{} }

// GoToPosition shows a key position on both stages, where it is set.
func (c *Comparison) GoToPosition(name geometry.PositionName) Note {
	if !c.Show.GoToPosition(name) {
		return Note(fmt.Sprintf("%s is set in neither swing.", Title(name)))
	}
	for i := range c.Stages {
		if _, ok := c.frameOf(i, name); !ok {
			return Note(fmt.Sprintf("%s is set in one of the two swings only.", Title(name)))
		}
	}
	return ""
}
