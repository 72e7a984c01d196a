package main

import (
	"context"
	"errors"
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/saver"
	"turngauge/ui/profile"
	"turngauge/video"
)

// another is a user who plants links. Only root can give links away.
const another = 12345

// plant puts links of another user at a name, of each kind: to a victim, to one through a
// second link, to nothing, and to a folder. Writing through any would change what it is
// the other's to choose.
func plant(t *testing.T, kind, name, victim string) {
	t.Helper()
	to := victim
	switch kind {
	case "through another":
		to = name + ".second"
		require.NoError(t, os.Symlink(victim, to))
		require.NoError(t, os.Lchown(to, another, another))
	case "to nothing":
		to = victim + " gone"
	case "to a folder":
		to = filepath.Dir(victim)
	}
	require.NoError(t, os.Symlink(to, name))
	require.NoError(t, os.Lchown(name, another, another))
}

// TestPlantedLinks has everything that writes write where links of another user lie. What
// they lead to stays as it is, whether the writing fails or puts a file in the link's place.
func TestPlantedLinks(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give a link to another user")
	}
	faultfs.SetBase(t, "XDG_STATE_HOME", t.TempDir())
	ctx := context.Background()
	save := func(path string) error {
		s, err := saver.Open(path, nil)
		if err != nil {
			return err
		}
		s.Save(annotations.NewLesson())
		return s.Close()
	}
	open := func(folder string) error {
		l, err := library.Open(ctx, folder)
		if err != nil {
			return err
		}
		return errors.Join(l.Backup(ctx), l.Close())
	}
	exported := func(path string, do func(l *library.Library, key int64) error) error {
		dir := filepath.Join(filepath.Dir(path), "of the export")
		lesson := annotations.NewLesson()
		lesson.Student.Name = "Mara Lindqvist"
		doc := filepath.Join(dir, "lesson.json")
		if err := errors.Join(os.MkdirAll(dir, 0o700), annotations.Save(doc, lesson)); err != nil {
			return err
		}
		l, err := library.Open(ctx, filepath.Join(dir, "library"))
		if err != nil {
			return err
		}
		defer func() { _ = l.Close() }()
		key, err := l.Record(ctx, doc, lesson, false)
		if err != nil {
			return err
		}
		return do(l, key)
	}
	for _, w := range []struct {
		what, name string
		write      func(path string) error
	}{
		{"a personal file", "a.json", func(path string) error { return place.Bytes(path, []byte("ours")) }},
		{"a new file", "a.json", func(path string) error { return place.New(path, strings.NewReader("ours")) }},
		{"what is handed on", "a.pdf", func(path string) error { return place.Shared(path, strings.NewReader("ours")) }},
		{"new, handed on", "a.html", func(path string) error { return place.NewShared(path, strings.NewReader("ours")) }},
		{"a lock", ".a.lock", func(path string) error { _, err := place.TryLock(path); return err }},
		{"a lesson", "lesson.json", func(path string) error { return annotations.Save(path, annotations.NewLesson()) }},
		{"an open lesson", "lesson.json", save},
		{"the lock of a lesson", ".lesson.json.lock", func(path string) error {
			doc := filepath.Join(filepath.Dir(path), "lesson.json")
			return errors.Join(annotations.Save(doc, annotations.NewLesson()), save(doc))
		}},
		{"the index", "library.db", func(path string) error { return open(filepath.Dir(path)) }},
		{"its log", "library.db-wal", func(path string) error { return open(filepath.Dir(path)) }},
		{"the lock of the library", "library.lock", func(path string) error { return open(filepath.Dir(path)) }},
		{"an export", "out.zip", func(path string) error {
			return exported(path, func(l *library.Library, key int64) error {
				_, err := l.Export(ctx, path, []int64{key}, library.ExportOptions{})
				return err
			})
		}},
		{"all that is held", "for her", func(path string) error {
			return exported(path, func(l *library.Library, key int64) error {
				student, err := l.StudentNamed(ctx, "Mara Lindqvist")
				if err != nil {
					return err
				}
				held, err := l.HeldOf(ctx, student, filepath.Dir(path))
				if err != nil {
					return err
				}
				_, err = l.HandOver(ctx, student, held, path, library.ExportOptions{})
				return err
			})
		}},
		{"a clip", "clip.mp4", func(path string) error {
			w, err := video.Create(path, video.WriterOptions{Width: 64, Height: 48, RateNum: 60, RateDen: 1})
			if err != nil {
				return err
			}
			return errors.Join(w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 64, 48))), w.Close())
		}},
		{"the settings", "settings.json", func(path string) error {
			return profile.Dirs{Config: filepath.Dir(path)}.Keep(profile.Settings{})
		}},
	} {
		for _, kind := range []string{"to a file", "through another", "to nothing", "to a folder"} {
			dir := t.TempDir()
			victims := filepath.Join(dir, "theirs")
			require.NoError(t, os.MkdirAll(filepath.Join(dir, "here"), 0o700))
			require.NoError(t, os.MkdirAll(victims, 0o700))
			victim := filepath.Join(victims, "victim")
			require.NoError(t, os.WriteFile(victim, []byte("theirs"), 0o600))
			path := filepath.Join(dir, "here", w.name)
			plant(t, kind, path, victim)
			done := make(chan error, 1)
			go func() { done <- w.write(path) }()
			select {
			case <-done:
			case <-time.After(time.Minute):
				t.Fatal(w.what, kind, "is waited for")
			}
			left, err := os.ReadDir(victims)
			require.NoError(t, err)
			assert.Len(t, left, 1, "%s, link %s", w.what, kind)
			data, err := os.ReadFile(victim)
			require.NoError(t, err)
			assert.Equal(t, "theirs", string(data), "%s, link %s", w.what, kind)
		}
	}
}
