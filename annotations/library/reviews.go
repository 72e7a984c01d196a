package library

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library/parcel"
	"turngauge/annotations/place"
	"turngauge/annotations/review"
)

// reviews takes the narrated reviews of a lesson into an export, beside its clips, and
// leaves out of the document those whose files are not there.
func (x *exporter) reviews(lesson *annotations.Lesson, from, folder string) {
	for _, r := range lesson.Reviews {
		if !x.options.Clips {
			continue
		}
		for _, rec := range r.Recordings() {
			x.recording(rec, from, folder)
		}
	}
}

func (x *exporter) recording(rec review.Recording, from, folder string) {
	of := review.Review{List: rec.List, Voice: rec.Voice}
	list, voice := of.Files(from)
	for _, f := range []string{list, voice} {
		info, err := os.Lstat(f)
		switch {
		case f == "" || f == voice && errors.Is(err, fs.ErrNotExist):
			continue // it was recorded without a microphone
		case err == nil && !info.Mode().IsRegular() || err == nil && !within(f, from):
			err = errors.New("it is no plain file of the lesson's folder")
		}
		if err != nil {
			x.out.Notes = append(x.out.Notes, fmt.Sprintf("%s is not in it: %v", f, err))
			continue
		}
		rel, err := filepath.Rel(from, f)
		if err != nil {
			continue // Check has looked at it
		}
		name := path.Join(folder, filepath.ToSlash(rel))
		if x.taken[strings.ToLower(name)] {
			continue
		}
		x.taken[strings.ToLower(name)] = true
		x.clips = append(x.clips, part{name: name, file: f, info: info})
		x.total += info.Size()
	}
}

// within reports whether a file lies in a folder when all links are followed.
func within(file, folder string) bool {
	real, err1 := filepath.EvalSymlinks(file)
	home, err2 := filepath.EvalSymlinks(folder)
	rel, err3 := filepath.Rel(home, real)
	return errors.Join(err1, err2, err3) == nil && filepath.IsLocal(rel)
}

// reviews unpacks the narrated reviews of a lesson beside its document. One whose list is
// not in the zip file is left out of the lesson, and so is a passage that was said anew.
func (im *importer) reviews(document, folder string, lesson *annotations.Lesson, out *Import) error {
	for _, r := range lesson.Reviews {
		all := r.Recordings()
		if parcel.Clip(im.zip, document, all[0].List) == nil {
			lesson.Reviews = lesson.Reviews.Without(r.ID)
			continue
		}
		base := place.SafeName(r.ID)
		if base == "" {
			base = annotations.NewID()
		}
		for k := range all {
			var err error
			if all[k], err = im.recording(document, folder, base, all[k], out); err != nil {
				return err
			}
		}
		lesson.Reviews = lesson.Reviews.With(r.WithRecordings(all))
	}
	return nil
}

// recording unpacks the files of one and returns where they are then: nowhere, if its list is
// not there.
func (im *importer) recording(document, folder, base string, rec review.Recording, out *Import) (to review.Recording, err error) {
	list := parcel.Clip(im.zip, document, rec.List)
	if list == nil {
		out.Notes = append(out.Notes, "a passage of a review that was said anew is not in it")
		return to, nil
	}
	if err := place.Folder(filepath.Join(folder, review.Folder)); err != nil {
		return to, err
	}
	stem := place.FreeName(filepath.Join(folder, review.Folder, base)+".jsonl", ".wav")
	if _, err := parcel.Unpack(im.ctx, list, stem); err != nil {
		return to, err
	}
	to.List = path.Join(review.Folder, filepath.Base(stem))
	if voice := parcel.Clip(im.zip, document, rec.Voice); rec.Voice != "" && voice != nil {
		file := strings.TrimSuffix(stem, ".jsonl") + ".wav"
		if _, err := parcel.Unpack(im.ctx, voice, file); err != nil {
			return to, err
		}
		to.Voice = path.Join(review.Folder, filepath.Base(file))
	} else if rec.Voice != "" {
		out.Notes = append(out.Notes, "the voice of a review is not in it")
	}
	return to, nil
}

// reviewFiles are the files of all reviews of a lesson: beside its document, and beside
// where that was before it came into the trash.
func reviewFiles(e Entry) (files []string) {
	for _, p := range []string{e.Path, e.Origin} {
		if p != "" {
			files = append(files, review.Belonging(filepath.Dir(p), e.ID)...)
		}
	}
	return files
}

// filmsOf are the films of a lesson's reviews that lie beside its document.
func filmsOf(e Entry) (files []string) {
	l, _, err := annotations.Load(e.Path)
	if err != nil {
		return nil // a document that can't be read names none
	}
	for i := range l.Reviews {
		name := l.Reviews[i].Film
		if name != filepath.Base(name) || filepath.Ext(name) != ".mp4" {
			continue
		}
		for _, at := range []string{e.Path, e.Origin} {
			f := filepath.Join(filepath.Dir(at), name)
			if info, err := os.Lstat(f); at != "" && err == nil && info.Mode().IsRegular() {
				files = append(files, f)
			}
		}
	}
	return files
}

// forgetReviews removes the reviews of a lesson that is deleted for good, unless the library
// has it elsewhere too, as a copy whose reviews they may be. What can't be removed stays as
// clips do.
func (l *Library) forgetReviews(ctx context.Context, e Entry) {
	if others, err := l.withID(ctx, e.ID); err != nil || len(others) > 0 {
		return
	}
	for _, f := range reviewFiles(e) {
		_ = os.Remove(f)
		_ = os.Remove(filepath.Dir(f)) // where nothing is left in it
	}
}
