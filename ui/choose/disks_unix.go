//go:build unix

package choose

import (
	"os"
	"path/filepath"
)

// disks lists what is plugged in, where desktops put it.
func disks(home string) (found []Place) {
	user := filepath.Base(home)
	for _, root := range []string{filepath.Join("/media", user), filepath.Join("/run/media", user)} {
		entries, err := os.ReadDir(root)
		if err != nil {
			continue
		}
		for _, d := range entries {
			found = append(found, Place{d.Name(), filepath.Join(root, d.Name())})
		}
	}
	return found
}
