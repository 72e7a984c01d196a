package choose

import (
	"bytes"
	"io"
	"os"
	"path/filepath"

	"turngauge/annotations"
)

// Folder is what a folder holds that the window can open: paths.
type Folder struct {
	Dir            string
	Lessons, Clips []string
}

// IsFolder reports whether a path is a folder; what can't be looked at is taken
// for a file, whose opening then says why.
func IsFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
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
		case Lessons.Matches(e.Name()) && isLesson(path):
			f.Lessons = append(f.Lessons, path)
		}
	}
	return f, nil
}

// isLesson reports whether a document says at its head that it is a lesson.
func isLesson(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, 512)
	n, err := io.ReadFull(f, head)
	if err != nil && err != io.ErrUnexpectedEOF {
		return false
	}
	return bytes.Contains(head[:n], []byte(`"`+annotations.Kind+`"`))
}
