package panel

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/widget"

	"turngauge/annotations/place"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// SaveCard asks under which name a still is to be saved.
type SaveCard struct {
	room *Room
	saveState
}

type saveState struct {
	kit.Openable
	card          kit.Modal
	fresh         bool
	name, folder  draw.Field
	place         draw.Segmented
	places        []choose.Place
	problem       string // with the name
	folderProblem string
	taken         string // the path that is taken, once the coach was told
	save, cancel  draw.Button
}

// askStill opens the card with a name made of who, when and what.
func (x *Room) askStill() {
	d := x.host.Session()
	s := &x.save
	s.saveState = saveState{Openable: kit.Opened(), fresh: true}
	s.places = []choose.Place{{Name: "Beside the lesson", Dir: filepath.Dir(d.Path)}}
	if dir := choose.Pictures(); dir != "" {
		s.places = append(s.places, choose.Place{Name: "Pictures", Dir: dir})
	}
	folder := s.places[len(s.places)-1].Dir
	if last := x.host.Settings().StillFolder; last != "" {
		if place.IsFolder(last) {
			folder = last
		}
	}
	s.name.SingleLine, s.folder.SingleLine = true, true
	s.name.Submit, s.folder.Submit = true, true
	s.folder.SetText(folder)
	name := filepath.Base(place.FreeName(filepath.Join(folder, x.stillName())))
	s.name.SetText(name)
	s.name.SetCaret(len([]rune(strings.TrimSuffix(name, ".png"))), 0)
}

// stillName is a file name for what is shown: "Mara Lindqvist 2026-05-02 top
// face-on.png".
func (x *Room) stillName() string {
	b := x.host.Session().Bench
	l := b.Lesson()
	words := []string{l.Student.Name, l.Date}
	if name, ok := b.PositionAt(b.Active); ok {
		words = append(words, string(name))
	} else {
		words = append(words, strings.SplitN(x.caption(b.Active), "  ·  ", 3)[1])
	}
	if len(x.doors.Shown()) == 1 {
		words = append(words, b.Stages[b.Active].View.String())
	}
	return kit.FileName(words...) + ".png"
}

// SaveCard is the card of the room.
func (x *Room) SaveCard() *SaveCard { return &x.save }

// Commands are the room's own.
func (s *SaveCard) Commands() []kit.Command { return nil }

// LessonClosed closes the card.
func (s *SaveCard) LessonClosed() { s.Shown = false }

// Update takes up what was done on the card.
func (s *SaveCard) Update(gtx layout.Context) {
	if s.fresh {
		s.fresh = false
		gtx.Execute(key.FocusCmd{Tag: &s.name.Editor})
	}
	if i, ok := s.place.Update(gtx); ok {
		s.folder.SetText(s.places[i].Dir)
		s.folderProblem, s.taken, s.problem = "", "", ""
	}
	submit := false
	for _, f := range []*draw.Field{&s.name, &s.folder} {
		for {
			e, ok := f.Update(gtx)
			if !ok {
				break
			}
			switch e.(type) {
			case widget.ChangeEvent:
				s.problem, s.folderProblem, s.taken = "", "", ""
			case widget.SubmitEvent:
				submit = true
			}
		}
	}
	if s.cancel.Clicked(gtx) {
		s.Shown = false
		kit.ReleaseKeys(gtx, s.room.host)
		return
	}
	if s.save.Clicked(gtx) || submit {
		s.take()
		if !s.Shown {
			kit.ReleaseKeys(gtx, s.room.host)
		}
	}
}

// path returns where the still is to be saved; what is wrong stands on the card.
func (s *SaveCard) path() (path string, ok bool) {
	folder := strings.TrimSpace(s.folder.Text())
	if home, err := os.UserHomeDir(); err == nil && (folder == "~" || strings.HasPrefix(folder, "~/")) {
		folder = home + folder[1:]
	}
	name := strings.TrimSpace(s.name.Text())
	info, err := os.Stat(folder)
	switch {
	case !filepath.IsAbs(folder):
		s.folderProblem = "A whole path, such as /home/me/Pictures."
	case errors.Is(err, fs.ErrNotExist):
		s.folderProblem = "There is no such folder. Choose another, or make it first."
	case err != nil:
		s.folderProblem = "The folder can't be looked into: " + err.Error() + "."
	case !info.IsDir():
		s.folderProblem = "This is a file, not a folder."
	case name == "" || name == ".png":
		s.problem = "Give it a name."
	case strings.ContainsRune(name, filepath.Separator):
		s.problem = "A name without “/”: the folder stands below."
	default:
		if !strings.EqualFold(filepath.Ext(name), ".png") {
			name += ".png"
		}
		return filepath.Join(folder, name), true
	}
	return "", false
}

// take draws what is shown and saves it. A file that is there already is
// replaced only if the coach says so a second time.
func (s *SaveCard) take() {
	path, ok := s.path()
	if !ok {
		return
	}
	replace := s.taken == path
	if _, err := os.Lstat(path); err == nil && !replace {
		s.taken = path
		s.problem = "A file of this name is there already. Change the name, or replace it."
		return
	}
	s.Shown = false
	host := s.room.host
	host.Settings().StillFolder = filepath.Dir(path)
	host.KeepSettings()
	s.room.drawStill(func(data []byte) (told, problem string) {
		if err := writeStill(path, data, replace); err != nil {
			return "", "The picture can't be saved: " + err.Error() + ". Choose another folder."
		}
		return "Saved as " + path + ".", ""
	})
}

// writeStill writes a file as a whole. Unless it is to be replaced, one that is
// there already is left alone, and is an error.
func writeStill(path string, data []byte, replace bool) error {
	if replace {
		return place.Shared(path, bytes.NewReader(data))
	}
	return place.NewShared(path, bytes.NewReader(data))
}

// Layout draws the card.
func (s *SaveCard) Layout(gtx layout.Context) layout.Dimensions {
	th := s.room.host.Theme()
	return s.card.Layout(gtx, th, "Save the picture", 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &s.name, draw.FieldStyle{Label: "Name", Error: s.problem})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &s.folder, draw.FieldStyle{Label: "Folder", Error: s.folderProblem})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			on, names := -1, make([]string, len(s.places))
			for i, p := range s.places {
				names[i] = p.Name
				if p.Dir == s.folder.Text() {
					on = i
				}
			}
			return th.Segmented(gtx, &s.place, "Folder", on, names...)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, "What the stages show is saved as a PNG file in the clips' own pixels, with the lines, and with who, when and which frame. F shows whole pictures, O one view alone.")
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			label, kind := "Save", draw.Primary
			if s.taken != "" {
				label, kind = "Replace it", draw.Danger
			}
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.cancel, draw.ButtonStyle{Label: "Cancel"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.save, draw.ButtonStyle{Label: label, Kind: kind})
				})
		})
		return col.Done()
	})
}
