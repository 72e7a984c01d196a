package ui

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
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
func (a *App) exportLessons(name string, keys []int64, student int64) {
	p := &a.library
	if p.exporting != nil {
		a.notices.Tell("An export is being written: wait for it, or cancel it.")
		return
	}
	folder := a.dirs.Exports()
	x := &exporting{to: place.FreeName(filepath.Join(folder, library.ExportName(name)+".zip"))}
	p.exporting, p.exported = x, ""
	last := time.Now()
	progress := func(done, total int64) {
		x.done.Store(done)
		x.total.Store(total)
		if time.Since(last) > 100*time.Millisecond {
			last = time.Now()
			a.work.Post(func() {})
		}
	}
	x.stop = aside(a, "Exporting", func(ctx context.Context, l *library.Library) (library.Exported, error) {
		if err := os.MkdirAll(folder, 0o755); err != nil {
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
			a.notices.Tell("The export was cancelled; nothing was written.")
		case err != nil:
			a.notices.Alert(err.Error())
		default:
			p.exported = fmt.Sprintf("Exported, %s with %s: %s", words.Count(out.Lessons, "lesson", "lessons"), words.Count(out.Clips, "clip", "clips"), x.to)
			p.deleted = nil
			if len(out.Notes) > 0 {
				a.notices.Alert("The export is written, but " + strings.Join(out.Notes, "; ") + ".")
			}
		}
	})
}

func (a *App) updateExporting(gtx layout.Context) {
	p := &a.library
	if p.exporting != nil && p.exporting.cancel.Clicked(gtx) {
		p.exporting.stop()
	}
	if p.exportSeen.Clicked(gtx) {
		p.exported = ""
	}
}

// exported is a kind of file the dialog looks for.
var exportedLessons = choose.Kind{Name: "Exports and lessons", Extensions: []string{"zip", "json"}}

func (a *App) askImport() {
	a.Ask(kit.Files{Title: "Import lessons: zip files or lesson documents", Kinds: []choose.Kind{exportedLessons}, Many: true}, a.importFiles)
}

// importFiles takes zip files and lesson documents into the library.
func (a *App) importFiles(paths []string) {
	to := filepath.Join(a.dirs.Data, "lessons")
	a.notices.Tell("Importing …")
	aside(a, "Importing", func(ctx context.Context, l *library.Library) ([]string, error) {
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
			a.notices.Alert(err.Error())
		}
		if len(said) == 1 {
			a.notices.Tell(bench.Note(said[0]))
		} else if len(said) > 0 {
			a.notices.Alert(strings.Join(said, " "))
		}
		a.worker.Remeasure()
		a.libraryChanged()
	})
}

// lostCard asks what to do about a lesson whose document is not at its place.
type lostCard struct {
	open               bool
	entry              library.Entry
	find, copy, cancel draw.Button
}

func (a *App) updateLost(gtx layout.Context) {
	c := &a.lost
	switch {
	case c.cancel.Clicked(gtx):
		c.open = false
	case c.find.Clicked(gtx):
		c.open = false
		a.Ask(kit.Files{Title: "Where is the document of this lesson?", Kinds: []choose.Kind{choose.Lessons}, Dir: nearestFolder(c.entry.Path)}, a.openPaths)
	case c.copy.Clicked(gtx):
		c.open = false
		a.restoreCopy(c.entry)
	}
}

// nearestFolder is the folder of a path, or the nearest above it that is there.
func nearestFolder(path string) string {
	dir := filepath.Dir(path)
	for missing(dir) && dir != filepath.Dir(dir) {
		dir = filepath.Dir(dir)
	}
	return dir
}

// restoreCopy writes the library's copy of a lesson at its place or, where that
// is not there any more, beside the program's own lessons, and opens it.
func (a *App) restoreCopy(e library.Entry) {
	own := a.dirs.Lesson(library.ExportName(kit.Joined(e.Student, e.Date, e.Title)))
	for n := 2; !missing(own); n++ {
		own = a.dirs.Lesson(library.ExportName(kit.Joined(e.Student, e.Date, e.Title, fmt.Sprint(n))))
	}
	ask(a, "the lesson can't be got back", func(ctx context.Context, l *library.Library) (string, error) {
		if !missing(filepath.Dir(e.Path)) && l.Restore(ctx, e.Key, e.Path) == nil {
			return e.Path, nil
		}
		return own, l.Restore(ctx, e.Key, own)
	}, func(path string, err error) {
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		a.library.open = false
		a.openLesson(path)
		a.notices.Tell(bench.Note("The library's copy is now " + path + "."))
	})
}

func (a *App) layoutLost(gtx layout.Context) {
	th, c := a.theme, &a.lost
	a.card.Layout(gtx, a.theme, "The document of this lesson is not there", 600, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		text := func(text string) {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, text)
			})
		}
		text(kit.Joined(c.entry.Student, dayWords(c.entry.Date), c.entry.Title) + " was at " + c.entry.Path + ".")
		text(fmt.Sprintf("If it was moved, or lies on a disk that is not connected, find it. Else take the library's copy of %s: it holds everything but the clips.", c.entry.Recorded.Format("2 January 2006, 15:04")))
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &c.cancel, draw.ButtonStyle{Label: "Cancel"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &c.find, draw.ButtonStyle{Label: "Find it …"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &c.copy, draw.ButtonStyle{Label: "Open the copy", Kind: draw.Primary})
				})
		})
		return col.Done()
	})
}
