package intake

import (
	"fmt"
	"path/filepath"
	"time"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Versions is the card that asks which of two versions of a lesson to open: the
// one at its place, or the newer copy that was kept because it could not be saved
// there.
type Versions struct {
	host    kit.Host
	load    func(path string)
	restore func(path string, read func() (*annotations.Lesson, []string, error)) bool
	card    kit.Modal
	choice
}

type choice struct {
	kit.Openable
	path, spare string
	written     time.Time
	take, leave draw.Button
}

// NewVersions returns the card of a window. load opens the document at a path;
// restore opens the lesson that read returns, with its warnings, in the place of
// the one at the path, once no other window can write that, saves it there, and
// reports whether it did.
func NewVersions(h kit.Host, load func(path string), restore func(path string, read func() (*annotations.Lesson, []string, error)) bool) *Versions {
	return &Versions{host: h, load: load, restore: restore}
}

// Ask asks which version to open where there is a newer copy, and reports whether
// it does.
func (r *Versions) Ask(path string) bool {
	spare, written, ok := saver.SpareCopy(path)
	if ok {
		r.choice = choice{Openable: kit.Opened(), path: path, spare: spare, written: written}
	}
	return ok
}

// Commands are none: opening a lesson leads here.
func (r *Versions) Commands() []kit.Command { return nil }

// Update takes up the answer.
func (r *Versions) Update(gtx layout.Context) {
	s := &r.choice
	switch {
	case s.take.Clicked(gtx) || kit.EnterPressed(gtx):
		s.Shown = false
		r.takeNewer()
	case s.leave.Clicked(gtx):
		s.Shown = false
		r.leaveNewer()
	}
}

// takeNewer opens the copy as the lesson. It is saved at the lesson's place as
// soon as that can be written.
func (r *Versions) takeNewer() {
	s := &r.choice
	unread := false
	opened := r.restore(s.path, func() (*annotations.Lesson, []string, error) {
		l, warnings, err := annotations.Load(s.spare)
		if err != nil {
			unread = true
			return nil, nil, err
		}
		if err := saver.KeepOlder(s.path, s.spare, s.written); err != nil {
			return nil, nil, fmt.Errorf("nothing was opened, for the older version could not be put aside: %w", err)
		}
		return l, warnings, nil
	})
	if !opened && unread {
		r.load(s.path)
	}
}

// leaveNewer opens the lesson as it is and puts the copy where the next saving
// does not remove it.
func (r *Versions) leaveNewer() {
	s := &r.choice
	kept, err := saver.KeepNewer(s.spare, s.written)
	if err != nil {
		r.host.Alert(fmt.Sprintf("The newer copy could not be put aside, so nothing was opened: %v", err))
		return
	}
	r.host.Tell(bench.Note("The newer copy stays at " + kept + "."))
	r.load(s.path)
}

// Layout draws the card.
func (r *Versions) Layout(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), &r.choice
	return r.card.Layout(gtx, r.host.Theme(), "Which version of this lesson?", 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, fmt.Sprintf(
				"%s could not be saved at its place the last time. A copy with the newer work was kept on %s.",
				s.path, s.written.Format("2 January 2006 at 15:04")))
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, "Neither is lost: the one you don't open stays in "+filepath.Dir(s.spare)+".")
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.leave, draw.ButtonStyle{Label: "Open the lesson as it is"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.take, draw.ButtonStyle{Label: "Open the newer copy", Kind: draw.Primary})
				})
		})
		return col.Done()
	})
}
