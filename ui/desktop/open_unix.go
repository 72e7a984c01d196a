//go:build unix

package desktop

import "os/exec"

// opener is the program that opens files as the desktop does (freedesktop.org, xdg-utils).
const opener = "xdg-open"

// CanOpen reports whether Open can be had.
func CanOpen() bool {
	_, err := exec.LookPath(opener)
	return err == nil
}

// Open has the desktop open a file or a folder, and waits for nothing.
func Open(path string) error {
	cmd := exec.Command(opener, path)
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { _ = cmd.Wait() }()
	return nil
}
