package review

import (
	"bufio"
	"io"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations/place"
)

// Files returns where the files of a review lie when its document lies in a folder; voice
// is "" where it has none.
func (r *Review) Files(folder string) (list, voice string) {
	list = filepath.Join(folder, r.List)
	if r.Voice != "" {
		voice = filepath.Join(folder, r.Voice)
	}
	return list, voice
}

// Belonging returns the files of all reviews of a lesson that lie in the folder of its
// document: by what their lists say, so also of those that the document does not name any
// more. They are plain files in the folder for reviews there, and no others.
func Belonging(folder, lesson string) (files []string) {
	if lesson == "" {
		return nil
	}
	dir := filepath.Join(folder, Folder)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		if !e.Type().IsRegular() || filepath.Ext(e.Name()) != ".jsonl" || lessonOf(path) != lesson {
			continue
		}
		files = append(files, path)
		voice := strings.TrimSuffix(path, ".jsonl") + ".wav"
		if info, err := os.Lstat(voice); err == nil && info.Mode().IsRegular() {
			files = append(files, voice)
		}
	}
	return files
}

// lessonOf is the ID of the lesson that a list belongs to, or "".
func lessonOf(path string) string {
	f, err := place.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	line, err := bufio.NewReader(io.LimitReader(f, 64<<10)).ReadSlice('\n')
	if err != nil {
		return ""
	}
	h, err := headingOf(line)
	if err != nil {
		return ""
	}
	return h.Lesson
}
