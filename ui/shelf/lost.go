package shelf

import (
	"context"
	"fmt"
	"path/filepath"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/shelf/worker"
)

// Lost is the card that asks what to do about a lesson whose document is not at
// its place.
type Lost struct {
	host       kit.Host
	shelf      *worker.Client
	dirs       profile.Dirs
	openLesson func(path string)
	card       kit.Modal
	cardState
}

type cardState struct {
	kit.Openable
	entry              library.Entry
	find, copy, cancel draw.Button
}

// NewLost returns the card of a window; openLesson opens a lesson's document.
func NewLost(h kit.Host, c *worker.Client, d profile.Dirs, openLesson func(path string)) *Lost {
	return &Lost{host: h, shelf: c, dirs: d, openLesson: openLesson}
}

// ask opens the card.
func (r *Lost) ask(e library.Entry) { r.cardState = cardState{Openable: kit.Opened(), entry: e} }

// Commands are none: the library leads here.
func (r *Lost) Commands() []kit.Command { return nil }

// Update takes up the answer.
func (r *Lost) Update(gtx layout.Context) {
	c := &r.cardState
	switch {
	case c.cancel.Clicked(gtx):
		c.Shown = false
	case c.find.Clicked(gtx):
		c.Shown = false
		r.host.Ask(kit.Files{Title: "Where is the document of this lesson?", Kinds: []choose.Kind{choose.Lessons}, Dir: place.NearestFolder(c.entry.Path)}, func(paths []string) { r.openLesson(paths[0]) })
	case c.copy.Clicked(gtx):
		c.Shown = false
		r.restoreCopy(c.entry)
	}
}

// restoreCopy writes the library's copy of a lesson at its place or, where that
// is not there any more, beside the program's own lessons, and opens it.
func (r *Lost) restoreCopy(e library.Entry) {
	own := r.dirs.Lesson(library.ExportName(kit.Joined(e.Student, e.Date, e.Title)))
	for n := 2; !place.Missing(own); n++ {
		own = r.dirs.Lesson(library.ExportName(kit.Joined(e.Student, e.Date, e.Title, fmt.Sprint(n))))
	}
	worker.Ask(r.shelf, "the lesson can't be got back", func(ctx context.Context, l *library.Library) (string, error) {
		if !place.Missing(filepath.Dir(e.Path)) && l.Restore(ctx, e.Key, e.Path) == nil {
			return e.Path, nil
		}
		return own, l.Restore(ctx, e.Key, own)
	}, func(path string, err error) {
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		r.openLesson(path)
		r.host.Tell(bench.Note("The library's copy is now " + path + "."))
	})
}

// Layout draws the card.
func (r *Lost) Layout(gtx layout.Context) layout.Dimensions {
	th, c := r.host.Theme(), &r.cardState
	return r.card.Layout(gtx, r.host.Theme(), "The document of this lesson is not there", 600, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		text := func(text string) {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, text)
			})
		}
		text(kit.Joined(c.entry.Student, words.Day(c.entry.Date), c.entry.Title) + " was at " + c.entry.Path + ".")
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
