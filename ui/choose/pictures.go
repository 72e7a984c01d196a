package choose

import (
	"os"
	"path/filepath"
)

// Pictures returns the coach's folder of pictures: the one the desktop names
// (freedesktop.org, xdg-user-dirs), else "Pictures" in the home folder; "" where
// there is neither.
func Pictures() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	dir := userDirs(home)["XDG_PICTURES_DIR"]
	if dir == "" {
		dir = filepath.Join(home, "Pictures")
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return ""
	}
	return dir
}
