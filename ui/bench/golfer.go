package bench

import "turngauge/annotations"

// ArmGolfer makes the next press on the active stage point at the golfer, where others
// stand beside him.
func (b *Bench) ArmGolfer() Note {
	if b.Stages[b.Active].Film == nil {
		return "Open a clip first: drop it on the window or press Ctrl+O."
	}
	b.golferArmed = true
	b.hasSelected, b.hasArmed, b.stickArmed = false, false, false
	return "Click on the golfer: marks are proposed on whoever stands there."
}

// pointAtGolfer keeps where the golfer stands, for the whole clip: its camera stands
// still.
func (b *Bench) pointAtGolfer(stage int, at PicturePt) Note {
	b.golferArmed = false
	b.drag = drag{}
	if err := b.editor.Apply(annotations.SetGolferAt{Swing: b.swing, Clip: b.Stages[stage].Clip, At: b.inside(stage, at)}); err != nil {
		return Note(err.Error())
	}
	return "Marks are proposed on the golfer who stands there. Delete what was proposed on another, and propose again with A."
}

// GolferArmed reports whether the next press points at the golfer.
func (b *Bench) GolferArmed() bool { return b.golferArmed }
