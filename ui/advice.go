package ui

import (
	"fmt"
	"math"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/ui/sheet"
)

// adviser works out what would sharpen the numbers of a fit.
type adviser struct {
	swing    *annotations.Swing
	solution *fit.Solution
	input    sheet.Input
	base     *sheet.Model // the sheet without the advice
}

// advised is the sheet with advice on every row, and what each mark not made
// yet is good for.
type advised struct {
	base, sheet *sheet.Model
	gains       map[markKey]gain
}

// markKey names a mark.
type markKey struct {
	clip     string
	position geometry.PositionName
	point    geometry.Point
}

// gain is the measure that a mark would sharpen most.
type gain struct {
	measure   string
	position  geometry.PositionName
	unit      geometry.Unit
	now, then float64 // half the 95 % interval
	score     float64
}

// everyMark is more suggestions than a swing has marks.
const everyMark = 1 << 20

// targetWeight is how much more it counts to sharpen a number that is judged.
// Ours.
const targetWeight = 2

// advise asks, for each measure, what every mark not made yet would do for it.
// It gives up when it is overtaken.
func (a *adviser) advise(overtaken func() bool) (advised, bool) {
	if a == nil {
		return advised{}, false
	}
	out := advised{base: a.base, gains: make(map[markKey]gain)}
	rows := make(map[string]string, len(a.input.Measures))
	_, more := a.solution.NextMark()
	for i := range a.input.Measures {
		if overtaken() {
			return advised{}, false
		}
		m := &a.input.Measures[i]
		var list []geometry.Suggestion
		if more {
			list = a.solution.Suggest(m.Name, m.Position, everyMark)
		}
		key := sheet.Key(m.Name, m.Position)
		if len(list) == 0 {
			rows[key] = a.noMark(m)
			continue
		}
		rows[key] = list[0].Advice
		weight := 1.0
		if _, judged := a.input.Target(m.Name, m.Position); judged {
			weight = targetWeight
		}
		for _, s := range list {
			k := markKey{a.swing.Clips[s.Clip].ID, a.swing.Positions[s.Position].Name, s.Point}
			score := weight * math.Log(s.HalfWidthNow/s.HalfWidthThen)
			if score > out.gains[k].score {
				out.gains[k] = gain{m.Name, m.Position, m.Unit, s.HalfWidthNow, s.HalfWidthThen, score}
			}
		}
	}
	in := a.input
	in.Advice = func(name string, pos geometry.PositionName) string { return rows[sheet.Key(name, pos)] }
	out.sheet = sheet.Build(in)
	return out, true
}

// noMark says what is left where no further mark narrows a number.
func (a *adviser) noMark(m *geometry.Measure) string {
	if m.Unit == geometry.Seconds || m.Name == "tempo" {
		return "film with more frames a second"
	}
	views := make(map[geometry.View]bool)
	for i := range a.swing.Clips {
		views[a.swing.Clips[i].View] = true
	}
	switch {
	case !views[geometry.FaceOn]:
		return "no further mark helps noticeably; film face-on too"
	case !views[geometry.DownTheLine]:
		return "no further mark helps noticeably; film down-the-line too"
	}
	return "no further mark helps noticeably; a nearer or sharper clip would"
}

// adviceDone takes what was worked out after a fit, if that fit is still the
// one shown.
func (a *App) adviceDone(d *desk, adv advised) {
	if a.desk != d || d.result.sheet != adv.base {
		return
	}
	d.result.sheet, d.result.gains = adv.sheet, adv.gains
}

// why says what a mark not made yet would sharpen most, or "".
func (a *App) why(k markKey) string {
	if waiting := a.waitFor(k); waiting != "" {
		return waiting
	}
	g, ok := a.desk.result.gains[k]
	if !ok {
		return ""
	}
	return sharpens(g.measure, g.position, g.unit, g.now, g.then, a.settings.Imperial)
}

// sharpens says how much narrower half the interval of a measure becomes.
func sharpens(measure string, at geometry.PositionName, unit geometry.Unit, now, then float64, imperial bool) string {
	if at != "" {
		measure += ", " + string(at) + ","
	}
	return measure + " " + sheet.PlusMinus(unit, now, imperial) + " becomes " + sheet.PlusMinus(unit, then, imperial)
}

// waitFor says which measures of a position are not measured for want of a
// point, or "".
func (a *App) waitFor(k markKey) string {
	var names []string
	missing := a.desk.result.missing
	for i := range missing {
		if m := &missing[i]; m.Position == k.position && strings.Contains(m.Reason, "the "+k.point.String()) {
			names = append(names, m.Name)
		}
	}
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "the " + names[0] + " waits for it"
	default:
		return fmt.Sprintf("the %s and %d more wait for it", names[0], len(names)-1)
	}
}
