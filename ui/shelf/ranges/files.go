package ranges

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/shelf/worker"
)

// earlier puts the version before into the fields; Done makes it the
// newest.
func (room *Room) earlier() {
	c := &room.cardState
	student, of, version := c.student, c.of, c.versions[c.of]
	if of == 0 {
		student = 0
	}
	worker.Ask(room.shelf, "the earlier target ranges can't be read", func(ctx context.Context, l *library.Library) ([]library.TargetSet, error) {
		return l.TargetSets(ctx, student)
	}, func(sets []library.TargetSet, err error) {
		if err != nil {
			room.host.Alert(err.Error())
			return
		}
		for _, s := range sets {
			if s.Version < version && c.of == of {
				c.own[of], c.versions[of] = s.Ranges, s.Version
				room.fill()
				room.host.Tell(bench.Note(fmt.Sprintf("Version %d of %s is in the fields; Done keeps it as the newest.", s.Version, s.Made.Format("2 January 2006, 15:04"))))
				return
			}
		}
		room.host.Tell("There is no version before this one.")
	})
}

func (room *Room) writeOut() {
	set, ok := room.read()
	if !ok {
		return
	}
	name := "target ranges"
	if room.of == 1 {
		name += " for " + room.name
	}
	data, err := json.MarshalIndent(set, "", "  ")
	path := place.FreeName(filepath.Join(room.dirs.Exports(), library.ExportName(name)+".json"))
	if err == nil {
		err = place.Folder(filepath.Dir(path))
	}
	if err == nil {
		err = place.NewShared(path, bytes.NewReader(append(data, '\n')))
	}
	if err != nil {
		room.host.Alert("The target ranges can't be exported: " + annotations.Explain(err).Error())
		return
	}
	room.host.Tell(bench.Note("The target ranges are in " + path + "."))
}

// take puts the ranges of a file into the fields.
func (room *Room) takeIn(path string) {
	c := &room.cardState
	data, err := place.Read(path, annotations.MaxBytes)
	var set annotations.Targets
	if err == nil {
		err = set.UnmarshalJSON(data)
	}
	if err != nil {
		room.host.Alert(fmt.Sprintf("%s can't be used: %v", filepath.Base(path), err))
		return
	}
	c.own[c.of] = library.Override(c.own[c.of], set)
	room.fill()
	room.host.Tell(bench.Note(words.Count(len(set), "range was", "ranges were") + " taken in; Done keeps them."))
}
