package main

import (
	"encoding/binary"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/ui/x11/xtest"
	"turngauge/video"
	"turngauge/video/microphone/soundtest"
)

// talkable writes a lesson to be talked through: two small clips whose frames are each
// another grey, address and the top, and no marks, so that nothing is solved the while.
func talkable(t *testing.T) (path string) {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"fo.mp4", "dl.mp4"} {
		out, err := video.Create(filepath.Join(dir, name), video.WriterOptions{Width: 320, Height: 180, RateNum: 24, GOP: 12, Preset: "ultrafast"})
		require.NoError(t, err)
		img := image.NewRGBA(image.Rect(0, 0, 320, 180))
		for n := range 40 {
			for k := range img.Pix {
				img.Pix[k] = uint8(60 + 4*n)
			}
			require.NoError(t, out.WriteFrame(img))
		}
		require.NoError(t, out.Close())
	}
	path = filepath.Join(dir, "lesson.json")
	document(t, marked, path, func(doc map[string]any) {
		doc["question"] = "Why do I slice?"
		s := doc["swings"].([]any)[0].(map[string]any)
		delete(s, "marks")
		var positions []any
		for _, p := range []struct {
			name  string
			frame int
		}{{"address", 2}, {"top", 30}} {
			positions = append(positions, map[string]any{"name": p.name, "frames": []any{
				map[string]any{"clip": "fo", "index": p.frame}, map[string]any{"clip": "dl", "index": p.frame}}})
		}
		s["positions"] = positions
		for _, c := range s["clips"].([]any) {
			c := c.(map[string]any)
			c["file"], c["width"], c["height"] = c["id"].(string)+".mp4", 320, 180
			for _, field := range []string{"sha256", "ground_lines", "time_base"} {
				delete(c, field)
			}
		}
	})
	_, _, err := annotations.Load(path)
	require.NoError(t, err)
	return path
}

// A coach talks a lesson through in the real window, silences a cough, cuts a passage and
// makes the film: a voice is spoken into the microphone while he goes from address to the top.
func TestCoachTalksALessonThrough(t *testing.T) {
	t.Parallel()
	espeak, ffmpeg := xtest.Need(t, "espeak-ng"), xtest.Need(t, "ffmpeg")
	server := soundtest.StartApart(t)
	lesson := talkable(t)
	dir := filepath.Dir(lesson)
	speak := func(text string) {
		spoken := filepath.Join(t.TempDir(), "spoken.wav")
		require.NoError(t, exec.Command(espeak, "-w", spoken, text).Run())
		cmd := exec.Command("paplay", "--device=room", spoken)
		cmd.Env = append(os.Environ(), server.Environment()...)
		require.NoError(t, cmd.Run())
	}
	j := beginIn(t, t.TempDir(), 1000, 640, server.Environment(), lesson)
	j.until("the lesson", bothShown)
	j.Key("F3")
	j.until("the microphone", func(s seen) bool { return s.Heard })
	speak("Address.")
	j.Key("alt+4")
	j.until("the top", func(s seen) bool { return bothShown(s) && s.Stages[0].Frame == 30 })
	speak("The top. The hands are high, and the back is turned to where the ball goes.") // longer than what is mended below
	j.picture("review-recording")
	j.Key("F3")
	j.until("the end", func(s seen) bool { return !s.Heard })
	j.Key("shift+F3")
	whole := j.until("the review", func(s seen) bool { return s.Review > 0 }).Review

	mended := func() review.Review { // as it is on the disk
		l, _, err := annotations.Load(lesson)
		require.NoError(t, err)
		require.Len(t, l.Reviews, 1)
		return l.Reviews[0]
	}
	saved := func(what string, so func(r review.Review) bool) {
		t.Helper()
		require.Eventually(t, func() bool { return so(mended()) }, 2*time.Minute, 50*time.Millisecond, what)
	}
	saved("its length", func(r review.Review) bool { return r.Seconds > 0 })
	j.Key("bracketleft", "Right", "bracketright", "s")
	saved("a silenced cough", func(r review.Review) bool { return len(r.Silenced) == 1 })

	j.picture("review-mending")
	j.Key("bracketleft", "Right", "bracketright", "Delete")
	saved("a cut", func(r review.Review) bool { return len(r.Cuts) == 1 })
	j.until("what is left", func(s seen) bool { return s.Review > 0 && s.Review < whole-0.5 })
	j.Key("ctrl+z")
	saved("the cut undone", func(r review.Review) bool { return len(r.Cuts) == 0 })
	j.until("all of it", func(s seen) bool { return s.Review > whole-0.1 })
	j.Key("ctrl+shift+z")
	saved("and done again", func(r review.Review) bool { return len(r.Cuts) == 1 })
	j.until("what is left", func(s seen) bool { return s.Review > 0 && s.Review < whole-0.5 })
	j.Key("m")
	var films []string
	require.Eventually(t, func() bool {
		films, _ = filepath.Glob(filepath.Join(dir, "*.mp4"))
		return len(films) == 3
	}, 4*time.Minute, 100*time.Millisecond)
	j.stop()

	r := mended()
	list, voice := r.Files(dir)
	rec, err := review.ReadList(list)
	require.NoError(t, err)
	assert.Equal(t, 2, rec.Steps[0].State.Views[0].Frame)
	assert.Equal(t, 30, rec.Steps[len(rec.Steps)-1].State.Views[0].Frame)
	samples, err := review.ReadVoice(voice)
	require.NoError(t, err)
	loudest := 0
	for _, v := range samples {
		loudest = max(loudest, int(v))
	}
	assert.Greater(t, loudest, 3000, "the voice")

	for _, film := range films {
		if base := filepath.Base(film); base == "fo.mp4" || base == "dl.mp4" {
			continue
		}
		raw, err := exec.Command(ffmpeg, "-loglevel", "error", "-i", film, "-f", "s16le", "-ac", "1", "-ar", "48000", "-").Output()
		require.NoError(t, err)
		level := func(from, to float64) (most int) {
			for i := int(from * 48000); i < min(int(to*48000), len(raw)/2); i++ {
				most = max(most, int(int16(binary.LittleEndian.Uint16(raw[2*i:]))))
			}
			return most
		}
		assert.InDelta(t, whole-(r.Cuts[0].To-r.Cuts[0].From), float64(len(raw))/96000, 0.15)
		assert.Less(t, level(r.Silenced[0].From+0.05, math.Min(r.Silenced[0].To, r.Cuts[0].From)-0.05), 300, "a cough that was silenced")
		assert.Greater(t, level(r.Silenced[0].To, whole), 3000, "the voice")
	}
}
