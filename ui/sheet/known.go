package sheet

import (
	"cmp"
	"image"
	"image/color"
	"slices"
	"strconv"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/annotations/words"
	"turngauge/ui/draw"
)

// View is which rows the sheet shows.
type View uint8

// The views. Where nothing is judged yet, Known shows every row: what to mark stands
// there.
const (
	Known    View = iota // what is decided about the swing, in short
	Targeted             // every row with a target range
	Whole                // every row
	AtNow                // the rows of Sheet.At
)

// viewNames are the views as they are chosen.
var viewNames = [...]string{"Decided", "With a target", "All", "Here"}

// knownGroup is a part of what is known: rows with one kind of answer, the surest
// first.
type knownGroup struct {
	Group // its Rows are left empty
	rows  []*Row
	open  bool // they are counted only: nothing is decided
}

// countOnly leaves the rows out, and says where they are.
func (g *knownGroup) countOnly() {
	g.open = true
	g.At += " · listed under " + viewNames[Targeted]
}

// findKnown sorts the rows that were judged, and those that are compared, by what
// is known of them.
func (m *Model) findKnown() {
	var judged [4][]*Row  // outside, within, one end, open
	var changed [2][]*Row // told, open
	for g := range m.Groups {
		rows := m.Groups[g].Rows
		for i := range rows {
			r := &rows[i]
			switch r.Verdict {
			case draw.Below, draw.Above:
				judged[0] = append(judged[0], r)
			case draw.Within:
				judged[1] = append(judged[1], r)
			case draw.NotBelow, draw.NotAbove:
				judged[2] = append(judged[2], r)
			case draw.CantTell:
				judged[3] = append(judged[3], r)
			}
			switch {
			case !r.HasPrevious || !r.HasTarget:
			case r.ChangeTold:
				changed[0] = append(changed[0], r)
			default:
				changed[1] = append(changed[1], r)
			}
		}
	}
	group := func(title string, rows []*Row, sure func(*Row) float64) []knownGroup {
		if len(rows) == 0 {
			return nil
		}
		slices.SortStableFunc(rows, func(a, b *Row) int { return cmp.Compare(sure(b), sure(a)) })
		return []knownGroup{{Group: Group{Title: title, At: strconv.Itoa(len(rows))}, rows: rows}}
	}
	for i, title := range []string{"Outside the range", "Within the range", "One end is settled", "Can't tell yet"} {
		m.known = append(m.known, group(title, judged[i], func(r *Row) float64 { return r.Probability })...)
	}
	for i, title := range []string{"Changed", "Can't tell whether it changed"} {
		m.knownChanges = append(m.knownChanges, group(title, changed[i], func(r *Row) float64 { return r.ChangeProbability })...)
	}
	if n := len(m.known); n > 1 && len(judged[3]) > 0 {
		m.known[n-1].countOnly()
	}
	if n := len(m.knownChanges); n > 1 && len(changed[1]) > 0 {
		m.knownChanges[n-1].countOnly()
	}
}

// What the rows and the headers of what is known have above their line of text, sp: they
// stand close, so that all of it is seen at once.
const (
	knownPad  = 3
	knownHead = 6
)

// knownNow are the groups that Known shows, nil where there are none.
func (s *Sheet) knownNow(m *Model) []knownGroup {
	switch {
	case m == nil || s.View != Known:
		return nil
	case s.Changes && m.Compared:
		return m.knownChanges
	}
	return m.known
}

// inShort is what a row's verdict says beside its header and sign.
func (r *Row) inShort() string {
	switch r.Verdict {
	case draw.Within:
		return words.Likelihood(r.Probability)
	case draw.Below, draw.Above:
		return r.Says
	case draw.NotBelow, draw.NotAbove:
		return r.word
	}
	return ""
}

// layoutKnown draws a row of what is known on one line: the sign, the name, how
// sure it is, the number.
func (s *Sheet) layoutKnown(gtx layout.Context, th *draw.Theme, c *columns, r *Row) {
	y := c.row / 2
	number, half, brief, ink := r.Number, r.PlusMinus, r.inShort(), th.VerdictColour(r.Verdict)
	sign := r.Verdict
	if c.changes {
		number, half, brief, ink, sign = r.Delta, r.deltaUnit, r.ChangeBrief, th.Dim, draw.CantTell
		if r.ChangeTold {
			ink, sign = th.Text, draw.Within
		}
	}
	th.Verdict(gtx.Ops, f32.Pt(float32(c.pad+c.glyph), float32(y)), float32(c.glyph), sign)
	x := c.width - c.pad
	write := func(size unit.Sp, weight font.Weight, ink color.NRGBA, text string) {
		if text != "" {
			x = th.TextAt(gtx, f32.Pt(float32(x), float32(y)), 1, 0.5, size, weight, ink, text).Min.X - c.gap/2
		}
	}
	write(draw.Body, font.Normal, th.Dim, half)
	write(draw.Body, font.Medium, th.Text, number)
	nameAt := c.pad + 2*c.glyph + gtx.Sp(8)
	name, _ := th.TextSize(gtx, draw.Body, font.Normal, r.label)
	room := x - c.gap - nameAt
	sz, _ := th.TextSize(gtx, draw.Small, font.Normal, brief)
	// A name that is cut has the room of how sure it is; of an answer, its least.
	if left := room - sz.X; left >= name.X || name.X > room && r.Verdict != draw.Within && left >= gtx.Sp(nameLeast) {
		write(draw.Small, font.Normal, ink, brief)
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(x-c.gap/2-nameAt, 0), c.line)}
	t := at(gtx, nameAt, y, c.line)
	r.layoutLabel(g, th)
	t.Pop()
}

// layoutLabel writes the name and the key position; where they have no room, the name is
// cut: rows of one measure differ by their position only.
func (r *Row) layoutLabel(gtx layout.Context, th *draw.Theme) {
	whole, _ := th.TextSize(gtx, draw.Body, font.Normal, r.label)
	tail := strings.TrimPrefix(r.label, r.Name)
	end, _ := th.TextSize(gtx, draw.Body, font.Normal, tail)
	left := gtx.Constraints.Max.X - end.X
	if whole.X <= gtx.Constraints.Max.X || tail == "" || left < gtx.Sp(stemLeast) {
		th.Label(gtx, draw.Body, font.Normal, th.Text, r.label)
		return
	}
	g := gtx
	g.Constraints.Max.X = left
	d := th.Label(g, draw.Body, font.Normal, th.Text, r.Name)
	defer op.Offset(image.Pt(d.Size.X, 0)).Push(gtx.Ops).Pop()
	th.Label(gtx, draw.Body, font.Normal, th.Text, tail)
}
