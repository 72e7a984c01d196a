package session

import (
	"context"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/propose"
	"turngauge/video"
	"turngauge/video/pose"
)

// TestPeopleInOpenClips: in real pictures the network finds what there is to be
// seen: head and shoulders of a man behind his desk and none of his joints below,
// and nobody on a floor and over the roofs of a town.
func TestPeopleInOpenClips(t *testing.T) {
	dir := os.Getenv("TURNGAUGE_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "data")
	}
	if _, err := os.Stat(filepath.Join(dir, "video")); err != nil {
		if os.Getenv("CI") != "" && (os.Getenv("TURNGAUGE_DATA") != "" || isThere(dir)) {
			t.Fatalf("the open data is not whole: %v", err)
		}
		t.Skipf("the open data is not beside the repository (set TURNGAUGE_DATA): %v", err)
	}
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	look := func(name string) map[geometry.Point]geometry.ImagePt {
		im, err := picture(t.Context(), filepath.Join(dir, "video", name), 20)
		require.NoError(t, err)
		f := bench.Following{View: geometry.FaceOn, Position: geometry.Address}
		out := make(map[geometry.Point]geometry.ImagePt)
		for _, x := range f.Look(finder, im, nil) {
			out[x.Point] = x.At
		}
		return out
	}
	// The places are read off the picture of 1080 × 720 by eye: between the
	// ears, and where the shirt's shoulders leave the picture.
	got := look("androidx/sample_fragmented.mp4")
	require.Len(t, got, 3, "%v", got)
	for p, at := range map[geometry.Point]geometry.ImagePt{
		geometry.Head: {X: 577, Y: 330}, geometry.LeadShoulder: {X: 850, Y: 690}, geometry.TrailShoulder: {X: 320, Y: 690},
	} {
		require.Contains(t, got, p)
		// His shoulders are 530 pixels apart, so that this is 8 cm.
		assert.InDelta(t, at.X, got[p].X, 105, p)
		assert.InDelta(t, at.Y, got[p].Y, 80, p)
	}
	empty := 0
	for _, name := range []string{"androidx/sample_sef_slow_motion.mp4", "androidx/sample_android_slow_motion.mp4", "torchcodec/bt709_full_range.mp4"} {
		im, err := picture(t.Context(), filepath.Join(dir, "video", name), 5)
		if err != nil {
			continue // as short as that
		}
		f := bench.Following{View: geometry.FaceOn, Position: geometry.Address}
		assert.Empty(t, f.Look(finder, im, nil), name)
		empty++
	}
	assert.GreaterOrEqual(t, empty, 2)
}

// isThere reports whether there is something at a path.
func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// picture reads one frame of a file in full size.
func picture(ctx context.Context, path string, frame int) (*image.RGBA, error) {
	clip, err := video.ReadIndex(ctx, path)
	if err != nil {
		return nil, err
	}
	r, err := propose.Reader(ctx, clip)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return propose.Picture(ctx, r, frame)
}
