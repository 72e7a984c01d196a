package library

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"turngauge/annotations/place"
)

// Withheld is a file that a lesson names as its clip, and that goes into an export only
// where the coach allows it. Lessons may come from anyone, and one that names a private
// file as its clip would have it sent on.
type Withheld struct {
	File string // where it is, without links
	Why  string // as what follows "it"
}

// clip looks at the file that a lesson, whose document lies in a folder, names as a
// clip. It is nil for one that is withheld. The error says why it can't be in an export
// at all.
func (x *exporter) clip(file, folder string) (*part, error) {
	real, err := filepath.EvalSymlinks(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, errors.New("the file is not there")
	}
	if err == nil {
		real, err = filepath.Abs(real)
	}
	if err != nil {
		return nil, err
	}
	f, err := place.Open(real) // waits for no pipe
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, err
	}
	if why := x.doubt(real, folder); why != "" && !slices.Contains(x.options.Allowed, real) {
		again := func(w Withheld) bool { return w.File == real }
		if !slices.ContainsFunc(x.out.Withheld, again) {
			x.out.Withheld = append(x.out.Withheld, Withheld{real, why})
		}
		return nil, nil
	}
	return &part{file: real, info: info}, nil
}

// doubt says why a file does not go into an export unasked, "" for one that does.
func (x *exporter) doubt(real, folder string) string {
	home, err := filepath.EvalSymlinks(folder)
	if err == nil {
		home, err = filepath.Abs(home)
	}
	outside := err != nil || !strings.HasPrefix(real, strings.TrimSuffix(home, string(os.PathSeparator))+string(os.PathSeparator))
	switch opens := x.options.Opens(x.ctx, real); {
	case opens != nil && outside:
		return "lies outside the lesson's folder and is no video that opens"
	case opens != nil:
		return "is no video that opens"
	case outside:
		return "lies outside the lesson's folder"
	}
	return ""
}
