package desktop

import "golang.org/x/sys/windows"

// CanOpen reports whether Open can be had.
func CanOpen() bool { return true }

// Open has the desktop open a file or a folder, and waits for nothing.
func Open(path string) error {
	name, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return err
	}
	verb, err := windows.UTF16PtrFromString("open")
	if err != nil {
		return err
	}
	return windows.ShellExecute(0, verb, name, nil, nil, windows.SW_SHOWNORMAL)
}
