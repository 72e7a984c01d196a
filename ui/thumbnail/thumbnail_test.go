package thumbnail

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/video"
)

// inline does work at once.
type inline struct{ asked []string }

func (w *inline) Go(what string, do, _ func()) {
	w.asked = append(w.asked, what)
	do()
}
func (w *inline) Post(do func()) { do() }

// greys is a clip of 30 frames, each lighter than the one before by 8 of 255.
func greys(t *testing.T) string {
	path := filepath.Join(t.TempDir(), "greys.mp4")
	w, err := video.Create(path, video.WriterOptions{Width: 320, Height: 180, RateNum: 30})
	require.NoError(t, err)
	im := image.NewRGBA(image.Rect(0, 0, 320, 180))
	for i := range 30 {
		draw.Draw(im, im.Rect, image.NewUniform(grey(i)), image.Point{}, draw.Src)
		require.NoError(t, w.WriteFrame(im))
	}
	require.NoError(t, w.Close())
	return path
}

func grey(i int) color.Gray { return color.Gray{Y: uint8(10 + 8*i)} }

func middle(t *testing.T, s source, folder string) float64 {
	im, err := s.read(folder)
	require.NoError(t, err)
	return float64(im.RGBAAt(im.Rect.Dx()/2, im.Rect.Dy()/2).G)
}

// TestTheFrame: a third into a clip, at address where that is known, whole.
func TestTheFrame(t *testing.T) {
	clip := greys(t)
	assert.InDelta(t, float64(grey(10).Y), middle(t, source{path: clip, frame: -1}, ""), 3)
	assert.InDelta(t, float64(grey(2).Y), middle(t, source{path: clip, frame: 2}, ""), 3)
	assert.InDelta(t, float64(grey(10).Y), middle(t, source{path: clip, frame: 99}, ""), 3, "a clip that was cut shorter since")
	im, err := (&source{path: clip, frame: -1}).read("")
	require.NoError(t, err)
	assert.Equal(t, image.Pt(side, 126), im.Rect.Size())
}

// TestOfALesson: the newest swing with address, face-on before down-the-line.
func TestOfALesson(t *testing.T) {
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{
		ID: "a", Clips: []annotations.Clip{{ID: "1", View: geometry.DownTheLine, File: "side.mp4"}, {ID: "2", View: geometry.FaceOn, File: "front.mp4"}},
		Positions: []annotations.Position{{Name: geometry.Address, Frames: []annotations.FrameRef{{Clip: "1", Index: 4}, {Clip: "2", Index: 5}}}},
	}, {ID: "b", Clips: []annotations.Clip{{ID: "3", View: geometry.FaceOn, File: "newer.mp4"}}}}
	shot, ok := Of(l, "/lessons")
	require.True(t, ok)
	assert.Equal(t, Shot{Clip: "/lessons/front.mp4", Frame: 5, Tall: true}, shot)
	l.Swings[0].Positions[0].Frames = l.Swings[0].Positions[0].Frames[:1]
	shot, _ = Of(l, "/lessons")
	assert.Equal(t, Shot{Clip: "/lessons/side.mp4", Frame: 4, Tall: true}, shot)
	l.Swings[0].Positions = nil
	shot, _ = Of(l, "/lessons")
	assert.Equal(t, Shot{Clip: "/lessons/newer.mp4", Frame: -1, Tall: true}, shot)
	_, ok = Of(annotations.NewLesson(), "/lessons")
	assert.False(t, ok)
}

// TestKept: a picture is read from its file the second time, which is for the user
// alone and named after nobody; a clip that has changed is read anew.
func TestKept(t *testing.T) {
	clip, folder := greys(t), filepath.Join(t.TempDir(), "cache", "pictures")
	s := source{path: clip, frame: 3}
	middle(t, s, folder)
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, entries, 1)
	assert.NotContains(t, entries[0].Name(), "greys")
	info, err := entries[0].Info()
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	info, err = os.Stat(folder)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o700), info.Mode().Perm())

	black := image.NewRGBA(image.Rect(0, 0, 8, 8))
	keep(folder, entries[0].Name(), black)
	assert.Less(t, middle(t, s, folder), 3.0, "the one that is kept")
	require.NoError(t, os.Chtimes(clip, info.ModTime(), info.ModTime().Add(-1e12)))
	assert.InDelta(t, float64(grey(3).Y), middle(t, s, folder), 3)
	require.NoError(t, os.WriteFile(filepath.Join(folder, entries[0].Name()), []byte("no picture"), 0o600))
	require.NoError(t, os.Chtimes(clip, info.ModTime(), info.ModTime()))
	assert.InDelta(t, float64(grey(3).Y), middle(t, s, folder), 3)
}

// TestBroken: a broken clip has no picture, and is looked at once.
func TestBroken(t *testing.T) {
	path := filepath.Join(t.TempDir(), "broken.mp4")
	require.NoError(t, os.WriteFile(path, make([]byte, 3000), 0o600))
	w := &inline{}
	p := New(w, "")
	p.of(path, "1")
	require.NotNil(t, p.of(path, "1"))
	assert.True(t, p.of(path, "1").broken)
	assert.Len(t, w.asked, 1)
	p.of(path, "2")
	assert.Len(t, w.asked, 2, "it may be whole by now")
}

// TestMemoryIsBounded, and what was shown last stays.
func TestMemoryIsBounded(t *testing.T) {
	dir := t.TempDir()
	p := New(&inline{}, "")
	for i := range 3 * mostInMemory {
		path := filepath.Join(dir, fmt.Sprintf("%d.png", i))
		f, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, image.NewGray(image.Rect(0, 0, 2, 2))))
		require.NoError(t, f.Close())
		p.of(path, "")
		p.of(filepath.Join(dir, "0.png"), "")
	}
	assert.LessOrEqual(t, len(p.made), mostInMemory)
	assert.Contains(t, p.made, (&source{path: filepath.Join(dir, "0.png"), frame: -1}).key())
}

// TestForget: nothing stays in memory or in the folder, not even what was being read.
func TestForget(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "pictures")
	var late []func()
	p := New(later{&late}, folder)
	a, b := greys(t), greys(t)
	p.of(a, "")
	late[0]()
	require.DirExists(t, folder)
	p.of(b, "")
	p.Forget()
	assert.NoDirExists(t, folder)
	late[1]()
	assert.NoDirExists(t, folder)
	assert.Empty(t, p.made)
	assert.Zero(t, p.running)
}

// later does work when it is told to.
type later struct{ work *[]func() }

func (w later) Go(_ string, do, _ func()) { *w.work = append(*w.work, do) }
func (w later) Post(do func())            { do() }

// TestUpright: the picture of a letter F, 2 wide and 3 tall, as it is stored for each way to
// hold the camera comes out upright. The eight stored forms are those drawn in the Exif 2.3
// standard (CIPA DC-008), table of the tag Orientation; from memory.
func TestUpright(t *testing.T) {
	stored := map[int][]string{
		1: {"ab", "cd", "ef"}, 2: {"ba", "dc", "fe"}, 3: {"fe", "dc", "ba"}, 4: {"ef", "cd", "ab"},
		5: {"ace", "bdf"}, 6: {"bdf", "ace"}, 7: {"fdb", "eca"}, 8: {"eca", "fdb"},
	}
	for held, rows := range stored {
		im := image.NewGray(image.Rect(0, 0, len(rows[0]), len(rows)))
		for y, row := range rows {
			for x, c := range row {
				im.SetGray(x, y, color.Gray{Y: uint8(c)})
			}
		}
		out := upright(im, held)
		require.Equal(t, image.Pt(2, 3), out.Bounds().Size(), held)
		text := ""
		for y := range 3 {
			for x := range 2 {
				r, _, _, _ := out.At(x, y).RGBA()
				text += string(rune(r >> 8))
			}
		}
		assert.Equal(t, "abcdef", text, "orientation %d", held)
	}
}

// TestOrientationIsRead from a file's head in both orders of bytes, and is 1 where there is
// none.
func TestOrientationIsRead(t *testing.T) {
	for _, tiff := range []string{
		"MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00",
		"II\x2a\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00",
	} {
		body := "Exif\x00\x00" + tiff
		head := "\xff\xd8\xff\xe0\x00\x04ab\xff\xe1" + string([]byte{0, byte(len(body) + 2)}) + body + "\xff\xda"
		assert.Equal(t, 6, orientation(strings.NewReader(head)))
		for n := range len(head) {
			assert.Contains(t, []int{1, 6}, orientation(strings.NewReader(head[:n])))
		}
	}
	assert.Equal(t, 1, orientation(strings.NewReader("\x89PNG\r\n")))
}
