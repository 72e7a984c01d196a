package intake

import (
	"image"
	"path/filepath"
	"strings"
	"time"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
)

// Student is the form that asks who a new lesson is for.
type Student struct {
	host   kit.Host
	dirs   profile.Dirs
	begin  func(path string, l *annotations.Lesson) bool
	takeIn func(clips []string)
	last   func(student string, then func([]*annotations.Lesson))
	apart  func(student string, then func())
	minor  func(path string, l *annotations.Lesson)
	card   kit.Modal
	formState
}

type formState struct {
	kit.Openable
	clips                     []string // to be taken in once the lesson is there
	name, stature, mass, club draw.Field
	hand, sex                 draw.Segmented
	handed                    geometry.Handed
	sexOf                     int // 0 not said, 1 female, 2 male
	create, cancel, young     draw.Button
	isMinor                   bool // asked of somebody new only
	statureError, massError   string
	nameError                 string
	handSaid, sexSaid         bool
	named                     string                // the name that was looked up last
	known                     []*annotations.Lesson // the last ones of the students whose name is written
	who                       int                   // which of them is meant; len(known) for somebody new
	whose                     draw.Segmented
	filled                    [3]string // what was filled in from it, as fillable
	focusName                 bool
}

// fillable are the fields that a lesson before can fill in.
func (s *formState) fillable() [3]*draw.Field {
	return [3]*draw.Field{&s.stature, &s.mass, &s.club}
}

// Begin opens the form; clips are taken in afterwards.
func (r *Student) Begin(clips []string) {
	r.formState = formState{Openable: kit.Opened(), clips: clips, focusName: true}
}

// Commands are none: the first window and what is dropped lead here.
func (r *Student) Commands() []kit.Command { return nil }

// Update takes up what was done on the form.
func (r *Student) Update(gtx layout.Context) {
	s := &r.formState
	if s.focusName {
		gtx.Execute(key.FocusCmd{Tag: &s.name.Editor})
		s.focusName = false
	}
	if c, ok := s.hand.Update(gtx); ok {
		s.handed, s.handSaid = geometry.Handed(c), true
	}
	if c, ok := s.sex.Update(gtx); ok {
		s.sexOf, s.sexSaid = c, true
	}
	if c, ok := s.whose.Update(gtx); ok {
		r.choose(c)
	}
	if s.cancel.Clicked(gtx) {
		s.Shown = false
	}
	if s.young.Clicked(gtx) {
		s.isMinor = !s.isMinor
	}
	begin := s.create.Clicked(gtx)
	for _, f := range []*draw.Field{&s.name, &s.stature, &s.mass, &s.club} {
		begin = f.Entered(gtx) || begin
	}
	if name := s.name.Text(); name != s.named {
		s.named = name
		r.recall()
	}
	if begin || kit.EnterPressed(gtx) {
		r.createLesson()
	}
}

func (r *Student) createLesson() {
	s := &r.formState
	var stature, mass float64
	stature, s.statureError = kit.Stature(s.stature.Text(), r.host.Settings().Imperial)
	mass, s.massError = kit.Kilograms(s.mass.Text())
	s.nameError = ""
	if s.consents() && strings.TrimSpace(s.name.Text()) == "" {
		s.nameError = "the consent for a minor is kept under the name"
	}
	if s.statureError != "" || s.massError != "" || s.nameError != "" {
		return
	}
	l := annotations.NewLesson()
	l.Date = time.Now().Format(time.DateOnly)
	l.ClickSDPx = r.host.Settings().ClickSDPx
	l.Student = annotations.Student{
		Name: strings.TrimSpace(s.name.Text()), Handed: s.handed,
		StatureM: stature, MassKg: mass, Sex: geometry.Sex(s.sexOf),
	}
	if stature > 0 {
		l.Student.StatureSDM = kit.StatureSD
	}
	if known := s.is(); known != nil {
		was := known.Student
		l.Student.ID, l.Student.Name = was.ID, was.Name // as it has been written so far
		l.Student.Handicap, l.Student.Injuries = was.Handicap, was.Injuries
		if kit.SameStature(stature, was.StatureM) {
			l.Student.StatureM = was.StatureM
			if was.StatureSDM > 0 {
				l.Student.StatureSDM = was.StatureSDM
			}
		}
	}
	if l.Student.ID == "" && l.Student.Name != "" {
		l.Student.ID = annotations.NewID()
	}
	l.Swings = []annotations.Swing{{
		ID: annotations.NewID(), Label: "Swing 1",
		Club: annotations.Club{Name: strings.TrimSpace(s.club.Text())},
	}}
	if len(s.known) > 0 && s.is() == nil {
		r.apart(l.Student.Name, func() { r.start(l) })
		return
	}
	r.start(l)
}

// consents reports whether a consent is to be asked for: once, when a minor is new.
func (s *formState) consents() bool { return s.isMinor && s.is() == nil }

// start opens the new lesson.
func (r *Student) start(l *annotations.Lesson) {
	s := &r.formState
	path := r.dirs.Lesson(l.ID)
	err := place.Folder(filepath.Dir(path))
	if err == nil {
		err = annotations.Save(path, l)
	}
	if err != nil {
		r.host.Alert(err.Error())
		return
	}
	clips, consents := s.clips, s.consents()
	s.Shown = false
	if !r.begin(path, l) {
		return
	}
	if consents {
		r.minor(path, l)
	}
	if len(clips) > 0 {
		r.takeIn(clips)
	} else {
		r.host.Tell("Now drop the two clips of a swing on the window, or press Ctrl+O.")
	}
}

// Layout draws the form.
func (r *Student) Layout(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), &r.formState
	lengths := "cm"
	if r.host.Settings().Imperial {
		lengths = "ft in"
	}
	return r.card.Layout(gtx, r.host.Theme(), "New student", 460, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		half := func(gtx layout.Context, l, r layout.Widget) layout.Dimensions {
			gap := gtx.Dp(12)
			w := (gtx.Constraints.Max.X - gap) / 2
			g := gtx
			g.Constraints = layout.Constraints{Max: image.Pt(w, gtx.Constraints.Max.Y)}
			d := l(g)
			off := op.Offset(image.Pt(w+gap, 0)).Push(gtx.Ops)
			e := r(g)
			off.Pop()
			return layout.Dimensions{Size: image.Pt(2*w+gap, max(d.Size.Y, e.Size.Y))}
		}
		field := func(f *draw.Field, st draw.FieldStyle) layout.Widget {
			return func(gtx layout.Context) layout.Dimensions { return th.Field(gtx, f, st) }
		}
		col.Add(field(&s.name, draw.FieldStyle{Label: "Name", Error: s.nameError}))
		if text := r.knownFrom(); text != "" {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
			})
		}
		if len(s.known) > 0 {
			col.Add(kit.Choice(th, "Who of this name", &s.whose, s.who, s.whoChoices()...))
		}
		col.Add(kit.Choice(th, "Plays", &s.hand, int(s.handed), "right-handed", "left-handed"))
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return half(gtx,
				field(&s.stature, draw.FieldStyle{Label: "Height, if known", Suffix: lengths, Error: s.statureError, Help: "sharpens every length"}),
				field(&s.mass, draw.FieldStyle{Label: "Mass, if known", Suffix: "kg", Error: s.massError}))
		})
		col.Add(kit.Choice(th, "Body proportions, for the balance", &s.sex, s.sexOf, "not said", "female", "male"))
		col.Add(field(&s.club, draw.FieldStyle{Label: "Club", Hint: "7-iron"}))
		if s.is() == nil {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return draw.Row(gtx, 8, func(gtx layout.Context) layout.Dimensions {
					style := draw.ButtonStyle{Label: "The student is a minor", Icon: draw.IconBox, Toggle: true, On: s.isMinor, Compact: true, Tip: "Then who gave the consent is asked for", TipSide: draw.TipAbove}
					if s.isMinor {
						style.Icon = draw.IconTicked
					}
					return th.Button(gtx, &s.young, style)
				})
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.cancel, draw.ButtonStyle{Label: "Cancel"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.create, draw.ButtonStyle{Label: "Begin the lesson", Kind: draw.Primary})
				})
		})
		return col.Done()
	})
}
