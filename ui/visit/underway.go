package visit

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"

	"turngauge/annotations/library"
	"turngauge/annotations/place"
)

// UnderWay is what is being taken into a lesson, written down so that a window that was
// stopped in the middle goes on where it was.
type UnderWay struct {
	// Clips are on the card, looked through with practice swings or without, and how the
	// coach has arranged what was found.
	Clips       []string     `json:"clips,omitempty"`
	Practice    bool         `json:"practice,omitempty"`
	Arrangement *Arrangement `json:"arrangement,omitempty"`
	// Added are the IDs of the swings that the clips became: marks are to be proposed in
	// them.
	Added []string `json:"added,omitempty"`
	// Folder is watched; Before was in it when that began.
	Folder string   `json:"folder,omitempty"`
	Before []string `json:"before,omitempty"`
}

// Diary is the folder in which that is written down; "" for none.
type Diary string

// file is that of the lesson whose document lies at a path.
func (d Diary) file(lesson string) string {
	if abs, err := filepath.Abs(lesson); err == nil {
		lesson = abs
	}
	sum := sha256.Sum256([]byte(lesson))
	return filepath.Join(string(d), hex.EncodeToString(sum[:8])+".json")
}

// Read returns what is under way for a lesson.
func (d Diary) Read(lesson string) (u UnderWay) {
	if d == "" {
		return u
	}
	data, err := os.ReadFile(d.file(lesson))
	if err != nil || json.Unmarshal(data, &u) != nil {
		return UnderWay{}
	}
	return u
}

// Write writes down what is under way for a lesson, or that nothing is. That it can't be
// written is no fault: it is only missed after a stop.
func (d Diary) Write(lesson string, u *UnderWay) {
	switch {
	case d == "":
	case u.Clips == nil && u.Added == nil && u.Folder == "":
		_ = os.Remove(d.file(lesson))
	default:
		if data, err := json.MarshalIndent(u, "", "  "); err == nil && place.Folder(string(d)) == nil {
			_ = place.Bytes(d.file(lesson), append(data, '\n'))
		}
	}
}

// Forget drops what was under way for lessons of a student who is erased.
func (d Diary) Forget(lessons []library.Entry) {
	for _, e := range lessons {
		d.Write(e.Path, &UnderWay{})
	}
}
