// Package choose lets the coach choose files: by the desktop's own dialog where there is one, and by a
// panel inside the window where there is not.
//
// The desktop is asked through its portal (xdg-desktop-portal) by gioui.org/x/explorer. Where no portal
// answers, where it answers but shows nothing, and where Open is called again while a dialog is out, the
// panel opens instead: nobody is left without a way to a file.
//
// A [Chooser] belongs to the goroutine that owns the window. Folders are read on other goroutines, as a
// folder on a slow disk may take seconds; what they find is taken up by the next Update. The model of the
// panel ([Listing] and the selection) knows nothing of Gio.
package choose
