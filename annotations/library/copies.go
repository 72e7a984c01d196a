package library

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/place"
)

// keptCopies is of how many days, on which a lesson changed, a copy of its
// document is kept.
const keptCopies = 10

const copySuffix = ".json.gz"

func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// keepCopy keeps a document as today's copy of a lesson. Where the document is
// goes into the gzip header, so that a library can be made from copies alone.
func (l *Library) keepCopy(uid, path string, data []byte) error {
	dir := filepath.Join(l.copies(), uid)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestSpeed)
	if err != nil {
		return err
	}
	z.Extra = pathField(path)
	z.ModTime = l.now()
	if _, err := z.Write(data); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	name := l.now().Format(dayFormat) + copySuffix
	if days := daysOf(dir); len(days) > 0 {
		name = max(name, days[len(days)-1]) // the newest is the last one, also where the clock went back
	}
	if err := place.File(filepath.Join(dir, name), &b); err != nil {
		return err
	}
	days := daysOf(dir)
	for _, d := range days[:max(len(days)-keptCopies, 0)] {
		_ = os.Remove(filepath.Join(dir, d)) // tried again with the next copy
	}
	return nil
}

// The path is a subfield of the gzip header's extra field (RFC 1952, 2.3.1.1).
const fieldID = "TG"

func pathField(path string) []byte {
	if len(path) > 1<<15 {
		return nil
	}
	b := binary.LittleEndian.AppendUint16([]byte(fieldID), uint16(len(path)))
	return append(b, path...)
}

func pathIn(extra []byte) string {
	if len(extra) < 4 || string(extra[:2]) != fieldID {
		return ""
	}
	n := int(binary.LittleEndian.Uint16(extra[2:]))
	if len(extra) < 4+n {
		return ""
	}
	return string(extra[4 : 4+n])
}

// daysOf lists the copies in a lesson's folder, oldest first.
func daysOf(dir string) []string {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		if e.Type().IsRegular() && strings.HasSuffix(e.Name(), copySuffix) && !strings.HasPrefix(e.Name(), ".") {
			out = append(out, e.Name())
		}
	}
	return out
}

// readCopy reads a copy and where its document was.
func readCopy(file string) (data []byte, path string, err error) {
	f, err := place.Open(file)
	if err != nil {
		return nil, "", err
	}
	defer func() { _ = f.Close() }()
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, "", err
	}
	data, err = io.ReadAll(io.LimitReader(z, annotations.MaxBytes))
	return data, pathIn(z.Extra), err
}

// Copy is a kept copy of a lesson's document.
type Copy struct {
	Day  time.Time
	file string
}

// Copies lists the copies of a lesson's document, newest first.
func (l *Library) Copies(ctx context.Context, key int64) ([]Copy, error) {
	e, err := l.Lesson(ctx, key)
	if err != nil {
		return nil, err
	}
	dir := filepath.Join(l.copies(), e.uid)
	var out []Copy
	for _, name := range daysOf(dir) {
		if day, err := time.ParseInLocation(dayFormat, strings.TrimSuffix(name, copySuffix), time.Local); err == nil {
			out = append([]Copy{{day, filepath.Join(dir, name)}}, out...)
		}
	}
	return out, nil
}

// Restore writes the newest copy of a lesson's document that can be read to a
// path where there is no file yet.
func (l *Library) Restore(ctx context.Context, key int64, to string) error {
	const what = "the lesson can't be got back from the library"
	copies, err := l.Copies(ctx, key)
	if err != nil {
		return err
	}
	for _, c := range copies {
		data, _, err := readCopy(c.file)
		if err != nil {
			continue
		}
		if _, _, err := annotations.Decode(data); err != nil {
			continue
		}
		if err := place.Folder(filepath.Dir(to)); err != nil {
			return sentence(what, err)
		}
		if err := writeNew(to, data); err != nil {
			return sentence(what, err)
		}
		return nil
	}
	return errors.New(what + ": there is no copy of it that can be read")
}

// readCopies brings the index up to date with the newest copy of each lesson,
// and returns how many it read, and how many it could not.
func (l *Library) readCopies(ctx context.Context) (read, lost int) {
	entries, err := os.ReadDir(l.copies())
	if err != nil {
		return 0, 0
	}
	for _, e := range entries {
		uid := e.Name()
		dir := filepath.Join(l.copies(), uid)
		days := daysOf(dir)
		if !e.IsDir() || len(days) == 0 {
			continue
		}
		newest := filepath.Join(dir, days[len(days)-1])
		data, path, err := readCopy(newest)
		if err != nil || path == "" {
			lost++
			continue
		}
		var sha string
		row := l.store.DB().QueryRowContext(ctx, "SELECT sha256 FROM lesson WHERE uid = $1", uid)
		if row.Scan(&sha) == nil && sha == hashOf(data) {
			continue
		}
		lesson, _, err := annotations.Decode(data)
		if err != nil {
			lost++
			continue
		}
		opened := l.now()
		if info, err := os.Stat(newest); err == nil {
			opened = info.ModTime()
		}
		if err := l.indexAs(ctx, uid, path, lesson, hashOf(data), opened); err != nil {
			lost++
			continue
		}
		read++
	}
	return read, lost
}

// writeNew writes a file that must not be there yet.
func writeNew(path string, data []byte) error {
	err := place.New(path, bytes.NewReader(data))
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("there is a file %s already, which stays as it is", path)
	}
	return err
}

func copyFile(from, to string) error {
	f, err := place.Open(from)
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }()
	return place.File(to, f)
}

// Document returns a lesson as it was recorded last, from its copy, with the
// fingerprint of that document.
func (l *Library) Document(ctx context.Context, key int64) (*annotations.Lesson, string, error) {
	e, err := l.Lesson(ctx, key)
	if err != nil {
		return nil, "", err
	}
	data, _, err := readCopy(l.newestCopy(e.uid))
	if err != nil {
		return nil, "", sentence("the copy of the lesson can't be read", err)
	}
	lesson, _, err := annotations.Decode(data)
	return lesson, hashOf(data), err
}
