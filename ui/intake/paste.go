package intake

import (
	"net/url"
	"os"
	"path/filepath"
	"strings"
)

// mostPasted is how many lines of a pasted text may be paths.
const mostPasted = 64

// Paste opens the files whose paths stand in a text, one a line, as file managers
// and other programs copy them: bare, quoted or as file URIs (RFC 8089).
func (r *Room) Paste(text string) {
	var paths []string
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		p, ok := pasted(line)
		if !ok || len(paths) == mostPasted {
			r.host.Tell("What was copied is no path of a file on this computer. Copy a clip or a lesson in a file manager, or its path, then paste it here.")
			return
		}
		paths = append(paths, p)
	}
	r.Open(paths)
}

// pasted reads one line as the path of a file or folder that is there.
func pasted(line string) (path string, ok bool) {
	p := strings.TrimSpace(line)
	if n := len(p); n >= 2 && (p[0] == '\'' || p[0] == '"') && p[n-1] == p[0] {
		p = p[1 : n-1]
	}
	if strings.HasPrefix(p, "file:") {
		u, err := url.Parse(p)
		if err != nil {
			return "", false
		}
		p = u.Path
	}
	if rest, home := strings.CutPrefix(p, "~/"); home {
		dir, err := os.UserHomeDir()
		if err != nil {
			return "", false
		}
		p = filepath.Join(dir, rest)
	}
	if !filepath.IsAbs(p) || strings.ContainsRune(p, 0) {
		return "", false
	}
	_, err := os.Stat(p)
	return filepath.Clean(p), err == nil
}
