package sheet

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gioui.org/layout"
	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

func TestPictures(t *testing.T) {
	all := Build(lessonInput())
	for _, c := range []struct {
		name  string
		dark  bool
		text  float32
		w, h  int
		model *Model
	}{
		{"two-line-dark", true, 1, 340, 640, all},
		{"wide-light", false, 1, 620, 560, all},
		{"wide-dark", true, 1, 620, 700, all},
		{"narrow-dark-15", true, 1.5, 300, 640, all},
		{"stacked-light-2", false, 2, 300, 640, all},
		{"changes-dark", true, 1, 380, 640, all},
		{"known-dark", true, 1, 416, 640, all},
		{"known-changes-light", false, 1, 416, 640, all},
		{"known-narrow-dark-15", true, 1.5, 300, 640, all},
		{"empty-dark", true, 1, 340, 300, Build(Input{})},
	} {
		t.Run(c.name, func(t *testing.T) {
			th := draw.NewFixedTheme(c.dark, c.text)
			s := Sheet{At: geometry.Top, View: Whole, Changes: strings.Contains(c.name, "changes")}
			if strings.HasPrefix(c.name, "known") {
				s.View = Known
			}
			s.Select(Key("pelvis turn", geometry.Top))
			img := drawtest.Picture(t, c.w, c.h, 1, th.Panel, func(gtx layout.Context) {
				s.Layout(gtx, th, c.model)
			})
			if dir := os.Getenv("TURNGAUGE_PICTURES"); dir != "" {
				drawtest.Save(t, filepath.Join(dir, "sheet-"+c.name+".png"), img)
			}
			drawtest.Golden(t, filepath.Join("testdata", c.name+".png"), img)
		})
	}
}

// TestAToldChangeLooksAnother: whether a change is told shows by the shape of its sign, also
// where there is no room for words.
func TestAToldChangeLooksAnother(t *testing.T) {
	th := draw.NewFixedTheme(true, 2)
	looks := func(told bool) []byte {
		m := Build(lessonInput())
		for g := range m.Groups {
			for i := range m.Groups[g].Rows {
				m.Groups[g].Rows[i].ChangeTold = told
			}
		}
		s := Sheet{At: geometry.Top, View: Whole, Changes: true}
		img := drawtest.Picture(t, 240, 640, 1, th.Panel, func(gtx layout.Context) {
			s.Layout(gtx, th, m)
			c := s.measureColumns(th.Context(gtx), th, 240)
			assert.True(t, c.glyphOnly, "there is no room for words")
		})
		return img.Pix
	}
	assert.NotEqual(t, looks(true), looks(false))
}
