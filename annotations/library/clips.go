package library

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"turngauge/annotations/place"
)

// mostLookedAt bounds how many files are looked at for one clip, and how many
// are read through for their fingerprint.
const mostLookedAt, mostRead = 20_000, 40

// FindClip looks for the file of a clip that is not where its document says, by
// its fingerprint: where the library knows the same clip to be, then in the
// folders given and in those inside them. It returns "" where it is not found.
func (l *Library) FindClip(ctx context.Context, fingerprint, was string, folders ...string) (path string, err error) {
	if fingerprint == "" {
		return "", nil
	}
	var known []string
	size := int64(-1)
	err = l.query(ctx, "the clip can't be looked for", "SELECT path, coalesce(bytes, -1) FROM clip WHERE sha256 = $1", []any{fingerprint}, func(r *sql.Rows) error {
		var p string
		var n int64
		err := r.Scan(&p, &n)
		known = append(known, p)
		size = max(size, n)
		return err
	})
	if err != nil {
		return "", err
	}
	s := search{ctx: ctx, fingerprint: fingerprint, name: filepath.Base(was), size: size, not: was}
	for _, p := range known {
		if s.is(p) {
			return p, nil
		}
	}
	for _, p := range known {
		folders = append(folders, filepath.Dir(p))
	}
	// Files of its name first: they are the likely ones.
	for _, likely := range []bool{true, false} {
		s.likely = likely
		for i, f := range folders {
			if f == "" || slices.Contains(folders[:i], f) {
				continue
			}
			if s.in(f, 3) {
				return s.found, nil
			}
		}
	}
	return "", ctx.Err()
}

// search looks for a file by its fingerprint.
type search struct {
	ctx         context.Context
	fingerprint string
	name        string
	size        int64  // -1 where not known
	not         string // where it is known not to be
	likely      bool   // only files of the name
	looked      int
	read        int
	found       string
}

// in looks in a folder and, so many levels deep, in those inside it.
func (s *search) in(folder string, depth int) bool {
	entries, err := os.ReadDir(folder)
	if err != nil || s.ctx.Err() != nil {
		return false
	}
	var inside []string
	for _, e := range entries {
		s.looked++
		path := filepath.Join(folder, e.Name())
		switch {
		case s.looked > mostLookedAt:
			return false
		case strings.HasPrefix(e.Name(), "."):
		case e.IsDir():
			inside = append(inside, path)
		case e.Type().IsRegular() && (e.Name() == s.name) == s.likely && strings.EqualFold(filepath.Ext(path), filepath.Ext(s.name)) && s.is(path):
			s.found = path
			return true
		}
	}
	return depth > 0 && slices.ContainsFunc(inside, func(dir string) bool { return s.in(dir, depth-1) })
}

// is reports whether a file is the one that is looked for.
func (s *search) is(path string) bool {
	info, err := os.Stat(path)
	if err != nil || path == s.not || !info.Mode().IsRegular() || s.size >= 0 && info.Size() != s.size || s.size < 0 && !s.likely && s.read > 0 {
		return false
	}
	if s.read++; s.read > mostRead {
		return false
	}
	f, err := place.Open(path)
	if err != nil {
		return false
	}
	defer func() { _ = f.Close() }()
	sum := sha256.New()
	buffer := make([]byte, 1<<20)
	for {
		n, err := f.Read(buffer)
		_, _ = sum.Write(buffer[:n])
		if err == io.EOF {
			return hex.EncodeToString(sum.Sum(nil)) == s.fingerprint
		}
		if err != nil || s.ctx.Err() != nil {
			return false
		}
	}
}

// MissingClip is a clip whose file is not where its document says.
type MissingClip struct {
	Lesson                      Entry
	Swing, ID, Path, View, Hash string
}

// MissingClips lists the clips of lessons, not in the trash, whose files are not
// there.
func (l *Library) MissingClips(ctx context.Context) ([]MissingClip, error) {
	type row struct {
		lesson int64
		MissingClip
	}
	var rows []row
	err := l.query(ctx, "the clips can't be listed", `SELECT lesson.key, swing.id, clip.id, clip.path, clip.view, clip.sha256 FROM clip
		JOIN swing ON swing.key = clip.swing JOIN lesson ON lesson.key = swing.lesson WHERE lesson.deleted IS NULL AND clip.path <> '' ORDER BY lesson.date DESC`,
		nil, func(r *sql.Rows) error {
			var m row
			err := r.Scan(&m.lesson, &m.Swing, &m.ID, &m.Path, &m.View, &m.Hash)
			rows = append(rows, m)
			return err
		})
	if err != nil {
		return nil, err
	}
	var out []MissingClip
	for _, m := range rows {
		if _, err := os.Stat(m.Path); err == nil {
			continue
		}
		if m.Lesson, err = l.Lesson(ctx, m.lesson); err != nil {
			return nil, err
		}
		out = append(out, m.MissingClip)
	}
	return out, ctx.Err()
}
