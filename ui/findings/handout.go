package findings

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/ui/bench"
	"turngauge/ui/desktop"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/takehome"
)

// handout is the making of what the student takes home.
type handout struct {
	what, shows, held draw.Segmented
	lie               draw.Segmented
	withClip          bool
	voice             string // a file of sound that goes along with the clip, "" for none
	speak, silent     draw.Button
	beside, over      bool        // the clip shows the swing before as well; laid over this one
	upright           bool        // it is for a phone held upright
	write, now        draw.Button // the latter at the head of the panel
	stop, look        draw.Button
	show, copy        draw.Button
	where             draw.Segmented
	folder            draw.Field
	browse            draw.Button
	elsewhere         bool // it goes into a folder of the coach's
	busy              bool
	ctx               context.Context // of the sheet being made, to tell it from those before
	done, total       int
	cancel            context.CancelFunc
	made              string // the sheet that was made last
	notes             []string
	leaving           bool // the window closes once it is made
	opens, opensKnown bool // whether the desktop opens files, and whether that was asked
}

// makeHandout writes the take-home sheet, and the annotated clip if the coach
// wants it, beside the lesson. Nothing that is there is replaced.
func (p *Room) makeHandout() {
	d, h := p.host.Session(), &p.handout
	if h.busy {
		return
	}
	l := d.Bench.Lesson()
	name := kit.FileName(l.Student.Name, l.Date, "take-home")
	folder := p.handoutFolder()
	if h.elsewhere && !place.IsFolder(folder) {
		p.host.Alert("There is no folder " + folder + ". Choose another one under To take home.")
		return
	}
	stem := strings.TrimSuffix(place.FreeName(filepath.Join(folder, name+".pdf"), ".html", ".png", ".mp4"), ".pdf")
	ctx, cancel := context.WithCancel(d.Context())
	r := takehome.Request{
		Lesson: l, Path: d.Path, Swing: d.Bench.Swing().ID, Targets: p.doors.Terms().Targets, Imperial: p.host.Settings().Imperial, Decided: p.host.Settings().Decided,
		PDF: stem + ".pdf", HTML: stem + ".html", Image: stem + ".png", Academy: p.academy(),
		Progress: func(done, total int) {
			p.host.Post(func() {
				if h.ctx == ctx {
					h.done, h.total = done, total
				}
			})
		},
	}
	if p.host.Settings().LetterPaper {
		r.Paper = takehome.Letter
	}
	if h.withClip {
		r.MP4, r.Follow, r.Voice = stem+".mp4", true, h.voice
		if h.upright {
			r.Size = takehome.Phone
		}
		if h.beside {
			if r.Beside, _ = p.swingBefore(); r.Beside != nil {
				r.Beside.Over = h.over
			}
		}
		if c, current := d.Bench.Curves(); current && c.Followed != nil {
			r.Motion = &takehome.Motion{Swing: r.Swing, Followed: c.Followed, Fit: c.Fit}
		}
	}
	if d.Other != nil && d.Other.Lesson.ID != l.ID {
		r.Earlier, r.EarlierPath = d.Other.Lesson, d.Other.Path
	}
	r.Results = d.Settled(l)
	h.busy, h.done, h.total, h.ctx, h.cancel, h.made, h.notes = true, 0, 1, ctx, cancel, "", nil
	p.tasks.Add(1)
	shelf := ""
	if p.shelf.Ready() {
		shelf = p.shelf.Folder()
	}
	p.host.Go("Writing the take-home sheet", func() {
		defer p.tasks.Done()
		r.Course = courseOf(ctx, shelf, l)
		notes, err := takehome.Write(ctx, r)
		stopped, sheet := ctx.Err() != nil, r.MP4 != "" && !place.Missing(r.PDF) && !place.Missing(r.HTML)
		cancel()
		p.host.Post(func() {
			mine := h.ctx == ctx
			leaving := mine && h.leaving
			if mine {
				h.busy, h.leaving = false, false
			}
			switch {
			case leaving && err == nil:
				p.doors.End()
			case p.host.Session() != d:
			case (stopped || err != nil) && sheet: // the clip comes last
				if mine {
					h.made, h.notes = r.PDF, notes
				}
				if stopped {
					p.host.Tell(bench.Note("The clip was not written. The sheet is there: " + filepath.Base(stem) + ".pdf and .html."))
					return
				}
				p.host.Alert(fmt.Sprintf("%v. The sheet is there: %s.pdf and .html.", strings.TrimSuffix(err.Error(), "."), filepath.Base(stem)))
			case stopped:
				p.host.Tell("Nothing was written.")
			case err != nil:
				p.host.Alert(err.Error())
			default:
				if mine {
					h.made, h.notes = r.PDF, notes
				}
				p.host.Tell(bench.Note(written(d.Path, stem) + endings(&r) + "."))
			}
		})
	}, func() {
		cancel()
		if h.ctx == ctx {
			h.busy, h.leaving = false, false
		}
	})
}

// swingBefore returns the swing that a clip can show beside the one on the bench,
// and what it is called: the one that is compared with, or else another marked one
// of the lesson; nil where there is neither.
func (p *Room) swingBefore() (*takehome.Beside, string) {
	d := p.host.Session()
	l := d.Bench.Lesson()
	if o := d.Other; o != nil {
		return &takehome.Beside{Lesson: o.Lesson, Path: o.Path, Swing: o.Swing().ID}, o.Title(l)
	}
	for i := range l.Swings {
		if s := &l.Swings[i]; s.ID != d.Bench.Swing().ID && len(s.Marks) > 0 {
			return &takehome.Beside{Lesson: l, Path: d.Path, Swing: s.ID}, s.Label
		}
	}
	return nil, ""
}

// MayClose is asked before the window closes. While something is being written it
// says no the first time, and the window closes once that is done.
func (p *Room) MayClose() bool {
	h := &p.handout
	if p.host.Session() == nil || !h.busy || h.leaving {
		return true
	}
	h.leaving = true
	p.host.Alert("What the student takes home is still being written. The window closes by itself as soon as it is there. Close it once more to stop the writing; nothing half-written stays behind.")
	return false
}

// longestStop is how long the window waits at its end for what is being written
// to be cleared away.
const longestStop = 5 * time.Second

// Finish waits until what was being written, and has been told to stop, is
// cleared away.
func (p *Room) Finish() {
	done := make(chan struct{})
	go func() { p.tasks.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(longestStop):
	}
}

// written says where something was written.
func written(lesson, stem string) string {
	if filepath.Dir(lesson) == filepath.Dir(stem) {
		return "Written beside the lesson: " + filepath.Base(stem)
	}
	return "Written: " + stem
}

func endings(r *takehome.Request) string {
	if r.MP4 != "" {
		return ".pdf, .html, .png and .mp4"
	}
	return ".pdf, .html and .png"
}

func (p *Room) updateHandout(gtx layout.Context) {
	h := &p.handout
	if !h.opensKnown {
		h.opensKnown = true
		h.opens = desktop.CanOpen()
		p.recallFolder()
	}
	if i, ok := h.what.Update(gtx); ok {
		h.withClip = i == 1
	}
	if i, ok := h.where.Update(gtx); ok {
		h.elsewhere = i == 1
	}
	if i, ok := h.shows.Update(gtx); ok {
		h.beside = i == 1
	}
	if i, ok := h.lie.Update(gtx); ok {
		h.over = i == 1
	}
	if i, ok := h.held.Update(gtx); ok {
		h.upright = i == 1
	}
	if h.browse.Clicked(gtx) {
		p.askFolder()
	}
	if h.speak.Clicked(gtx) {
		p.askVoice()
	}
	if h.silent.Clicked(gtx) {
		h.voice = ""
	}
	if h.write.Clicked(gtx) || h.now.Clicked(gtx) {
		p.makeHandout()
	}
	if h.stop.Clicked(gtx) && h.cancel != nil {
		h.cancel()
	}
	p.updateMade(gtx)
}

// addHandout adds the making of the take-home sheet to the findings.
func (p *Room) addHandout(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string), quiet func(unit.Dp, string)) {
	th, h := p.host.Theme(), &p.handout
	label(18, draw.Body, font.Bold, "To take home")
	if h.busy {
		add(6, func(gtx layout.Context) layout.Dimensions {
			return kit.Progress(gtx, p.host.Theme(), fmt.Sprintf("Writing: %.0f %%", 100*float64(h.done)/float64(max(h.total, 1))), float32(h.done)/float32(max(h.total, 1)), &h.stop)
		})
		return
	}
	either := func(s *draw.Segmented, name string, second bool, labels ...string) {
		on := 0
		if second {
			on = 1
		}
		add(6, func(gtx layout.Context) layout.Dimensions { return th.Segmented(gtx, s, name, on, labels...) })
	}
	either(&h.what, "What to write", h.withClip, "sheet", "sheet and clip")
	other, title := p.swingBefore()
	h.beside = h.beside && other != nil
	if h.withClip {
		if other != nil {
			either(&h.shows, "What the clip shows", h.beside, "this swing", "before and after")
			if h.beside {
				either(&h.lie, "How the two are shown", h.over, "side by side", "one over the other")
			}
		}
		either(&h.held, "How the clip is watched", h.upright, "wide", "upright, on a phone")
		p.addVoice(add)
	}
	if h.withClip && h.beside {
		if h.over {
			quiet(4, "Seen through it: "+title+".")
		} else {
			quiet(4, "Beside it: "+title+".")
		}
	}
	either(&h.where, "Where to write it", h.elsewhere, "beside the lesson", "in a folder")
	if h.elsewhere {
		add(4, func(gtx layout.Context) layout.Dimensions {
			return kit.FolderField(gtx, th, &h.folder, &h.browse, draw.FieldStyle{Name: "Folder for what is taken home", Hint: "A folder of your own"})
		})
	}
	tip := "As PDF, as a page for a browser and as a picture for a message"
	if h.withClip {
		tip += ", and the clip"
	}
	add(8, func(gtx layout.Context) layout.Dimensions {
		parts := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &h.write, draw.ButtonStyle{Label: "Write it", Name: "Write the take-home sheet", Kind: draw.Primary, Compact: true,
				Tip: tip, TipSide: draw.TipAboveStart})
		}}
		return draw.Row(gtx, draw.Gap, parts...)
	})
	p.addMade(add, quiet)
	for _, n := range h.notes {
		quiet(4, n)
	}
}

// courseOf reads from the library in a folder, "" for none, what the sheet shows
// over the lessons. A library that can't be read costs the sheet that part only.
func courseOf(ctx context.Context, folder string, l *annotations.Lesson) [][]library.Value {
	if folder == "" || l.Student.Name == "" || l.Date == "" {
		return nil
	}
	shelf, err := library.Open(ctx, folder)
	if err != nil {
		return nil
	}
	defer func() { _ = shelf.Close() }()
	course, err := shelf.Course(ctx, &l.Student, l.Date, takehome.MostCourses)
	if err != nil {
		return nil
	}
	return course
}
