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
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/takehome/crop"
	"turngauge/video"
)

// before is the fixture's swing at an earlier lesson with clips of its own: its
// key positions come at other frames.
func before(t *testing.T, l *annotations.Lesson, path string) *Beside {
	e := earlier(l)
	s := &e.Swings[0]
	for i := range s.Positions {
		for k := range s.Positions[i].Frames {
			s.Positions[i].Frames[k].Index = slower(s.Positions[i].Frames[k].Index)
		}
	}
	return &Beside{Lesson: e, Path: path}
}

// slower is where a frame of the later swing is found in the earlier one.
func slower(n int) int { return n - n*n/200 }

// Both swings stand still together at each key position, each at its own coach's
// frame; between two of them each runs evenly from its own frame to its own, which
// is what numpy.interp (NumPy 1.24) gives for the frames in between.
func TestTwoSwingsBesideEachOther(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	found(l)
	other := before(t, l, path)
	for _, c := range []struct {
		name   string
		view   geometry.View
		size   Size
		panels int
	}{
		{"both views", geometry.ViewUnset, Screen, 4}, {"one view", geometry.FaceOn, Screen, 2},
		{"both views on a phone", geometry.ViewUnset, Phone, 4}, {"one view on a phone", geometry.DownTheLine, Phone, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			other.View = c.view
			b, err := gather(context.Background(), &Request{Lesson: l, Path: path, Earlier: other.Lesson, MP4: "x.mp4", Beside: other})
			require.NoError(t, err)
			require.Same(t, b.before, b.other, "it is measured once")
			panels, moments := planned(t, b, c.size, 4)
			require.Len(t, panels, c.panels)
			assert.Equal(t, []string{"Before: 4 April 2026", "Now: 2 May 2026"}, []string{panels[0].side.title, panels[1].side.title})
			w, h := c.size.Pixels()
			room := image.Rect(0, 0, w, h-captionHeight(c.size))
			for i := range panels {
				p := &panels[i]
				assert.True(t, p.place.In(room), "%v", p.place)
				assert.Equal(t, panels[i/2*2].place.Size(), p.place.Size(), "both swings are as large")
				assert.Equal(t, panels[i/2*2].place.Min.Y, p.place.Min.Y, "and side by side")
				assert.InDelta(t, crop.Shape(p.part), crop.Shape(p.place), 0.02)
				e := p.extent()
				for _, q := range []geometry.ImagePt{e.Lo, e.Hi} {
					assert.True(t, image.Pt(int(q.X), int(q.Y)).In(p.part) || !image.Pt(int(q.X), int(q.Y)).In(p.whole()), "the golfer is seen whole: %v in %v", q, p.part)
				}
				for k := range i {
					assert.True(t, p.place.Intersect(panels[k].place).Empty())
				}
			}
			var knots []stop
			for _, m := range moments {
				if m.position != "" && (len(knots) == 0 || knots[len(knots)-1].position != m.position) {
					knots = append(knots, stop{frames: m.frames, position: m.position})
					for k := range panels {
						ref, ok := panels[k].side.Swing().FrameOf(panels[k].clip.ID, m.position)
						require.True(t, ok)
						assert.Equal(t, ref.Index, m.frames[k], "%s in panel %d", m.position, k)
					}
				}
			}
			require.Len(t, knots, 7)
			checked := 0
			for _, m := range moments {
				for i := 1; i < len(knots); i++ {
					from, to := knots[i-1].frames, knots[i].frames
					if m.position != "" || m.frames[1] < from[1] || m.frames[1] > to[1] {
						continue
					}
					checked++
					part := float64(m.frames[1]-from[1]) / float64(to[1]-from[1])
					for k := range panels {
						// A frame's number is that of the last one that has begun.
						assert.InDelta(t, float64(from[k])+part*float64(to[k]-from[k]), m.frames[k], 1.6, "panel %d", k)
					}
				}
			}
			assert.Greater(t, checked, 30)
		})
	}
}

// The clip says of each swing what was measured in it, and what of the
// difference is sure: the sum of the variances decides.
func TestWhatTheClipSaysOfTwoSwings(t *testing.T) {
	l, path := fixture(t)
	found(l)
	other := before(t, l, path)
	b, err := gather(context.Background(), &Request{Lesson: l, Path: path, MP4: "x.mp4", Beside: other})
	require.NoError(t, err)
	assert.Nil(t, b.before, "the sheet compares with nothing unless it is asked to")
	require.NotNil(t, b.other)
	sides := b.sides()
	at := b.tales(sides, geometry.Address)
	require.NotEmpty(t, at)
	assert.Equal(t, "trail hip offset from the ankle-knee line", at[0].measure, "the coach's finding comes first")
	seen := false
	for _, x := range at {
		require.Len(t, x.numbers, 2)
		old, now := b.other.number(x.measure, geometry.Address), b.now.number(x.measure, geometry.Address)
		assert.Equal(t, words.Told(old.Unit, false).Of(x.measure, geometry.Address).WithInterval(old.Value, old.Low95, old.High95), x.numbers[0])
		assert.Contains(t, x.text, "before: "+x.numbers[0]+"; now: "+x.numbers[1]+".")
		d := now.Value - old.Value
		switch z2 := d * d / (now.Sigma*now.Sigma + old.Sigma*old.Sigma); {
		case z2 > 2.3263*2.3263: // 99 % of the standard normal distribution, one end
			assert.Contains(t, x.text, " less, virtually certain")
			seen = seen || x.measure == "lead foot flare"
		case z2 < 0.8416*0.8416: // 80 %
			assert.Contains(t, x.text, ", can't tell.")
		}
	}
	assert.True(t, seen, "the toe that was marked elsewhere")
	delivery := b.tales(sides, geometry.Delivery)
	require.Len(t, delivery, 1)
	assert.Empty(t, delivery[0].measure)
	assert.Contains(t, delivery[0].text, "No difference here")
	head, lines := b.compared()
	assert.Equal(t, "What differs", head)
	assert.Contains(t, strings.Join(lines, " "), "Lead foot flare at address: ")

	// Nothing is marked in the other one: nothing is said, and it is shown.
	other.Lesson.Swings[0].Marks = nil
	other.Swing = "s1"
	b, err = gather(context.Background(), &Request{Lesson: l, Path: path, MP4: "x.mp4", Beside: other})
	require.NoError(t, err)
	assert.Empty(t, b.tales(b.sides(), geometry.Top))
	panels, _ := planned(t, b, Screen, 4)
	assert.Len(t, panels, 4)
}

// A second swing of the same lesson goes by its name.
func TestTwoSwingsOfOneLesson(t *testing.T) {
	l, path := fixture(t)
	second := l.Clone().Swings[0]
	second.ID = "s2"
	l.Swings = append(l.Swings, second)
	b, err := gather(context.Background(), &Request{Lesson: l, Path: path, Swing: "s2", MP4: "x.mp4", Beside: &Beside{Lesson: l, Path: path, Swing: "s1"}})
	require.NoError(t, err)
	sides := b.sides()
	assert.Equal(t, []string{"Swing 1", "Swing 2"}, []string{sides[0].title, sides[1].title})
	l.Swings[1].Label = "half swing"
	sides = b.sides()
	assert.Equal(t, []string{"7-iron, full swing", "half swing"}, []string{sides[0].word, sides[1].word})
}

// FFmpeg's own prober and the program's reader agree that each side of the
// written clip shows its own swing's frame.
func TestTheClipOfTwoSwingsIsWritten(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	other := before(t, l, path)
	out := filepath.Join(t.TempDir(), "before and after.mp4")
	r := Request{Lesson: l, Path: path, MP4: out, Slow: 1, Size: Phone, Beside: other}
	steps, total := 0, 0
	r.Progress = func(done, of int) {
		assert.GreaterOrEqual(t, done, steps)
		steps, total = done, of
	}
	_, err := Write(context.Background(), r)
	require.NoError(t, err)
	assert.Equal(t, total, steps)
	var probed struct {
		Streams []struct {
			Format string `json:"pix_fmt"`
			W      int    `json:"width"`
			H      int    `json:"height"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(tool(t, "ffprobe", "-v", "error", "-show_streams", "-of", "json", out)), &probed))
	require.Len(t, probed.Streams, 1)
	assert.Equal(t, []any{"yuv420p", 720, 1280}, []any{probed.Streams[0].Format, probed.Streams[0].W, probed.Streams[0].H})
	r.Progress = nil
	b, err := gather(context.Background(), &r)
	require.NoError(t, err)
	panels, moments := planned(t, b, Phone, 1)
	src, err := video.Open(out)
	require.NoError(t, err)
	reader := video.NewReader(src, video.ReaderOptions{})
	defer func() { _ = reader.Close() }()
	at := 0
	for _, m := range moments {
		if m.position != "" {
			f, err := reader.Read(context.Background(), at+m.hold/2)
			require.NoError(t, err)
			img := image.NewRGBA(f.Bounds())
			require.NoError(t, f.Render(img, f.Bounds()))
			f.Release()
			for k, p := range panels {
				assert.InDelta(t, grey(m.frames[k]), img.RGBAAt(p.place.Max.X-6, p.place.Min.Y+6).G, 5, "%s in panel %d", m.position, k)
			}
		}
		at += m.hold
	}
	assert.Equal(t, at+holdEnd*clipRate, src.Frames())
}

func TestSwingsThatCantStandBesideEachOther(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	write := func(x *Beside) error {
		_, err := Write(context.Background(), Request{Lesson: l, Path: path, MP4: filepath.Join(t.TempDir(), "x.mp4"), Beside: x})
		return err
	}
	assert.ErrorIs(t, write(&Beside{Lesson: l, Path: path, Swing: "s1"}), ErrNoSwing)
	other := before(t, l, path)
	other.Swing = "s7"
	assert.ErrorContains(t, write(other), `no such swing as "s7" to show beside this one: the other lesson has "s1"`)
	other = before(t, l, path)
	oneView(other.Lesson, geometry.DownTheLine)
	other.View = geometry.FaceOn
	assert.ErrorContains(t, write(other), "x.mp4 can't be made: the two swings were not both filmed face-on")
	other = before(t, l, path)
	other.Lesson.Swings[0].Positions = other.Lesson.Swings[0].Positions[:1]
	l.Swings[0].Positions = l.Swings[0].Positions[1:]
	assert.ErrorContains(t, write(other), "set a key position in the clips of both swings first, the same one")
	other.Lesson.Swings[0].Clips[0].File = "gone.mp4"
	other.Lesson.Swings[0].Clips[1].File = "gone.mp4"
	assert.ErrorContains(t, write(other), "clip can't be read")
}

// The other swing's pictures lie over this one's, half seen, where both were filmed.
func TestOneSwingLaidOverTheOther(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	other := before(t, l, path)
	other.Over = true
	b, err := gather(t.Context(), &Request{Lesson: l, Path: path, Earlier: other.Lesson, MP4: "x.mp4", Beside: other})
	require.NoError(t, err)
	panels, moments := planned(t, b, Screen, 2)
	require.Len(t, panels, 4)
	require.NotEmpty(t, moments)
	for i := range panels {
		assert.Equal(t, i%2 == 0, panels[i].under)
		assert.Equal(t, panels[i/2*2+1].place, panels[i].place, "in one place")
	}
	p := &panels[1]
	ink := image.NewRGBA(image.Rectangle{Max: p.place.Size()})
	require.NoError(t, p.over.Draw(t.Context(), ink, moments[0].frames[0]))
	middle := ink.RGBAAt(ink.Rect.Dx()/2, ink.Rect.Dy()/2)
	assert.InDelta(t, 128, middle.A, 2, "half of this swing is seen through it")
	assert.LessOrEqual(t, middle.R, middle.A)

	for i := range other.Lesson.Swings { // without feet they stand beside each other, and that is said
		other.Lesson.Swings[i].Marks = nil
	}
	b.before, b.other, other.Swing = nil, nil, other.Lesson.Swings[0].ID
	require.NoError(t, b.besides(t.Context(), 0))
	panels, _ = planned(t, b, Screen, 4)
	assert.Nil(t, panels[1].over)
	assert.False(t, panels[0].under)
	assert.Contains(t, b.sheet.Notes[len(b.sheet.Notes)-1], "beside each other")
}
