package bench

import (
	"encoding/csv"
	"flag"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo"
	"turngauge/video/pose"
)

var estimate = flag.Bool("estimate", false, "estimate leans.csv anew, which takes minutes")

const (
	leanSpots, leanGolfers = 6, 4
	// leastPictures is how many pictures a row needs.
	leastPictures = 10
)

// recoloured turns the hues of a picture, and makes it lighter or darker: other
// clothes, skin, ground and light.
func recoloured(im *image.RGBA, r *rand.Rand) *image.RGBA {
	sin, cos := math.Sincos((2*r.Float64() - 1) * 2.6)
	a, b, c := cos+(1-cos)/3, (1-cos)/3-sin/math.Sqrt(3), (1-cos)/3+sin/math.Sqrt(3)
	turn := [3][3]float64{{a, b, c}, {c, a, b}, {b, c, a}}
	gamma := 0.75 + 0.5*r.Float64()
	var light [256]float64
	for i := range light {
		light[i] = 255 * math.Pow(float64(i)/255, gamma)
	}
	out := image.NewRGBA(im.Rect)
	for i := 0; i < len(im.Pix); i += 4 {
		p := [3]float64{light[im.Pix[i]], light[im.Pix[i+1]], light[im.Pix[i+2]]}
		for j, row := range turn {
			out.Pix[i+j] = uint8(math.Min(math.Max(row[0]*p[0]+row[1]*p[1]+row[2]*p[2], 0), 255))
		}
		out.Pix[i+3] = 255
	}
	return out
}

// leanSwings are swings of golfers of all kinds, a moment about each key position
// of each.
func leanSwings(r *rand.Rand) (list []demo.Still, names []geometry.PositionName) {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	for range leanGolfers {
		p := golfer.MaraFirstVisit()
		p.Stature, p.StanceWidth = between(1.60, 1.88), between(0.34, 0.47)
		p.LeadFlareDegrees, p.PelvisTurnTopDegrees = between(3, 32), between(30, 55)
		events := golfer.New(p).Events()
		for _, name := range geometry.KeyPositions {
			apart := 0.03
			if name == geometry.Delivery || name == geometry.Impact {
				apart = 0.006
			}
			list = append(list, demo.Still{Golfer: p, Seconds: events[name] + between(-apart, apart)})
			names = append(names, name)
		}
	}
	return list, names
}

// TestEstimateLeans writes leans.csv from pictures of rendered golfers: whatever
// the network says that it sees, hidden or not.
func TestEstimateLeans(t *testing.T) {
	if !*estimate {
		t.Skip("writes leans.csv with -estimate")
	}
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	off := make(map[leanKey][][2]float64)
	for i, clip := range []string{"fo", "dl"} {
		view := []geometry.View{geometry.FaceOn, geometry.DownTheLine}[i]
		for s := range leanSpots {
			r := rand.New(rand.NewPCG(uint64(s), uint64(41+i)))
			between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
			spot := demo.Spot{Clip: clip, Shrink: 2, Moved: r3.Vec{X: between(-0.35, 0.35), Y: between(-0.25, 0.25), Z: between(-0.35, 0.35)}}
			list, names := leanSwings(r)
			require.NoError(t, spot.Stills(list, func(k int, im *image.RGBA, truth demo.TruthFrame) {
				if k%3 != 0 {
					im = recoloured(im, r)
				}
				fig, ok := finder.Find(im)
				if !ok {
					return
				}
				g := newSighted(&fig, view, geometry.RightHanded, names[k])
				for p := range joints {
					x, y, _, ok := g.place(p)
					if !ok {
						continue
					}
					at, _ := truth.Pixel(p)
					d := [2]float64{100 * (x - at.X) / fig.Size(), 100 * (y - at.Y) / fig.Size()}
					for _, name := range []geometry.PositionName{names[k], anyPosition} {
						off[leanKey{view, name, p}] = append(off[leanKey{view, name, p}], d)
					}
				}
			}))
		}
	}
	f, err := os.Create("leans.csv")
	require.NoError(t, err)
	w := csv.NewWriter(f)
	require.NoError(t, w.Write([]string{"view", "position", "point", "along", "down", "spread", "pictures"}))
	for _, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		for _, name := range append(slices.Clone(geometry.KeyPositions), anyPosition) {
			for p := range geometry.Point(geometry.NumPoints) {
				d := off[leanKey{view, name, p}]
				if len(d) < leastPictures {
					continue
				}
				along, down, spread := settle(d)
				number := func(v float64) string { return fmt.Sprintf("%.2f", v) }
				require.NoError(t, w.Write([]string{view.String(), string(name), p.String(), number(along), number(down), number(spread), fmt.Sprint(len(d))}))
			}
		}
	}
	w.Flush()
	require.NoError(t, w.Error())
	require.NoError(t, f.Close())
}

// settle returns the middle of some places and how widely a coordinate strays
// about it; what lies off by more than 3.5 standard deviations, told by the median,
// counts as if it did not lie farther.
func settle(d [][2]float64) (x, y, spread float64) {
	var mid [2]float64
	sum := 0.0
	for k := range mid {
		v := make([]float64, len(d))
		for i := range d {
			v[i] = d[i][k]
		}
		slices.Sort(v)
		mid[k] = v[len(v)/2]
		for i := range v {
			v[i] = math.Abs(v[i] - mid[k])
		}
		slices.Sort(v)
		most := 3.5 * math.Max(1.4826*v[len(v)/2], 0.1)
		for i := range v {
			sum += math.Pow(math.Min(v[i], most), 2)
		}
	}
	return mid[0], mid[1], math.Sqrt(sum / float64(2*len(d)-2))
}

// TestLeans: the table has every joint in both views, and a golfer's own part is
// never less than what a photograph is taken to differ by.
func TestLeans(t *testing.T) {
	for p := range joints {
		for _, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
			for _, name := range append(slices.Clone(geometry.KeyPositions), "a position of the coach's own") {
				l, ok := leanOf(view, name, p)
				require.True(t, ok, "%s %s %s", view, name, p)
				assert.GreaterOrEqual(t, l.stays, photograph(p))
				assert.Greater(t, l.sd(), l.stays)
				assert.Less(t, l.sd(), 6.0, "%s %s %s", view, name, p)
			}
		}
	}
	_, ok := leanOf(geometry.FaceOn, geometry.Top, geometry.Buckle)
	assert.False(t, ok)
	l := readLeans("view,position,point,along,down,spread,pictures\nface-on,top,lead hip,6,0,1.2,20\nface-on,any,lead hip,3,-4,2,90\n")[leanKey{geometry.FaceOn, geometry.Top, geometry.LeadHip}]
	assert.InDelta(t, 6-0.75*3, l.along, 1e-9, "a quarter of the lean over all, and what the top adds")
	assert.InDelta(t, 0.75*4, l.down, 1e-9)
	assert.InDelta(t, 0.75*5/math.Sqrt2, l.stays, 1e-9, "the rest of the lean over all, in each coordinate")
	assert.InDelta(t, math.Hypot(1.2, 5/math.Sqrt2/2), l.own, 1e-9, "and of what the top adds")
	assert.InDelta(t, math.Hypot(l.own, l.stays), l.sd(), 1e-9)
	for _, bad := range []string{"a\nface-on,top,nose,1,2,3,4\n", "a\nface-on,top,lead hip,x,2,3,4\n", "view,position,point,along,down,spread,pictures\nface-on,top,lead hip,1,2,3,4\n", "a,b\n1,2,3\n"} {
		assert.Panics(t, func() { readLeans(bad) }, bad)
	}
}
