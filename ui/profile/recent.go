package profile

import (
	"os"
	"path/filepath"
	"slices"
	"time"

	"turngauge/annotations"
)

// Recent is a lesson that was opened, as the first window lists it.
type Recent struct {
	Path    string    `json:"path"`
	Title   string    `json:"title"`
	Student string    `json:"student"`
	Date    string    `json:"date"`
	Opened  time.Time `json:"opened"`
}

// maxRecent is how many lessons the first window lists.
const maxRecent = 12

// Recents lists the lessons opened last, newest first, without those whose
// file has gone.
func (d Dirs) Recents() []Recent {
	var list []Recent
	if ReadJSON(d.recentFile(), &list) != nil {
		return nil
	}
	return slices.DeleteFunc(list, func(r Recent) bool {
		_, err := os.Stat(r.Path)
		return err != nil
	})
}

// Remember puts a lesson at the head of the recent ones. Losing this list
// loses no work, so a failure to write it is let be.
func (d Dirs) Remember(path string, l *annotations.Lesson) {
	path, err := filepath.Abs(path)
	if err != nil {
		return
	}
	list := slices.DeleteFunc(d.Recents(), func(r Recent) bool { return r.Path == path })
	list = slices.Insert(list, 0, Recent{path, l.Title, l.Student.Name, l.Date, time.Now()})
	_ = WriteJSON(d.recentFile(), list[:min(len(list), maxRecent)])
}

// Forget takes the lessons of a student off the list of recent ones, and removes the note
// of why the program stopped, which may name one, and all small pictures, those of what
// was found in takes too: which of them show the student can't be told.
func (d Dirs) Forget(student string) {
	list := slices.DeleteFunc(d.Recents(), func(r Recent) bool { return r.Student == student })
	_ = WriteJSON(d.recentFile(), list)
	_ = os.Remove(d.StopFile())
	for _, f := range []string{d.Pictures(), d.Swings()} {
		if f != "" {
			_ = os.RemoveAll(f)
		}
	}
}
