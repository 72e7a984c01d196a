package library

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library/parcel"
	"turngauge/annotations/place"
)

// ExportOptions say what goes into an export.
type ExportOptions struct {
	// Clips takes the clips in, too.
	Clips bool
	// Opens returns nil for a file that opens as a video, else why not. It is needed
	// for Clips.
	Opens func(ctx context.Context, file string) error
	// Allowed are the files that go in by the coach's word, as [Withheld] names them.
	Allowed []string
	// Progress is called with the bytes of clips that are written and of all.
	Progress func(done, total int64)
}

// Exported says what an export holds.
type Exported struct {
	Lessons, Clips int
	// Notes tell the coach what is not in it, and why.
	Notes []string
	// Withheld are the clips that are not in it because the coach must be asked first.
	Withheld []Withheld
}

// Export writes lessons to a zip file, which it replaces as a whole once it is
// complete.
func (l *Library) Export(ctx context.Context, to string, keys []int64, o ExportOptions) (Exported, error) {
	const what = "the export can't be written"
	x, students, err := l.plan(ctx, keys, o)
	if err != nil {
		return x.out, sentence(what, err)
	}
	for key, name := range students {
		if s, ok, err := l.TargetSet(ctx, key); err != nil {
			return x.out, err
		} else if ok {
			x.manifest.Targets = append(x.manifest.Targets, parcel.Ranges{Student: name, Ranges: s.Ranges})
		}
	}
	r, w := io.Pipe()
	go func() { w.CloseWithError(x.write(w)) }()
	err = place.Shared(to, r)
	_ = r.CloseWithError(err)
	if err != nil {
		return x.out, sentence(what, err)
	}
	return x.out, nil
}

// ExportAsks returns the clips of lessons that [Library.Export] leaves out unless they
// are allowed.
func (l *Library) ExportAsks(ctx context.Context, keys []int64, o ExportOptions) ([]Withheld, error) {
	x, _, err := l.plan(ctx, keys, o)
	return x.out.Withheld, sentence("the export can't be written", err)
}

// plan collects what goes into an export, and the names of the students by their keys.
func (l *Library) plan(ctx context.Context, keys []int64, o ExportOptions) (x exporter, students map[int64]string, err error) {
	x = exporter{ctx: ctx, options: o, taken: make(map[string]bool)}
	students = make(map[int64]string)
	for _, k := range keys {
		e, err := l.Lesson(ctx, k)
		if err != nil {
			return x, nil, err
		}
		data, err := l.document(ctx, e)
		if err != nil {
			return x, nil, err
		}
		if err := x.plan(e, data); err != nil {
			return x, nil, err
		}
		if e.StudentKey != 0 {
			students[e.StudentKey] = e.Student
		}
	}
	return x, students, nil
}

// document returns the document of a lesson, or its copy where that is gone.
func (l *Library) document(ctx context.Context, e Entry) ([]byte, error) {
	data, err := place.Read(e.Path, annotations.MaxBytes)
	if err == nil {
		return data, nil
	}
	copies, listErr := l.Copies(ctx, e.Key)
	if listErr == nil && len(copies) > 0 {
		if data, _, err := readCopy(copies[0].file); err == nil {
			return data, nil
		}
	}
	return nil, err
}

// exporter collects what goes into a zip file.
type exporter struct {
	ctx      context.Context
	options  ExportOptions
	out      Exported
	manifest parcel.Manifest
	taken    map[string]bool // names in the zip file, in lower case
	texts    []part
	clips    []part
	total    int64
	done     int64
}

type part struct {
	name string
	data []byte // of a document
	file string // of a clip, without links
	info fs.FileInfo
}

// plan takes a lesson in.
func (x *exporter) plan(e Entry, data []byte) error {
	lesson, _, err := annotations.Decode(data)
	if err != nil {
		return fmt.Errorf("%s can't be used:\n%w", e.Path, err)
	}
	lesson = lesson.Clone()
	folder := x.free(strings.TrimSpace(strings.Join([]string{place.SafeName(e.Student), place.SafeName(e.Date), place.SafeName(e.Title)}, " ")), "")
	for i := range lesson.Swings {
		for j := range lesson.Swings[i].Clips {
			c := &lesson.Swings[i].Clips[j]
			if c.File == "" {
				continue
			}
			file := c.PathIn(filepath.Dir(e.Path))
			ext := filepath.Ext(file)
			c.File = place.SafeName(strings.TrimSuffix(filepath.Base(file), ext)) + ext
			if !x.options.Clips {
				continue
			}
			if err := x.ctx.Err(); err != nil {
				return err
			}
			found, err := x.clip(file, filepath.Dir(e.Path))
			if err != nil {
				x.out.Notes = append(x.out.Notes, fmt.Sprintf("%s is not in it: %v", file, err))
				continue
			}
			if found == nil {
				continue
			}
			name := x.free(path.Join(folder, strings.TrimSuffix(c.File, ext)), ext)
			c.File = path.Base(name)
			found.name = name
			x.clips = append(x.clips, *found)
			x.total += found.info.Size()
			x.out.Clips++
		}
	}
	x.reviews(lesson, filepath.Dir(e.Path), folder)
	if data, err = lesson.Encode(); err != nil {
		return err
	}
	name := path.Join(folder, "lesson.json")
	x.taken[strings.ToLower(name)] = true
	x.texts = append(x.texts, part{name: name, data: data})
	x.manifest.Lessons = append(x.manifest.Lessons, parcel.Tagged{Document: name, Tags: e.Tags})
	x.out.Lessons++
	return nil
}

// free returns a name in the zip file that is not taken yet, and takes it.
func (x *exporter) free(name, ext string) string {
	if name == "" {
		name = "lesson"
	}
	free := name + ext
	for n := 2; x.taken[strings.ToLower(free)]; n++ {
		free = fmt.Sprintf("%s (%d)%s", name, n, ext)
	}
	x.taken[strings.ToLower(free)] = true
	return free
}

// ExportName returns a name for an export of what is called so, without an
// ending, as files may be named on all systems.
func ExportName(of string) string {
	if name := place.SafeName(of); name != "" {
		return name
	}
	return "lessons"
}

// write writes the zip file.
func (x *exporter) write(w io.Writer) error {
	z := zip.NewWriter(w)
	head, err := x.manifest.Encode()
	if err != nil {
		return err
	}
	for _, p := range append([]part{{name: parcel.ManifestName, data: head}}, x.texts...) {
		f, err := z.Create(p.name)
		if err != nil {
			return err
		}
		if _, err := io.Copy(f, bytes.NewReader(p.data)); err != nil {
			return err
		}
	}
	for _, p := range x.clips {
		// Film is packed already: it is stored as it is.
		f, err := z.CreateHeader(&zip.FileHeader{Name: p.name, Method: zip.Store})
		if err != nil {
			return err
		}
		if err := x.copyClip(f, p); err != nil {
			return err
		}
	}
	return z.Close()
}

func (x *exporter) copyClip(w io.Writer, p part) error {
	f, err := place.Open(p.file)
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }()
	if info, err := f.Stat(); err != nil || !os.SameFile(info, p.info) {
		return fmt.Errorf("%s was replaced by another file meanwhile: export again", p.file)
	}
	buffer := make([]byte, 1<<20)
	for {
		if err := x.ctx.Err(); err != nil {
			return err
		}
		n, err := f.Read(buffer)
		if _, err := w.Write(buffer[:n]); err != nil {
			return err
		}
		x.done += int64(n)
		if x.options.Progress != nil {
			x.options.Progress(x.done, x.total)
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}
