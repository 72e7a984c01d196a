package shelf

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/kit"
	"turngauge/ui/shelf/worker"
)

// exportedLessons is a kind of file the dialog looks for.
var exportedLessons = choose.Kind{Name: "Exports and lessons", Extensions: []string{"zip", "json"}}

func (r *Room) askImport() {
	r.host.Ask(kit.Files{Title: "Import lessons: zip files or lesson documents", Kinds: []choose.Kind{exportedLessons}, Many: true}, r.Import)
}

// Import takes zip files and lesson documents into the library. Before target ranges
// are taken with them, or much is written, the coach is asked.
func (r *Room) Import(paths []string) {
	r.host.Tell("Importing …")
	worker.Aside(r.shelf, "Importing", func(ctx context.Context, l *library.Library) ([]library.Announced, error) {
		out := make([]library.Announced, len(paths))
		for i, path := range paths {
			if !isZip(path) {
				continue
			}
			var err error
			if out[i], err = l.AnnounceZip(ctx, path); ctx.Err() != nil {
				return nil, err
			} // what is wrong with it is told when it is to be taken
		}
		return out, nil
	}, func(told []library.Announced, err error) {
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		r.askBeforeImport(paths, told)
	})
}

func isZip(path string) bool { return strings.EqualFold(filepath.Ext(path), ".zip") }

// askBeforeImport asks what an import needs the coach's word for, and imports.
func (r *Room) askBeforeImport(paths []string, told []library.Announced) {
	options := make([]library.ImportOptions, len(paths))
	q := question{
		title:   "What may come in with this import?",
		text:    "Target ranges decide every verdict on a student from the day they are taken, so they come in only where you tick them. The lessons come in whatever you tick.",
		without: "Import the lessons alone", do: "Import, with %d of these %d",
	}
	var agree []func()
	large := false
	for i, a := range told {
		if a.Bytes > library.UnaskedBytes {
			large = true
			q.rows = append(q.rows, consentRow{fmt.Sprintf("Write %.1f GB from %s", float64(a.Bytes)/1e9, filepath.Base(paths[i])), []string{"A small file can unpack to a full disk. Without a tick nothing of it is imported."}})
			agree = append(agree, func() { options[i].Large = true })
		}
		for _, o := range a.Ranges {
			q.rows = append(q.rows, consentRow{fmt.Sprintf("Target ranges for %s (%d)", o.Student, len(o.Ranges)), o.Lines(r.host.Settings().Imperial)})
			agree = append(agree, func() { options[i].RangesOf = append(options[i].RangesOf, o.Student) })
		}
	}
	if large {
		q.text = "Target ranges decide every verdict on a student from the day they are taken, and what is large can fill the disk: both come in only where you tick them."
		q.without = "Import what needs no tick"
	}
	q.then = func(on []bool) {
		for i, yes := range on {
			if yes {
				agree[i]()
			}
		}
		r.importAll(paths, options)
	}
	if len(q.rows) == 0 {
		r.importAll(paths, options)
		return
	}
	r.consent.ask(q)
}

// importAll imports files about which the coach has been asked.
func (r *Room) importAll(paths []string, options []library.ImportOptions) {
	to := filepath.Join(r.dirs.Data, "lessons")
	worker.Aside(r.shelf, "Importing", func(ctx context.Context, l *library.Library) ([]string, error) {
		var said []string
		taken, known := 0, 0
		for i, path := range paths {
			if !isZip(path) {
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
			got, err := l.ImportZip(ctx, path, to, options[i])
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
