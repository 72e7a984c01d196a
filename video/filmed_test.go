package video

import (
	"bytes"
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"turngauge/video/boxes"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestFilmedRateOfRealFiles reads the open files that say at what rate they were
// filmed (AndroidX media test assets): the rate in the metadata is what ffprobe
// reads there. The one of them whose phone left slowing down to its player has the
// times of life: its sound, which nobody slows down, is as long as its pictures. No
// other file is taken for slow motion.
func TestFilmedRateOfRealFiles(t *testing.T) {
	needFFmpeg(t)
	files, err := filepath.Glob(filepath.Join(dataDir(t), "*", "*.*"))
	require.NoError(t, err)
	slowed := map[string]float64{"sample_android_slow_motion.mp4": 8}
	seen := 0
	for _, path := range files {
		i, err := Probe(path)
		if err != nil {
			continue
		}
		name := filepath.Base(path)
		told := strings.TrimSpace(string(ffprobe(t, "-show_entries", "format_tags=com.android.capture.fps", "-of", "csv=p=0", path)))
		switch name {
		case "sample_android_slow_motion.mp4":
			seen++
			want, err := strconv.ParseFloat(told, 64)
			require.NoError(t, err)
			assert.Equal(t, want, i.FilmedFPS)
			assert.Equal(t, boxes.Android, i.FilmedFrom)
			assert.InDelta(t, 30, i.PlaybackFPS, 0.01)
		case "sample_sef_slow_motion.mp4":
			seen++
			assert.NotEmpty(t, told, "it names a rate, which its frames do not have")
			assert.InDelta(t, i.PlaybackFPS, i.FilmedFPS, 1e-9)
			assert.Equal(t, boxes.Player, i.FilmedFrom)
		default:
			assert.Empty(t, told, name)
			assert.Zero(t, i.FilmedFPS, name)
		}
		want := 1.0
		if s, ok := slowed[name]; ok {
			want = s
		}
		assert.InDelta(t, want, i.SlowedBy(), 0.01, name)
	}
	assert.Equal(t, 2, seen)
}

func ffprobe(t testing.TB, args ...string) []byte {
	t.Helper()
	return command(t, "ffprobe", append([]string{"-v", "error"}, args...)...)
}

// TestFilmedRateAndLife stretches a clip of 240 frames a second to 30, as recorders
// for slow motion do, and holds its times to those of the clip it was made from.
func TestFilmedRateAndLife(t *testing.T) {
	real, err := Open(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	defer real.Close()
	path := filepath.Join(t.TempDir(), "slow.mp4")
	ffmpeg(t, "-itsscale 8 -i "+real.Info().Path+" -c copy -movflags use_metadata_tags -metadata com.android.capture.fps=240", path)
	s, err := Open(path)
	require.NoError(t, err)
	i := s.Info()
	assert.Equal(t, 240.0, i.FilmedFPS)
	assert.InDelta(t, 8, i.SlowedBy(), 0.001)
	assert.Contains(t, strings.Join(i.Warnings, " "), "8 times slower than life")
	assert.NotContains(t, strings.Join(i.Warnings, " "), "slow for a golf swing")
	require.Equal(t, real.Frames(), s.Frames())

	assert.InDelta(t, 8*real.Seconds(40), s.Seconds(40), 1e-4, "the file's own times")
	s.SetFilmed(i.FilmedFPS)
	r := NewReader(s, ReaderOptions{})
	defer r.Close()
	for n := range s.Frames() {
		require.InDelta(t, real.Seconds(n), r.Seconds(n), 1e-4, "frame %d", n)
		require.Equal(t, n, s.FrameAt(s.Seconds(n)))
		require.Equal(t, n, s.FrameAt(s.Seconds(n)+0.9/240))
		require.InDelta(t, real.Seconds(n)+0.001, s.Life(8*(real.Seconds(n)+0.001)), 1e-4)
	}
	f, err := r.Read(context.Background(), 24)
	require.NoError(t, err)
	assert.InDelta(t, 0.1, f.Seconds, 1e-4)
	f.Release()
	again, err := s.Index.Open(context.Background())
	require.NoError(t, err)
	defer again.Close()
	assert.InDelta(t, 0.1, again.Seconds(24), 1e-4, "the next reader has the same clock")
	fresh, err := Open(path)
	require.NoError(t, err)
	defer fresh.Close()
	assert.InDelta(t, 0.8, fresh.Seconds(24), 1e-3, "who opens it by its name has the file's")
}

// TestEditListsThatChangeTheSpeed plays the middle third of a clip eight times slower
// by its edit list (media_rate, ISO/IEC 14496-12, 8.6.6.3). The frames are those of
// the recording, each once, with the times of the recording.
func TestEditListsThatChangeTheSpeed(t *testing.T) {
	original, err := Open(clip(t, "no edit list"))
	require.NoError(t, err)
	defer original.Close()
	path := filepath.Join(t.TempDir(), "base.mp4")
	ffmpeg(t, "-i "+original.Info().Path+" -c copy -use_editlist 1", path)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	plain, err := Probe(path)
	require.NoError(t, err)
	assert.Empty(t, plain.FilmedFrom)

	data = withEdits(t, data, [][3]uint32{{100, 0, 1 << 16}, {800, 1536, 1 << 13}, {100, 3072, 1 << 16}})
	retimed := written(t, "retimed.mp4", data)
	s, err := Open(retimed)
	require.NoError(t, err)
	i := s.Info()
	assert.Equal(t, boxes.Edits, i.FilmedFrom)
	assert.InDelta(t, 240, i.FilmedFPS, 0.1)
	assert.Equal(t, 1.0, i.SlowedBy())
	assert.Contains(t, strings.Join(i.Warnings, " "), "another speed")
	require.Equal(t, original.Frames(), s.Frames())
	for n := range s.Frames() {
		require.InDelta(t, original.Seconds(n), s.Seconds(n), 1e-6, "frame %d", n)
	}
	r := NewReader(s, ReaderOptions{})
	defer r.Close()
	want := decodeWithCLI(t, original.Info().Path, original.Info())
	for _, n := range []int{70, 0, 35, 24} {
		f, err := r.Read(context.Background(), n)
		require.NoError(t, err)
		assert.Equal(t, want.hashes[n], md5Of(planes(f)), "pixels of frame %d", n)
		f.Release()
	}
}

// withEdits puts other entries (duration in thousandths of a second, start in ticks
// of 1/15360 s, rate in 1/65536) into the only edit list of a file whose boxes stand
// behind its pictures.
func withEdits(t testing.TB, file []byte, edits [][3]uint32) []byte {
	at := bytes.Index(file, []byte("elst"))
	require.Positive(t, at)
	require.Greater(t, at, bytes.Index(file, []byte("mdat")), "nothing that follows is pointed to")
	var list []byte
	list = binary.BigEndian.AppendUint32(list, 0) // version and flags
	list = binary.BigEndian.AppendUint32(list, uint32(len(edits)))
	for _, e := range edits {
		for _, v := range e {
			list = binary.BigEndian.AppendUint32(list, v)
		}
	}
	old := int(binary.BigEndian.Uint32(file[at-4:])) - 8
	out := append(bytes.Clone(file[:at+4]), list...)
	out = append(out, file[at+4+old:]...)
	for _, name := range []string{"elst", "edts", "trak", "moov"} {
		k := bytes.LastIndex(out[:at+4], []byte(name))
		require.Positive(t, k, name)
		size := binary.BigEndian.Uint32(out[k-4:])
		binary.BigEndian.PutUint32(out[k-4:], uint32(int(size)+len(list)-old))
	}
	return out
}
