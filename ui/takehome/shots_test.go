package takehome

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"text/template"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/shots"
)

// sleep holds the extra hours of sleep of ten patients with two drugs: Student
// 1908, Biometrika 6:1-25, as R's data set "sleep" has them.
var sleep = [2][]float64{
	{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0},
	{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4},
}

// shot gives the lesson two blocks of shots.
func shot(l *annotations.Lesson) *annotations.Lesson {
	l.Shots = nil
	for b, block := range []string{"before", "after"} {
		for i, v := range sleep[b] {
			values := map[shots.Reading]float64{
				shots.ClubPath: v, shots.FaceToPath: v / 2,
				shots.StrikeAcross: float64(12 - 11*b + i), shots.StrikeUp: float64(i%3 - 4),
			}
			if i < 3 {
				values[shots.Carry] = 130 + v
			}
			l.Shots = append(l.Shots, shots.Shot{ID: annotations.NewID(), Block: block, Club: "7-iron", Values: values})
		}
	}
	return l
}

// The numbers of the club path are those of R's help page of t.test for the
// data set "sleep": means 0.75 and 2.33, Welch's interval of the difference
// -3.365 to 0.205 (earlier less later).
func TestShotsOnTheSheet(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	s := build(t, Request{Lesson: shot(l), Path: path})
	require.NotNil(t, s.Shots)
	rows := make(map[string]ShotRow)
	for _, r := range s.Shots.Rows {
		rows[r.Name] = r
	}
	require.Len(t, rows, 5)
	p := rows["Club path, °"]
	assert.True(t, strings.HasPrefix(p.Before, "0.8 ± ") && strings.HasPrefix(p.After, "2.3 ± "), "%+v", p)
	assert.Equal(t, "+1.6 ± 1.8", p.Change)
	assert.Equal(t, "can't tell", p.Word)
	across := rows["Strike across, mm"]
	assert.True(t, across.Real)
	assert.Equal(t, "real", across.Word)
	assert.True(t, strings.HasPrefix(across.Change, "−11.0 ± "))
	assert.Equal(t, "too few shots to tell", rows["Carry, m"].Word)
	require.Len(t, s.Shots.Pictures, 2)
	for _, d := range s.Shots.Pictures {
		for _, shape := range d.Shapes {
			lo, hi := bounds(shape.Path)
			assert.True(t, len(shape.Path) == 0 || lo.X >= 0 && lo.Y >= 0 && hi.X <= d.Width && hi.Y <= d.Height, "within the picture")
		}
	}
	for _, paper := range []Paper{A4, Letter} {
		data, _, err := s.PDF(paper)
		require.NoError(t, err)
		keep(t, "shots-"+paper.String()+".pdf", data)
		file := filepath.Join(t.TempDir(), "sheet.pdf")
		require.NoError(t, os.WriteFile(file, data, 0o644))
		text := flat(tool(t, "pdftotext", "-layout", file, "-"))
		for _, w := range s.words() {
			assert.Contains(t, text, flat(w))
		}
		assert.Contains(t, text, "Strike on the face, mm")
		pages, err := strconv.Atoi(field(tool(t, "pdfinfo", file), "Pages"))
		require.NoError(t, err)
		look(t, file, pages)
	}
	data, err := s.HTML(A4)
	require.NoError(t, err)
	keep(t, "shots.html", data)
	assert.Contains(t, string(data), `<h2 id="shots">`)
	assert.Contains(t, string(data), `aria-label="Strike on the face, mm (strike across and strike up): before, ten shots about 16.5 and −3.1; after, ten shots about 5.5 and −3.1"`)
	for _, r := range s.Shots.Rows {
		assert.Contains(t, strings.ReplaceAll(string(data), "&#43;", "+"), `<td class="n">`+r.Before+`</td><td class="n">`+r.After+`</td><td class="n">`+r.Change+`</td><td>`+template.HTMLEscapeString(r.Word)+`</td>`)
	}
}

// In inches and yards the sheet says the same: an inch is 25.4 mm and a yard
// 0.9144 m (international yard and pound agreement, 1959).
func TestShotsOnTheSheetInYards(t *testing.T) {
	l, path := fixture(t)
	s := build(t, Request{Lesson: shot(l), Path: path, Imperial: true})
	rows := make(map[string]ShotRow)
	for _, r := range s.Shots.Rows {
		rows[r.Name] = r
	}
	// The means are 16.5 and 5.5 mm, and 129.6 m of carry: 130 less 0.4.
	assert.True(t, strings.HasPrefix(rows["Strike across, in"].Before, "0.65 ± "), "%+v", rows)
	assert.True(t, strings.HasPrefix(rows["Strike across, in"].Change, "−0.43 ± "))
	assert.True(t, rows["Strike across, in"].Real, "the unit changes no verdict")
	assert.True(t, strings.HasPrefix(rows["Carry, yd"].Before, "141.8 ± "))
	assert.True(t, strings.HasPrefix(rows["Club path, °"].Before, "0.8 ± "))
	data, err := s.HTML(Letter)
	require.NoError(t, err)
	assert.Contains(t, string(data), "Strike on the face, in (strike across and strike up): before, ten shots about 0.65 and −0.12; after")
	assert.Contains(t, string(data), rows["Carry, yd"].Before)
	pdf, _, err := s.PDF(Letter)
	require.NoError(t, err)
	keep(t, "shots-in-yards.pdf", pdf)
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o644))
	text := flat(tool(t, "pdftotext", "-layout", file, "-"))
	assert.Contains(t, text, "Strike on the face, in")
	assert.Contains(t, text, "Carry, yd")
	assert.NotContains(t, text, " mm")
}

func TestNoShotsOnTheSheet(t *testing.T) {
	l, path := fixture(t)
	shot(l).Shots = l.Shots[:10]
	s := build(t, Request{Lesson: l, Path: path})
	assert.Nil(t, s.Shots, "one block has nothing to be held against")
	data, err := s.HTML(A4)
	require.NoError(t, err)
	assert.NotContains(t, string(data), "Your shots")
}

// A block logged first as "after" is still the later one.
func TestShotsInTheOtherOrder(t *testing.T) {
	l, path := fixture(t)
	shot(l).Shots = append(l.Shots[10:], l.Shots[:10]...)
	s := build(t, Request{Lesson: l, Path: path})
	assert.Equal(t, []string{"before", "after"}, []string{s.Shots.Earlier, s.Shots.Later})
}

// Every point of the outline solves the ellipse's own equation, to the
// accuracy of a circle's curves.
func TestOutlineOfAnEllipse(t *testing.T) {
	e := &shots.Ellipse{X: 3, Y: -2, Major: 5, Minor: 2, AngleDeg: 30}
	for _, s := range ellipseOutline(e, func(q Pt) Pt { return q }) {
		if s.Do == ClosePath {
			continue
		}
		x, y := s.P[2].X-3, s.P[2].Y+2
		sin, cos := math.Sincos(math.Pi / 6)
		u, v := x*cos+y*sin, -x*sin+y*cos
		assert.InDelta(t, 1, u*u/25+v*v/4, 1e-9)
	}
}
