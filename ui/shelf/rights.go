package shelf

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/shelf/worker"
	"turngauge/ui/visit"
)

// Rights is the card about what is held on a student: the consent for it, a copy of
// everything for the student, and erasing.
type Rights struct {
	host    kit.Host
	shelf   *worker.Client
	dirs    profile.Dirs
	consent *Consent
	forget  func() // the small pictures
	card    kit.Modal
	rightsState
}

type rightsState struct {
	kit.Openable
	student                   int64
	held                      library.Held
	first                     bool   // of a minor whose first lesson this is: the consent is asked for
	busy                      string // what is being done
	agreed                    library.Consent
	by, until                 draw.Field
	uses                      [4]draw.Button // keep, show, share, minor
	record, copy, erase, done draw.Button
}

// NewRights returns the card of a window, closed. forget drops the small pictures once a
// student is erased.
func NewRights(h kit.Host, c *worker.Client, d profile.Dirs, consent *Consent, forget func()) *Rights {
	return &Rights{host: h, shelf: c, dirs: d, consent: consent, forget: forget}
}

// Open opens the card on a student.
func (r *Rights) Open(student int64) {
	exports := r.dirs.Exports()
	worker.Ask(r.shelf, "what is held can't be told", func(ctx context.Context, l *library.Library) (library.Held, error) {
		return l.HeldOf(ctx, student, exports)
	}, func(h library.Held, err error) {
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		r.show(student, h)
	})
}

func (r *Rights) show(student int64, h library.Held) {
	r.rightsState = rightsState{Openable: kit.Opened(), student: student, held: h, agreed: h.Consent}
	r.by.SetText(h.Consent.By)
	r.until.SetText(h.Consent.Until)
}

// OpenForMinor asks for the consent for a new student who is a minor, by the lesson at
// path. Where there is one already, or no library to keep it in, nothing is asked.
func (r *Rights) OpenForMinor(path string, lesson *annotations.Lesson) {
	if !r.shelf.Started() {
		return
	}
	type minor struct {
		key  int64
		held library.Held
	}
	exports := r.dirs.Exports()
	worker.Ask(r.shelf, "the consent can't be asked for", func(ctx context.Context, l *library.Library) (m minor, err error) {
		if _, err = l.Record(ctx, path, lesson, true); err != nil {
			return m, err
		}
		if m.key, err = l.StudentOf(ctx, &lesson.Student); err == nil {
			m.held, err = l.HeldOf(ctx, m.key, exports)
		}
		return m, err
	}, func(m minor, err error) {
		switch {
		case err != nil:
			r.host.Alert(err.Error())
		case m.held.Consent.By == "":
			r.show(m.key, m.held)
			r.first, r.agreed.Minor = true, true
		}
	})
}

// tellDue tells whose films were to be kept until a day that is over.
func (r *Rights) tellDue() {
	worker.Ask(r.shelf, "the consents can't be read", func(ctx context.Context, l *library.Library) ([]library.Consent, error) {
		return l.Due(ctx)
	}, func(due []library.Consent, err error) {
		if err != nil || len(due) == 0 {
			return // what is wrong with the library is told elsewhere
		}
		var names []string
		for _, c := range due {
			names = append(names, c.Name+" ("+words.Day(c.Until)+")")
		}
		r.host.Alert("The day until which films may be kept is over for " + strings.Join(names, ", ") + ". Choose the student in the library, and under “What is held …” erase what there is or record a new consent.")
	})
}

// Commands are none: the library leads here.
func (r *Rights) Commands() []kit.Command { return nil }

// NoticesOver reports whether the card is open: it tells of what was done.
func (r *Rights) NoticesOver() bool { return r.Shown }

// Update takes up what was pressed.
func (r *Rights) Update(gtx layout.Context) {
	for i, on := range []*bool{&r.agreed.Keep, &r.agreed.Show, &r.agreed.Share, &r.agreed.Minor} {
		if r.uses[i].Clicked(gtx) {
			*on = !*on
		}
	}
	switch {
	case r.done.Clicked(gtx):
		r.Shown = false
		if r.first && r.held.Consent.By == "" {
			r.host.Tell(bench.Note("No consent is recorded for " + r.held.Name + ": it can be, in the library under “What is held …”."))
		}
		kit.ReleaseKeys(gtx, r.host)
	case r.busy != "":
	case r.record.Clicked(gtx):
		r.keepConsent()
	case r.copy.Clicked(gtx):
		r.copyAll()
	case r.erase.Clicked(gtx):
		r.askErase()
	}
}

func (r *Rights) keepConsent() {
	c := r.agreed
	c.Student, c.By, c.Until, c.Given = r.student, r.by.Text(), strings.TrimSpace(r.until.Text()), time.Now().Format(time.DateOnly)
	worker.Ask(r.shelf, "the consent can't be kept", func(ctx context.Context, l *library.Library) (struct{}, error) {
		return struct{}{}, l.SetConsent(ctx, c)
	}, func(_ struct{}, err error) {
		if err != nil {
			r.host.Alert(words.Sentence(err.Error()) + ".")
			return
		}
		r.held.Consent = c
		r.host.Tell(bench.Note(words.Sentence(c.Says()) + "."))
	})
}

// copyAll writes everything held into a folder beside the exports. Clips that need the
// coach's word are asked about.
func (r *Rights) copyAll() {
	h, o := r.held, library.ExportOptions{Clips: true, Opens: opensAsVideo}
	keys := make([]int64, len(h.Lessons))
	for i, e := range h.Lessons {
		keys[i] = e.Key
	}
	worker.Aside(r.shelf, "Copying what is held", func(ctx context.Context, l *library.Library) ([]library.Withheld, error) {
		return l.ExportAsks(ctx, keys, o)
	}, func(asked []library.Withheld, err error) {
		switch {
		case err != nil:
			r.host.Alert(err.Error())
		case len(asked) == 0:
			r.writeCopy(o)
		default:
			r.consent.ask(askWhichGoOut(asked, func(allowed []string) {
				o.Allowed = allowed
				r.writeCopy(o)
			}))
		}
	})
}

func (r *Rights) writeCopy(o library.ExportOptions) {
	h, student := r.held, r.student
	to := place.FreeName(filepath.Join(r.dirs.Exports(), library.ExportName(h.Name+", all that is held")))
	r.busy = "Copying …"
	worker.Aside(r.shelf, "Copying what is held", func(ctx context.Context, l *library.Library) (library.Exported, error) {
		return l.HandOver(ctx, student, h, to, o)
	}, func(out library.Exported, err error) {
		r.busy = ""
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		r.host.Tell(bench.Note(fmt.Sprintf("Copied, %s with %s: %s", words.Count(out.Lessons, "lesson", "lessons"), words.Count(out.Clips, "clip", "clips"), to)))
	})
}

// askErase asks once more, and which clips and sheets go, too.
func (r *Rights) askErase() {
	h := r.held
	files := append(append([]string{}, h.Clips...), h.Exported...)
	q := question{
		title:   "Erase " + h.Name + " for good?",
		text:    fmt.Sprintf("What goes: %s with all copies, and the student in the library and its backups. It can't be undone. Clips and sheets stay unless you tick them. %s", words.Count(len(h.Lessons), "lesson", "lessons"), library.BeyondReach),
		without: "Erase the lessons", do: "Erase the lessons and %d of these %d", danger: true,
		then: func(on []bool) {
			var named []string
			for i, yes := range on {
				if yes {
					named = append(named, files[i])
				}
			}
			r.eraseNow(named)
		},
	}
	for _, f := range files {
		q.rows = append(q.rows, consentRow{filepath.Base(f), []string{filepath.Dir(f)}})
	}
	r.consent.ask(q)
}

func (r *Rights) eraseNow(files []string) {
	h, student, dirs := r.held, r.student, r.dirs
	r.busy = "Erasing …"
	worker.Aside(r.shelf, "Erasing", func(ctx context.Context, l *library.Library) (library.Erased, error) {
		dirs.Forget(h.Name)
		visit.Diary(dirs.Visits()).Forget(h.Lessons)
		return l.EraseStudent(ctx, student, h, files, dirs.Data, dirs.State, dirs.Exports())
	}, func(out library.Erased, err error) {
		r.busy = ""
		r.forget()
		r.shelf.Changed()
		switch {
		case errors.Is(err, context.Canceled):
		case err != nil:
			r.host.Alert(err.Error())
		default:
			r.Shown = false
			text := fmt.Sprintf("%s is erased, with %s. ", h.Name, words.Count(out.Lessons, "lesson", "lessons"))
			for i, left := range out.Left {
				if i == shownLines {
					text += fmt.Sprintf("And %d more. ", len(out.Left)-i)
					break
				}
				text += left.File + ": " + left.Why + ". "
			}
			r.host.Alert(text + library.BeyondReach)
		}
	})
}

// Layout draws the card.
func (r *Rights) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	return r.card.Layout(gtx, th, "What is held on "+r.held.Name, 680, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		text := func(text string) {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, text)
			})
		}
		if r.first {
			text("For a minor somebody else consents, once: say who, what films may be used for, and until which day they are kept.")
		}
		text(fmt.Sprintf("%s, %s on this computer, %s that carry the name.", words.Count(len(r.held.Lessons), "lesson", "lessons"),
			words.Count(len(r.held.Clips), "clip", "clips"), words.Count(len(r.held.Exported), "exported file", "exported files")))
		if kept := onCard(&r.held.Card, r.host.Settings().Imperial); kept != "" {
			text("On the card: " + kept + ".")
		}
		text(words.Sentence(r.held.Consent.Says()) + ".")
		col.Add(func(gtx layout.Context) layout.Dimensions { return r.layoutUses(gtx) })
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &r.by, draw.FieldStyle{Label: "Who gave the consent", Hint: "the student; for a minor a parent or guardian"})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &r.until, draw.FieldStyle{Label: "Films are kept until", Hint: "2027-05-02; for a minor there must be a day"})
		})
		off := r.busy != ""
		keep, done := draw.ButtonStyle{Label: "Keep the consent", Disabled: off}, draw.ButtonStyle{Label: "Done", Kind: draw.Primary}
		if r.first && r.held.Consent.By == "" {
			keep.Kind, done.Kind = done.Kind, keep.Kind
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Label(gtx, draw.Body, font.Normal, th.Dim, r.busy)
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.erase, draw.ButtonStyle{Label: "Erase …", Kind: draw.Danger, Disabled: off})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.copy, draw.ButtonStyle{Label: "Copy everything", Disabled: off})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.record, keep)
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.done, done)
				})
		})
		return col.Done()
	})
}

// onCard says what a student's card holds beside the name.
func onCard(c *library.Card, imperial bool) string {
	unit := " cm"
	if imperial {
		unit = " (feet, inches)"
	}
	var kept []string
	for _, k := range []struct {
		there bool
		what  string
	}{
		{c.Photo != "", "a photo"}, {c.Contact != "", "contact: " + c.Contact}, {c.Handicap != "", "handicap " + c.Handicap},
		{c.StatureM > 0, "height " + kit.StatureText(c.StatureM, imperial) + unit}, {c.MassKg > 0, fmt.Sprintf("mass %.0f kg", c.MassKg)},
		{c.Injuries != "", "injuries: " + strings.TrimRight(strings.Join(strings.Fields(c.Injuries), " "), ".")},
	} {
		if k.there {
			kept = append(kept, k.what)
		}
	}
	return strings.Join(kept, "; ")
}

func (r *Rights) layoutUses(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	var parts []layout.Widget
	for i, u := range []struct {
		label string
		on    bool
	}{{"Films may be kept", r.agreed.Keep}, {"shown", r.agreed.Show}, {"shared", r.agreed.Share}, {"The student is a minor", r.agreed.Minor}} {
		style := draw.ButtonStyle{Label: u.label, Icon: draw.IconBox, Toggle: true, On: u.on, Compact: true}
		if u.on {
			style.Icon = draw.IconTicked
		}
		parts = append(parts, func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, &r.uses[i], style) })
	}
	return draw.Row(gtx, 8, parts...)
}
