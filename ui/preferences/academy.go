package preferences

import (
	"gioui.org/layout"

	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// academy is what stands at the head of what students take home.
type academy struct {
	name, address draw.Field
	logo, without draw.Button
	filled        bool // the fields show the settings
}

// logos are the files that a logo may be.
var logos = choose.Kind{Name: "Pictures", Extensions: []string{"png", "jpg", "jpeg"}}

// updateAcademy takes up what was written and chosen.
func (r *Room) updateAcademy(gtx layout.Context) {
	s, a := r.host.Settings(), &r.academy
	if !a.filled {
		a.filled = true
		for f, text := range map[*draw.Field]string{&a.name: s.AcademyName, &a.address: s.AcademyAddress} {
			f.SingleLine = true
			f.SetText(text)
		}
	}
	if a.name.Edited(gtx) {
		s.AcademyName = a.name.Text()
	}
	if a.address.Edited(gtx) {
		s.AcademyAddress = a.address.Text()
	}
	if a.without.Clicked(gtx) {
		s.AcademyLogo = ""
	}
	if a.logo.Clicked(gtx) {
		r.host.Ask(kit.Files{Title: "The logo for take-home sheets", Kinds: []choose.Kind{logos}, Dir: choose.Pictures()}, func(paths []string) {
			s.AcademyLogo = paths[0]
			r.host.KeepSettings()
		})
	}
}

func (r *Room) layoutAcademy(gtx layout.Context) layout.Dimensions {
	th, s, a := r.host.Theme(), r.host.Settings(), &r.academy
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(8)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Field(gtx, &a.name, draw.FieldStyle{Label: "Academy, at the head of take-home sheets", Hint: "none"})
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Field(gtx, &a.address, draw.FieldStyle{Label: "Its address or page, in a line", Hint: "none"})
	})
	label := "Choose a logo …"
	if s.AcademyLogo != "" {
		label = "Another logo …"
	}
	parts := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &a.logo, draw.ButtonStyle{Label: label, Compact: true})
	}}
	if s.AcademyLogo != "" {
		parts = append(parts, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &a.without, draw.ButtonStyle{Label: "No logo", Kind: draw.Quiet, Compact: true})
		})
	}
	col.Add(func(gtx layout.Context) layout.Dimensions { return draw.Row(gtx, draw.Gap, parts...) })
	return col.Done()
}
