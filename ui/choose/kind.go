package choose

import (
	"path/filepath"
	"slices"
	"strings"
)

// Kind is a sort of file one may look for.
type Kind struct {
	Name       string   // plural, as the panel shows it
	Extensions []string // lower case, without the dot
}

// The kinds of file the program opens.
var (
	Clips   = Kind{"Clips", []string{"mp4", "mov", "m4v", "mkv", "webm", "avi"}}
	Lessons = Kind{"Lessons", []string{"json"}}
	Tables  = Kind{"Tables", []string{"csv", "tsv", "txt"}}
	Photos  = Kind{"Pictures", []string{"jpg", "jpeg", "png"}}
)

// Matches reports whether a file is of the kind, by its extension in any case.
func (k Kind) Matches(name string) bool { return matches([]Kind{k}, name) }

// matches reports whether a file is of one of the kinds, by its extension in any case. No kinds at all
// match every file.
func matches(kinds []Kind, name string) bool {
	if len(kinds) == 0 {
		return true
	}
	ext := strings.ToLower(strings.TrimPrefix(filepath.Ext(name), "."))
	for _, k := range kinds {
		if slices.Contains(k.Extensions, ext) {
			return true
		}
	}
	return false
}

// pictured are the kinds of which there are small pictures.
var pictured = []Kind{Clips, Lessons, Photos}

// extensions lists those of the kinds for the desktop's dialog, which tells upper from lower case: each is
// given both ways.
func extensions(kinds []Kind) []string {
	var list []string
	for _, k := range kinds {
		for _, e := range k.Extensions {
			list = append(list, "."+e, "."+strings.ToUpper(e))
		}
	}
	return list
}

// kindsName joins the names of the kinds: "Clips and lessons".
func kindsName(kinds []Kind) string {
	var b strings.Builder
	for i, k := range kinds {
		switch {
		case i == 0:
			b.WriteString(k.Name)
			continue
		case i == len(kinds)-1:
			b.WriteString(" and ")
		default:
			b.WriteString(", ")
		}
		b.WriteString(strings.ToLower(k.Name))
	}
	return b.String()
}
