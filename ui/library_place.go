package ui

import (
	"path/filepath"
	"strings"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// updateLibraryPlace moves the library to the folder that was written, and opens
// the target ranges.
func (a *App) updateLibraryPlace(gtx layout.Context) {
	p := &a.preferences
	if at := a.shelf.Folder(); p.libraryIs != at && !p.moving {
		p.libraryIs = at
		p.library.SetText(at)
	}
	entered := p.library.Entered(gtx)
	if (p.move.Clicked(gtx) || entered) && !p.moving {
		a.moveLibrary(strings.TrimSpace(p.library.Text()))
	}
	if p.ranges.Clicked(gtx) {
		p.open = false
		a.Run("ranges")
	}
}

// moveLibrary moves the whole library to another folder and remembers where.
func (a *App) moveLibrary(to string) {
	p := &a.preferences
	switch {
	case !filepath.IsAbs(to):
		a.notices.Alert("Write the whole path of the new folder of the library, beginning with /.")
		return
	case filepath.Clean(to) == filepath.Clean(a.shelf.Folder()):
		return
	}
	p.moving = true
	a.shelf.Move(to, func(err error) {
		p.moving = false
		p.libraryIs = ""
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		a.settings.LibraryFolder = to
		a.KeepSettings()
		a.notices.Tell(bench.Note("The library is now in " + to + "."))
	})
}

func (a *App) layoutLibraryPlace(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.preferences
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(6)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Field(gtx, &p.library, draw.FieldStyle{Label: "Folder of the library", Disabled: p.moving})
	})
	if text := strings.TrimSpace(p.library.Text()); p.moving || text != a.shelf.Folder() {
		label := "Move the library there"
		if p.moving {
			label = "Moving …"
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.move, draw.ButtonStyle{Label: label, Disabled: p.moving})
		})
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim,
			"It holds the index, copies of your lessons, target ranges, drills and backups. Lessons and clips stay where they are.")
	})
	return col.Done()
}
