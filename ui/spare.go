package ui

import (
	"fmt"
	"path/filepath"
	"time"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// spareCard asks which of two versions of a lesson to open: the one at its
// place, or the newer copy that was kept because it could not be saved there.
type spareCard struct {
	open        bool
	path, spare string
	written     time.Time
	take, leave draw.Button
}

// askSpare asks which version to open where there is a newer copy, and reports
// whether it does.
func (a *App) askSpare(path string) bool {
	spare, written, ok := annotations.SpareCopy(path)
	if ok {
		a.spare = spareCard{open: true, path: path, spare: spare, written: written}
	}
	return ok
}

func (a *App) updateSpare(gtx layout.Context) {
	s := &a.spare
	switch {
	case s.take.Clicked(gtx) || kit.EnterPressed(gtx):
		s.open = false
		a.takeSpare()
	case s.leave.Clicked(gtx):
		s.open = false
		a.leaveSpare()
	}
}

// takeSpare opens the copy as the lesson. It is saved at the lesson's place as
// soon as that can be written.
func (a *App) takeSpare() {
	s := &a.spare
	l, warnings, err := annotations.Load(s.spare)
	if err != nil {
		a.notices.Alert(err.Error())
		a.loadLesson(s.path)
		return
	}
	if err := annotations.KeepOlder(s.path, s.spare, s.written); err != nil {
		a.notices.Alert(fmt.Sprintf("The older version could not be put aside, so nothing was opened: %v", err))
		return
	}
	a.startDesk(s.path, l)
	if a.desk == nil {
		return
	}
	a.desk.saver.Save(l)
	for _, w := range warnings {
		a.notices.Tell(bench.Note(w))
	}
}

// leaveSpare opens the lesson as it is and puts the copy where the next saving
// does not remove it.
func (a *App) leaveSpare() {
	s := &a.spare
	kept, err := annotations.KeepNewer(s.spare, s.written)
	if err != nil {
		a.notices.Alert(fmt.Sprintf("The newer copy could not be put aside, so nothing was opened: %v", err))
		return
	}
	a.notices.Tell(bench.Note("The newer copy stays at " + kept + "."))
	a.loadLesson(s.path)
}

func (a *App) layoutSpare(gtx layout.Context) {
	th, s := a.theme, &a.spare
	a.card.Layout(gtx, a.theme, "Which version of this lesson?", 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, fmt.Sprintf(
				"%s could not be saved at its place the last time. A copy with the newer work was kept on %s.",
				s.path, s.written.Format("2 January 2006 at 15:04")))
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, "Neither is lost: the one you don't open stays in "+filepath.Dir(s.spare)+".")
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.leave, draw.ButtonStyle{Label: "Open the lesson as it is"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.take, draw.ButtonStyle{Label: "Open the newer copy", Kind: draw.Primary})
				})
		})
		return col.Done()
	})
}
