package choose

import "golang.org/x/sys/windows"

// disks lists the drives that have a letter.
func disks(string) (found []Place) {
	bits, err := windows.GetLogicalDrives()
	if err != nil {
		return nil
	}
	for i := range 26 {
		if bits&(1<<i) != 0 {
			letter := string(rune('A' + i))
			found = append(found, Place{"Drive " + letter, letter + `:\`})
		}
	}
	return found
}
