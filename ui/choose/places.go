package choose

import (
	"bufio"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Place is a folder one goes to with a click.
type Place struct {
	Name string
	Dir  string
}

// maxRecent is how many recent folders are kept.
const maxRecent = 6

// findPlaces lists the folders most people keep things in, and the disks, cards and phones that are
// plugged in; only those that are there.
func findPlaces(home string) []Place {
	var found []Place
	add := func(name, dir string) {
		if dir == "" || slices.ContainsFunc(found, func(p Place) bool { return p.Dir == dir }) {
			return
		}
		if info, err := os.Stat(dir); err == nil && info.IsDir() {
			found = append(found, Place{name, dir})
		}
	}
	add("Home", home)
	if home != "" {
		dirs := userDirs(home)
		for _, d := range []struct{ key, name, usual string }{
			{"XDG_DESKTOP_DIR", "Desktop", "Desktop"},
			{"XDG_VIDEOS_DIR", "Videos", "Videos"},
			{"XDG_DOWNLOAD_DIR", "Downloads", "Downloads"},
			{"XDG_DOCUMENTS_DIR", "Documents", "Documents"},
		} {
			dir := dirs[d.key]
			if dir == "" {
				dir = filepath.Join(home, d.usual)
			}
			add(d.name, dir)
		}
	}
	user := filepath.Base(home)
	for _, root := range []string{filepath.Join("/media", user), filepath.Join("/run/media", user)} {
		disks, err := os.ReadDir(root)
		if err != nil {
			continue
		}
		for _, d := range disks {
			add(d.Name(), filepath.Join(root, d.Name()))
		}
	}
	return found
}

// userDirs reads where the desktop keeps the coach's own folders, whose names follow the language
// (freedesktop.org, xdg-user-dirs).
func userDirs(home string) map[string]string {
	config := os.Getenv("XDG_CONFIG_HOME")
	if !filepath.IsAbs(config) {
		config = filepath.Join(home, ".config")
	}
	f, err := os.Open(filepath.Join(config, "user-dirs.dirs"))
	if err != nil {
		return nil
	}
	defer f.Close()
	return parseUserDirs(f, home)
}

// parseUserDirs reads lines of the form XDG_NAME_DIR="$HOME/folder" or with an absolute path; a folder
// that is the home folder itself is switched off and left out.
func parseUserDirs(r io.Reader, home string) map[string]string {
	dirs := make(map[string]string)
	unescape := strings.NewReplacer(`\\`, `\`, `\"`, `"`, `\$`, `$`, "\\`", "`")
	scan := bufio.NewScanner(io.LimitReader(r, 1<<16))
	for scan.Scan() {
		key, value, ok := strings.Cut(strings.TrimSpace(scan.Text()), "=")
		if !ok || strings.HasPrefix(key, "#") || len(value) < 2 || value[0] != '"' || value[len(value)-1] != '"' {
			continue
		}
		value = value[1 : len(value)-1]
		if rest, has := strings.CutPrefix(value, "$HOME"); has {
			value = home + unescape.Replace(rest)
		} else {
			value = unescape.Replace(value)
		}
		if value = filepath.Clean(value); filepath.IsAbs(value) && value != filepath.Clean(home) {
			dirs[strings.TrimSpace(key)] = value
		}
	}
	return dirs
}

// remember puts a folder in front of the recent ones.
func remember(recent []string, dir string) []string {
	kept := []string{dir}
	for _, r := range recent {
		if r != dir && len(kept) < maxRecent {
			kept = append(kept, r)
		}
	}
	return kept
}
