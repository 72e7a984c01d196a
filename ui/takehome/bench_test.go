package takehome

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/x11/xtest"
	"turngauge/video"
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
	dir := b.TempDir()
	r.MP4 = filepath.Join(dir, "ours.mp4")
	var frames int
	var ours, theirs, ourCPU, theirCPU time.Duration
	for b.Loop() {
		start, used := time.Now(), processorTime(b)
		_, err := Write(context.Background(), r)
		require.NoError(b, err)
		ours, ourCPU = ours+time.Since(start), ourCPU+processorTime(b)-used
		b.StopTimer()
		s, err := video.Open(r.MP4)
		require.NoError(b, err)
		frames += s.Frames()
		require.NoError(b, s.Close())
		again := exec.Command(ffmpeg, "-v", "error", "-y", "-i", r.MP4, "-c:v", "libx264", "-preset", "veryfast",
			"-crf", "21", "-bf", "0", "-g", "30", "-threads", "2", "-movflags", "+faststart", filepath.Join(dir, "theirs.mp4"))
		start = time.Now()
		require.NoError(b, again.Run())
		theirs += time.Since(start)
		theirCPU += again.ProcessState.UserTime() + again.ProcessState.SystemTime()
		b.StartTimer()
	}
	b.ReportMetric(float64(frames)/ours.Seconds(), "frames/s")
	b.ReportMetric(theirs.Seconds()/ours.Seconds(), "speed/ffmpeg")
	b.ReportMetric(theirCPU.Seconds()/ourCPU.Seconds(), "cpu-speed/ffmpeg")
}

// processorTime is what this process and those that it started and that ended, as the one
// that encodes, have used so far.
func processorTime(b *testing.B) (sum time.Duration) {
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var u syscall.Rusage
		require.NoError(b, syscall.Getrusage(who, &u))
		sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	return sum
}
