package intake

import (
	"fmt"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/shots"
	"turngauge/ui/choose"
	"turngauge/ui/kit"
)

// AnyFile are the kinds that the window opens by itself.
var AnyFile = []choose.Kind{choose.Clips, choose.Lessons}

// choose asks for a lesson or clips.
func (r *Room) choose() {
	r.host.Ask(kit.Files{Title: "Open a lesson or clips", Kinds: AnyFile, Many: true, Dir: r.doors.ClipFolder()}, r.Open)
}

// Open opens what was dropped, chosen or named on the command line: a
// lesson, or clips for the lesson on the desk or a new one.
func (r *Room) Open(paths []string) {
	var clips []string
	for _, p := range paths {
		if place.IsFolder(p) {
			r.takeFolder(p)
			continue
		}
		if strings.EqualFold(filepath.Ext(p), ".json") {
			r.doors.Lesson(p)
			continue
		}
		switch {
		case strings.EqualFold(filepath.Ext(p), ".zip") && r.doors.Export(p):
		case !choose.Tables.Matches(filepath.Base(p)):
			clips = append(clips, p)
		case !isTable(p):
			r.host.Alert(filepath.Base(p) + " is a text, but no table of shots: a table has a row that names its columns, and numbers under it. Nothing was done with it.")
		case r.host.Session() == nil:
			r.host.Alert(filepath.Base(p) + " is a table of shots: open the lesson it belongs to, then drop it again.")
		default:
			r.doors.Table(p)
		}
	}
	switch {
	case len(clips) == 0:
	case r.host.Session() == nil:
		r.student.Begin(clips)
	default:
		r.takeIn(clips)
	}
}

// isTable reports whether a file of text is a table of shots, or can't be told to be
// none: whoever reads it says why.
func isTable(path string) bool {
	data, err := place.Read(path, annotations.MaxBytes)
	if err != nil {
		return true
	}
	f, err := shots.ReadFile(data)
	if err != nil {
		return false
	}
	for _, c := range f.Guess(false) {
		if c.Reading != "" {
			return true
		}
	}
	// Strange names may be of readings, but words with a comma between are none.
	const mostOfAName = 40
	for _, h := range f.Header {
		if len(h) > mostOfAName {
			return false
		}
	}
	return len(f.Header) > 2
}

// takeFolder opens what a dropped folder holds, or says why not. Reading it may
// take long, on a card or over a network.
func (r *Room) takeFolder(dir string) {
	r.host.Go("Reading the folder "+dir, func() {
		f, err := choose.ReadFolder(dir)
		r.host.Post(func() {
			if err != nil {
				r.host.Alert(fmt.Sprintf("The folder %s can't be read: %v", dir, err))
				return
			}
			r.openFolder(f)
		})
	}, nil)
}

func (r *Room) openFolder(f choose.Folder) {
	name := filepath.Base(f.Dir)
	switch {
	case len(f.Lessons) == 1:
		r.doors.Lesson(f.Lessons[0])
	case len(f.Lessons) > 1:
		r.host.Ask(kit.Files{Title: fmt.Sprintf("%s holds %d lessons: choose one", name, len(f.Lessons)), Kinds: AnyFile, Dir: f.Dir}, r.Open)
	case len(f.Clips) > 0:
		r.Open(f.Clips)
	default:
		r.host.Alert(fmt.Sprintf("There is no clip and no lesson in the folder %s. Folders inside it are not looked into: drop the one that holds them.", f.Dir))
	}
}
