package takehome

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/x11/xtest"
	"turngauge/video/videotest"
)

// BenchmarkClip makes the annotated clip, beside FFmpeg's command line encoding
// the finished frames with the same settings. It tells frames a second, and how
// fast it is in terms of FFmpeg, by the clock and in processor time: above 1 is
// faster. The test's own clips are small and grey; TURNGAUGE_LESSON names a
// lesson document with clips to take instead, at 1920 x 1080.
func BenchmarkClip(b *testing.B) {
	ffmpeg := xtest.Need(b, "ffmpeg")
	r := Request{Size: Screen}
	if path := os.Getenv("TURNGAUGE_LESSON"); path != "" {
		l, _, err := annotations.Load(path)
		require.NoError(b, err)
		r.Lesson, r.Path, r.Size = l, path, Full
	} else {
		r.Lesson, r.Path = fixture(b)
		found(r.Lesson)
	}
	r.MP4 = filepath.Join(b.TempDir(), "ours.mp4")
	videotest.BesideFFmpeg(b, ffmpeg, r.MP4, func() error {
		_, err := Write(b.Context(), r)
		return err
	})
}
