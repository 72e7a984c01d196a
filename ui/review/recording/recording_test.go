package recording

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
	"turngauge/video/microphone"
	"turngauge/video/microphone/soundtest"
)

// said collects what the coach is told.
type said struct {
	mu  sync.Mutex
	all []string
}

func (s *said) add(text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all = append(s.all, text)
}

func (s *said) has(text string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return strings.Contains(strings.Join(s.all, "\n"), text)
}

// frame is a state that shows a frame.
func frame(n int) *review.State {
	return &review.State{Swing: "s1", Views: []review.View{{Clip: "fo", Frame: n}}}
}

// A sound that is played when a picture is shown is found beside it in what was recorded.
// Then the microphone is pulled out, which is said once, and what is shown goes on.
func TestVoiceBesidePictures(t *testing.T) {
	server := soundtest.Start(t)
	dir := t.TempDir()
	var told said
	r, err := Begin(dir, "L1", "01J", soundtest.Microphone, told.add)
	require.NoError(t, err)
	r.Show(frame(0))
	require.Eventually(t, func() bool { return r.Elapsed() > 4 }, time.Minute, 10*time.Millisecond)
	p, err := microphone.Play()
	require.NoError(t, err)
	defer p.Close()
	loud := make([]int16, microphone.Rate/4)
	for i := range loud {
		loud[i] = 20000
	}
	require.NoError(t, p.Write(loud))
	require.Eventually(t, func() bool { level, ok := r.Level(); return ok && level > 0.5 }, time.Minute, time.Millisecond)
	r.Show(frame(1)) // some hundredths of a second after the sound began
	shown := r.Elapsed()
	require.Eventually(t, func() bool { return r.Elapsed() > shown+1 }, time.Minute, 10*time.Millisecond)
	server.Stop()
	require.Eventually(t, func() bool { return told.has("no sound") }, time.Minute, 10*time.Millisecond)
	_, ok := r.Level()
	assert.False(t, ok)
	r.Show(frame(2))
	r.Ticked("pelvis turn")
	entry, err := r.End()
	require.NoError(t, err)

	list, voice := entry.Files(dir)
	rec, err := review.ReadList(list)
	require.NoError(t, err)
	assert.True(t, rec.Ended)
	assert.Len(t, rec.Steps, 3)
	assert.Equal(t, 2, rec.At(rec.Seconds).Views[0].Frame)
	assert.NotEmpty(t, rec.Quiet)
	assert.Equal(t, "pelvis turn", rec.Ticked[0].Text)
	assert.InDelta(t, rec.Seconds, entry.Seconds, 5)
	samples, err := review.ReadVoice(voice)
	require.NoError(t, err)
	heard := -1.0
	for i, v := range review.Align(samples, rec.Knots, rec.Seconds) {
		if v > 0.3 {
			heard = float64(i) / review.Rate
			break
		}
	}
	t.Logf("the picture came %.0f ms after the sound", 1000*(rec.Steps[1].At-heard))
	assert.Positive(t, heard)
	assert.Greater(t, rec.Steps[1].At, heard-0.1) // the meter is some blocks late, more on a busy computer; package microphone has the exact test
}

// The disk is slow and the last word is still on its way from the sound card when the coach
// ends the review. It is kept.
func TestTheLastWord(t *testing.T) {
	soundtest.Start(t)
	dir := t.TempDir()
	r, err := Begin(dir, "L1", "01J", soundtest.Microphone, new(said).add)
	require.NoError(t, err)
	heard := func() bool { _, ok := r.Level(); return ok }
	require.Eventually(t, heard, time.Minute, 10*time.Millisecond)
	begun := r.Elapsed()
	require.Eventually(t, func() bool { return r.Elapsed() > begun+2.5 }, time.Minute, time.Millisecond)
	r.note(func(*files) error { time.Sleep(300 * time.Millisecond); return nil })
	require.Eventually(t, func() bool { return r.Elapsed() > begun+2.7 }, time.Minute, time.Millisecond)
	entry, err := r.End()
	require.NoError(t, err)
	list, voice := entry.Files(dir)
	rec, err := review.ReadList(list)
	require.NoError(t, err)
	samples, err := review.ReadVoice(voice)
	require.NoError(t, err)
	last := rec.Knots[len(rec.Knots)-1]
	until := last.At + float64(int64(len(samples))-last.Sample)/review.Rate
	t.Logf("the voice goes on for %.0f ms after the end", 1000*(until-rec.Seconds))
	assert.InDelta(t, rec.Seconds, until, 0.1)
	assert.Greater(t, until, rec.Seconds-0.003) // the clocks' agreement
}

// Without any microphone what is shown is recorded, and there is no voice.
func TestNoMicrophoneAtAll(t *testing.T) {
	dir := t.TempDir()
	var told said
	r, err := Begin(dir, "L1", "01J", "pulse:that was unplugged", told.add)
	require.NoError(t, err)
	r.Show(frame(3))
	require.Eventually(t, func() bool { return told.has("no sound") }, time.Minute, 10*time.Millisecond)
	entry, err := r.End()
	require.NoError(t, err)
	assert.Empty(t, entry.Voice)
	assert.NoFileExists(t, filepath.Join(dir, review.Folder, "01J.wav"))
	_, err = Begin(dir, "L1", "01J", "", told.add)
	require.Error(t, err, "a review that is there is not written over")
}

// A microphone that another program takes gives nothing, and no error either: that is said
// once, and when it is let go it is heard again.
func TestTakenMicrophone(t *testing.T) {
	server := soundtest.Start(t)
	dir := t.TempDir()
	var told said
	r, err := Begin(dir, "L1", "01J", soundtest.Microphone, told.add)
	require.NoError(t, err)
	heard := func() bool { _, ok := r.Level(); return ok }
	require.Eventually(t, heard, time.Minute, 10*time.Millisecond)
	server.Take(t, true)
	require.Eventually(t, func() bool { return told.has("another program has taken it") }, time.Minute, 10*time.Millisecond)
	assert.False(t, heard())
	r.Show(frame(7))
	server.Take(t, false)
	require.Eventually(t, heard, time.Minute, 10*time.Millisecond)
	assert.True(t, told.has("heard again"))
	entry, err := r.End()
	require.NoError(t, err)
	list, _ := entry.Files(dir)
	rec, err := review.ReadList(list)
	require.NoError(t, err)
	assert.NotEmpty(t, rec.Quiet)
	assert.Equal(t, 7, rec.At(rec.Seconds).Views[0].Frame)
}

// child records until it is killed, and says how long it has been.
func init() {
	if len(os.Args) < 3 || os.Args[1] != "record" {
		return
	}
	r, err := Begin(os.Args[2], "L1", "01J", soundtest.Microphone, func(string) {})
	if err != nil {
		os.Exit(1)
	}
	for n := 0; ; n++ {
		r.Show(frame(n))
		_, heard := r.Level()
		size := int64(0)
		if info, err := os.Stat(r.voice); err == nil {
			size = info.Size()
		}
		fmt.Println(r.Elapsed(), heard, size)
		time.Sleep(10 * time.Millisecond)
	}
}

var kills = flag.Int("kills", 0, "how many programs are killed while they record, and each may lose a second; 0: one may, of up to three")

// A program that is killed while it records has all on the disk that it had written, to the
// last word; and of what the microphone had heard by then a second is missing at most, on a
// computer that is not busy with other tests all the time.
func TestKilledWhileRecording(t *testing.T) {
	soundtest.Start(t)
	best, worst, most := 100.0, 0.0, 0.0
	for range max(*kills, 3) {
		shown, lost := killed(t)
		assert.Less(t, shown, 1.0)
		best, worst, most = min(best, lost), max(worst, lost), max(most, shown)
		if *kills == 0 && best < 1 {
			return
		}
	}
	t.Logf("of the voice %.2f to %.2f s are lost, of the list at most %.2f s", best, worst, most)
	assert.Less(t, worst, 1.0)
}

// killed kills a program that records, and returns how many seconds of the list and of the
// voice are lost.
func killed(t *testing.T) (shown, lost float64) {
	t.Helper()
	dir := t.TempDir()
	cmd := exec.Command(os.Args[0], "record", dir)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	var elapsed, first float64
	var heard bool
	var size int64
	for first == 0 || elapsed < first+1.2 {
		_, err := fmt.Fscan(out, &elapsed, &heard, &size)
		require.NoError(t, err)
		require.Less(t, elapsed, 60.0, "nothing is heard")
		if heard && first == 0 {
			first = elapsed
		}
	}
	require.NoError(t, cmd.Process.Kill())
	_ = cmd.Wait()
	list := filepath.Join(dir, review.Folder, "01J")
	rec, err := review.ReadList(list + ".jsonl")
	require.NoError(t, err)
	voice, err := review.ReadVoice(list + ".wav")
	require.NoError(t, err)
	require.NotEmpty(t, rec.Knots)
	shown = elapsed - rec.Steps[len(rec.Steps)-1].At
	lost = elapsed - first - float64(len(voice))/review.Rate
	t.Logf("killed after %.2f s: %.2f s of the list and %.2f s of the voice are lost", elapsed, shown, lost)
	assert.GreaterOrEqual(t, int64(2*len(voice)), size-100)
	return shown, lost
}
