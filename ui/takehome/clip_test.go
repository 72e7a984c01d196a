package takehome

import (
	"context"
	"encoding/json"
	"image"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/video"
)

// FFmpeg's own prober reads the clip, and its frames are those of the lesson's
// clips, in order, with the lines on them where it stands still.
func TestTheAnnotatedClip(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	found(l)
	for _, c := range []struct {
		size Size
		w, h int
	}{{Screen, 1280, 720}, {Phone, 720, 1280}} {
		t.Run(sizeNames[c.size], func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "swing.mp4")
			steps, total := 0, 0
			_, err := Write(context.Background(), Request{Lesson: l, Path: path, MP4: out, Size: c.size, Slow: 1, Progress: func(done, of int) {
				assert.GreaterOrEqual(t, done, steps)
				steps, total = done, of
			}})
			require.NoError(t, err)
			assert.Equal(t, total, steps)
			var probed struct {
				Streams []struct {
					Name   string `json:"codec_name"`
					Format string `json:"pix_fmt"`
					Rate   string `json:"r_frame_rate"`
					Frames string `json:"nb_frames"`
					W      int    `json:"width"`
					H      int    `json:"height"`
				}
			}
			require.NoError(t, json.Unmarshal([]byte(tool(t, "ffprobe", "-v", "error", "-show_streams", "-of", "json", out)), &probed))
			require.Len(t, probed.Streams, 1)
			s := probed.Streams[0]
			assert.Equal(t, []any{"h264", "yuv420p", "30/1", c.w, c.h}, []any{s.Name, s.Format, s.Rate, s.W, s.H})
			if c.size == Screen {
				checkFrames(t, l, path, out)
			}
		})
	}
}

// planned returns the panels and the moments of a clip, so many times slower
// than life.
func planned(t *testing.T, b *builder, size Size, slow float64) ([]panel, []moment) {
	t.Helper()
	sides := b.sides()
	for _, s := range sides {
		t.Cleanup(s.album.close)
	}
	panels, err := b.panels(sides, size)
	require.NoError(t, err)
	return panels, timeline(panels, len(sides)-1, func(p geometry.PositionName) []*tale { return b.tales(sides, p) }, b.framed(), slow)
}

// checkFrames compares the clip with its timeline.
func checkFrames(t *testing.T, l *annotations.Lesson, path, out string) {
	r := &Request{Lesson: l, Path: path, MP4: out}
	b, err := gather(context.Background(), r)
	require.NoError(t, err)
	panels, moments := planned(t, b, Screen, 1)
	require.Len(t, panels, 2)
	assert.True(t, panels[0].place.Intersect(panels[1].place).Empty())
	src, err := video.Open(out)
	require.NoError(t, err)
	reader := video.NewReader(src, video.ReaderOptions{})
	defer func() { _ = reader.Close() }()
	at, drawn, still := 0, 0, 0
	last := -1
	for i, m := range moments {
		assert.GreaterOrEqual(t, m.frames[0], last, "time runs forward")
		last = m.frames[0]
		if m.tale != nil || i%9 == 0 {
			f, err := reader.Read(context.Background(), at+m.hold/2)
			require.NoError(t, err)
			img := image.NewRGBA(f.Bounds())
			require.NoError(t, f.Render(img, f.Bounds()))
			for k, p := range panels {
				corner := img.RGBAAt(p.place.Min.X+4, p.place.Min.Y+4)
				tol := 5.0            // the frame itself is checked in TestTheTimeline
				if m.position == "" { // H.264 spares itself small changes of a flat grey
					tol = 12
				}
				assert.InDelta(t, grey(m.frames[k]), corner.G, tol, "moment %d, view %d", i, k)
			}
			ink := 0
			for y := panels[0].place.Min.Y; y < panels[0].place.Max.Y; y++ {
				for x := panels[0].place.Min.X; x < panels[0].place.Max.X; x++ {
					if p := img.RGBAAt(x, y); int(max(p.R, p.G, p.B))-int(min(p.R, p.G, p.B)) > 60 {
						ink++
					}
				}
			}
			if m.tale != nil && m.tale.measure == "pelvis turn" {
				drawn++
				assert.Greater(t, ink, 100, "its line is drawn")
			} else if m.tale == nil {
				still++
				assert.Zero(t, ink, "nothing is drawn where nothing was found")
			}
			f.Release()
		}
		at += m.hold
	}
	assert.Equal(t, 1, drawn)
	assert.Greater(t, still, 3)
	assert.Equal(t, at+holdEnd*clipRate, src.Frames())
}

// The swing runs as many times slower as it is said: between two positions,
// source seconds times 30 times slower is the number of frames.
func TestTheTimeline(t *testing.T) {
	l, path := fixture(t)
	found(l)
	b, err := gather(context.Background(), &Request{Lesson: l, Path: path})
	require.NoError(t, err)
	panels, moments := planned(t, b, Screen, 4)
	count := make(map[geometry.PositionName]int) // moving frames before it
	moving := 0
	stops := 0
	for _, m := range moments {
		if m.position == "" {
			moving += m.hold
			continue
		}
		stops++
		count[m.position] = moving
		for k := range panels {
			ref, ok := b.now.Swing().FrameOf(panels[k].clip.ID, m.position)
			require.True(t, ok)
			assert.Equal(t, ref.Index, m.frames[k], "the coach's own frame of %s", m.position)
		}
	}
	assert.Equal(t, 7, stops)
	from, _ := b.now.Swing().FrameOf(panels[0].clip.ID, geometry.Address)
	to, _ := b.now.Swing().FrameOf(panels[0].clip.ID, geometry.Impact)
	seconds := float64(to.Index-from.Index) / 24
	assert.InDelta(t, seconds*4*30, count[geometry.Impact]-count[geometry.Address], 7)
}

func TestAClipThatCantBeMade(t *testing.T) {
	l, path := fixture(t)
	dir := filepath.Dir(path)
	l.Swings[0].Positions, l.Swings[0].Marks = nil, nil
	_, err := Write(context.Background(), Request{Lesson: l, Path: path, MP4: filepath.Join(dir, "x.mp4")})
	assert.ErrorContains(t, err, "x.mp4 can't be made: set a key position")
	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].File = "gone.mp4"
	}
	_, err = Write(context.Background(), Request{Lesson: l, Path: path, MP4: filepath.Join(dir, "x.mp4")})
	assert.ErrorContains(t, err, "x.mp4 can't be made: The face-on clip can't be read")
	left, err := filepath.Glob(filepath.Join(dir, "x*"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

func TestAClipStops(t *testing.T) {
	l, path := fixture(t)
	ctx, cancel := context.WithCancel(context.Background())
	out := filepath.Join(filepath.Dir(path), "x.mp4")
	_, err := Write(ctx, Request{Lesson: l, Path: path, MP4: out, Progress: func(done, _ int) {
		if done > 20 {
			cancel()
		}
	}})
	assert.ErrorIs(t, err, context.Canceled)
	left, err := filepath.Glob(out + "*")
	require.NoError(t, err)
	assert.Empty(t, left, "nothing is left behind")
}

func TestLetteringOnAPicture(t *testing.T) {
	l := newLettering()
	lines := l.wrap(strings.Repeat("Half swings with the trail heel against a wall. ", 6), 20, true, 400)
	assert.Greater(t, len(lines), 4)
	for _, s := range lines {
		assert.LessOrEqual(t, l.measure(s, 20, true), 400.0)
	}
	l.letters.own['Q'] = false // drawn as a box where there is no other font
	img := image.NewRGBA(image.Rect(0, 0, 60, 40))
	l.letters.faces = nil
	l.draw(img, "Q", Pt{-5, -5}, 60, false, clipText) // partly outside
	ink := 0
	for i := 3; i < len(img.Pix); i += 4 {
		if img.Pix[i] > 0 {
			ink++
		}
	}
	assert.Greater(t, ink, 20)
}

// Words that are many stay in their room.
func TestLongWordsInTheClip(t *testing.T) {
	b := &builder{sheet: &Sheet{Student: strings.Repeat("Hohenlohe-Østergaard ", 5), Cautions: annotations.Cautions}}
	b.sheet.Work.Drill = strings.Repeat("Half swings with the trail heel against a wall. ", 20)
	l := &reel{b: b, unit: 1, words: newLettering(), slow: 4}
	lines, size := l.fit("Your hips have turned 31°.", 1248, 80)
	assert.Len(t, lines, 1)
	assert.Equal(t, 21.0, size)
	lines, size = l.fit(strings.Repeat("Your hips have turned. ", 40), 1248, 80)
	assert.LessOrEqual(t, float64(len(lines))*lineShare*size, 80.0)
	assert.True(t, strings.HasSuffix(lines[len(lines)-1], "…"))
	img := image.NewRGBA(image.Rect(0, 0, 1280, 720))
	k := 1.0
	for l.endWords(img, k) > 720 {
		k *= 0.9
		require.Greater(t, k, 0.35)
	}
	ink := 0
	for x := range 1280 {
		for y := 712; y < 720; y++ {
			if c := img.RGBAAt(x, y); c.R > 0x40 {
				ink++
			}
		}
	}
	assert.Zero(t, ink, "nothing runs over the edge")
	e, err := l.newEasel()
	require.NoError(t, err)
	defer e.Free()
	l.caption(e, &moment{position: geometry.Top, tale: &tale{text: strings.Repeat("Your hips have turned. ", 40)}})
	l.end(e)
}
