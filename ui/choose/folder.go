package choose

import (
	"os"
	"path/filepath"

	"turngauge/annotations"
)

// Folder is what a folder holds that the window can open: paths.
type Folder struct {
	Dir            string
	Lessons, Clips []string
}

// ReadFolder lists the lessons and clips of a folder, not of those inside it.
func ReadFolder(dir string) (Folder, error) {
	f := Folder{Dir: dir}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return f, err
	}
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		switch {
		case e.IsDir():
		case Clips.Matches(e.Name()):
			f.Clips = append(f.Clips, path)
		case Lessons.Matches(e.Name()) && annotations.IsDocument(path):
			f.Lessons = append(f.Lessons, path)
		}
	}
	return f, nil
}
