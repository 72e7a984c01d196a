package library

import (
	"archive/zip"
	"context"
	"fmt"
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
	// Ranges are the target ranges in it that were taken, or could be.
	Ranges []OfferedRanges
}

// UnaskedBytes is the most that an import writes without being told that it may write
// more: a small file can unpack to a full disk.
const UnaskedBytes = 2_000_000_000

// ImportOptions say what the coach has agreed to.
type ImportOptions struct {
	// Large lets more than [UnaskedBytes] be written.
	Large bool
	// RangesOf names the students whose target ranges are taken.
	RangesOf []string
}

// LargeError says that an import would write more than is written unasked. Nothing was
// written.
type LargeError struct{ Bytes int64 }

// Error says how much it is.
func (e *LargeError) Error() string {
	return fmt.Sprintf("it unpacks to %.1f GB, more than is written unasked", float64(e.Bytes)/1e9)
}

// ImportZip takes the lessons of a zip file into the library. Of each it makes a
// folder under dir with its document and clips. Nothing that is there is
// replaced, nothing outside dir is written, and of a lesson that fails nothing
// stays. A lesson that the library has with the same content is not taken again.
// The error wraps a *LargeError where the options don't allow what it would write.
func (l *Library) ImportZip(ctx context.Context, file, dir string, o ImportOptions) (Imported, error) {
	var out Imported
	if l.readOnly {
		return out, ErrReadOnly
	}
	im, done, err := l.openParcel(ctx, file, dir)
	if err != nil {
		return out, err
	}
	defer done()
	if bytes, err := im.bytes(); err != nil {
		return out, err
	} else if bytes > UnaskedBytes && !o.Large {
		return out, fmt.Errorf("%s is not imported: %w", file, &LargeError{bytes})
	}
	tags := make(map[string][]string)
	for _, t := range im.manifest.Lessons {
		tags[t.Document] = t.Tags
	}
	for _, d := range im.documents {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		lesson, err := im.load(&d)
		if ctx.Err() != nil {
			return out, ctx.Err()
		}
		if err != nil {
			out.Notes = append(out.Notes, fmt.Sprintf("%s can't be used: %v", d.Name, err))
			continue
		}
		one, err := im.take(d.Name, lesson, tags[d.Name])
		if err != nil {
			return out, sentence(fmt.Sprintf("%s can't be imported whole: %s", file, d.Name), err)
		}
		out.Lessons = append(out.Lessons, one)
	}
	out.Ranges = im.takeRanges(o.RangesOf, &out.Notes)
	return out, nil
}

// importer unpacks lessons.
type importer struct {
	l         *Library
	ctx       context.Context
	zip       *zip.Reader
	documents []parcel.Document
	manifest  parcel.Manifest
	dir       string
	students  map[string]bool // names in the lessons, as they are compared
}

// take unpacks one lesson into a folder of its own and records it.
func (im *importer) take(document string, read *annotations.Lesson, tags []string) (Import, error) {
	lesson := read.Clone()
	out := Import{Title: Joined(lesson.Student.Name, lesson.Title, lesson.Date)}
	same, other, err := im.twin(read)
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
	name := place.SafeName(Joined(lesson.Student.Name, lesson.Date, read.Title))
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
	unpacked := make(map[*zip.File]unpackedClip)
	for i := range lesson.Swings {
		for j := range lesson.Swings[i].Clips {
			if err := im.clip(document, folder, &lesson.Swings[i].Clips[j], unpacked, &out); err != nil {
				return out, err
			}
		}
	}
	if err := im.reviews(document, folder, lesson, &out); err != nil {
		return out, err
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
func (im *importer) twin(lesson *annotations.Lesson) (same *Entry, other bool, err error) {
	if lesson.ID == "" {
		return nil, false, nil
	}
	content := contentOf(lesson)
	var list []Entry
	list, err = im.l.withID(im.ctx, lesson.ID)
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

// unpackedClip is a clip as it was unpacked for one of the swings of a lesson.
type unpackedClip struct{ file, sha256 string }

// clip unpacks a clip beside its document, once for all swings that name it, or finds
// it elsewhere.
func (im *importer) clip(document, folder string, c *annotations.Clip, unpacked map[*zip.File]unpackedClip, out *Import) error {
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
	u, ok := unpacked[f]
	if !ok {
		to := place.FreeName(filepath.Join(folder, place.SafeName(strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)))+filepath.Ext(place.SafeName(name))))
		sum, err := parcel.Unpack(im.ctx, f, to)
		if err != nil {
			return err
		}
		u = unpackedClip{filepath.Base(to), sum}
		unpacked[f] = u
		out.Clips++
	}
	if c.SHA256 != "" && u.sha256 != c.SHA256 {
		out.Notes = append(out.Notes, fmt.Sprintf("the %s clip %s is not the file that the lesson was marked on", c.View, u.file))
	}
	c.File = u.file
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
