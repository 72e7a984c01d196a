package choose

import (
	"errors"
	"io"
	"io/fs"
	"path/filepath"
	"time"

	"gioui.org/x/explorer"
)

// Desktop is the desktop's own dialog. [explorer.Explorer] is one; it must be given the window's events.
type Desktop interface {
	ChooseFile(extensions ...string) (io.ReadCloser, error)
	ChooseFiles(extensions ...string) ([]io.ReadCloser, error)
}

// tooQuick is the time within which no hand closes a dialog. A desktop whose dialog could not be shown
// answers as if it had been closed, but at once.
const tooQuick = 300 * time.Millisecond

// answer is how the desktop's dialog came out: paths, declined, or not available, in which case note may
// say what went wrong with a file that was chosen.
type answer struct {
	paths     []string
	declined  bool
	note      string
	startHere string // where to go on looking
}

// ask shows the desktop's dialog and waits for it, on a goroutine of its own. The dialog hands over open
// files; all that is wanted of them is where they are.
func ask(d Desktop, multiple bool, exts []string) answer {
	began := time.Now()
	var files []io.ReadCloser
	var err error
	if multiple {
		files, err = d.ChooseFiles(exts...)
	} else {
		var f io.ReadCloser
		if f, err = d.ChooseFile(exts...); f != nil && err == nil {
			files = append(files, f)
		}
	}
	var a answer
	for _, f := range files {
		if n, ok := f.(interface{ Name() string }); ok && filepath.IsAbs(n.Name()) {
			a.paths = append(a.paths, n.Name())
		}
		_ = f.Close() // it was open for reading only
	}
	var pe *fs.PathError
	switch {
	case errors.Is(err, explorer.ErrUserDecline):
		a.declined = time.Since(began) >= tooQuick
	case errors.As(err, &pe):
		a.note = "“" + pe.Path + "” can't be opened: " + pe.Err.Error() + ". Choose another file."
		a.startHere = filepath.Dir(pe.Path)
	}
	return a
}
