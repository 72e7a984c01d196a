package preferences

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
func (r *Room) updateLibraryPlace(gtx layout.Context) {
	if at := r.shelf.Folder(); r.libraryIs != at && !r.moving {
		r.libraryIs = at
		r.library.SetText(at)
	}
	entered := r.library.Entered(gtx)
	if (r.move.Clicked(gtx) || entered) && !r.moving {
		r.moveLibrary(strings.TrimSpace(r.library.Text()))
	}
	if r.browse.Clicked(gtx) {
		r.host.Ask(kit.Files{Title: "Where is the library to be?", Folder: true, Dir: filepath.Dir(r.shelf.Folder())}, func(paths []string) {
			if len(paths) > 0 {
				r.library.SetText(paths[0])
			}
		})
	}
	if r.ranges.Clicked(gtx) {
		r.Shown = false
		r.host.Run("ranges")
	}
}

// moveLibrary moves the whole library to another folder and remembers where.
func (r *Room) moveLibrary(to string) {
	switch {
	case !filepath.IsAbs(to):
		r.host.Alert("Write the whole path of the new folder of the library, beginning with /.")
		return
	case filepath.Clean(to) == filepath.Clean(r.shelf.Folder()):
		return
	}
	r.moving = true
	r.shelf.Move(to, func(err error) {
		r.moving = false
		r.libraryIs = ""
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		r.host.Settings().LibraryFolder = to
		r.host.KeepSettings()
		r.host.Tell(bench.Note("The library is now in " + to + "."))
	})
}

func (r *Room) layoutLibraryPlace(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(6)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return kit.FolderField(gtx, th, &r.library, &r.browse, draw.FieldStyle{Label: "Folder of the library", Disabled: r.moving})
	})
	if text := strings.TrimSpace(r.library.Text()); r.moving || text != r.shelf.Folder() {
		label := "Move the library there"
		if r.moving {
			label = "Moving …"
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &r.move, draw.ButtonStyle{Label: label, Disabled: r.moving})
		})
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim,
			"It holds the index, copies of your lessons, target ranges, drills and backups. Lessons and clips stay where they are.")
	})
	return col.Done()
}
