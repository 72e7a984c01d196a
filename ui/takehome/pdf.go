package takehome

import (
	"bytes"
	"fmt"
	"image/color"
	"sort"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"turngauge/ui/takehome/raster"
)

// Paper is a size of paper.
type Paper uint8

// The papers; the zero value is A4.
const (
	A4 Paper = iota
	Letter
)

// ParsePaper returns the paper of a name, "a4" or "letter".
func ParsePaper(name string) (Paper, bool) {
	switch strings.ToLower(name) {
	case "a4":
		return A4, true
	case "letter":
		return Letter, true
	}
	return A4, false
}

// String returns the paper's name.
func (p Paper) String() string {
	if p == Letter {
		return "Letter"
	}
	return "A4"
}

// style is how a text is set.
type style struct {
	size    float64 // points per em
	bold    bool
	ink     color.NRGBA
	leading float64 // from line to line, in sizes
}

// page sets a sheet on pages.
type page struct {
	pdf     *fpdf.Fpdf
	letters *letters
	sheet   *Sheet
	tags    *tagger
	// left, width, bottom and y are points from the page's top-left corner: y
	// is where the next thing goes.
	left, width, bottom, y float64
	headed                 float64 // where the academy at the head ends
	setting
	shadow   *shadow // nil where no picture is wanted
	height   float64 // of the page
	number   int
	pictures int
}

// The margins, points.
const (
	marginSide   = 48.0
	marginTop    = 44.0
	marginBottom = 50.0
)

const fontName = "Go"

// PDF writes the sheet for a size of paper. The same sheet gives the same bytes.
// lacking names letters that no font of the computer has, or is "".
func (s *Sheet) PDF(paper Paper) (data []byte, lacking string, err error) {
	l := newLetters()
	plan := s.plan(func(o setting) int { return s.set(paper, l, o, nil).number })
	p := s.set(paper, l, plan, nil)
	var b bytes.Buffer
	if err := p.pdf.Output(&b); err != nil {
		return nil, "", err
	}
	if data, err = withTags(b.Bytes(), p.tags); err != nil {
		return nil, "", err
	}
	return data, l.lackingLetters(), nil
}

// closest is how much of the usual room there is at least between things.
const closest = 0.7

// setting says how a sheet is set on pages.
type setting struct {
	pages int     // in all, 0 where it is not known yet
	room  float64 // share of the usual room between things
	full  []bool  // which findings are set in full
	trim  trim
}

// trim is what a sheet leaves out that would take too many pages otherwise.
type trim uint8

const (
	trimNothing trim = iota
	trimNumbers      // of the numbers those that stand among the findings
	trimNoise        // and the changes that are within the noise
	trimShots        // and the pictures of shots, whose numbers stand below them
)

// plan chooses how to set the sheet: with as many findings in full as there is
// room for, and as airily as needs no more pages. pages counts the pages of a
// setting.
func (s *Sheet) plan(pages func(setting) int) setting {
	all := len(s.Findings)
	o := setting{room: closest, full: s.inFull(all)}
	o.pages = pages(o)
	for t := trimNothing; o.pages > mostPages && all > leastFull && t <= trimShots; t++ {
		with := func(fewer int) setting {
			return setting{room: closest, full: s.inFull(all - fewer), trim: t}
		}
		fewer := sort.Search(all-leastFull, func(fewer int) bool { return pages(with(fewer)) <= mostPages })
		o = with(fewer)
		o.pages = pages(o)
	}
	for _, room := range [...]float64{1, 0.85} {
		airy := o
		airy.room = room
		if pages(airy) == o.pages {
			return airy
		}
	}
	return o
}

// set sets the sheet on pages, and draws the first of them on h too.
func (s *Sheet) set(paper Paper, l *letters, o setting, h *shadow) *page {
	pdf := fpdf.New("P", "pt", paper.String(), "")
	pdf.SetCatalogSort(true) // the same order every time
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.AddUTF8FontFromBytes(fontName, "", goregular.TTF)
	pdf.AddUTF8FontFromBytes(fontName, "B", gobold.TTF)
	pdf.SetTitle(s.Title(), true)
	pdf.SetAuthor(s.Coach, true)
	pdf.SetSubject("What a golf student takes home from a lesson", true)
	pdf.SetCreator("Turngauge", true)
	pdf.SetProducer("Turngauge", true)
	pdf.SetLang("en")
	// The sheet's day rather than the moment: the same lesson gives the same
	// file.
	day := s.Day
	if day.IsZero() {
		day = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	pdf.SetCreationDate(day)
	pdf.SetModificationDate(day)
	w, tall := pdf.GetPageSize()
	p := &page{pdf: pdf, letters: l, sheet: s, tags: newTagger(), left: marginSide, width: w - 2*marginSide, bottom: tall - marginBottom, height: tall, setting: o, shadow: h}
	p.turn()
	p.body()
	return p
}

// turn begins the next page, with its foot.
func (p *page) turn() {
	p.pdf.AddPage()
	p.shadow.turn(p.width+2*p.left, p.height)
	p.number++
	p.y = marginTop
	st := style{size: 8, ink: paper.Dim}
	y := p.bottom + 24
	foot := p.sheet.Student
	if p.sheet.Date != "" {
		if foot != "" {
			foot += " · "
		}
		foot += p.sheet.Date
	}
	number := fmt.Sprintf("page %d of %d", p.number, p.pages)
	p.line(p.left, y-12, p.width, 0.5, paper.Line)
	p.beside(func() {
		p.write(p.short(foot, st, p.width*0.7), p.left, y, st)
		p.write(number, p.left+p.width-p.measure(number, st), y, st)
	})
}

// need turns the page where less than height is left on this one.
func (p *page) need(height float64) {
	if p.y+height > p.bottom && p.y > marginTop {
		p.turn()
	}
}

func (p *page) font(st style) {
	name := ""
	if st.bold {
		name = "B"
	}
	p.pdf.SetFont(fontName, name, st.size)
}

// measure returns the width of a line, points.
func (p *page) measure(text string, st style) float64 {
	p.font(st)
	w := 0.0
	for _, x := range p.letters.pieces(text) {
		if x.text != "" {
			w += p.pdf.GetStringWidth(x.text)
		}
		w += x.advance * st.size
	}
	return w
}

// write writes one line with the start of its baseline at a place.
func (p *page) write(text string, x, y float64, st style) {
	for _, c := range p.letters.pieces(text) {
		if c.text != "" {
			p.font(st)
			p.pdf.SetTextColor(int(st.ink.R), int(st.ink.G), int(st.ink.B))
			p.marked(func() { p.pdf.Text(x, y, c.text) })
			p.shadow.text(c.text, x, y, st)
			x += p.pdf.GetStringWidth(c.text)
			continue
		}
		p.standing(c.said, func() {
			p.fill(c.path, x, y, st.size, st.ink)
			// Readers look for a letter that the words can stand for.
			p.font(st)
			p.pdf.SetTextRenderingMode(unseen)
			p.pdf.Text(x, y, ".")
			p.pdf.SetTextRenderingMode(filled)
		})
		x += c.advance * st.size
	}
}

// Modes of drawing text (ISO 32000-1, 9.3.6).
const filled, unseen = 0, 3

// wrap breaks a text into lines of a width.
func (p *page) wrap(text string, st style, width float64) []string {
	return raster.Wrapped(text, width, func(s string) float64 { return p.measure(s, st) })
}

// short cuts a line that is too wide.
func (p *page) short(text string, st style, width float64) string {
	if p.measure(text, st) <= width {
		return text
	}
	r := []rune(text)
	for len(r) > 0 && p.measure(string(r)+"…", st) > width {
		r = r[:len(r)-1]
	}
	return strings.TrimSpace(string(r)) + "…"
}

// tall is the height that lines take.
func (st style) tall(lines int) float64 { return float64(lines) * st.size * st.leading }

// lines writes lines from the top y on and returns where they end.
func (p *page) lines(lines []string, x, y float64, st style) float64 {
	for i, s := range lines {
		// The Go font's letters reach 0.73 of its size above the baseline; the
		// rest of the leading is shared.
		base := y + st.size*(st.leading*float64(i)+(st.leading-1)/2+0.83)
		if i < len(lines)-1 {
			s += " " // who has it read to them hears two words
		}
		p.write(s, x, base, st)
	}
	return y + st.tall(len(lines))
}

func (p *page) line(x, y, width, thick float64, ink color.NRGBA) {
	p.ground(x, y-thick/2, width, thick, ink)
}

// ground fills a rectangle.
func (p *page) ground(x, y, width, height float64, ink color.NRGBA) {
	p.pdf.SetFillColor(int(ink.R), int(ink.G), int(ink.B))
	p.beside(func() { p.marked(func() { p.pdf.Rect(x, y, width, height, "F") }) })
	p.shadow.ground(x, y, width, height, ink)
}

// path lays a path down in the PDF, its origin at a place, scaled.
func (p *page) path(steps []Step, x, y, scale float64) {
	at := func(q Pt) (float64, float64) { return x + q.X*scale, y + q.Y*scale }
	for _, s := range steps {
		ex, ey := at(s.P[2])
		switch s.Do {
		case MoveTo:
			p.pdf.MoveTo(ex, ey)
		case LineTo:
			p.pdf.LineTo(ex, ey)
		case CurveTo:
			ax, ay := at(s.P[0])
			bx, by := at(s.P[1])
			p.pdf.CurveBezierCubicTo(ax, ay, bx, by, ex, ey)
		case ClosePath:
			p.pdf.ClosePath()
		}
	}
}

func (p *page) fill(steps []Step, x, y, scale float64, ink color.NRGBA) {
	if len(steps) == 0 {
		return
	}
	p.pdf.SetFillColor(int(ink.R), int(ink.G), int(ink.B))
	p.path(steps, x, y, scale)
	p.pdf.DrawPath("F")
	p.shadow.fill(steps, x, y, scale, ink)
}

// draw puts a drawing with its top-left corner at a place.
func (p *page) draw(d *Drawing, x, y float64) {
	p.figure(d.Says, func() { p.shapes(d, x, y) })
}

func (p *page) shapes(d *Drawing, x, y float64) {
	for i := range d.Shapes {
		s := &d.Shapes[i]
		if s.Text != "" {
			st := style{size: s.Size, bold: s.Bold, ink: s.Fill}
			p.write(s.Text, x+s.At.X-s.Align*p.measure(s.Text, st), y+s.At.Y, st)
			continue
		}
		if s.Fill.A > 0 {
			p.see(s.Fill.A)
			p.fill(s.Path, x, y, 1, s.Fill)
		}
		if s.Stroke.A > 0 {
			p.see(s.Stroke.A)
			p.pdf.SetDrawColor(int(s.Stroke.R), int(s.Stroke.G), int(s.Stroke.B))
			p.pdf.SetLineWidth(s.Width)
			if s.Dashed {
				p.pdf.SetDashPattern([]float64{dashLength * s.Width, dashGap * s.Width}, 0)
			}
			p.path(s.Path, x, y, 1)
			p.pdf.DrawPath("D")
			p.pdf.SetDashPattern(nil, 0)
			p.shadow.stroke(s, x, y)
		}
	}
	p.see(255)
}

// see sets how much is seen of what is drawn.
func (p *page) see(alpha uint8) {
	if now, _ := p.pdf.GetAlpha(); now != float64(alpha)/255 {
		p.pdf.SetAlpha(float64(alpha)/255, "Normal")
	}
}

// picture puts a picture at a place.
func (p *page) picture(x *Picture, left, top, width, height float64) {
	p.pictures++
	name := fmt.Sprintf("picture %d", p.pictures)
	o := fpdf.ImageOptions{ImageType: "JPG"}
	p.pdf.RegisterImageOptionsReader(name, o, bytes.NewReader(x.JPEG))
	p.figure(x.Says, func() { p.pdf.ImageOptions(name, left, top, width, height, false, o, 0, "") })
	p.shadow.picture(x, left, top, width, height)
}
