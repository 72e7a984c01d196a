// Package systemfonts finds fonts of the computer for letters that the embedded font
// lacks.
package systemfonts

import (
	"os"
	"path/filepath"

	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/fontscan"
)

// Faces returns a function that finds a font of the computer with a
// letter, or nil. The fonts are looked through once, which takes some seconds
// the first time and is kept in the user's cache.
func Faces() func(rune) *font.Face {
	none := func(rune) *font.Face { return nil }
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	m := fontscan.NewFontMap(quiet{})
	if err := m.UseSystemFonts(filepath.Join(cache, "turngauge")); err != nil {
		return none
	}
	m.SetQuery(fontscan.Query{Families: []string{fontscan.SansSerif}})
	return func(r rune) *font.Face {
		f := m.ResolveFace(r)
		if f == nil {
			return nil
		}
		if _, ok := f.NominalGlyph(r); !ok {
			return nil
		}
		return f
	}
}

// quiet keeps the font scanner from the terminal: a font that can't be read is
// no font.
type quiet struct{}

func (quiet) Printf(string, ...any) {}
