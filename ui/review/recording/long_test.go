package recording

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
	"turngauge/video/microphone"
	"turngauge/video/microphone/soundtest"
)

var long = flag.Duration("long", 0, "record for so long: voice against picture at 1, 5 and 10 minutes, and the memory each minute")

// Recorded for as long as it is spoken, a clap is heard in what was recorded when the sound
// server played it, to 20 ms, at 1, 5 and 10 minutes; and the program is no larger at the end
// than it was at the beginning. The pointer moves all the time, so that the list grows. The
// null sink has the computer's own clock: that of a sound card, which drifts, is in the tests
// of package review.
func TestLongRecording(t *testing.T) {
	if *long == 0 {
		t.Skip("takes as long as -long says")
	}
	soundtest.Start(t)
	dir := t.TempDir()
	r, err := Begin(dir, "L1", "01J", soundtest.Microphone, func(s string) { t.Error(s) })
	require.NoError(t, err)
	begun := microphone.Now() - time.Duration(r.Elapsed()*1e9)
	type clap struct {
		minute float64
		at     float64 // when what was played began, seconds after the recording did
	}
	var claps []clap
	played := make(chan clap)
	due := []float64{1, 5, 10}
	early, late := 0, 0 // kB
	for n, minute := 0, 0; r.Elapsed() < long.Seconds(); n++ {
		s := frame(n / 600)
		s.Pointer = &review.Pointer{X: float64(n % 1000), Y: 400}
		r.Show(s)
		if len(due) > 0 && r.Elapsed() > due[0]*60-1 {
			m := due[0]
			due = due[1:]
			go func() { played <- clap{m, (soundtest.Clap(t) - begun).Seconds()} }()
		}
		select {
		case c := <-played:
			claps = append(claps, c)
		case <-time.After(50 * time.Millisecond):
		}
		if m := int(r.Elapsed() / 60); m > minute {
			minute = m
			late = resident(t)
			if minute == 2 {
				early = late
			}
			t.Logf("%d minutes: %d kB", minute, late)
		}
	}
	entry, err := r.End()
	require.NoError(t, err)
	told, err := review.Tell(dir, &entry)
	require.NoError(t, err)
	for _, c := range claps {
		var off []float64
		for k := range soundtest.Claps {
			want := c.at + soundtest.ClapAt(k)
			for i := int((want - 0.1) * review.Rate); i < int((want+0.1)*review.Rate); i++ {
				if told.Voice[i] > 0.3 {
					off = append(off, 1000*(float64(i)/review.Rate-want))
					break
				}
			}
		}
		require.NotEmpty(t, off, "%g minutes", c.minute)
		slices.Sort(off)
		t.Logf("%g minutes: %d claps heard %.1f to %.1f ms after they were played, %.1f in the middle", c.minute, len(off), off[0], off[len(off)-1], off[len(off)/2])
		assert.InDelta(t, 0, off[len(off)/2], 20)
	}
	if early > 0 {
		assert.Less(t, late, early+early/10+2000, "kB")
	}
}

// resident is how much memory this process has, kB.
func resident(t *testing.T) (kB int) {
	t.Helper()
	data, err := os.ReadFile("/proc/self/status")
	require.NoError(t, err)
	_, after, _ := strings.Cut(string(data), "VmRSS:")
	_, err = fmt.Sscan(after, &kB)
	require.NoError(t, err)
	return kB
}
