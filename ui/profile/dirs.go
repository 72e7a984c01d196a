// Package profile is what the program keeps of whoever uses it on this computer:
// the folders for it, the settings, and which lessons were opened last. It needs
// no window.
package profile

import (
	"path/filepath"

	"github.com/adrg/xdg"

	"turngauge/annotations/place"
	"turngauge/ui/demo"
)

// Dirs are the folders in which the program keeps things, by the XDG base directory
// specification (freedesktop.org): lessons as data, the list of recent lessons
// as state, settings as configuration.
type Dirs struct {
	Data, State, Config string
	Documents           string // the coach's own, by the name that the desktop gives it; "" for none
	Cache               string // for what may be lost; "" for none
}

// Standard returns the folders of whoever runs the program.
func Standard() Dirs {
	return Dirs{
		Data:      filepath.Join(xdg.DataHome, "turngauge"),
		State:     filepath.Join(xdg.StateHome, "turngauge"),
		Config:    filepath.Join(xdg.ConfigHome, "turngauge"),
		Documents: xdg.UserDirs.Documents,
		Cache:     filepath.Join(xdg.CacheHome, "turngauge"),
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

// Exports is where lessons are exported to: the coach's folder of documents, else the
// program's own.
func (d Dirs) Exports() string {
	if place.IsFolder(d.Documents) {
		return d.Documents
	}
	return filepath.Join(d.Data, "exports")
}

// Lesson is the document of a new lesson.
func (d Dirs) Lesson(id string) string { return filepath.Join(d.Data, "lessons", id+".json") }

// Pictures is the folder of the small pictures that are kept, "" for none.
func (d Dirs) Pictures() string {
	if d.Cache == "" {
		return ""
	}
	return filepath.Join(d.Cache, "pictures")
}

// Swings is the folder of what was found in clips, "" for none.
func (d Dirs) Swings() string {
	if d.Cache == "" {
		return ""
	}
	return filepath.Join(d.Cache, "swings")
}

// Visits is the folder of what is being taken in.
func (d Dirs) Visits() string { return filepath.Join(d.State, "visits") }

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
