// Package videotest holds what benchmarks of several packages that write clips share.
package videotest

import (
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"turngauge/video"
)

// BesideFFmpeg measures write, which makes the clip at path, beside FFmpeg's command line
// encoding the finished frames with the settings of video.Create, and with sound where that
// is among more. It tells frames a second, and how fast write is in terms of FFmpeg, by the
// clock and in processor time: above 1 is faster.
func BesideFFmpeg(b *testing.B, ffmpeg, path string, write func() error, more ...string) {
	again := append([]string{"-v", "error", "-y", "-i", path, "-c:v", "libx264", "-preset", "veryfast", "-crf", "21",
		"-bf", "0", "-g", "30", "-threads", "2", "-movflags", "+faststart"}, more...)
	again = append(again, filepath.Join(b.TempDir(), "theirs.mp4"))
	var frames int
	var ours, theirs, ourCPU, theirCPU time.Duration
	for b.Loop() {
		start, used := time.Now(), processorTime(b)
		require.NoError(b, write())
		ours, ourCPU = ours+time.Since(start), ourCPU+processorTime(b)-used
		b.StopTimer()
		s, err := video.Open(path)
		require.NoError(b, err)
		frames += s.Frames()
		require.NoError(b, s.Close())
		cmd := exec.Command(ffmpeg, again...)
		start = time.Now()
		require.NoError(b, cmd.Run())
		theirs += time.Since(start)
		theirCPU += cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
		b.StartTimer()
	}
	b.ReportMetric(float64(frames)/ours.Seconds(), "frames/s")
	b.ReportMetric(theirs.Seconds()/ours.Seconds(), "speed/ffmpeg")
	b.ReportMetric(theirCPU.Seconds()/ourCPU.Seconds(), "cpu-speed/ffmpeg")
}
