// Package parcel reads and writes the zip files in which lessons travel. A parcel
// is of use without this program: of each lesson it holds a folder with its
// document and, if wanted, its clips, which the document names beside itself. What
// a library alone knows of them goes into [ManifestName].
//
// What is read may come from anyone: names that lead out of the folder, links,
// entries that are longer than they say and documents without end are refused,
// and no more is read than the limits below allow, whatever the file says of
// itself.
package parcel

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

	"turngauge/annotations"
	"turngauge/annotations/place"
)

// ManifestName is the name of the entry with the [Manifest].
const ManifestName = "turngauge-export.json"

const manifestKind, version = "turngauge-export", 1

// The most that a parcel may hold. They are far above any student's and keep a
// hostile file from filling the disk.
const (
	MaxFiles   = 20_000
	maxLessons = 2_000
	maxTexts   = 512 << 20 // bytes of documents
	maxClip    = 16 << 30

	maxManifest = 4 << 20 // tags of as many lessons, and ranges
)

// Manifest is what a library knows of the lessons beside their documents.
type Manifest struct {
	Kind    string   `json:"kind"`
	Version int      `json:"version"`
	Lessons []Tagged `json:"lessons"`
	Targets []Ranges `json:"targets,omitempty"`
}

// Tagged are the tags of a lesson.
type Tagged struct {
	Document string   `json:"document"` // name in the zip file
	Tags     []string `json:"tags,omitempty"`
}

// Ranges are the target ranges for a student.
type Ranges struct {
	Student string              `json:"student"`
	Ranges  annotations.Targets `json:"ranges"`
}

// Encode returns the content of the entry [ManifestName].
func (m Manifest) Encode() ([]byte, error) {
	m.Kind, m.Version = manifestKind, version
	data, err := json.MarshalIndent(m, "", "  ")
	return append(data, '\n'), err
}

// ErrNoLesson says that a file is not a zip file with lessons in it.
var ErrNoLesson = errors.New("there is no lesson in it: choose a zip file that was exported, or that holds lesson documents")

// Document is a lesson document in a parcel. It is read when it is asked for, so that
// however many there are, one at a time takes memory.
type Document struct {
	Name  string // in the zip file
	entry *zip.File
	fault error
}

// Bytes is how long the document says it is; it is not read if it is longer.
func (d *Document) Bytes() int64 {
	if d.fault != nil {
		return 0
	}
	return int64(d.entry.UncompressedSize64)
}

// Load reads the document. The error says why it can't be used.
func (d *Document) Load() (*annotations.Lesson, error) {
	if d.fault != nil {
		return nil, d.fault
	}
	data, err := readEntry(d.entry, annotations.MaxBytes)
	if err != nil {
		return nil, err
	}
	lesson, _, err := annotations.Decode(data)
	return lesson, err
}

// Read lists the lesson documents of a zip file and reads its manifest. It never
// panics.
func Read(z *zip.Reader) ([]Document, Manifest, error) {
	var m Manifest
	if len(z.File) > MaxFiles {
		return nil, m, fmt.Errorf("it holds %d files, at most %d are allowed", len(z.File), MaxFiles)
	}
	var out []Document
	left := uint64(maxTexts)
	for _, f := range z.File {
		if f.FileInfo().IsDir() || !strings.EqualFold(path.Ext(f.Name), ".json") || strings.HasPrefix(path.Base(f.Name), ".") || strings.HasPrefix(f.Name, "__MACOSX/") {
			continue
		}
		if f.Name == ManifestName {
			var err error
			if m, err = readManifest(f); err != nil {
				return nil, Manifest{}, err
			}
			continue
		}
		head, err := headOf(f)
		if err == nil && !bytes.Contains(head, []byte(`"`+annotations.Kind+`"`)) {
			continue // a document of something else
		}
		d := Document{Name: f.Name, entry: f, fault: err}
		switch {
		case err != nil:
		case !filepath.IsLocal(f.Name):
			d.fault = errors.New("its name leads out of the folder it is unpacked to")
		case f.UncompressedSize64 > min(left, annotations.MaxBytes):
			d.fault = errTooLarge
		default:
			left -= f.UncompressedSize64
		}
		if out = append(out, d); len(out) > maxLessons {
			return nil, m, fmt.Errorf("it holds more than %d lessons", maxLessons)
		}
	}
	if len(out) == 0 {
		return nil, m, ErrNoLesson
	}
	return out, m, nil
}

// readManifest reads the entry [ManifestName]; one that is damaged, or too large to be
// one, is taken for none.
func readManifest(f *zip.File) (m Manifest, err error) {
	data, err := readEntry(f, maxManifest)
	if err == nil {
		err = json.Unmarshal(data, &m)
	}
	if err != nil || m.Kind != manifestKind {
		return Manifest{}, nil
	}
	if m.Version > version {
		return Manifest{}, errors.New("it was made by a newer version of this program: use that one")
	}
	return m, nil
}

var errTooLarge = errors.New("it is larger than any lesson")

// headOf returns the beginning of a text, in which a lesson names its kind.
func headOf(f *zip.File) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer func() { _ = r.Close() }()
	head := make([]byte, 512)
	n, err := io.ReadFull(r, head)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = nil // a short one; whether it is whole is seen when it is read
	}
	return head[:n], err
}

// readEntry reads a text of a zip file.
func readEntry(f *zip.File, most int64) ([]byte, error) {
	if f.UncompressedSize64 > uint64(max(most, 0)) {
		return nil, errTooLarge
	}
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer func() { _ = r.Close() }()
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err == nil && int64(len(data)) > most {
		err = errTooLarge
	}
	return data, err
}

// Clip returns the entry of a clip that a document names, nil where the parcel
// does not hold it.
func Clip(z *zip.Reader, document, file string) (found *zip.File) {
	inside := path.Join(path.Dir(document), filepath.ToSlash(file))
	if !filepath.IsLocal(filepath.FromSlash(file)) {
		return nil
	}
	for _, e := range z.File {
		if e.Name == inside && e.Mode().IsRegular() {
			found = e
		}
	}
	return found
}

// Unpack writes a clip to a file that must not be there yet and returns its
// fingerprint. No more is written than the zip file says of it, and nothing stays
// of one that is not whole.
func Unpack(ctx context.Context, f *zip.File, to string) (sum string, err error) {
	if f.UncompressedSize64 > maxClip {
		return "", fmt.Errorf("%s is larger than 16 GB", f.Name)
	}
	if free, ok := place.FreeBytes(filepath.Dir(to)); ok && f.UncompressedSize64 > free {
		return "", place.ErrNoRoom
	}
	r, err := f.Open()
	if err != nil {
		return "", err
	}
	defer func() { _ = r.Close() }()
	h := sha256.New()
	limited := &io.LimitedReader{R: r, N: int64(f.UncompressedSize64) + 1}
	err = place.New(to, io.TeeReader(&watched{ctx, limited}, h))
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
