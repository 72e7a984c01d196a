package takehome

import (
	"context"
	"image"
	_ "image/png" // pages are looked at
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/go-text/typesetting/font"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/geometry"
	"turngauge/ui/takehome/pdffile"
	"turngauge/ui/x11/xtest"
)

// tool runs one of the programs of poppler (https://poppler.freedesktop.org) on
// a file and returns what it prints.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(xtest.Need(t, name), args...).CombinedOutput()
	require.NoError(t, err, "%s: %s", name, out)
	return string(out)
}

func field(info, name string) string {
	m := regexp.MustCompile(`(?m)^` + name + `:\s*(.*)$`).FindStringSubmatch(info)
	if m == nil {
		return ""
	}
	return m[1]
}

// words are what every reader of the sheet must find on it.
func (s *Sheet) words() []string {
	out := append([]string{s.Student, s.Lead, s.How, s.Cautions}, s.facts()...)
	for _, f := range s.Findings {
		out = append(out, withoutIntervals(&f), f.Plain)
		if f.Number != "" {
			out = append(out, f.Number, f.Interval)
		}
		if f.Picture != nil {
			out = append(out, f.Picture.Caption)
		}
	}
	for _, x := range s.items() {
		out = append(out, x.Text)
	}
	out = append(append(out, s.Next...), s.Mark...)
	for _, c := range s.Changes {
		out = append(out, c.Change, c.Word)
	}
	if s.Shots != nil {
		out = append(out, s.Shots.Note)
		for _, r := range s.Shots.Rows {
			out = append(out, r.Name, r.Before, r.After, r.Change, r.Word)
		}
	}
	for _, n := range s.Numbers {
		out = append(out, n.Number, n.Interval, n.Target)
	}
	return out
}

// Poppler reads the PDF: its words, its pages, its fonts and its pictures.
func TestPopplerReadsThePDF(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	before := earlier(l)
	found(l)
	l.Student.Name = "Mårten Ødegård-Szczepański"
	s := build(t, Request{Lesson: l, Path: path, Earlier: before})
	for _, c := range []struct {
		paper Paper
		size  string
	}{{A4, "595.28 x 841.89 pts (A4)"}, {Letter, "612 x 792 pts (letter)"}} {
		t.Run(c.paper.String(), func(t *testing.T) {
			data, lacking, err := s.PDF(c.paper)
			require.NoError(t, err)
			assert.Empty(t, lacking)
			again, _, err := s.PDF(c.paper)
			require.NoError(t, err)
			assert.Equal(t, data, again, "the same sheet gives the same bytes")
			keep(t, "full-"+c.paper.String()+".pdf", data)
			file := filepath.Join(t.TempDir(), "sheet.pdf")
			require.NoError(t, os.WriteFile(file, data, 0o644))

			info := tool(t, "pdfinfo", file)
			assert.Equal(t, c.size, field(info, "Page size"))
			assert.Equal(t, "Take-home sheet for Mårten Ødegård-Szczepański, 2 May 2026", field(info, "Title"))
			assert.Equal(t, "Odalys Brandt", field(info, "Author"))
			pages, err := strconv.Atoi(field(info, "Pages"))
			require.NoError(t, err)
			assert.LessOrEqual(t, pages, 4)
			assert.Contains(t, string(data), "/Lang (en)")
			checkTags(t, s, file, string(data))

			text := flat(tool(t, "pdftotext", "-layout", file, "-"))
			raw := flat(tool(t, "pdftotext", "-raw", file, "-"))
			for _, w := range s.words() {
				assert.True(t, strings.Contains(text, flat(w)) || strings.Contains(raw, flat(w)), "%q is not on the sheet", w)
			}
			for n := 1; n <= pages; n++ {
				assert.Contains(t, text, "page "+strconv.Itoa(n)+" of "+strconv.Itoa(pages))
			}
			for _, line := range strings.Split(strings.TrimSpace(tool(t, "pdffonts", file)), "\n")[2:] {
				f := strings.Fields(line) // … emb sub uni object ID
				assert.Equal(t, "yes", f[len(f)-5], "embedded: %s", line)
				assert.Equal(t, "yes", f[len(f)-3], "its characters can be copied: %s", line)
			}
			assert.Equal(t, 2+len(s.Strip), strings.Count(tool(t, "pdfimages", "-list", file), "jpeg"), "one picture a finding that has one, and those of the key positions")
			look(t, file, pages)
		})
	}
}

// checkTags checks, by what Poppler makes of it, that the PDF is a tagged one
// (ISO 32000-1, 14.8): all words are in the tree, in the sheet's order, under
// headings, in lists and in tables whose heads say what they head; each figure has
// words in its place.
func checkTags(t *testing.T, s *Sheet, file, data string) {
	t.Helper()
	info := tool(t, "pdfinfo", file)
	assert.Equal(t, "yes", field(info, "Tagged"))
	assert.Contains(t, data, "/DisplayDocTitle true")
	tree := tool(t, "pdfinfo", "-struct-text", file)
	quoted := regexp.MustCompile(`(?m)^ *"(.*)"$`)
	said := ""
	for _, m := range quoted.FindAllStringSubmatch(tree, -1) {
		said += m[1]
	}
	said = flat(said)
	for _, w := range s.words() {
		assert.Contains(t, said, flat(w), "in the structure tree")
	}
	assert.NotContains(t, said, "page 1 of", "the foot of the page is no part of the text")
	at := -1
	main := s.main()
	order := []string{s.Student, s.Lead, "The one thing to work on", withoutIntervals(&s.Findings[main]), "The feel", "Good to know as well", withoutIntervals(&s.Findings[1-main]), "Until next time", s.Cautions, "FOR THE COACH", "What the findings rest on", "Every number", s.How}
	for _, w := range order {
		i := strings.Index(said, flat(w))
		assert.Greater(t, i, at, "%q comes later", w)
		at = i
	}
	kinds := func(kind string) int { return len(regexp.MustCompile(`(?m)^ *`+kind+`\b`).FindAllString(tree, -1)) }
	assert.Equal(t, 1, kinds("H1"))
	assert.Equal(t, len(s.Findings), kinds("H3"))
	lists := 2 // what to do, and until next time
	if len(s.Mark) > 0 {
		lists++
	}
	assert.Equal(t, lists, kinds("L"))
	assert.Equal(t, kinds("TR")*6, kinds("TD")+kinds("TH"), "every line of a table has all its cells")
	assert.Equal(t, len(s.Changes)+len(s.Numbers)+len(s.Found), strings.Count(tree, "/Scope /Row"))
	// Plans and photographs; sign and scale of a number.
	figures := len(s.Plans) + len(s.Strip) + 2*len(s.Numbers) + 2*len(s.Found)
	for _, f := range s.Findings {
		if f.Picture != nil {
			figures++
			assert.Contains(t, data, "/Alt "+pdffile.Text(f.Picture.Says))
		}
	}
	assert.Equal(t, figures, kinds("Figure"))
	assert.Equal(t, figures, strings.Count(data, "/Alt <FEFF"))
}

// A name in letters that are drawn as outlines is there for those who search,
// copy or have the sheet read to them.
func TestOutlinesAreTextAllTheSame(t *testing.T) {
	l, path := fixture(t)
	l.Student.Name = "山田 花子"
	data, _, err := build(t, Request{Lesson: l, Path: path}).PDF(A4)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	require.NoError(t, os.WriteFile(file, data, 0o644))
	assert.Contains(t, flat(tool(t, "pdftotext", file, "-")), "山田 花子")
	// In the tree, where Poppler's pdfinfo does not print it: ISO 32000-1, 14.9.4.
	for _, name := range []string{"山田", "花子"} {
		assert.Regexp(t, `/S /Span /P \d+ 0 R /ActualText `+pdffile.Text(name), string(data))
	}
}

// A file that the library does not write so is refused, never spoilt.
func TestTagsNeedTheLibrarysFiles(t *testing.T) {
	l, path := fixture(t)
	l.Swings[0].Marks = nil
	data, _, err := build(t, Request{Lesson: l, Path: path}).PDF(A4)
	require.NoError(t, err)
	for _, bad := range [][]byte{nil, []byte("%PDF-1.4\nstartxref\n5\n%%EOF\n"), []byte("startxref\n99999\n%%EOF"), data} {
		_, err := withTags(bad, newTagger())
		assert.ErrorIs(t, err, pdffile.ErrOther)
	}
}

// look renders the pages and checks that each has something on it and nothing
// in the margins.
func look(t *testing.T, file string, pages int) {
	const dpi = 72
	to := filepath.Join(t.TempDir(), "page")
	tool(t, "pdftoppm", "-r", strconv.Itoa(dpi), "-png", file, to)
	made, err := filepath.Glob(to + "-*.png")
	require.NoError(t, err)
	require.Len(t, made, pages)
	for _, name := range made {
		f, err := os.Open(name)
		require.NoError(t, err)
		img, _, err := image.Decode(f)
		_ = f.Close()
		require.NoError(t, err)
		ink := 0
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if r, g, b, _ := img.At(x, y).RGBA(); min(r, g, b) > 0xf000 {
					continue
				}
				ink++
				inside := x >= marginSide-2 && x <= img.Bounds().Dx()-marginSide+2 && y >= marginTop-4 && y <= img.Bounds().Dy()-16
				require.True(t, inside, "%s: something at %d, %d is in the margin", filepath.Base(name), x, y)
			}
		}
		assert.Greater(t, ink, 1000, name)
	}
}

// Whatever the lesson holds, the sheet stays on its pages.
func TestPagesOfAllKinds(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	for _, c := range []struct {
		name  string
		pages int // at most
		of    func(l *annotations.Lesson) *annotations.Lesson
	}{
		{"one view", 3, func(l *annotations.Lesson) *annotations.Lesson { return oneView(found(l), geometry.FaceOn) }},
		{"left-hander", 4, func(l *annotations.Lesson) *annotations.Lesson { return leftHanded(found(l)) }},
		{"no findings", 3, func(l *annotations.Lesson) *annotations.Lesson { return l }},
		{"nothing marked", 2, func(l *annotations.Lesson) *annotations.Lesson {
			l.Swings[0].Marks = nil
			return l
		}},
		{"long words", 5, func(l *annotations.Lesson) *annotations.Lesson {
			found(l)
			l.Student.Name = strings.Repeat("Hohenlohe-Østergaard ", 4) + strings.Repeat("x", 90)
			l.Place, l.Coach = strings.Repeat("Fjordholm ", 20), strings.Repeat("Brandt", 30)
			l.Swings[0].Findings[0].Text = strings.Repeat("Your hips have turned less than we look for. ", 12)
			l.Prescription.Drill = strings.Repeat("Half swings with the trail heel against a wall. ", 20)
			return l
		}},
	} {

		t.Run(c.name, func(t *testing.T) {
			s := build(t, Request{Lesson: c.of(l.Clone()), Path: path})
			data, _, err := s.PDF(Letter)
			require.NoError(t, err)
			keep(t, strings.ReplaceAll(c.name, " ", "-")+".pdf", data)
			file := filepath.Join(t.TempDir(), "sheet.pdf")
			require.NoError(t, os.WriteFile(file, data, 0o644))
			pages, err := strconv.Atoi(field(tool(t, "pdfinfo", file), "Pages"))
			require.NoError(t, err)
			assert.LessOrEqual(t, pages, c.pages)
			look(t, file, pages)
		})
	}
}

// Many findings take no more pages: those that matter most are set in full, with
// their pictures, the others in a line each, and none is left out.
func TestManyFindings(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	whole := func(l *annotations.Lesson) *annotations.Lesson { return shot(manyFound(t, l, 14)) }
	for _, c := range []struct {
		name string
		of   func(l *annotations.Lesson) *annotations.Lesson
	}{
		{"many findings", whole},
		{"many and long words", func(l *annotations.Lesson) *annotations.Lesson {
			whole(l)
			l.Student.Name = strings.Repeat("Hohenlohe-Østergaard ", 4)
			l.Coach, l.Place = strings.Repeat("Odalys Brandt ", 4), strings.Repeat("Fjordholm practice ground ", 4)
			l.Prescription.Drill = strings.Repeat("Half swings with the trail heel against a wall. ", 8)
			for i := range l.Swings[0].Findings {
				l.Swings[0].Findings[i].Text = strings.Repeat(l.Swings[0].Findings[i].Text+" ", 2)
			}
			return l
		}},
		{"many, names of other letters", func(l *annotations.Lesson) *annotations.Lesson {
			whole(l)
			l.Student.Name, l.Coach, l.Place = "山田 花子", "Ελένη Παπαδοπούλου", "Поле Фьордхольм"
			return l
		}},
		{"many, no stature", func(l *annotations.Lesson) *annotations.Lesson {
			l.Student.StatureM, l.Student.StatureSDM = 0, 0
			return whole(l)
		}},
		{"many of one view", func(l *annotations.Lesson) *annotations.Lesson { return oneView(whole(l), geometry.DownTheLine) }},
		{"many of a left-hander", func(l *annotations.Lesson) *annotations.Lesson { return leftHanded(whole(l)) }},
		{"many that can't be told", func(l *annotations.Lesson) *annotations.Lesson {
			whole(l)
			for i := range l.Swings[0].Findings {
				f := &l.Swings[0].Findings[i]
				f.Low95, f.High95, f.Verdict = f.Value-40, f.Value+40, geometry.CantTell
			}
			return l
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			now := c.of(l.Clone())
			r := Request{Lesson: now, Path: path, Earlier: earlier(l), Course: [][]library.Value{lessonsOf("pelvis turn", 31, 33, 34, 37), lessonsOf("torso turn", 81, 83, 84, 87)}}
			s := build(t, r)
			require.Len(t, s.Findings, 14)
			for _, paper := range []Paper{A4, Letter} {
				data, _, err := s.PDF(paper)
				require.NoError(t, err)
				keep(t, strings.NewReplacer(" ", "-", ",", "", "'", "").Replace(c.name)+"-"+paper.String()+".pdf", data)
				file := filepath.Join(t.TempDir(), "sheet.pdf")
				require.NoError(t, os.WriteFile(file, data, 0o644))
				pages, err := strconv.Atoi(field(tool(t, "pdfinfo", file), "Pages"))
				require.NoError(t, err)
				most := mostPages
				if c.name == "many and long words" { // which lies not with the findings alone
					most++
				}
				assert.LessOrEqual(t, pages, most, paper)
				text := flat(tool(t, "pdftotext", "-layout", file, "-")) + flat(tool(t, "pdftotext", "-raw", file, "-")) + flat(tool(t, "pdftotext", file, "-"))
				assert.Contains(t, text, "Found as well")
				for i := range s.Findings {
					assert.Contains(t, text, flat(withoutIntervals(&s.Findings[i])[:30]), "finding %d", i)
				}
				look(t, file, pages)
			}
		})
	}
}

// The findings set in full are those that lie farthest outside, in halves of
// their intervals, and those that the coach wrote without a number.
func TestWhichFindingsAreInFull(t *testing.T) {
	s := &Sheet{Findings: []Finding{{Weight: 1}, {Weight: math.Inf(1)}, {Weight: 0}, {Weight: 3}, {Weight: 1}}}
	assert.Equal(t, []bool{true, true, false, true, false}, s.inFull(3))
	assert.Equal(t, []bool{true, true, true, true, true}, s.inFull(9))
	r := reading{Value: 31, Low: 25, High: 37, Target: &geometry.Range{Low: 40, High: 60}}
	assert.Equal(t, 1.5, r.weight())
	r.Value = 50
	assert.Zero(t, r.weight())
}

// A letter that the embedded font lacks is drawn as its outline in another
// font: compared with the outline that golang.org/x/image's reader gives.
func TestOutlinesOfAnotherFont(t *testing.T) {
	face, err := font.ParseTTF(strings.NewReader(string(gobold.TTF)))
	require.NoError(t, err)
	l := newLetters()
	l.own['Q'], l.own['j'] = false, false
	l.faces = func(rune) *font.Face { return face }
	p := l.pieces("A Qj b")
	require.Len(t, p, 3)
	assert.Equal(t, []string{"A ", "", " b"}, []string{p[0].text, p[1].text, p[2].text})
	bold, err := sfnt.Parse(gobold.TTF)
	require.NoError(t, err)
	var buf sfnt.Buffer
	const em = 2048
	advance := 0.0
	lo, hi := bounds(p[1].path)
	var wantLo, wantHi Pt
	for i, r := range "Qj" {
		g, err := bold.GlyphIndex(&buf, r)
		require.NoError(t, err)
		b, a, err := bold.GlyphBounds(&buf, g, fixed.I(em), 0)
		require.NoError(t, err)
		scale := func(v fixed.Int26_6) float64 { return float64(v) / 64 / em }
		if i == 0 {
			wantLo = Pt{scale(b.Min.X), scale(b.Min.Y)}
		}
		wantHi = Pt{advance + scale(b.Max.X), max(wantHi.Y, scale(b.Max.Y))}
		wantLo.Y = min(wantLo.Y, scale(b.Min.Y))
		advance += scale(a)
	}
	const tol = 2e-3 // ems: the shaper rounds to a thousandth
	assert.InDelta(t, advance, p[1].advance, tol)
	assert.InDelta(t, wantLo.X, lo.X, tol)
	assert.InDelta(t, wantLo.Y, lo.Y, tol)
	assert.InDelta(t, wantHi.X, hi.X, tol)
	assert.InDelta(t, wantHi.Y, hi.Y, tol)
	assert.Empty(t, l.lackingLetters())
}

func TestLettersThatNoFontHas(t *testing.T) {
	l := newLetters()
	l.faces = func(rune) *font.Face { return nil }
	p := l.pieces("ab\u0001 山田\u00a0e\u0301")
	require.Len(t, p, 3)
	assert.Equal(t, "ab ", p[0].text)
	assert.InDelta(t, 2*boxWidth, p[1].advance, 1e-9)
	assert.NotEmpty(t, p[1].path)
	assert.Equal(t, " é", p[2].text, "composed, so that the font has it")
	assert.Equal(t, "“山” and “田”", l.lackingLetters())
}

// Words of a script that runs from right to left stay one run, so that the
// first one stands at the right; a space after the last is none of it.
func TestWordsThatRunToTheLeft(t *testing.T) {
	l := newLetters()
	l.faces = func(rune) *font.Face { return nil }
	p := l.pieces("דנה כהן a")
	require.Len(t, p, 2)
	assert.InDelta(t, 6.5*boxWidth, p[0].advance, 1e-9)
	assert.Equal(t, " a", p[1].text)
	p = l.pieces("דנה ")
	require.Len(t, p, 2)
	assert.InDelta(t, 3*boxWidth, p[0].advance, 1e-9)
	assert.Equal(t, " ", p[1].text)
}

// The fonts claim Latin, Greek and Cyrillic letters.
func TestTheEmbeddedFontHasWhatIsClaimed(t *testing.T) {
	l := newLetters()
	for _, r := range "ÅåØøÆæÖöÄäÜüßŁłŃńŚśŻżŹźĄąĘęĆćŘřŠšČčĎďĚěŇňŤťŮůŐőŰűŞşĞğİıȘșÑñÇçÞþÐðŒœĀāĒēĪīŪūĢģĶķĻļŅņ" +
		"ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρσςτυφχψωάέήίόύώ" +
		"АБВГДЕЁЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдеёжзийклмнопрстуфхцчшщъыьэюяЄєІіЇїҐґЉљЊњЂђЋћЏџ" + "°±−–—·…“”‘’%/" {
		assert.True(t, l.has(r), "%c", r)
	}
}

func TestWrite(t *testing.T) {
	l, path := fixture(t)
	found(l)
	l.Swings[0].Findings = l.Swings[0].Findings[2:]
	dir := filepath.Dir(path)
	pdf, html := filepath.Join(dir, "a.pdf"), filepath.Join(dir, "a.html")
	require.NoError(t, os.WriteFile(pdf, []byte("an older one"), 0o644))
	notes, err := Write(context.Background(), Request{Lesson: l, Path: path, PDF: pdf, HTML: html})
	require.NoError(t, err)
	assert.Empty(t, notes)
	data, err := os.ReadFile(pdf)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(data), "%PDF-"))
	data, err = os.ReadFile(html)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(data), "<!DOCTYPE html>"))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, f := range left {
		assert.False(t, strings.HasPrefix(f.Name(), "."), "%s is left behind", f.Name())
	}
}
