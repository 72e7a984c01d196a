package win32

import (
	"strings"
	"unicode/utf16"
)

// chosen are the paths in what the dialog answers with: one path, or the folder and the names
// in it, each with a zero at its end, and another at the end of all.
//
// Source: Microsoft, OPENFILENAMEW (commdlg.h), lpstrFile with OFN_EXPLORER.
func chosen(names []uint16) (paths []string) {
	var parts []string
	for at := 0; at < len(names) && names[at] != 0; at++ {
		start := at
		for at < len(names) && names[at] != 0 {
			at++
		}
		parts = append(parts, string(utf16.Decode(names[start:at])))
	}
	if len(parts) <= 1 {
		return parts
	}
	for _, name := range parts[1:] {
		paths = append(paths, strings.TrimSuffix(parts[0], `\`)+`\`+name)
	}
	return paths
}
