package take_test

import (
	"context"
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/take"
)

// A bay is a drawn take: a golfer, who is a bar that turns back and comes down, stands,
// waggles and swings; behind him a smaller one does so at other times, and somebody
// walks by. The times of a swing are those of a tour player (Grober and Cholewicki,
// arXiv physics/0611291); all else is made up.
type bay struct {
	seconds, rate float64
	own           []float64 // strikes
	practice      []float64 // the same without a ball
	behind        []float64 // of the smaller golfer
	walks         []float64 // when somebody begins to walk by
	looked        map[int]int
}

func (b *bay) Frames() int           { return int(b.seconds * b.rate) }
func (b *bay) Seconds(n int) float64 { return float64(n) / b.rate }

// turned is how far a golfer has turned who strikes at the given times, radians.
func turned(t float64, strikes ...[]float64) float64 {
	for _, at := range slices.Concat(strikes...) {
		d := t - at
		switch {
		case d > -4 && d < -2.2: // a waggle
			return 0.12 * math.Pow(math.Sin(2*math.Pi*d), 2)
		case d >= -1.08 && d < -0.28:
			u := (d + 1.08) / 0.8
			return math.Pi * (4*u*u*u - 3*u*u*u*u)
		case d >= -0.28 && d < 0.4:
			return math.Pi * (1 - math.Pow((d+0.28)/0.28, 2)*math.Min(1, 1-0.5*math.Max(d, 0)/0.4))
		case d >= 0.4 && d < 3: // back to where he stood
			end := math.Pi * (1 - math.Pow(0.68/0.28, 2)*0.5)
			u := (d - 0.4) / 2.6
			return end * (1 - u*u*(3-2*u))
		}
	}
	return 0
}

func (b *bay) Gray(_ context.Context, n int, dst *image.Gray) error {
	if b.looked != nil {
		b.looked[n]++
	}
	t := b.Seconds(n)
	seed := rand.New(rand.NewPCG(uint64(n), 1)).IntN(1 << 16)
	for i := range dst.Pix {
		dst.Pix[i] = uint8(90 + grain[(seed+i)%len(grain)])
	}
	bar := func(x0, y0, long, wide, a float64) {
		sin, cos := math.Sincos(a)
		for y := range dst.Rect.Dy() {
			for x := range dst.Rect.Dx() {
				dx, dy := float64(x)-x0, float64(y)-y0
				along, across := -dx*sin+dy*cos, dx*cos+dy*sin
				if along > 0 && along < long && math.Abs(across) < wide {
					dst.Pix[y*dst.Stride+x] = 210
				}
			}
		}
	}
	bar(96, 50, 44, 3, turned(t, b.own, b.practice))
	bar(160, 30, 12, 1.2, turned(t, b.behind))
	for _, at := range b.walks {
		if u := t - at; u > 0 && u < 6 {
			bar(30*u, 8, 34, 4, 0)
		}
	}
	return nil
}

var grain = func() []int {
	rnd := rand.New(rand.NewPCG(1, 1))
	out := make([]int, 1<<16)
	for i := range out {
		out[i] = int(math.Round(0.8 * rnd.NormFloat64()))
	}
	return out
}()

// TestFindAmongNeighbours: two minutes on a range. The golfer's strikes are found, those
// of others are not his, whether he stands, waggles, walks back or somebody is seen to
// swing behind him.
func TestFindAmongNeighbours(t *testing.T) {
	b := &bay{
		seconds: 120, rate: 60, looked: map[int]int{},
		own: []float64{12, 38, 61.5, 90}, practice: []float64{30}, behind: []float64{22, 75},
		walks: []float64{36, 50},
	}
	heard := []float64{
		5,                   // while he stands
		9.2, 12, 12.9, 14.1, /* while he walks back */
		22, 38, 45, 47.3, 59.1 /* a waggle */, 61.5, 70, 75, 90, 100, 119.9,
	}
	found, err := take.Find(t.Context(), b, heard, take.Options{})
	require.NoError(t, err)
	var at []float64
	for _, s := range found {
		at = append(at, s.Strike)
		assert.True(t, s.Heard)
		require.NotEmpty(t, s.Positions, "at %g", s.Strike)
		assert.Less(t, b.Seconds(s.First), s.Strike-1.4)
		assert.Greater(t, b.Seconds(s.Last), s.Strike+0.9)
		for _, p := range s.Positions {
			want := map[string]float64{"address": -1.08, "top": -0.28, "impact": 0}[p.Name]
			assert.InDelta(t, want, b.Seconds(p.Frame)-s.Strike, 0.12, p.Name) // package motion tests how exactly
		}
	}
	assert.Equal(t, b.own, at)
	most, twice := 0, 0
	for _, n := range b.looked {
		most = max(most, n)
		if n > 1 {
			twice++
		}
	}
	t.Logf("%d of %d pictures looked at, %d of them twice", len(b.looked), b.Frames(), twice)
	assert.Less(t, len(b.looked), b.Frames()/2, "what is far from every strike is not decoded")
	assert.LessOrEqual(t, most, 1, "no picture is decoded twice")

	clear(b.looked)
	found, err = take.Find(t.Context(), b, heard, take.Options{Unheard: true})
	require.NoError(t, err)
	at = nil
	for _, s := range found {
		at = append(at, s.Strike)
		assert.Equal(t, math.Abs(s.Strike-30) > 1, s.Heard)
	}
	require.Len(t, at, 5)
	assert.InDelta(t, 30, at[1], 0.12, "the practice swing")

	found, err = take.Find(t.Context(), b, nil, take.Options{Unheard: true})
	require.NoError(t, err)
	assert.Len(t, found, 5, "without any sound")
}

func TestFindNothing(t *testing.T) {
	b := &bay{seconds: 20, rate: 60, walks: []float64{2}}
	for _, o := range []take.Options{{}, {Unheard: true}} {
		found, err := take.Find(t.Context(), b, []float64{0.01, 5, 9, 19.99}, o)
		require.NoError(t, err)
		assert.Empty(t, found)
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err := take.Find(stopped, refusing{b}, []float64{5}, take.Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

// refusing is a clip that gives no picture once it is told to stop.
type refusing struct{ *bay }

func (r refusing) Gray(ctx context.Context, n int, dst *image.Gray) error { return ctx.Err() }
