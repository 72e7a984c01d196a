package library

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"
	"syscall"

	"turngauge/annotations"
)

// The most that an import may hold. They are far above any student's and keep a
// hostile file from filling the disk.
const (
	maxImportFiles   = 20_000
	maxImportLessons = 2_000
	maxImportTexts   = 512 << 20 // bytes of documents
	maxImportClip    = 16 << 30
)

// ErrNotExport says that a file is not a zip file with lessons in it.
var ErrNotExport = errors.New("there is no lesson in it: choose a zip file that was exported, or that holds lesson documents")

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
	documents, m, err := readExport(&z.Reader)
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
		if d.fault != nil {
			out.Notes = append(out.Notes, fmt.Sprintf("%s can't be used: %v", d.name, d.fault))
			continue
		}
		one, err := im.take(d, tags[d.name])
		if err != nil {
			return out, sentence(fmt.Sprintf("%s can't be imported whole: %s", file, d.name), err)
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
func (l *Library) importTargets(ctx context.Context, t manifestTargets) (note string) {
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

// document is a lesson document in a zip file.
type document struct {
	name   string // in the zip file
	lesson *annotations.Lesson
	fault  error // why it can't be used
}

// readExport reads the documents and the manifest of a zip file. It never
// panics, and reads no more than the limits allow, whatever the file says of
// itself.
func readExport(z *zip.Reader) ([]document, manifest, error) {
	var m manifest
	if len(z.File) > maxImportFiles {
		return nil, m, fmt.Errorf("it holds %d files, at most %d are allowed", len(z.File), maxImportFiles)
	}
	var out []document
	left := int64(maxImportTexts)
	for _, f := range z.File {
		if f.FileInfo().IsDir() || !strings.EqualFold(path.Ext(f.Name), ".json") || strings.HasPrefix(path.Base(f.Name), ".") || strings.HasPrefix(f.Name, "__MACOSX/") {
			continue
		}
		data, err := readEntry(f, min(maxDocument, left))
		left -= int64(len(data))
		if f.Name == manifestName {
			if err == nil {
				err = json.Unmarshal(data, &m)
			}
			if err != nil || m.Kind != exportKind {
				m = manifest{}
			}
			if m.Version > exportVersion {
				return nil, manifest{}, errors.New("it was made by a newer version of this program: use that one")
			}
			continue
		}
		head := data[:min(len(data), 512)]
		if err == nil && !bytes.Contains(head, []byte(`"`+annotations.Kind+`"`)) {
			continue // a document of something else
		}
		d := document{name: f.Name, fault: err}
		if err == nil && !filepath.IsLocal(f.Name) {
			d.fault = errors.New("its name leads out of the folder it is unpacked to")
		}
		if d.fault == nil {
			d.lesson, _, d.fault = annotations.Decode(data)
		}
		if out = append(out, d); len(out) > maxImportLessons {
			return nil, m, fmt.Errorf("it holds more than %d lessons", maxImportLessons)
		}
	}
	if len(out) == 0 {
		return nil, m, ErrNotExport
	}
	return out, m, nil
}

// readEntry reads a text of a zip file.
func readEntry(f *zip.File, most int64) ([]byte, error) {
	if f.UncompressedSize64 > uint64(max(most, 0)) {
		return nil, errors.New("it is larger than any lesson")
	}
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer func() { _ = r.Close() }()
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err == nil && int64(len(data)) > most {
		err = errors.New("it is larger than any lesson")
	}
	return data, err
}

// importer unpacks lessons.
type importer struct {
	l   *Library
	ctx context.Context
	zip *zip.Reader
	dir string
}

// take unpacks one lesson into a folder of its own and records it.
func (im *importer) take(d document, tags []string) (Import, error) {
	lesson := d.lesson.Clone()
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
	name := safeName(Joined(lesson.Student.Name, lesson.Date, d.lesson.Title))
	if name == "" {
		name = "lesson"
	}
	if err := os.MkdirAll(im.dir, 0o755); err != nil {
		return out, err
	}
	folder := freeName(filepath.Join(im.dir, name))
	if err := os.Mkdir(folder, 0o755); err != nil {
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
			if err := im.clip(d.name, folder, &lesson.Swings[i].Clips[j], &out); err != nil {
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
func (im *importer) twin(d document) (same *Entry, other bool, err error) {
	if d.lesson.ID == "" {
		return nil, false, nil
	}
	content := contentOf(d.lesson)
	var list []Entry
	list, err = im.l.withID(im.ctx, d.lesson.ID)
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
	inside := path.Join(path.Dir(document), filepath.ToSlash(name))
	var f *zip.File
	for _, e := range im.zip.File {
		if e.Name == inside && filepath.IsLocal(filepath.FromSlash(name)) && e.Mode().IsRegular() {
			f = e
		}
	}
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
	to := freeName(filepath.Join(folder, safeName(strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)))+filepath.Ext(safeName(name))))
	sum, err := im.unpack(f, to)
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

// unpack writes a clip and returns its fingerprint. No more is written than the
// zip file says of it, and nothing stays of one that is not whole.
func (im *importer) unpack(f *zip.File, to string) (sum string, err error) {
	if f.UncompressedSize64 > maxImportClip {
		return "", fmt.Errorf("%s is larger than 16 GB", f.Name)
	}
	if free, ok := freeBytes(filepath.Dir(to)); ok && f.UncompressedSize64 > free {
		return "", syscall.ENOSPC
	}
	r, err := f.Open()
	if err != nil {
		return "", err
	}
	defer func() { _ = r.Close() }()
	h := sha256.New()
	limited := &io.LimitedReader{R: r, N: int64(f.UncompressedSize64) + 1}
	err = writeFile(to, io.TeeReader(&watched{im.ctx, limited}, h))
	if err == nil && limited.N <= 0 {
		_ = os.Remove(to)
		err = fmt.Errorf("%s is longer than the zip file says", f.Name)
	}
	return hex.EncodeToString(h.Sum(nil)), err
}

// watched is a reader that stops when a context ends.
type watched struct {
	ctx context.Context
	r   io.Reader
}

func (w *watched) Read(p []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.r.Read(p)
}

func freeBytes(dir string) (uint64, bool) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
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
