package takehome

import (
	"bytes"
	_ "embed" // the page
	"encoding/base64"
	"fmt"
	"html"
	"html/template"
	"image/color"
	"strconv"
	"strings"

	"turngauge/geometry"
)

//go:embed sheet.html
var pageHTML string

var pageTemplate = template.Must(template.New("sheet").Funcs(template.FuncMap{
	"svg":     func(d *Drawing) template.HTML { return template.HTML(d.SVG()) },
	"drawing": func(d Drawing) template.HTML { return template.HTML(d.SVG()) },
	"sign": func(v geometry.Verdict) template.HTML {
		d := sign(v)
		return template.HTML(d.SVG())
	},
	"picture": func(p *Picture) template.URL {
		return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(p.JPEG))
	},
	"sentence": sentence,
	"told":     func(f *Finding) string { return withoutIntervals(f) },
}).Parse(pageHTML))

// HTML writes the sheet as one file that asks for no other: no script, no font
// and no picture from elsewhere. paper is what it is printed on unless the
// reader says otherwise. The same sheet gives the same bytes.
func (s *Sheet) HTML(paper Paper) ([]byte, error) {
	var b bytes.Buffer
	var one *Finding
	var others []*Finding
	for i := range s.Findings {
		if i == s.main() {
			one = &s.Findings[i]
		} else {
			others = append(others, &s.Findings[i])
		}
	}
	err := pageTemplate.Execute(&b, map[string]any{
		"Sheet": s, "Title": s.Title(), "Facts": s.facts(), "Items": s.items(), "Paper": template.CSS(paper.String()),
		"Verdicts": []geometry.Verdict{geometry.Within, geometry.Below, geometry.Above, geometry.NotBelow, geometry.NotAbove, geometry.CantTell},
		"Main":     one, "Others": others, "Logo": s.logo,
		"Ink": inksOf(), "TurnSign": turnSign,
		"CoursesNote": coursesNote(len(s.Courses)),
	})
	return b.Bytes(), err
}

// inksOf are the colours of the page, by name.
func inksOf() map[string]template.CSS {
	out := make(map[string]template.CSS)
	for name, c := range map[string]color.NRGBA{
		"Text": paper.Text, "Dim": paper.Dim, "Accent": paper.Accent, "AccentLow": paper.AccentLow,
		"Line": paper.Line, "Edge": paper.Edge, "Panel": paper.Panel, "Outside": paper.Outside,
	} {
		out[name] = template.CSS(hex(c))
	}
	return out
}

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// SVG writes a drawing as an SVG element with its description. One that says
// nothing is hidden from those who can't see it.
func (d *Drawing) SVG() string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%spt" height="%spt"`,
		svgNumber(d.Width), svgNumber(d.Height), svgNumber(d.Width), svgNumber(d.Height))
	if d.Says == "" {
		b.WriteString(` aria-hidden="true">`)
	} else {
		fmt.Fprintf(&b, ` role="img" aria-label="%s">`, html.EscapeString(d.Says))
	}
	for i := range d.Shapes {
		d.Shapes[i].svg(&b)
	}
	b.WriteString("</svg>")
	return b.String()
}

func (s *Shape) svg(b *strings.Builder) {
	if s.Text != "" {
		anchor := map[float64]string{0: "start", 0.5: "middle", 1: "end"}[s.Align]
		weight := ""
		if s.Bold {
			weight = ` font-weight="bold"`
		}
		fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" text-anchor="%s"%s fill="%s">%s</text>`,
			svgNumber(s.At.X), svgNumber(s.At.Y), svgNumber(s.Size), anchor, weight, hex(s.Fill), html.EscapeString(s.Text))
		return
	}
	b.WriteString(`<path d="`)
	for i, st := range s.Path {
		if i > 0 {
			b.WriteByte(' ')
		}
		pt := func(p Pt) string { return svgNumber(p.X) + " " + svgNumber(p.Y) }
		switch st.Do {
		case MoveTo:
			b.WriteString("M" + pt(st.P[2]))
		case LineTo:
			b.WriteString("L" + pt(st.P[2]))
		case CurveTo:
			b.WriteString("C" + pt(st.P[0]) + " " + pt(st.P[1]) + " " + pt(st.P[2]))
		case ClosePath:
			b.WriteString("Z")
		}
	}
	b.WriteString(`" fill="`)
	b.WriteString(paint(s.Fill, "fill"))
	if s.Stroke.A > 0 {
		fmt.Fprintf(b, ` stroke="%s stroke-width="%s"`, paint(s.Stroke, "stroke"), svgNumber(s.Width))
		if s.Dashed {
			fmt.Fprintf(b, ` stroke-dasharray="%s %s"`, svgNumber(dashLength*s.Width), svgNumber(dashGap*s.Width))
		}
	}
	b.WriteString("/>")
}

// paint is the value of a colour's attribute with its closing quote, and the
// attribute of its opacity where it is not opaque.
func paint(c color.NRGBA, name string) string {
	switch c.A {
	case 0:
		return `none"`
	case 0xff:
		return hex(c) + `"`
	}
	return hex(c) + `" ` + name + `-opacity="` + svgNumber(float64(c.A)/255) + `"`
}

// svgNumber writes a number to a hundredth.
func svgNumber(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}
