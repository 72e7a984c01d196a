package shelf

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/shelf/worker"
)

// exporting is an export that is being written.
type exporting struct {
	to          string
	done, total atomic.Int64
	stop        context.CancelFunc
	cancel      draw.Button
}

// exportLessons writes lessons, or all of a student's, to a zip file in the
// coach's export folder, with their clips.
func (r *Room) exportLessons(name string, keys []int64, student int64) {
	p := &r.panel
	if p.exporting != nil {
		r.host.Tell("An export is being written: wait for it, or cancel it.")
		return
	}
	folder := r.dirs.Exports()
	x := &exporting{to: place.FreeName(filepath.Join(folder, library.ExportName(name)+".zip"))}
	p.exporting, p.exported = x, ""
	last := time.Now()
	progress := func(done, total int64) {
		x.done.Store(done)
		x.total.Store(total)
		if time.Since(last) > 100*time.Millisecond {
			last = time.Now()
			r.host.Post(func() {})
		}
	}
	x.stop = worker.Aside(r.shelf, "Exporting", func(ctx context.Context, l *library.Library) (library.Exported, error) {
		if err := place.Folder(folder); err != nil {
			return library.Exported{}, fmt.Errorf("the folder for exports can't be made: %w", annotations.Explain(err))
		}
		if student != 0 {
			list, err := l.Lessons(ctx, library.Query{Student: student})
			if err != nil {
				return library.Exported{}, err
			}
			for _, e := range list {
				keys = append(keys, e.Key)
			}
		}
		return l.Export(ctx, x.to, keys, library.ExportOptions{Clips: true, Progress: progress})
	}, func(out library.Exported, err error) {
		p.exporting = nil
		switch {
		case errors.Is(err, context.Canceled):
			r.host.Tell("The export was cancelled; nothing was written.")
		case err != nil:
			r.host.Alert(err.Error())
		default:
			p.exported = fmt.Sprintf("Exported, %s with %s: %s", words.Count(out.Lessons, "lesson", "lessons"), words.Count(out.Clips, "clip", "clips"), x.to)
			p.deleted = nil
			if len(out.Notes) > 0 {
				r.host.Alert("The export is written, but " + strings.Join(out.Notes, "; ") + ".")
			}
		}
	})
}

func (r *Room) updateExporting(gtx layout.Context) {
	p := &r.panel
	if p.exporting != nil && p.exporting.cancel.Clicked(gtx) {
		p.exporting.stop()
	}
	if p.exportSeen.Clicked(gtx) {
		p.exported = ""
	}
}

// exportedLessons is a kind of file the dialog looks for.
var exportedLessons = choose.Kind{Name: "Exports and lessons", Extensions: []string{"zip", "json"}}

func (r *Room) askImport() {
	r.host.Ask(kit.Files{Title: "Import lessons: zip files or lesson documents", Kinds: []choose.Kind{exportedLessons}, Many: true}, r.Import)
}

// Import takes zip files and lesson documents into the library.
func (r *Room) Import(paths []string) {
	to := filepath.Join(r.dirs.Data, "lessons")
	r.host.Tell("Importing …")
	worker.Aside(r.shelf, "Importing", func(ctx context.Context, l *library.Library) ([]string, error) {
		var said []string
		taken, known := 0, 0
		for _, path := range paths {
			if !strings.EqualFold(filepath.Ext(path), ".zip") {
				lesson, _, err := annotations.Load(path)
				if err != nil {
					said = append(said, err.Error())
					continue
				}
				if _, err := l.Record(ctx, path, lesson, false); err != nil {
					return said, err
				}
				taken++
				continue
			}
			got, err := l.ImportZip(ctx, path, to)
			for _, i := range got.Lessons {
				if i.Known {
					known++
					continue
				}
				taken++
				for _, n := range i.Notes {
					said = append(said, i.Title+": "+n+".")
				}
				if i.Changed {
					said = append(said, i.Title+" is here already with other content: both are kept.")
				}
			}
			said = append(said, got.Notes...)
			if err != nil {
				said = append(said, err.Error())
			}
		}
		first := words.Count(taken, "lesson was", "lessons were") + " imported."
		if known > 0 {
			first += " " + words.Count(known, "lesson was", "lessons were") + " here already."
		}
		return append([]string{first}, said...), nil
	}, func(said []string, err error) {
		if err != nil {
			r.host.Alert(err.Error())
		}
		if len(said) == 1 {
			r.host.Tell(bench.Note(said[0]))
		} else if len(said) > 0 {
			r.host.Alert(strings.Join(said, " "))
		}
		r.shelf.Remeasure()
		r.shelf.Changed()
	})
}
