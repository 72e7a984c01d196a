package ui

import (
	"image"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// statureSD is the standard deviation given to a stature that was told, in
// metres: people are measured in shoes, or remember (common practice, no
// source).
const statureSD = 0.02

// studentForm asks who a new lesson is for.
type studentForm struct {
	open                      bool
	clips                     []string // to be taken in once the lesson is there
	name, stature, mass, club draw.Field
	hand, sex                 draw.Segmented
	handed                    geometry.Handed
	sexOf                     int // 0 not said, 1 female, 2 male
	create, cancel            draw.Button
	statureError, massError   string
	focusName                 bool
}

// begin opens the form; clips are taken in afterwards.
func (s *studentForm) begin(clips []string) {
	*s = studentForm{open: true, clips: clips, focusName: true}
}

func (a *App) updateStudent(gtx layout.Context) {
	s := &a.student
	if s.focusName {
		gtx.Execute(key.FocusCmd{Tag: &s.name.Editor})
		s.focusName = false
	}
	if c, ok := s.hand.Update(gtx); ok {
		s.handed = geometry.Handed(c)
	}
	if c, ok := s.sex.Update(gtx); ok {
		s.sexOf = c
	}
	if s.cancel.Clicked(gtx) {
		s.open = false
	}
	begin := s.create.Clicked(gtx)
	for _, f := range []*draw.Field{&s.name, &s.stature, &s.mass, &s.club} {
		begin = f.Entered(gtx) || begin
	}
	if begin || kit.EnterPressed(gtx) {
		a.createLesson()
	}
}

// metres reads a stature in centimetres or metres; "" is not known.
func metres(text string) (m float64, problem string) {
	text = strings.TrimSpace(strings.ReplaceAll(text, ",", "."))
	if text == "" {
		return 0, ""
	}
	v, err := strconv.ParseFloat(text, 64)
	if err == nil && v > 3 {
		v /= 100
	}
	if err != nil || v < 0.8 || v > 2.5 {
		return 0, "A height in cm, such as 172, or leave it empty."
	}
	return v, ""
}

// feetAndInches reads a stature as 5'8", 5 8 or 68 (inches), in metres; "" is not
// known. An inch is exactly 2.54 cm (international yard and pound agreement, 1959).
func feetAndInches(text string) (m float64, problem string) {
	parts := strings.Fields(strings.NewReplacer("'", " ", "’", " ", `"`, " ", "”", " ", "ft", " ", "in", " ", ",", ".").Replace(text))
	if len(parts) == 0 {
		return 0, ""
	}
	inches, bad := 0.0, len(parts) > 2
	for _, p := range parts {
		v, err := strconv.ParseFloat(p, 64)
		bad = bad || err != nil || v < 0
		inches = 12*inches + v
	}
	if len(parts) == 1 && inches < 9 { // feet alone
		inches *= 12
	}
	if m = inches * 0.0254; bad || !(m >= 0.8 && m <= 2.5) {
		return 0, "A height such as 5 8 (feet and inches) or 68 (inches), or leave it empty."
	}
	return m, ""
}

func kilograms(text string) (kg float64, problem string) {
	text = strings.TrimSpace(strings.ReplaceAll(text, ",", "."))
	if text == "" {
		return 0, ""
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v < 20 || v > 250 {
		return 0, "A mass in kg, such as 66, or leave it empty."
	}
	return v, ""
}

func (a *App) createLesson() {
	s := &a.student
	var stature, mass float64
	if a.settings.Imperial {
		stature, s.statureError = feetAndInches(s.stature.Text())
	} else {
		stature, s.statureError = metres(s.stature.Text())
	}
	mass, s.massError = kilograms(s.mass.Text())
	if s.statureError != "" || s.massError != "" {
		return
	}
	l := annotations.NewLesson()
	l.Date = time.Now().Format(time.DateOnly)
	l.ClickSDPx = a.settings.ClickSDPx
	l.Student = annotations.Student{
		Name: strings.TrimSpace(s.name.Text()), Handed: s.handed,
		StatureM: stature, MassKg: mass, Sex: geometry.Sex(s.sexOf),
	}
	if stature > 0 {
		l.Student.StatureSDM = statureSD
	}
	l.Swings = []annotations.Swing{{
		ID: annotations.NewID(), Label: "Swing 1",
		Club: annotations.Club{Name: strings.TrimSpace(s.club.Text())},
	}}
	path := a.dirs.Lesson(l.ID)
	err := os.MkdirAll(filepath.Dir(path), 0o755)
	if err == nil {
		err = annotations.Save(path, l)
	}
	if err != nil {
		a.notices.Alert(err.Error())
		return
	}
	clips := s.clips
	s.open = false
	a.startDesk(path, l)
	if len(clips) > 0 {
		a.takeIn(clips)
	} else {
		a.notices.Tell("Now drop the two clips of a swing on the window, or press Ctrl+O.")
	}
}

func (a *App) layoutStudent(gtx layout.Context) {
	th, s := a.theme, &a.student
	lengths := "cm"
	if a.settings.Imperial {
		lengths = "ft in"
	}
	a.card.Layout(gtx, a.theme, "New student", 460, func(gtx layout.Context) layout.Dimensions {
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
		col.Add(field(&s.name, draw.FieldStyle{Label: "Name"}))
		col.Add(kit.Choice(th, "Plays", &s.hand, int(s.handed), "right-handed", "left-handed"))
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return half(gtx,
				field(&s.stature, draw.FieldStyle{Label: "Height, if known", Suffix: lengths, Error: s.statureError, Help: "sharpens every length"}),
				field(&s.mass, draw.FieldStyle{Label: "Mass, if known", Suffix: "kg", Error: s.massError}))
		})
		col.Add(kit.Choice(th, "Body proportions, for the balance", &s.sex, s.sexOf, "not said", "female", "male"))
		col.Add(field(&s.club, draw.FieldStyle{Label: "Club", Hint: "7-iron"}))
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
