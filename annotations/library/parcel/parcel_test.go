package parcel

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"context"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// entry is one of a zip file; of one that lies, said is the length it claims.
type entry struct {
	name string
	data []byte
	mode fs.FileMode
	said uint64
}

// zipOf makes a zip file, by the rules of PKWARE's APPNOTE where an entry does not lie.
func zipOf(t testing.TB, entries ...entry) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	packedOf := make(map[*byte][]byte) // many entries may share their data
	for _, e := range entries {
		h := &zip.FileHeader{Name: e.name, Method: zip.Store}
		if e.mode != 0 {
			h.SetMode(e.mode)
		}
		packed := e.data
		if len(e.data) > 1<<16 {
			if packedOf[&e.data[0]] == nil {
				packedOf[&e.data[0]] = deflated(t, e.data)
			}
			h.Method, packed = zip.Deflate, packedOf[&e.data[0]]
		}
		h.CRC32 = crc32.ChecksumIEEE(e.data)
		h.CompressedSize64, h.UncompressedSize64 = uint64(len(packed)), uint64(len(e.data))
		if e.said != 0 {
			h.UncompressedSize64 = e.said
		}
		raw, err := z.CreateRaw(h)
		require.NoError(t, err)
		_, err = raw.Write(packed)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return out.Bytes()
}

func deflated(t testing.TB, data []byte) []byte {
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestSpeed)
	require.NoError(t, err)
	_, err = w.Write(data)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return packed.Bytes()
}

// documentOf is a lesson that names a clip.
func documentOf(t testing.TB, clip string) []byte {
	t.Helper()
	l := annotations.NewLesson()
	l.Title, l.Student.Name, l.Date = "First visit", "Mara Lindqvist", "2026-05-02"
	l.Swings = []annotations.Swing{{ID: "s1", Clips: []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: clip, Width: 1920, Height: 1080}}}}
	data, err := l.Encode()
	require.NoError(t, err)
	return data
}

// FuzzParcel reads zip files as an import does, and unpacks every clip that the
// documents name. It must not panic, give only what it says it gives, and write
// nothing but the clip. The seeds are the ways such files are used as weapons.
func FuzzParcel(f *testing.F) {
	manifest := entry{name: ManifestName, data: []byte(`{"kind":"turngauge-export","version":1,"lessons":[{"document":"a/lesson.json","tags":["x"]}]}`)}
	for _, seed := range [][]entry{
		{manifest, {name: "a/lesson.json", data: documentOf(f, "fo.mp4")}, {name: "a/fo.mp4", data: []byte("film")}},
		{{name: "../x.json", data: documentOf(f, "../../y")}, {name: "../../y", data: []byte("y")}},
		{{name: "/etc/x.json", data: documentOf(f, "/etc/passwd")}, {name: "/etc/passwd", data: []byte("y")}},
		{{name: `a\..\..\x.json`, data: documentOf(f, `..\..\y`)}, {name: `..\..\y`, data: []byte("y")}},
		{{name: "a/lesson.json", data: documentOf(f, "fo.mp4")}, {name: "a/fo.mp4", data: []byte("/etc/passwd"), mode: fs.ModeSymlink | 0o777}},
		{{name: "a/lesson.json", data: documentOf(f, "fo.mp4")}, {name: "a/fo.mp4", data: make([]byte, 1<<20), said: 100}},
		{{name: "a/lesson.json", data: documentOf(f, "fo.mp4")}, {name: "a/fo.mp4", data: []byte("short"), said: 1 << 40}},
		{{name: "a/lesson.json", data: append([]byte(`{"kind":"turngauge-lesson","version":1,"notes":"`), bytes.Repeat([]byte("a"), 1<<20)...), said: 200}},
		{{name: "a/lesson.json", data: documentOf(f, "b/../fo.mp4")}, {name: "a/fo.mp4", data: []byte("film")}, {name: "a/fo.mp4", data: []byte("again")}},
	} {
		f.Add(zipOf(f, seed...))
	}
	f.Add([]byte("PK"))
	f.Fuzz(func(t *testing.T, data []byte) {
		z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			return
		}
		documents, m, err := Read(z)
		if err != nil {
			return
		}
		require.NotEmpty(t, documents)
		_, err = json.Marshal(m)
		require.NoError(t, err)
		for _, d := range documents {
			lesson, err := d.Load()
			if err != nil {
				continue
			}
			require.True(t, filepath.IsLocal(d.Name), d.Name)
			require.NoError(t, lesson.Validate())
			for _, s := range lesson.Swings {
				for _, c := range s.Clips {
					unpacked(t, z, d.Name, c.File)
				}
			}
		}
	})
}

// unpacked takes a clip out, if it is there, and looks at what that left on the
// disk: the clip, as long as its entry says, or nothing.
func unpacked(t *testing.T, z *zip.Reader, document, file string) {
	const most = 64 << 20 // more would only test the disk
	e := Clip(z, document, file)
	if e == nil || e.UncompressedSize64 > most {
		return
	}
	root := t.TempDir()
	dir := filepath.Join(root, "deep", "lesson")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	_, err := Unpack(context.Background(), e, filepath.Join(dir, "clip"))
	var found []string
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, walkErr error) error {
		if walkErr == nil && !d.IsDir() {
			found = append(found, path)
			info, statErr := d.Info()
			require.NoError(t, statErr)
			require.True(t, info.Mode().IsRegular(), path)
			require.EqualValues(t, e.UncompressedSize64, info.Size())
		}
		return walkErr
	}))
	if err != nil {
		require.Empty(t, found, "after %v", err)
		return
	}
	require.Equal(t, []string{filepath.Join(dir, "clip")}, found)
}

func TestLimits(t *testing.T) {
	read := func(entries ...entry) ([]Document, error) {
		data := zipOf(t, entries...)
		z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		require.NoError(t, err)
		d, _, err := Read(z)
		return d, err
	}
	many := func(n int, name string, data []byte) (all []entry) {
		for i := range n {
			all = append(all, entry{name: fmt.Sprintf(name, i), data: data})
		}
		return all
	}
	_, err := read(many(MaxFiles+1, "%d.txt", nil)...)
	assert.ErrorContains(t, err, "at most 20000")
	_, err = read(many(maxLessons+1, "%d.json", documentOf(t, ""))...)
	assert.ErrorContains(t, err, "more than 2000 lessons")
	_, err = read(entry{name: "x.txt"})
	assert.ErrorIs(t, err, ErrNoLesson)
	// Documents that together are longer than all may be: the last are refused.
	large := append(documentOf(t, ""), bytes.Repeat([]byte(" "), annotations.MaxBytes-10_000)...)
	fits := maxTexts / len(large)
	documents, err := read(many(fits+1, "%d.json", large)...)
	require.NoError(t, err)
	require.Len(t, documents, fits+1)
	lesson, err := documents[fits-1].Load()
	require.NoError(t, err)
	assert.Equal(t, "First visit", lesson.Title)
	_, err = documents[fits].Load()
	assert.ErrorContains(t, err, "larger than any lesson")
	// One that says it is short is not read past what it says.
	documents, err = read(entry{name: "a.json", data: large, said: 1000})
	require.NoError(t, err)
	_, err = documents[0].Load()
	assert.Error(t, err)
}

// TestManifestIsNoLesson reads manifests that are damaged, too large and of another kind:
// the lessons are there without.
func TestManifestIsNoLesson(t *testing.T) {
	for name, manifest := range map[string][]byte{
		"damaged": []byte(`{"kind":"turngauge-export","version":1,"lessons":[`),
		"large":   append([]byte(`{"kind":"turngauge-export","version":1,"lessons":[{"document":"a.json","tags":["x"]}]}`), bytes.Repeat([]byte(" "), maxManifest)...),
		"other":   []byte(`{"kind":"turngauge","version":1,"lessons":[{"document":"a.json","tags":["x"]}]}`),
	} {
		data := zipOf(t, entry{name: ManifestName, data: manifest}, entry{name: "a.json", data: documentOf(t, "")})
		z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		require.NoError(t, err)
		documents, m, err := Read(z)
		require.NoError(t, err, name)
		assert.Len(t, documents, 1)
		assert.Equal(t, Manifest{}, m, name)
	}
}

func TestClipIsFoundOnlyBesideItsDocument(t *testing.T) {
	data := zipOf(t, entry{name: "a/fo.mp4", data: []byte("film")}, entry{name: "fo.mp4", data: []byte("other")},
		entry{name: "../fo.mp4", data: []byte("evil")}, entry{name: "a/link", mode: fs.ModeSymlink | 0o777})
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	assert.Equal(t, "a/fo.mp4", Clip(z, "a/lesson.json", "fo.mp4").Name)
	assert.Equal(t, "fo.mp4", Clip(z, "lesson.json", "fo.mp4").Name)
	for _, file := range []string{"../fo.mp4", "../../fo.mp4", "/fo.mp4", "link", "", "no.mp4"} {
		assert.Nil(t, Clip(z, "a/lesson.json", file), file)
	}
}
