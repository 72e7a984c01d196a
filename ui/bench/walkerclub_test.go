package bench

import (
	"context"
	"flag"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/video"
	"turngauge/video/background"
	"turngauge/video/pose"
)

var everyLook = flag.Bool("every-look", false, "look for a club in the hands of somebody who walks, a minute")

// TestNoClubInAWalkersHands has the four cameras that see a man walk (../shared/data/walker)
// taken for face-on films of a swing: no moment of a shaft is told, with and without the
// background. It is for -every-look.
func TestNoClubInAWalkersHands(t *testing.T) {
	if !*everyLook {
		t.Skip("needs -every-look")
	}
	dir := os.Getenv("TURNGAUGE_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "data")
	}
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	for _, cam := range []string{"cam01", "cam02", "cam03", "cam04"} {
		src, err := video.Open(filepath.Join(dir, "walker", cam+".mp4"))
		require.NoError(t, err)
		r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(64 << 20)})
		var around []*image.RGBA
		for n := 5; n < r.Frames(); n += 11 {
			around = append(around, still(t, r, n))
		}
		n := r.Frames()
		for _, standing := range []*image.RGBA{nil, background.Median(around)} {
			s := &Instants{
				View: geometry.FaceOn, StatureM: 1.75, Frames: n, Seconds: func(i int) float64 { return 1.4 * float64(i) / float64(n) },
				Address: n / 8, Top: n * 5 / 8, Impact: n * 7 / 8, Standing: standing,
				Picture: func(_ context.Context, i int) (*image.RGBA, error) { return still(t, r, i), nil },
			}
			list, err := s.look(t.Context(), finder)
			require.NoError(t, err)
			s.tellSides(list)
			candidates := 0
			for i := range list {
				candidates += len(list[i].clubs)
			}
			t.Logf("%s: %d candidates in %d pictures, %d in an arc", cam, candidates, len(list), len(s.shaftPath(list)))
			for _, p := range s.moments(list) {
				assert.Equal(t, geometry.LeadArmLevel, p.Name, cam)
			}
		}
		r.Close()
	}
}
