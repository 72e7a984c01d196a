package review_test

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
)

func at(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// What was shown comes back as it was at each time, whatever changed in between.
func TestTheListComesBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), review.Folder, "01J.jsonl")
	l, err := review.Create(path, "L1", time.Now())
	require.NoError(t, err)
	first := review.State{Swing: "s1", Views: []review.View{{Clip: "fo", Frame: 12, Part: [4]float64{0, 0, 1920, 1080}}}}
	second := first
	second.Row, second.Pointer = &review.Row{Measure: "pelvis turn", Position: "top"}, &review.Pointer{X: 3, Y: 4.5}
	third := review.State{Swing: "s1", Slow: 8, Drawings: []review.Drawing{{ID: "a", Clip: "fo", Kind: "line", Points: [][2]float64{{1, 2}, {3, 4}}}}}
	require.NoError(t, l.Show(at(0), &first))
	require.NoError(t, l.Voice(at(0.013), 0))
	require.NoError(t, l.Show(at(1), &second))
	require.NoError(t, l.Show(at(1.5), &second))
	require.NoError(t, l.Show(at(2), &third))
	require.NoError(t, l.Quiet(at(2.5), "it was pulled out"))
	require.NoError(t, l.Ticked(at(2.75), "pelvis turn"))
	require.NoError(t, l.Close(at(3)))
	r, err := review.ReadList(path)
	require.NoError(t, err)
	assert.Len(t, r.Steps, 3, "nothing is written where nothing changed")
	assert.Nil(t, r.At(-1))
	for time, want := range map[float64]review.State{0: first, 0.99: first, 1: second, 1.99: second, 2: third, 9: third} {
		assert.Equal(t, want, *r.At(time), time)
	}
	assert.Equal(t, []review.Knot{{At: 0.013, Sample: 0}}, r.Knots)
	assert.Equal(t, "it was pulled out", r.Quiet[0].Text)
	assert.Equal(t, "pelvis turn", r.Ticked[0].Text)
	assert.True(t, r.Ended)
	assert.Equal(t, 3.0, r.Seconds)

	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	for cut := range len(whole) { // broken off anywhere
		require.NoError(t, os.WriteFile(path, whole[:cut], 0o600))
		r, err := review.ReadList(path)
		if cut <= strings.IndexByte(string(whole), '\n') {
			require.ErrorIs(t, err, review.ErrNotOne)
			continue
		}
		require.NoError(t, err)
		assert.False(t, r.Ended)
	}
	require.NoError(t, os.WriteFile(path, []byte(`{"kind": "turngauge-review", "version": 2, "begun": "x"}`+"\n"), 0o600))
	_, err = review.ReadList(path)
	assert.ErrorContains(t, err, "update the program")
}

// A voice is what FFmpeg takes it for, also one that was broken off.
func TestTheVoiceFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "v.wav")
	v, err := review.CreateVoice(path)
	require.NoError(t, err)
	samples := make([]int16, review.Rate)
	for i := range samples {
		samples[i] = int16(rand.IntN(1<<16) - 1<<15)
	}
	require.NoError(t, v.Append(samples))
	for _, end := range []bool{false, true} {
		if end {
			require.NoError(t, v.Close())
		}
		got, err := review.ReadVoice(path)
		require.NoError(t, err)
		assert.Equal(t, samples, got)
		out, err := exec.Command("ffmpeg", "-loglevel", "error", "-i", path, "-f", "s16le", "-").Output()
		if errors.Is(err, exec.ErrNotFound) && os.Getenv("CI") == "" {
			t.Skip("ffmpeg is not here")
		}
		require.NoError(t, err)
		require.Len(t, out, 2*len(samples))
		for i, s := range samples {
			require.Equal(t, s, int16(uint16(out[2*i])|uint16(out[2*i+1])<<8))
		}
	}
	require.NoError(t, os.WriteFile(path, []byte("RIFF1234WAVEfmt "), 0o600))
	_, err = review.ReadVoice(path)
	assert.ErrorIs(t, err, review.ErrNoVoice)
}

// A card that is 120 parts in a million fast, whose times jitter by 4 ms, heard for ten
// minutes with a second lost in the middle: a tone that was 300 Hz by the true clock comes
// out as it was, at 1, 5 and 10 minutes within a millisecond. Without the knots it would be
// 72 ms late at the end.
func TestDriftIsTakenOut(t *testing.T) {
	const fast, start, length, lostFrom = 1 + 120e-6, 0.217, 600.0, 400.0
	tone := func(t float64) float64 { return 0.5 * math.Sin(2*math.Pi*300*t) }
	r := rand.New(rand.NewPCG(1, 2))
	var voice []int16
	var knots []review.Knot
	for n := 0; ; n++ {
		when := start + float64(n)/(review.Rate*fast)
		if when > lostFrom {
			when++ // a second of sound was lost
		}
		if when > length {
			break
		}
		if n == 0 { // the first time of a microphone is rough
			knots = append(knots, review.Knot{At: when + 0.25, Anew: true})
		} else if n%review.Rate == 0 {
			knots = append(knots, review.Knot{At: when + 0.004*(2*r.Float64()-1), Sample: int64(n)})
		}
		if when > lostFrom && len(voice) > 0 && when-1-1/(review.Rate*fast) <= lostFrom { // the first after the gap
			knots = append(knots, review.Knot{At: when - 0.2, Sample: int64(n), Anew: true})
		}
		voice = append(voice, int16(math.Round(tone(when)*(1<<15))))
	}
	got := review.Align(voice, knots, length)
	require.Len(t, got, int(length*review.Rate))
	for _, minute := range []float64{1, 5, 9.99} {
		from := int(minute*60*review.Rate) - review.Rate/10
		// The phase of the tone says by how much it is off: 3.3 ms a turn.
		var in, across float64
		for i := from; i < from+review.Rate/10; i++ {
			when := float64(i) / review.Rate
			in += float64(got[i]) * math.Sin(2*math.Pi*300*when)
			across += float64(got[i]) * math.Cos(2*math.Pi*300*when)
		}
		off := math.Atan2(across, in) / (2 * math.Pi * 300)
		assert.InDelta(t, 0, off, 0.001, "%g minutes", minute)
		assert.InDelta(t, 0.5, 2*math.Hypot(in, across)/(review.Rate/10), 0.01)
	}
	for _, quiet := range []float64{0.1, lostFrom + 0.5} {
		assert.Zero(t, got[int(quiet*review.Rate)], quiet)
	}
}

// child is a process that speaks until it is killed, and says what it has come to.
func init() {
	if len(os.Args) < 3 || os.Args[1] != "speak" {
		return
	}
	l, err := review.Create(os.Args[2]+".jsonl", "L1", time.Now())
	v, err2 := review.CreateVoice(os.Args[2] + ".wav")
	if err != nil || err2 != nil {
		os.Exit(1)
	}
	begun := time.Now()
	for n := 0; ; n++ {
		s := review.State{Swing: "s1", Views: []review.View{{Clip: "fo", Frame: n}}}
		if l.Show(time.Since(begun), &s) != nil || v.Append(make([]int16, 480)) != nil {
			os.Exit(1)
		}
		fmt.Println(n)
		time.Sleep(time.Millisecond)
	}
}

var kills = flag.Int("kills", 15, "how many processes are killed")

// Processes that are killed while they record: what they had told of is there to
// the last word, and can be read.
func TestKilledWhileRecording(t *testing.T) {
	for trial := range *kills {
		path := filepath.Join(t.TempDir(), "r")
		cmd := exec.Command(os.Args[0], "speak", path)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		told, until := -1, 1+trial/4
		lines := bufio.NewScanner(out)
		for told < until && lines.Scan() {
			fmt.Sscan(lines.Text(), &told)
		}
		require.NoError(t, cmd.Process.Kill())
		_ = cmd.Wait()
		r, err := review.ReadList(path + ".jsonl")
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(r.Steps), told+1)
		voice, err := review.ReadVoice(path + ".wav")
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(voice), 480*(told+1))
	}
}
