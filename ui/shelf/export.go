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
	"turngauge/ui/draw"
	"turngauge/ui/shelf/worker"
	"turngauge/video"
)

// exporting is an export that is being written.
type exporting struct {
	to          string
	done, total atomic.Int64
	stop        context.CancelFunc
	cancel      draw.Button
}

// exportLessons writes lessons, or all of a student's, to a zip file in the
// coach's export folder, with their clips. Before clips go out that need the coach's
// word it is asked for.
func (r *Room) exportLessons(name string, keys []int64, student int64) {
	if r.panel.exporting != nil {
		r.host.Tell("An export is being written: wait for it, or cancel it.")
		return
	}
	o := library.ExportOptions{Clips: true, Opens: opensAsVideo}
	type asked struct {
		keys []int64
		out  []library.Withheld
	}
	worker.Aside(r.shelf, "Exporting", func(ctx context.Context, l *library.Library) (asked, error) {
		if student != 0 {
			list, err := l.Lessons(ctx, library.Query{Student: student})
			if err != nil {
				return asked{}, err
			}
			for _, e := range list {
				keys = append(keys, e.Key)
			}
		}
		out, err := l.ExportAsks(ctx, keys, o)
		return asked{keys, out}, err
	}, func(a asked, err error) {
		switch {
		case err != nil:
			r.host.Alert(err.Error())
		case len(a.out) == 0:
			r.writeExport(name, a.keys, o)
		default:
			r.consent.ask(askWhichGoOut(a.out, func(allowed []string) {
				o.Allowed = allowed
				r.writeExport(name, a.keys, o)
			}))
		}
	})
}

// askWhichGoOut asks about clips that go out only by the coach's word; then gets those
// that may.
func askWhichGoOut(asked []library.Withheld, then func(allowed []string)) question {
	q := question{
		title:   "Which of these files may go into the export?",
		text:    "A lesson that came from elsewhere may name any file as its clip. These do not lie in the folder of their lesson, or are no video: tick those that are clips of this student and may be given to others.",
		without: "Export without them", do: "Export with %d of these %d",
		then: func(on []bool) {
			var allowed []string
			for i, w := range asked {
				if on[i] {
					allowed = append(allowed, w.File)
				}
			}
			then(allowed)
		},
	}
	for _, w := range asked {
		q.rows = append(q.rows, consentRow{filepath.Base(w.File), []string{filepath.Dir(w.File) + ": it " + w.Why}})
	}
	return q
}

func opensAsVideo(ctx context.Context, file string) error {
	_, err := video.ReadIndex(ctx, file)
	return err
}

// writeExport writes an export about which the coach has been asked.
func (r *Room) writeExport(name string, keys []int64, o library.ExportOptions) {
	p := &r.panel
	if p.exporting != nil {
		r.host.Tell("An export is being written: wait for it, or cancel it.")
		return
	}
	folder := r.dirs.Exports()
	x := &exporting{to: place.FreeName(filepath.Join(folder, library.ExportName(name)+".zip"))}
	p.exporting, p.exported = x, ""
	last := time.Now()
	o.Progress = func(done, total int64) {
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
		return l.Export(ctx, x.to, keys, o)
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
			if n := len(out.Withheld); n > 0 {
				p.exported += "; without " + words.Count(n, "file", "files") + " that you did not tick"
			}
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
