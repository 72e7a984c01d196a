package choose

import (
	"github.com/adrg/xdg"

	"turngauge/annotations/place"
)

// Pictures returns the coach's folder of pictures, by the name that the desktop gives
// it (freedesktop.org, xdg-user-dirs), or "" where there is none.
func Pictures() string {
	dir := xdg.UserDirs.Pictures
	if dir == xdg.Home || !place.IsFolder(dir) { // the home folder: switched off
		return ""
	}
	return dir
}
