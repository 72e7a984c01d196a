package findings

import (
	"os"
	"path/filepath"
	"strings"

	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations/place"
	"turngauge/ui/choose"
	"turngauge/ui/desktop"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/takehome"
)

// mostLogoBytes is how large a logo's file may be.
const mostLogoBytes = 8 << 20

// academy is what the settings say of where the coach teaches.
func (p *Room) academy() takehome.Academy {
	s := p.host.Settings()
	a := takehome.Academy{Name: s.AcademyName, Address: s.AcademyAddress}
	if s.AcademyLogo != "" {
		data, err := place.Read(s.AcademyLogo, mostLogoBytes)
		if err != nil {
			p.host.Alert("The academy's logo can't be read: " + err.Error() + ". The sheet is written without it; choose another one in the preferences.")
		}
		a.Logo = data
	}
	return a
}

// handoutFolder is where what the student takes home is written; the coach's own
// folder is remembered.
func (p *Room) handoutFolder() string {
	h, s := &p.handout, p.host.Settings()
	folder := ""
	if h.elsewhere {
		folder = strings.TrimSpace(h.folder.Text())
	}
	if folder != s.HandoutFolder {
		s.HandoutFolder = folder
		p.host.KeepSettings()
	}
	if folder == "" {
		h.elsewhere = false
		return filepath.Dir(p.host.Session().Path)
	}
	return folder
}

// askFolder asks for the folder that is written to.
func (p *Room) askFolder() {
	dir := strings.TrimSpace(p.handout.folder.Text())
	if !place.IsFolder(dir) {
		dir = filepath.Dir(p.host.Session().Path)
	}
	p.host.Ask(kit.Files{Title: "Where is what the student takes home to be written?", Folder: true, Dir: dir}, func(paths []string) {
		if len(paths) > 0 {
			p.handout.folder.SetText(paths[0])
		}
	})
}

// recallFolder fills in the folder that was written to last, else the one for
// pictures.
func (p *Room) recallFolder() {
	h := &p.handout
	last := p.host.Settings().HandoutFolder
	h.elsewhere = last != ""
	if last == "" {
		last = choose.Pictures()
	}
	h.folder.SingleLine = true
	h.folder.SetText(last)
}

// updateMade opens, shows or copies what was made last.
func (p *Room) updateMade(gtx layout.Context) {
	h := &p.handout
	if h.made == "" {
		return
	}
	if h.look.Clicked(gtx) {
		p.openFile(h.made)
	}
	if h.show.Clicked(gtx) {
		p.openFile(filepath.Dir(h.made))
	}
	if h.copy.Clicked(gtx) {
		path := strings.TrimSuffix(h.made, ".pdf") + ".png"
		p.host.Go("Copying the sheet's picture", func() {
			data, err := os.ReadFile(path)
			if err == nil {
				err = p.doors.CopyPNG(data)
			}
			p.host.Post(func() {
				if err != nil {
					p.host.Alert("The picture of the sheet can't be copied: " + err.Error() + ". It lies at " + path + ".")
					return
				}
				p.host.Tell("The sheet's first page is copied as a picture: paste it into a message.")
			})
		}, nil)
	}
}

// openFile has the desktop open a file or a folder.
func (p *Room) openFile(path string) {
	if err := desktop.Open(path); err != nil {
		p.host.Alert("This can't be opened here: " + err.Error() + ". It lies at " + path + ".")
	}
}

// addMade offers what can be done with what was made last.
func (p *Room) addMade(add func(unit.Dp, layout.Widget), quiet func(unit.Dp, string)) {
	th, h := p.host.Theme(), &p.handout
	if h.made == "" {
		return
	}
	button := func(b *draw.Button, label, name string) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, b, draw.ButtonStyle{Label: label, Name: name, Compact: true})
		}
	}
	parts := []layout.Widget{button(&h.copy, "Copy as picture", "Copy the sheet's first page as a picture")}
	if h.opens {
		parts = append([]layout.Widget{
			button(&h.look, "Open it", "Open the take-home sheet"), button(&h.show, "Show in folder", "Show the folder of the take-home sheet"),
		}, parts...)
	}
	add(8, func(gtx layout.Context) layout.Dimensions { return draw.Row(gtx, draw.Gap, parts...) })
	quiet(6, h.made)
}
