package ui

import (
	"image"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// The plan view below the sheet: what it has at least where it is shown, and what is left
// of it where it is folded.
const (
	planLeast  unit.Sp = 170
	planFolded unit.Sp = 34
)

// How the settings say what the coach wants of the plan view.
const (
	planShown = "shown"
	folded    = "folded"
)

// planHeight is the plan view's part of a height. Unless the coach has said otherwise it
// gives the sheet, where that shows in short what is decided, the room to show all of it.
func (a *App) planHeight(gtx layout.Context, height int) (high int, isFolded bool) {
	high = int(planShare * float32(height))
	least, fold := gtx.Sp(planLeast), gtx.Sp(planFolded)
	switch {
	case a.settings.Plan == planShown, a.tour.On():
	case a.settings.Plan == folded:
		high, isFolded = fold, true
	case a.sheet.Wants() > height-high:
		if high = height - a.sheet.Wants(); high < least {
			high, isFolded = fold, true
		}
	}
	a.planFolded = isFolded
	return high, isFolded
}

// layoutFolded stands in the plan view's place.
func (a *App) layoutFolded(gtx layout.Context) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, a.theme.Panel)
	return layout.Inset{Left: draw.Pad, Right: draw.Pad, Top: 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min = image.Point{}
		return kit.EndRow(gtx,
			func(gtx layout.Context) layout.Dimensions {
				return a.theme.Label(gtx, draw.Small, font.Normal, a.theme.Dim, "The golfer from above")
			},
			func(gtx layout.Context) layout.Dimensions {
				return a.commandButton(gtx, "plan view", draw.ButtonStyle{Label: "Show", Name: "Show the golfer from above", Compact: true, Kind: draw.Quiet, Icon: draw.IconUp, TipSide: draw.TipAboveEnd})
			})
	})
}

// planCommand shows the plan view or folds it.
func (a *App) planCommand() kit.Command {
	return kit.Command{ID: "plan view", Group: "Picture", After: "one stage", Help: "Show the golfer from above below the sheet, or fold that away", Keys: kit.WithMod(key.ModCtrl, "B"), Do: func() {
		a.settings.Plan = folded
		if a.planFolded {
			a.settings.Plan = planShown
		}
		a.KeepSettings()
	}}
}
