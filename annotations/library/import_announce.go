package library

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/library/parcel"
	"turngauge/annotations/place"
)

// Announced says what an import would do beside taking lessons.
type Announced struct {
	Bytes  int64 // that it would write, if no lesson in it is here already
	Ranges []OfferedRanges
}

// AnnounceZip reads a zip file as [Library.ImportZip] would and takes nothing.
func (l *Library) AnnounceZip(ctx context.Context, file string) (Announced, error) {
	im, done, err := l.openParcel(ctx, file, "")
	if err != nil {
		return Announced{}, err
	}
	defer done()
	bytes, err := im.bytes()
	if err != nil || len(im.manifest.Targets) == 0 {
		return Announced{Bytes: bytes}, err
	}
	return Announced{Bytes: bytes, Ranges: im.offered()}, nil
}

// openParcel opens a zip file to be imported to dir; done closes it.
func (l *Library) openParcel(ctx context.Context, file, dir string) (im *importer, done func(), err error) {
	f, err := place.Open(file)
	if err != nil {
		return nil, nil, sentence(file+" can't be imported", err)
	}
	done = func() { _ = f.Close() }
	info, err := f.Stat()
	var z *zip.Reader
	if err == nil {
		z, err = zip.NewReader(f, info.Size())
	}
	switch {
	case errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF):
		err = fmt.Errorf("%s can't be imported: it is not a zip file, or not whole", file)
	case err != nil:
		err = sentence(file+" can't be imported", err)
	}
	im = &importer{l: l, ctx: ctx, zip: z, dir: dir}
	if err == nil {
		if im.documents, im.manifest, err = parcel.Read(z); err != nil {
			err = fmt.Errorf("%s can't be imported: %w", file, err)
		}
	}
	if err != nil {
		done()
		return nil, nil, err
	}
	return im, done, nil
}

// bytes returns how much the import would write.
func (im *importer) bytes() (total int64, err error) {
	im.students = make(map[string]bool)
	for _, d := range im.documents {
		if err := im.ctx.Err(); err != nil {
			return 0, err
		}
		lesson, err := im.load(&d)
		if err != nil {
			continue // told when it is to be taken
		}
		im.students[nameKey(lesson.Student.Name)] = true
		total += d.Bytes()
		for _, e := range im.entries(d.Name, lesson) {
			total += int64(min(e.UncompressedSize64, math.MaxInt64/parcel.MaxFiles))
		}
	}
	return total, nil
}

// entries are the clips and reviews of a lesson that are in the zip file, each once.
func (im *importer) entries(document string, lesson *annotations.Lesson) (out []*zip.File) {
	for i := range lesson.Swings {
		for j := range lesson.Swings[i].Clips {
			if c := &lesson.Swings[i].Clips[j]; c.File != "" {
				if e := parcel.Clip(im.zip, document, c.File); e != nil && !slices.Contains(out, e) {
					out = append(out, e)
				}
			}
		}
	}
	for _, r := range lesson.Reviews {
		for _, rec := range r.Recordings() {
			for _, file := range []string{rec.List, rec.Voice} {
				if e := parcel.Clip(im.zip, document, file); file != "" && e != nil && !slices.Contains(out, e) {
					out = append(out, e)
				}
			}
		}
	}
	return out
}

// load reads a document. A large one takes its time, which nobody who gives up waits for.
func (im *importer) load(d *parcel.Document) (*annotations.Lesson, error) {
	type result struct {
		lesson *annotations.Lesson
		err    error
	}
	done := make(chan result, 1)
	go func() {
		lesson, err := d.Load()
		done <- result{lesson, err}
	}()
	select {
	case r := <-done:
		return r.lesson, r.err
	case <-im.ctx.Done():
		return nil, im.ctx.Err()
	}
}
