package choose

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"turngauge/annotations/place"
)

// Entry is one line of a folder's list.
type Entry struct {
	Name    string
	Folder  bool
	Size    int64 // bytes; of a file only
	Changed time.Time
}

// Listing is what a folder holds, as far as it is of use.
type Listing struct {
	Dir     string // absolute and clean
	Entries []Entry
	Hidden  int  // files of other kinds, not shown
	More    bool // the folder holds more than maxEntries
}

// maxEntries bounds a list; a folder with more is beyond looking through.
const maxEntries = 20000

// readFolder lists a folder: its folders, and those of its files that are of the kinds. Names that begin
// with a dot are left out, as everywhere on this kind of system, and so is what is neither file nor folder.
// Links count as what they lead to. The error is a sentence.
func readFolder(dir string, kinds []Kind, by Order) (Listing, error) {
	l := Listing{Dir: dir}
	f, err := os.Open(dir)
	if err != nil {
		return l, folderError(dir, err)
	}
	defer f.Close()
	for !l.More {
		part, err := f.ReadDir(256)
		for _, d := range part {
			e, ok := entry(dir, d)
			switch {
			case !ok:
			case !e.Folder && !matches(kinds, e.Name):
				l.Hidden++
			case len(l.Entries) == maxEntries:
				l.More = true
			default:
				l.Entries = append(l.Entries, e)
			}
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return l, folderError(dir, err)
		}
	}
	l.sort(by)
	return l, nil
}

// entry looks at one name of a folder; ok is false for what is not shown.
func entry(dir string, d fs.DirEntry) (e Entry, ok bool) {
	if strings.HasPrefix(d.Name(), ".") {
		return e, false
	}
	info, err := os.Stat(filepath.Join(dir, d.Name()))
	if err != nil || !info.IsDir() && !info.Mode().IsRegular() {
		return e, false // gone meanwhile, a link to nowhere, a device
	}
	e = Entry{Name: d.Name(), Folder: info.IsDir(), Changed: info.ModTime()}
	if !e.Folder {
		e.Size = info.Size()
	}
	return e, true
}

// index finds an entry by name, or -1.
func (l *Listing) index(name string) int {
	return slices.IndexFunc(l.Entries, func(e Entry) bool { return e.Name == name })
}

// jump finds the entry the coach types the beginning of, from the one at index from on and round the end.
// One character typed over and over goes through all that begin with it.
func (l *Listing) jump(typed string, from int) int {
	typed = strings.ToLower(typed)
	runes := []rune(typed)
	if len(runes) == 0 || len(l.Entries) == 0 {
		return -1
	}
	start := max(from, 0)
	if same := slices.IndexFunc(runes, func(r rune) bool { return r != runes[0] }) < 0; same {
		typed = string(runes[0])
		start = from + 1
	}
	for i := range l.Entries {
		at := (start + i) % len(l.Entries)
		if strings.HasPrefix(strings.ToLower(l.Entries[at].Name), typed) {
			return at
		}
	}
	return -1
}

// sentence is an error whose text is a whole sentence for the coach.
type sentence string

func (s sentence) Error() string { return string(s) }

// folderError says in a sentence why a folder can't be listed.
func folderError(dir string, err error) error {
	name := "“" + dir + "”"
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return sentence("There is no folder " + name + ". It may have been moved, or its disk taken out.")
	case errors.Is(err, fs.ErrPermission):
		return sentence("The folder " + name + " may not be looked into with your account. Choose another folder.")
	case errors.Is(err, syscall.ENOTDIR):
		return sentence(name + " is not a folder.")
	}
	return sentence("The folder " + name + " can't be read: " + reason(err) + ". Try again, or choose another folder.")
}

// reason is what the system says about an error, without the path.
func reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}

// typed is what a path the coach typed or pasted turns out to be: a folder, or a file.
type typed struct {
	dir, file string
}

// resolve reads a typed path: absolute, from the home folder (~), or from the folder shown. Quotation
// marks around it, as terminals and file managers put them, are taken off. A file may be of any kind.
// The error is a sentence.
func resolve(text, from, home string) (typed, error) {
	p := strings.TrimSpace(text)
	if n := len(p); n >= 2 && (p[0] == '\'' || p[0] == '"') && p[n-1] == p[0] {
		p = p[1 : n-1]
	}
	if p == "" {
		return typed{}, sentence("Type the path of a file or a folder.")
	}
	if rest, ok := strings.CutPrefix(p, "~"); ok && home != "" && (rest == "" || os.IsPathSeparator(rest[0])) {
		p = home + rest
	}
	if !filepath.IsAbs(p) {
		p = filepath.Join(from, p)
	}
	p = filepath.Clean(p)
	info, err := os.Stat(p)
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return typed{}, sentence("There is no file or folder “" + p + "”.")
	case errors.Is(err, fs.ErrPermission):
		return typed{}, sentence("“" + p + "” may not be looked at with your account.")
	case err != nil:
		return typed{}, sentence("“" + p + "” can't be looked at: " + reason(err) + ".")
	case info.IsDir():
		return typed{dir: p}, nil
	case !info.Mode().IsRegular():
		return typed{}, sentence("“" + p + "” is neither a file nor a folder.")
	}
	return typed{file: p}, nil
}

// nearest returns the folder itself or, where it is gone, the nearest one above it that is there.
func nearest(dir string) string {
	for {
		if place.IsFolder(dir) {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			return dir
		}
		dir = up
	}
}
