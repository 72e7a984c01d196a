package place

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
)

// FreeName returns path or, where that is taken, one beside it with a number
// behind its name. Taken is also a name under which a file with one of the other
// endings lies, such as ".pdf", so that what belongs together gets one name. A name
// that no file can have is returned as it is: writing says why.
func FreeName(path string, endings ...string) string {
	ext := filepath.Ext(path)
	stem := strings.TrimSuffix(path, ext)
	endings = append(endings, ext)
	taken := func(stem string) bool {
		return slices.ContainsFunc(endings, func(e string) bool {
			_, err := os.Lstat(stem + e)
			return err == nil
		})
	}
	free := stem
	for n := 2; taken(free); n++ {
		free = fmt.Sprintf("%s (%d)", stem, n)
	}
	return free + ext
}

// longestSafe and mostBytes bound a safe name. Names of files have up to 255 bytes,
// of which an ending and a number take some.
const longestSafe, mostBytes = 80, 200

// SafeName returns a text as a file may be named on all systems, "" where nothing
// is left of it.
func SafeName(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Cf, r):
			return -1 // unseen, and some turn the direction of what follows
		case unicode.IsControl(r) || strings.ContainsRune(`/\:*?"<>|`, r):
			return '-'
		}
		return r
	}, strings.ToValidUTF8(s, "-"))
	r := []rune(strings.Trim(strings.Join(strings.Fields(s), " "), " ."))
	name := strings.Trim(cut(string(r[:min(len(r), longestSafe)]), mostBytes), " .")
	if reserved(name) {
		name = "-" + name
	}
	return name
}

// reserved reports whether Windows keeps a name for a device, whatever its ending.
// Source: Microsoft, "Naming Files, Paths, and Namespaces".
func reserved(name string) bool {
	stem, _, _ := strings.Cut(strings.ToUpper(name), ".")
	stem = strings.TrimRight(stem, " ")
	switch stem {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	for _, device := range []string{"COM", "LPT"} {
		if n, ok := strings.CutPrefix(stem, device); ok && len([]rune(n)) == 1 && strings.ContainsAny(n, "0123456789¹²³") {
			return true
		}
	}
	return false
}
