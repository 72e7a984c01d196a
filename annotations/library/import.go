package library

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library/parcel"
	"turngauge/annotations/place"
)

// Import says what came of one lesson of an import.
type Import struct {
	Key   int64
	Path  string // where its document is now
	Title string // "Mara Lindqvist, First visit, 2026-05-02"
	// Known says that the same lesson was in the library already and nothing was
	// written.
	Known bool
	// Changed says that the library has the lesson with other content: both are
	// kept, this one under a title that says so.
	Changed bool
	Clips   int
	Notes   []string
}

// Imported says what came of an import.
type Imported struct {
	Lessons []Import
	// Notes tell the coach what could not be taken, and why.
	Notes []string
}

// ImportZip takes the lessons of a zip file into the library. Of each it makes a
// folder under dir with its document and clips. Nothing that is there is
// replaced, nothing outside dir is written, and of a lesson that fails nothing
// stays. A lesson that the library has with the same content is not taken again.
func (l *Library) ImportZip(ctx context.Context, file, dir string) (Imported, error) {
	var out Imported
	if l.readOnly {
		return out, ErrReadOnly
	}
	z, err := zip.OpenReader(file)
	if errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) {
		return out, fmt.Errorf("%s can't be imported: it is not a zip file, or not whole", file)
	}
	if err != nil {
		return out, sentence(file+" can't be imported", err)
	}
	defer func() { _ = z.Close() }()
	documents, m, err := parcel.Read(&z.Reader)
	if err != nil {
		return out, fmt.Errorf("%s can't be imported: %w", file, err)
	}
	tags := make(map[string][]string)
	for _, t := range m.Lessons {
		tags[t.Document] = t.Tags
	}
	im := importer{l: l, ctx: ctx, zip: &z.Reader, dir: dir}
	for _, d := range documents {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		if d.Fault != nil {
			out.Notes = append(out.Notes, fmt.Sprintf("%s can't be used: %v", d.Name, d.Fault))
			continue
		}
		one, err := im.take(d, tags[d.Name])
		if err != nil {
			return out, sentence(fmt.Sprintf("%s can't be imported whole: %s", file, d.Name), err)
		}
		out.Lessons = append(out.Lessons, one)
	}
	for _, t := range m.Targets {
		if note := l.importTargets(ctx, t); note != "" {
			out.Notes = append(out.Notes, note)
		}
	}
	return out, nil
}

// importTargets takes ranges for a student in where there are none yet.
func (l *Library) importTargets(ctx context.Context, t parcel.Ranges) (note string) {
	key, err := l.StudentNamed(ctx, t.Student)
	if err != nil || key == 0 || len(t.Ranges) == 0 {
		return ""
	}
	have, ok, err := l.TargetSet(ctx, key)
	if err == nil && ok {
		a, _ := json.Marshal(have.Ranges)
		b, _ := json.Marshal(t.Ranges)
		if !bytes.Equal(a, b) {
			return fmt.Sprintf("The target ranges for %s in it are left out: there are others for that student here.", t.Student)
		}
		return ""
	}
	if err == nil {
		err = l.SetTargets(ctx, key, t.Ranges)
	}
	if err != nil {
		return err.Error()
	}
	return ""
}

// importer unpacks lessons.
type importer struct {
	l   *Library
	ctx context.Context
	zip *zip.Reader
	dir string
}

// take unpacks one lesson into a folder of its own and records it.
func (im *importer) take(d parcel.Document, tags []string) (Import, error) {
	lesson := d.Lesson.Clone()
	out := Import{Title: Joined(lesson.Student.Name, lesson.Title, lesson.Date)}
	same, other, err := im.twin(d)
	if err != nil {
		return out, err
	}
	if same != nil {
		out.Known, out.Key, out.Path = true, same.Key, same.Path
		return out, nil
	}
	if other {
		out.Changed = true
		lesson.Title = strings.TrimSpace(lesson.Title + " (imported " + im.l.now().Format(dayFormat) + ")")
	}
	name := place.SafeName(Joined(lesson.Student.Name, lesson.Date, d.Lesson.Title))
	if name == "" {
		name = "lesson"
	}
	if err := place.Folder(im.dir); err != nil {
		return out, err
	}
	folder := place.FreeName(filepath.Join(im.dir, name))
	if err := os.Mkdir(folder, 0o700); err != nil {
		return out, err
	}
	done := false
	defer func() {
		if !done {
			_ = os.RemoveAll(folder) // made here, and not whole
		}
	}()
	for i := range lesson.Swings {
		for j := range lesson.Swings[i].Clips {
			if err := im.clip(d.Name, folder, &lesson.Swings[i].Clips[j], &out); err != nil {
				return out, err
			}
		}
	}
	out.Path = filepath.Join(folder, "lesson.json")
	data, err := lesson.Encode()
	if err != nil {
		return out, err
	}
	if err := writeNew(out.Path, data); err != nil {
		return out, err
	}
	if out.Key, err = im.l.Record(im.ctx, out.Path, lesson, false); err != nil {
		return out, err
	}
	done = true
	if len(tags) > 0 {
		if err := im.l.SetTags(im.ctx, out.Key, tags); err != nil {
			out.Notes = append(out.Notes, err.Error())
		}
	}
	return out, nil
}

// twin looks for the lesson in the library: with the same content, which leaves
// out where its clips lie, or with other content.
func (im *importer) twin(d parcel.Document) (same *Entry, other bool, err error) {
	if d.Lesson.ID == "" {
		return nil, false, nil
	}
	content := contentOf(d.Lesson)
	var list []Entry
	list, err = im.l.withID(im.ctx, d.Lesson.ID)
	for _, e := range list {
		data, err := im.l.document(im.ctx, e)
		if err != nil {
			continue
		}
		have, _, err := annotations.Decode(data)
		if err != nil {
			continue
		}
		if contentOf(have) == content {
			return &e, false, nil
		}
		other = true
	}
	return nil, other, err
}

// contentOf is a fingerprint of a lesson without its title and the places of its
// clips.
func contentOf(l *annotations.Lesson) string {
	c := l.Clone()
	c.Title = ""
	for i := range c.Swings {
		for j := range c.Swings[i].Clips {
			c.Swings[i].Clips[j].File = ""
		}
	}
	data, err := c.Encode()
	if err != nil {
		return ""
	}
	return hashOf(data)
}

// clip unpacks a clip beside its document, or finds it elsewhere.
func (im *importer) clip(document, folder string, c *annotations.Clip, out *Import) error {
	if c.File == "" {
		return nil
	}
	name := c.File
	f := parcel.Clip(im.zip, document, name)
	if f == nil {
		found, err := im.l.FindClip(im.ctx, c.SHA256, name)
		if err != nil {
			return err
		}
		if found != "" {
			c.File = found
			return nil
		}
		if filepath.IsAbs(name) || !filepath.IsLocal(filepath.FromSlash(name)) {
			c.File = filepath.Base(name) // where it lay elsewhere says nothing here
		}
		out.Notes = append(out.Notes, fmt.Sprintf("the %s clip %s is not in it: drop the file on the window once the lesson is open", c.View, filepath.Base(name)))
		return nil
	}
	to := place.FreeName(filepath.Join(folder, place.SafeName(strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)))+filepath.Ext(place.SafeName(name))))
	sum, err := parcel.Unpack(im.ctx, f, to)
	if err != nil {
		return err
	}
	if c.SHA256 != "" && sum != c.SHA256 {
		out.Notes = append(out.Notes, fmt.Sprintf("the %s clip %s is not the file that the lesson was marked on", c.View, filepath.Base(to)))
	}
	c.File = filepath.Base(to)
	out.Clips++
	return nil
}

// Joined puts what is known of a lesson in a row, with commas between.
func Joined(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, ", ")
}
