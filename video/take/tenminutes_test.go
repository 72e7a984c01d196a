package take_test

import (
	"flag"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video"
	"turngauge/video/take"
)

var tenMinutes = flag.Bool("ten-minutes", false, "make a take of ten minutes and find its swings, some minutes of processor time")

// TestFindTenMinutes writes a take of ten minutes at 240 frames a second with ten strikes
// and a neighbour's between them, and finds them in the file: how much of it is decoded,
// and how much memory that takes. The sounds are those of package sound's tests.
func TestFindTenMinutes(t *testing.T) {
	if !*tenMinutes {
		t.Skip("it takes some minutes; -ten-minutes does it")
	}
	const fps, seconds, rate = 240, 600, 48000
	rnd := rand.New(rand.NewPCG(4, 4))
	b := &bay{seconds: seconds, rate: fps}
	var neighbours []float64
	for now := 15.0; len(b.own) < 10; now += 42 + 20*rnd.Float64() {
		b.own = append(b.own, now)
	}
	for now := 4.0; now < seconds-1; now += 12 + 14*rnd.Float64() {
		neighbours = append(neighbours, now)
	}
	path := filepath.Join(t.TempDir(), "take.mp4")
	w, err := video.Create(path, video.WriterOptions{
		Width: take.Size.X, Height: take.Size.Y, RateNum: fps, RateDen: 1, CRF: 26, Preset: "ultrafast", GOP: fps, AudioRate: rate,
	})
	require.NoError(t, err)
	gray, im := image.NewGray(image.Rectangle{Max: take.Size}), image.NewRGBA(image.Rectangle{Max: take.Size})
	last := math.Inf(1)
	for n := range b.Frames() {
		if a := turned(b.Seconds(n), b.own); a != last || n%40 == 0 { // else the picture stands
			last = a
			require.NoError(t, b.Gray(t.Context(), n, gray))
			for i, v := range gray.Pix {
				im.SetRGBA(i%take.Size.X, i/take.Size.X, color.RGBA{v, v, v, 255})
			}
		}
		require.NoError(t, w.WriteFrame(im))
		sound := make([]float32, rate/fps)
		for i := range sound {
			at := float64(n*(rate/fps)+i) / rate
			sound[i] = float32(0.003*rnd.NormFloat64() + struck(at, b.own, rnd) + 0.5*struck(at, neighbours, rnd))
		}
		require.NoError(t, w.WriteAudio(sound))
	}
	require.NoError(t, w.Close())

	began := time.Now()
	x, err := video.ReadIndex(t.Context(), path)
	require.NoError(t, err)
	strikes, err := take.Strikes(t.Context(), x)
	require.NoError(t, err)
	heard := time.Since(began)
	assert.Len(t, strikes, 10+len(neighbours))
	var at []float64
	for _, s := range strikes {
		at = append(at, s.Seconds)
	}
	src, err := x.Open(t.Context())
	require.NoError(t, err)
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(64 << 20)})
	defer r.Close()
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	most := uint64(0)
	found, err := take.Find(t.Context(), r, at, take.Options{Progress: func(float64) {
		runtime.ReadMemStats(&after)
		most = max(most, after.HeapAlloc)
	}})
	require.NoError(t, err)
	var own []float64
	for _, s := range found {
		own = append(own, s.Strike)
		assert.NotEmpty(t, s.Positions)
	}
	require.Len(t, own, len(b.own))
	for i := range own {
		assert.InDelta(t, b.own[i], own[i], 0.005)
	}
	t.Logf("%d strikes heard in %.1f s, %d swings found in %.1f s; %d of %d pictures decoded; %d MB more at most",
		len(strikes), heard.Seconds(), len(found), time.Since(began).Seconds()-heard.Seconds(), r.Stats().Decoded, b.Frames(), (most-min(before.HeapAlloc, most))>>20)
	assert.Less(t, r.Stats().Decoded, b.Frames()/2)
	assert.Less(t, most-min(before.HeapAlloc, most), uint64(256<<20))
}

// struck is the sound of a strike.
func struck(at float64, strikes []float64, rnd *rand.Rand) float64 {
	v := 0.0
	for _, s := range strikes {
		if d := at - s; d >= 0 && d < 0.06 {
			v += 0.5 * (0.8*math.Exp(-d/0.0004)*rnd.NormFloat64() + 0.6*math.Exp(-d/0.004)*math.Sin(2*math.Pi*3900*d) + 0.8*math.Exp(-d/0.0025)*math.Sin(2*math.Pi*6400*d))
		}
	}
	return v
}
