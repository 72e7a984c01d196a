package ui

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/ui/choose"
	"turngauge/ui/kit"
)

// maxFolderClips is how many clips of a dropped folder are taken for those of
// one swing; of more, the coach chooses.
const maxFolderClips = 4

// folder is what a dropped folder holds that the window can open.
type folder struct {
	dir            string
	lessons, clips []string
}

// isFolder reports whether a path is a folder; what can't be looked at is taken
// for a file, whose opening then says why.
func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// readFolder lists the lessons and clips of a folder, not of those inside it.
func readFolder(dir string) (folder, error) {
	f := folder{dir: dir}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return f, err
	}
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		switch {
		case e.IsDir():
		case choose.Clips.Matches(e.Name()):
			f.clips = append(f.clips, path)
		case choose.Lessons.Matches(e.Name()) && isLesson(path):
			f.lessons = append(f.lessons, path)
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

// takeFolder opens what a dropped folder holds, or says why not. Reading it may
// take long, on a card or over a network.
func (a *App) takeFolder(dir string) {
	a.work.Go("Reading the folder "+dir, func() {
		f, err := readFolder(dir)
		a.work.Post(func() {
			if err != nil {
				a.notices.Alert(fmt.Sprintf("The folder %s can't be read: %v", dir, err))
				return
			}
			a.openFolder(f)
		})
	}, nil)
}

func (a *App) openFolder(f folder) {
	name := filepath.Base(f.dir)
	switch {
	case len(f.lessons) == 1:
		a.openLesson(f.lessons[0])
	case len(f.lessons) > 1:
		a.Ask(kit.Files{Title: fmt.Sprintf("%s holds %d lessons: choose one", name, len(f.lessons)), Kinds: anyFile, Dir: f.dir}, a.openPaths)
	case len(f.clips) > maxFolderClips:
		a.Ask(kit.Files{Title: fmt.Sprintf("%s holds %d clips: choose those of one swing", name, len(f.clips)), Kinds: anyFile, Many: true, Dir: f.dir}, a.openPaths)
	case len(f.clips) > 0:
		a.openPaths(f.clips)
	default:
		a.notices.Alert(fmt.Sprintf("There is no clip and no lesson in the folder %s. Folders inside it are not looked into: drop the one that holds them.", f.dir))
	}
}
