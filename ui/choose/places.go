package choose

import (
	"slices"

	"github.com/adrg/xdg"

	"turngauge/annotations/place"
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
		if place.IsFolder(dir) {
			found = append(found, Place{name, dir})
		}
	}
	add("Home", home)
	add("Desktop", xdg.UserDirs.Desktop)
	add("Videos", xdg.UserDirs.Videos)
	add("Downloads", xdg.UserDirs.Download)
	add("Documents", xdg.UserDirs.Documents)
	for _, d := range disks(home) {
		add(d.Name, d.Dir)
	}
	return found
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
