package video

import (
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var mutatedClips = flag.Int("clips", 200, "how many clips TestMutatedClips opens")

// TestMutatedClips opens clips of every kind in which bytes were changed, parts repeated
// or taken out at random, and reads what it can. An abort in FFmpeg ends the test. With
// -v it prints how soon they were answered; of 10,000, asked for by -clips, 99 % must be
// within 5 s.
func TestMutatedClips(t *testing.T) {
	decodeInside(t) // so that a fault of FFmpeg ends the test
	var seeds [][]byte
	for _, k := range clipKinds {
		data, err := os.ReadFile(clip(t, k.name))
		require.NoError(t, err)
		if len(data) < 2<<20 {
			seeds = append(seeds, data)
		}
	}
	r := rand.New(rand.NewPCG(21, 10_000))
	path := filepath.Join(t.TempDir(), "clip.bin")
	var took []time.Duration
	opened := 0
	for range *mutatedClips {
		data := slices.Clone(seeds[r.IntN(len(seeds))])
		// Containers say what counts at their ends; films are the rest.
		at := func() int {
			n := len(data)
			switch edge := min(n, 4096); r.IntN(3) {
			case 0:
				return r.IntN(edge)
			case 1:
				return n - 1 - r.IntN(edge)
			}
			return r.IntN(n)
		}
		for range 1 + r.IntN(30) {
			if len(data) < 1000 {
				break
			}
			switch i := at(); r.IntN(8) {
			case 0:
				data = slices.Delete(data, i, min(i+1+r.IntN(100), len(data)))
			case 1:
				data = slices.Insert(data, i, data[:1+r.IntN(100)]...)
			case 2:
				copy(data[i:], []byte{0xff, 0xff, 0xff, 0xff})
			case 3:
				copy(data[i:], []byte{0x7f, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff})
			case 4:
				copy(data[i:], []byte{0, 0, 0, 0})
			default:
				data[i] = byte(r.Uint32())
			}
		}
		require.NoError(t, os.WriteFile(path, data, 0o600))
		start := time.Now()
		if s, err := Open(path); err == nil {
			opened++
			readSome(t, s)
			readSound(t, path)
		} else {
			var file *FileError
			require.ErrorAs(t, err, &file)
		}
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	late := len(took) - func() int { n, _ := slices.BinarySearch(took, 5*time.Second); return n }()
	t.Logf("%d clips, %d opened: half within %v, 99 %% within %v, the slowest %v; %d took more than 5 s",
		len(took), opened, took[len(took)/2].Round(time.Millisecond), took[len(took)*99/100].Round(time.Millisecond), took[len(took)-1].Round(time.Millisecond), late)
	if *mutatedClips >= 10_000 {
		require.LessOrEqual(t, late, len(took)/100)
	}
}
