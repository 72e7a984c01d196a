package film

import (
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
	"turngauge/geometry"
	"turngauge/ui/x11/xtest"
)

// A film is what FFmpeg makes of it: a picture that changes when there is a clap changes
// within 20 ms of it, also after a cut and in a passage said anew; a cough that was silenced
// is not heard; the voice is as loud as was asked for; chapters and captions are there.
func TestTheFilm(t *testing.T) {
	l, path := fixture(t)
	fo := l.Swings[0].ClipOf(geometry.FaceOn).ID
	top, ok := l.Swings[0].FrameOf(fo, geometry.Top)
	require.True(t, ok)
	address, ok := l.Swings[0].FrameOf(fo, geometry.Address)
	require.True(t, ok)
	const length, first, second, cut = 12.0, 3.0, 9.0, 2.0
	const anew, third, cough = 2.0, 1.0, 0.4 // a take's length, its clap; a cough at 10
	r := rand.New(rand.NewPCG(5, 6))
	spoken := func(length float64, claps ...float64) []int16 { // murmur, and claps over it
		voice := make([]int16, int(length*review.Rate))
		for i := range voice {
			voice[i] = int16(4000*r.Float64() - 2000)
			for _, clap := range claps {
				if off := float64(i)/review.Rate - clap; off >= 0 && off < 0.02 {
					voice[i] = int16(25000 * math.Sin(2*math.Pi*1500*off))
				}
			}
		}
		return voice
	}
	voice := spoken(length, first, second, 10.1)
	row := review.State{Swing: l.Swings[0].ID, Views: []review.View{view(l, fo, top.Index)}, Row: &review.Row{Measure: "pelvis turn", Position: "top"}, Explained: true}
	rev := recorded(t, path, length, voice, map[float64]review.State{
		0:      {Swing: l.Swings[0].ID, Views: []review.View{view(l, fo, address.Index)}},
		first:  row,
		second: {Swing: l.Swings[0].ID, Views: []review.View{view(l, fo, address.Index)}},
	})
	take := recordedAs(t, "01K", path, anew, spoken(anew, third), map[float64]review.State{
		0:     {Swing: l.Swings[0].ID, Views: []review.View{view(l, fo, address.Index)}},
		third: {Swing: l.Swings[0].ID, Views: []review.View{view(l, fo, top.Index)}},
	})
	rev = rev.Anew(review.Take{List: take.List, Voice: take.Voice, Seconds: anew, Clock: 13, Instead: []review.Span{{From: 10.5, To: length}}})
	rev.Silenced = []review.Span{{From: 10, To: 10 + cough}}
	rev.Cuts = []review.Span{{From: 5, To: 5 + cut}}
	rev.Captions = []review.Caption{{From: 3, To: 4.5, Text: "The hips at the top."}}
	out := filepath.Join(t.TempDir(), "film.mp4")
	var progress []int
	notes, err := Write(t.Context(), Request{Lesson: l, Path: path, Review: rev, MP4: out, Burn: true, Progress: func(done, total int) { progress = append(progress, done*100/total) }})
	require.NoError(t, err)
	assert.Empty(t, notes)
	assert.Equal(t, 100, progress[len(progress)-1])
	if dir := os.Getenv("TURNGAUGE_PICTURES"); dir != "" {
		data, err := os.ReadFile(out)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "review-film.mp4"), data, 0o644))
	}

	run := func(args ...string) []byte {
		data, err := exec.Command("ffmpeg", append([]string{"-loglevel", "error", "-i", out}, args...)...).Output()
		if errors.Is(err, exec.ErrNotFound) && os.Getenv("CI") == "" {
			t.Skip("ffmpeg is not here")
		}
		require.NoError(t, err)
		return data
	}
	// The middle of the picture, a few pixels of it, frame by frame.
	pix := run("-vf", "crop=8:8:640:60,format=gray", "-f", "rawvideo", "-")
	var changes []float64
	for n := 1; n < len(pix)/64; n++ {
		if math.Abs(float64(pix[64*n])-float64(pix[64*(n-1)])) > 10 {
			changes = append(changes, float64(n)/Rate)
		}
	}
	assert.InDelta(t, (10.5+anew-cut)*Rate, len(pix)/64, 1)
	raw := run("-f", "f32le", "-ac", "1", "-ar", "48000", "-")
	var claps []float64
	for i := range len(raw) / 4 {
		v := math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
		if at := float64(i) / review.Rate; v > 0.6 && (len(claps) == 0 || at > claps[len(claps)-1]+0.5) {
			claps = append(claps, at)
		}
	}
	require.Len(t, changes, 3)
	require.Len(t, claps, 3)
	for i := range claps {
		t.Logf("clap %.1f ms after the picture", 1000*(claps[i]-changes[i]))
		assert.InDelta(t, changes[i], claps[i], 0.020)
		assert.InDelta(t, []float64{first, second - cut, 10.5 - cut + third}[i], changes[i], 0.02)
	}

	loud := func(from, to float64) (most float32) {
		for i := int(from * review.Rate); i < int(to*review.Rate); i++ {
			most = max(most, math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:])))
		}
		return most
	}
	assert.Less(t, loud(10.03-cut, 10+cough-0.03-cut), float32(0.01), "a cough that was silenced")
	assert.Greater(t, loud(9.5-cut, 9.9-cut), float32(0.02))

	said, err := exec.Command("ffmpeg", "-hide_banner", "-i", out, "-map", "0:a", "-af", "ebur128=framelog=verbose", "-f", "null", "-").CombinedOutput()
	require.NoError(t, err)
	all := regexp.MustCompile(`I:\s+(-?[0-9.]+) LUFS`).FindAllStringSubmatch(string(said), -1)
	require.NotEmpty(t, all)
	var lufs float64
	_, err = fmt.Sscan(all[len(all)-1][1], &lufs)
	require.NoError(t, err)
	assert.InDelta(t, voiceLoudness, lufs, 1)

	probe, err := exec.Command("ffprobe", "-loglevel", "error", "-show_chapters", "-show_streams", "-of", "default", out).Output()
	require.NoError(t, err)
	for _, want := range []string{"title=Address", "title=Pelvis turn at the top", "codec_name=mov_text", "codec_name=aac", "width=1280"} {
		assert.Contains(t, string(probe), want)
	}
}

// Nothing is drawn that isn't known, and no number without its interval.
func TestFigures(t *testing.T) {
	l, path := fixture(t)
	fo := l.Swings[0].ClipOf(geometry.FaceOn).ID
	top, _ := l.Swings[0].FrameOf(fo, geometry.Top)
	state := review.State{
		Swing: l.Swings[0].ID, Views: []review.View{view(l, fo, top.Index), view(l, fo, top.Index+1)},
		Row: &review.Row{Measure: "pelvis turn", Position: "top"}, Explained: true, Lines: []string{"hip line", "shoulder line"},
		Drawings: []review.Drawing{
			{ID: "a", Clip: fo, Kind: "line", Points: [][2]float64{{10, 10}, {60, 60}}},
			{ID: "b", Clip: fo, Kind: "angle", Points: [][2]float64{{10, 10}, {60, 60}}}, // being drawn
			{ID: "c", Clip: fo, Kind: "of a later program", Points: [][2]float64{{10, 10}}},
		},
	}
	rev := recorded(t, path, 2, nil, map[float64]review.State{0: state})
	f, err := Open(t.Context(), Request{Lesson: l, Path: path, Review: rev})
	require.NoError(t, err)
	defer f.Close()
	assert.Len(t, f.notes, 1, "that there is no voice")
	s, err := f.side(t.Context(), review.Other{Swing: state.Swing})
	require.NoError(t, err)
	fig, said := f.figure(&state, &state.Views[0], s, false)
	assert.Regexp(t, `^Pelvis turn at the top: −?[0-9]+° \(−?[0-9]+ to −?[0-9]+°\)$`, said)
	numbers := 0
	for _, label := range fig.Labels {
		if label.Value != "" {
			numbers++
			assert.Regexp(t, `\(.* to .*\)|±`, label.Value)
		}
	}
	assert.Positive(t, numbers)
	assert.Len(t, drawings(&state, &state.Views[0]), 1)
	beside, _ := f.figure(&state, &state.Views[1], s, false)
	for _, label := range beside.Labels {
		assert.Empty(t, label.Value, "a frame that is no key position has no numbers")
	}
	state.Row.Measure = "what nobody measures"
	_, said = f.figure(&state, &state.Views[0], s, false)
	assert.Empty(t, said)

	img := image.NewRGBA(image.Rectangle{Max: f.size})
	e := f.easel(onImage{img})
	require.NoError(t, e.draw(t.Context(), 0))
	assert.Equal(t, 2, len(e.ink))
	// Of both pictures, in the middle of each, the grey of their frames.
	for i, n := range []int{top.Index, top.Index + 1} {
		at := img.RGBAAt(f.size.X*(1+2*i)/4+40, 140)
		assert.InDelta(t, grey(n), at.R, 4)
	}
}

// A voice is as loud in the film as was asked for, its true peaks below the limit, as FFmpeg's
// ebur128 finds them in what a player decodes.
func TestLoudnessOfAVoice(t *testing.T) {
	t.Parallel()
	espeak, ffmpeg := xtest.Need(t, "espeak-ng"), xtest.Need(t, "ffmpeg")
	dir := t.TempDir()
	said := filepath.Join(dir, "said.wav")
	require.NoError(t, exec.Command(espeak, "-s", "130", "-w", said, "Here at the top I point at the turn of the pelvis..").Run())
	raw, err := exec.Command(ffmpeg, "-v", "error", "-i", said, "-ar", "48000", "-ac", "1", "-f", "s16le", "-").Output()
	require.NoError(t, err)
	voice := make([]int16, len(raw)/2)
	for i := range voice {
		voice[i] = int16(binary.LittleEndian.Uint16(raw[2*i:]))
	}
	r := rand.New(rand.NewPCG(5, 6))
	claps := make([]int16, 4*review.Rate) // loud noise with claps in it, which overshoots most once it is coded
	for i := range claps {
		claps[i] = int16(max(min(9000*r.NormFloat64(), math.MaxInt16), math.MinInt16))
		if since := i % review.Rate; since < review.Rate/50 {
			claps[i] = int16(max(min(60000*r.NormFloat64()*math.Exp(-float64(since)/200), math.MaxInt16), math.MinInt16))
		}
	}
	for _, c := range []struct {
		name   string
		voice  []int16
		mostMB float64 // coarse sound overshoots more
	}{{"spoken", voice, 0}, {"spoken, a small film", voice, 0.15}, {"noise with claps", claps, 0}, {"noise with claps, a small film", claps, 0.15}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			l, path := fixture(t)
			q := Request{Lesson: l, Path: path, MP4: filepath.Join(t.TempDir(), "film.mp4"), MostMB: c.mostMB}
			q.Review = recorded(t, path, math.Floor(float64(len(c.voice))/review.Rate), c.voice, map[float64]review.State{0: {Swing: l.Swings[0].ID}})
			_, err := Write(t.Context(), q)
			require.NoError(t, err)
			out, err := exec.Command(ffmpeg, "-hide_banner", "-i", q.MP4, "-map", "0:a", "-af", "ebur128=peak=true:framelog=verbose", "-f", "null", "-").CombinedOutput()
			require.NoError(t, err)
			last := func(what string) (v float64) {
				all := regexp.MustCompile(what).FindAllSubmatch(out, -1)
				require.NotEmpty(t, all)
				_, err := fmt.Sscan(string(all[len(all)-1][1]), &v)
				require.NoError(t, err)
				return v
			}
			lufs, peak := last(`I:\s+(-?[0-9.]+) LUFS`), last(`Peak:\s+(-?[0-9.]+) dBFS`)
			t.Logf("%.1f LUFS, %.1f dBTP", lufs, peak)
			assert.InDelta(t, voiceLoudness, lufs, 1)
			assert.LessOrEqual(t, peak, voicePeak)
		})
	}
}

// The noise behind a voice is 12 dB quieter beside it, if that is wished.
func TestDenoised(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	const length = 4
	r := rand.New(rand.NewPCG(3, 3))
	voice := make([]int16, length*review.Rate)
	for i := range voice {
		voice[i] = int16(40 * r.NormFloat64())
		if i%(2*review.Rate) < review.Rate { // of each two seconds one
			voice[i] += int16(9000 * math.Sin(float64(i)*0.04) * math.Sin(float64(i)*4e-4))
		}
	}
	q := Request{Lesson: l, Path: path, Review: recorded(t, path, length, voice, map[float64]review.State{0: {Swing: l.Swings[0].ID}})}
	apart := func() float64 { // voice and pause, dB
		f, err := Open(t.Context(), q)
		require.NoError(t, err)
		defer f.Close()
		assert.Empty(t, f.Notes())
		level := func(from, to float64) (sum float64) {
			for _, v := range f.Sound()[int(from*review.Rate):int(to*review.Rate)] {
				sum += float64(v) * float64(v)
			}
			return 10 * math.Log10(sum)
		}
		return level(2.1, 2.6) - level(1.3, 1.8)
	}
	was := apart()
	q.Denoise = true
	assert.InDelta(t, was+12, apart(), 1.5)
}

// A swing, clip or file that is gone is told of, and the rest is shown.
func TestWhatIsGone(t *testing.T) {
	l, path := fixture(t)
	fo := l.Swings[0].ClipOf(geometry.FaceOn).ID
	rev := recorded(t, path, 1, nil, map[float64]review.State{
		0:    {Swing: "gone", Views: []review.View{{Clip: fo}}},
		0.25: {Swing: l.Swings[0].ID, Views: []review.View{{Clip: "gone"}}},
		0.5:  {Swing: l.Swings[0].ID, Other: &review.Other{Lesson: "/nowhere", Swing: "x"}, Views: []review.View{{Clip: fo, Frame: 1e6, Part: [4]float64{-9, 1e9, 1e300, -1}}, {Clip: "x", Other: true}}},
	})
	out := filepath.Join(t.TempDir(), "film.mp4")
	notes, err := Write(t.Context(), Request{Lesson: l, Path: path, Review: rev, MP4: out})
	require.NoError(t, err)
	text := strings.Join(notes, "\n")
	for _, want := range []string{"without a microphone", "no longer in the lesson", "lesson can't be read"} {
		assert.Contains(t, text, want)
	}
	rev.List = "reviews/none.jsonl"
	_, err = Write(t.Context(), Request{Lesson: l, Path: path, Review: rev, MP4: out})
	assert.ErrorContains(t, err, "can't be read: no such file")
}
