// Package profile is what the program keeps of whoever uses it on this computer:
// the folders for it, the settings, and which lessons were opened last. It needs
// no window.
package profile

import (
	"os"
	"path/filepath"
	"strings"

	"turngauge/ui/demo"
)

// Dirs are the folders in which the program keeps things, by the XDG base directory
// specification (freedesktop.org): lessons as data, the list of recent lessons
// as state, settings as configuration.
type Dirs struct {
	Data, State, Config string
}

func xdg(variable, fallback string) string {
	if d := os.Getenv(variable); filepath.IsAbs(d) {
		return filepath.Join(d, "turngauge")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		home = os.TempDir()
	}
	return filepath.Join(home, fallback, "turngauge")
}

// Standard returns the folders of whoever runs the program.
func Standard() Dirs {
	return Dirs{
		Data:   xdg("XDG_DATA_HOME", ".local/share"),
		State:  xdg("XDG_STATE_HOME", ".local/state"),
		Config: xdg("XDG_CONFIG_HOME", ".config"),
	}
}

// DemoDir is where the window keeps the demo lesson.
func DemoDir() string { return filepath.Join(Standard().Data, "demo") }

// Demo is where the demo lesson is kept.
func (d Dirs) Demo() string { return filepath.Join(d.Data, "demo") }

// IsDemo reports whether a lesson document is that of the demo lesson itself.
func (d Dirs) IsDemo(path string) bool {
	abs, err := filepath.Abs(path)
	return err == nil && abs == filepath.Join(d.Demo(), demo.LessonFile)
}

// LibraryFolder is where the library is.
func LibraryFolder() string { return Standard().Library() }

// LessonFolder is where the window puts new lessons.
func LessonFolder() string { return filepath.Join(Standard().Data, "lessons") }

// Library is where the library is: where the settings say, or in its usual place.
func (d Dirs) Library() string {
	if f := d.Settings().LibraryFolder; filepath.IsAbs(f) {
		return f
	}
	return filepath.Join(d.Data, "library")
}

// Exports is where lessons are exported to: the documents folder that the desktop
// names (xdg-user-dirs), else the program's own.
func (d Dirs) Exports() string {
	home, _ := os.UserHomeDir()
	text, _ := os.ReadFile(filepath.Join(filepath.Dir(d.Config), "user-dirs.dirs"))
	for line := range strings.Lines(string(text)) {
		if value, ok := strings.CutPrefix(strings.TrimSpace(line), "XDG_DOCUMENTS_DIR="); ok {
			dir := strings.Replace(strings.Trim(value, `"`), "$HOME", home, 1)
			if filepath.IsAbs(dir) && isFolder(dir) {
				return dir
			}
		}
	}
	return filepath.Join(d.Data, "exports")
}

// Lesson is the document of a new lesson.
func (d Dirs) Lesson(id string) string { return filepath.Join(d.Data, "lessons", id+".json") }

// Faults is the folder of the reports of faults.
func (d Dirs) Faults() string { return filepath.Join(d.State, "faults") }

// StopFile says why the window stopped by itself the last time.
func (d Dirs) StopFile() string { return filepath.Join(d.State, "stopped.json") }

func (d Dirs) recentFile() string   { return filepath.Join(d.State, "recent.json") }
func (d Dirs) settingsFile() string { return filepath.Join(d.Config, "settings.json") }

// OwnTargets and OwnRules are where a coach may put ranges and rules of their
// own, which come before the program's.
func (d Dirs) OwnTargets() string { return filepath.Join(d.Config, "targets.json") }
func (d Dirs) OwnRules() string   { return filepath.Join(d.Config, "rules.json") }

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}
