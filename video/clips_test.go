package video

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// Clips are made by the ffmpeg command line when a test first needs them, and
// live as long as the test run.
var (
	clipDir   string
	clipLocks sync.Map // file name -> *sync.Mutex
)

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "turngauge-clips-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	clipDir = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

func needFFmpeg(t testing.TB) {
	t.Helper()
	for _, tool := range []string{"ffmpeg", "ffprobe"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("%s is needed by this test and is not installed", tool)
			}
			t.Skipf("%s is not installed; this test compares with it", tool)
		}
	}
}

func ffmpeg(t testing.TB, args string, more ...string) []byte {
	t.Helper()
	all := append([]string{"-v", "error", "-nostdin", "-y"}, strings.Fields(args)...)
	return command(t, "ffmpeg", append(all, more...)...)
}

func command(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	var stderr bytes.Buffer
	c := exec.Command(name, args...)
	c.Stderr = &stderr
	out, err := c.Output()
	require.NoError(t, err, "%s %v: %s", name, args, stderr.String())
	return out
}

// clipKind is one kind of file a phone, a camera or an editing program makes.
type clipKind struct {
	name, file string
	args       string // for ffmpeg, between the program's name and the output
	from       string // name of the kind whose file is the input of "$", if any
	patch      func(t testing.TB, file []byte)
}

// The 16-bit frame counter and moving patterns of testsrc2 make every frame unlike its neighbours.
const (
	picture240 = "-f lavfi -i testsrc2=size=160x120:rate=240:duration=0.3 "
	h264       = "-c:v libx264 -pix_fmt yuv420p -g 30 -bf 3 "
	hevc       = "-c:v libx265 -pix_fmt yuv420p -tag:v hvc1 "
)

var clipKinds = []clipKind{
	{name: "H.264 group of 30", file: "g30.mp4", args: picture240 + h264},
	{name: "H.264 group of 250", file: "g250.mp4", args: "-f lavfi -i testsrc2=size=160x120:rate=240:duration=1.2 " + h264 + "-g 250 -keyint_min 250 -sc_threshold 0"},
	{name: "H.264 open groups", file: "open.mp4", args: picture240 + h264 + "-g 24 -x264-params open-gop=1:b-pyramid=normal"},
	{name: "H.264 all key frames", file: "intra.mp4", args: picture240 + h264 + "-g 1 -bf 0"},
	{name: "H.264 one frame", file: "one.mp4", args: picture240 + h264 + "-frames:v 1"},
	{name: "HEVC 8 bit open groups", file: "open.hevc.mp4", args: picture240 + hevc + "-x265-params keyint=24:open-gop=1:bframes=4:log-level=none"},
	{name: "HEVC 10 bit", file: "ten.mp4", args: picture240 + "-c:v libx265 -pix_fmt yuv420p10le -tag:v hvc1 -x265-params keyint=30:log-level=none"},
	{name: "varying rate", file: "vfr.mp4", args: picture240 + h264 + "-vf select='not(eq(mod(n\\,7)\\,3))',setpts=PTS+mod(N*N\\,5)*0.0006/TB -vsync passthrough -enc_time_base 1/90000 -video_track_timescale 90000"},
	{name: "negative first time", file: "negative.webm", args: "-f lavfi -i testsrc2=size=160x120:rate=240:duration=0.3 -c:v libvpx -b:v 300k -output_ts_offset -0.05 -avoid_negative_ts disabled"},
	{name: "negative first time, H.264", file: "negative.ts", args: picture240 + h264 + "-output_ts_offset 95443.6 -muxdelay 0 -muxpreload 0"}, // the clock wraps after 2^33 ticks
	{name: "negative times before the edit list", file: "negative.mp4", args: picture240 + h264 + "-output_ts_offset -0.05 -avoid_negative_ts disabled"},
	{name: "negative composition offsets", file: "negcts.mp4", args: picture240 + h264 + "-movflags +negative_cts_offsets"},
	{name: "late first time", file: "late.mp4", args: picture240 + h264 + "-output_ts_offset 0.5"},
	{name: "no edit list", file: "noedit.mp4", args: picture240 + h264 + "-use_editlist 0"},
	{name: "edit list inside a group", file: "cut.mp4", args: "-ss 0.11 -i $ -c copy", from: "H.264 group of 30"},
	// ffmpeg 5 writes "rotate" as a rotation to the left.
	{name: "rotated by 90", file: "r90.mp4", args: "-i $ -c copy -metadata:s:v rotate=270", from: "H.264 group of 30"},
	{name: "rotated by 180", file: "r180.mp4", args: "-i $ -c copy -metadata:s:v rotate=180", from: "H.264 group of 30"},
	{name: "rotated by 270", file: "r270.mp4", args: "-i $ -c copy -metadata:s:v rotate=90", from: "H.264 group of 30"},
	{name: "mirrored", file: "flip.mp4", args: "-i $ -c copy", from: "H.264 group of 30", patch: withMatrix(-1, 0, 0, 1)},
	{name: "mirrored top to bottom", file: "flipv.mp4", args: "-i $ -c copy", from: "H.264 group of 30", patch: withMatrix(1, 0, 0, -1)},
	{name: "mirrored and rotated", file: "flip90.mp4", args: "-i $ -c copy", from: "H.264 group of 30", patch: withMatrix(0, 1, 1, 0)},
	{name: "odd size", file: "odd.webm", args: "-f lavfi -i testsrc2=size=162x120:rate=60:duration=1,format=yuv444p,crop=161:119:0:0,format=yuv420p -c:v libvpx-vp9 -b:v 400k -deadline realtime -cpu-used 8 -pix_fmt yuv420p"},
	{name: "long samples", file: "sar.mp4", args: picture240 + h264 + "-vf setsar=4/3"},
	{name: "BT.601", file: "bt601.mp4", args: picture240 + h264 + "-colorspace smpte170m -color_primaries smpte170m -color_trc smpte170m"},
	{name: "full range", file: "full.mp4", args: picture240 + "-c:v libx264 -pix_fmt yuvj420p -g 30 -colorspace bt709 -color_range pc"},
	{name: "sound first", file: "sound.mp4", args: picture240 + "-f lavfi -i sine=440:sample_rate=48000:duration=0.8 -map 1:a -map 0:v " + h264 + "-c:a aac"},
	{name: "fragments", file: "fragments.mp4", args: picture240 + h264 + "-movflags +frag_keyframe+empty_moov+default_base_moof"},
	{name: "MOV", file: "clip.mov", args: picture240 + h264},
	{name: "MOV, ProRes 4:2:2", file: "prores.mov", args: picture240 + "-c:v prores_ks -pix_fmt yuv422p10le"},
	{name: "MKV", file: "clip.mkv", args: picture240 + h264},
	{name: "MPEG-TS", file: "clip.ts", args: picture240 + h264},
	{name: "WebM, VP8", file: "vp8.webm", args: "-f lavfi -i testsrc2=size=160x120:rate=60:duration=1 -c:v libvpx -b:v 300k -auto-alt-ref 1 -lag-in-frames 16 -deadline good -cpu-used 4"},
	{name: "WebM, VP9", file: "vp9.webm", args: "-f lavfi -i testsrc2=size=160x120:rate=60:duration=1 -c:v libvpx-vp9 -b:v 300k -auto-alt-ref 1 -lag-in-frames 16 -deadline good -cpu-used 8 -pix_fmt yuv420p -g 40"},
	{name: "AVI, MPEG-4", file: "mpeg4.avi", args: picture240 + "-c:v mpeg4 -q:v 4 -g 30 -bf 2"},
	{name: "AVI, Motion JPEG", file: "mjpeg.avi", args: picture240 + "-c:v mjpeg -q:v 4 -pix_fmt yuvj420p"},
	{name: "AVI, H.264", file: "h264.avi", args: picture240 + "-c:v libx264 -pix_fmt yuv420p -g 30 -bf 0"},
	{name: "4:4:4", file: "yuv444.mp4", args: picture240 + "-c:v libx264 -pix_fmt yuv444p -g 30 -bf 2"},
}

func kindNamed(t testing.TB, name string) clipKind {
	t.Helper()
	for _, k := range clipKinds {
		if k.name == name {
			return k
		}
	}
	t.Fatalf("no clip kind %q", name)
	return clipKind{}
}

// clip returns the path of the named kind of clip, making it if need be.
func clip(t testing.TB, name string) string {
	t.Helper()
	needFFmpeg(t)
	k := kindNamed(t, name)
	lock, _ := clipLocks.LoadOrStore(k.file, new(sync.Mutex))
	lock.(*sync.Mutex).Lock()
	defer lock.(*sync.Mutex).Unlock()
	path := filepath.Join(clipDir, k.file)
	if _, err := os.Stat(path); err == nil {
		return path
	}
	args := k.args
	if k.from != "" {
		args = strings.ReplaceAll(args, "$", clip(t, k.from))
	}
	ffmpeg(t, args, path)
	if k.patch != nil {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		k.patch(t, data)
		require.NoError(t, os.WriteFile(path, data, 0o644))
	}
	return path
}

// withMatrix sets a, b, c, d of the track header's matrix (ISO/IEC 14496-12,
// 8.3.2), which ffmpeg 5 can't write for mirrored clips.
func withMatrix(a, b, c, d int32) func(testing.TB, []byte) {
	return func(t testing.TB, file []byte) {
		at := bytes.Index(file, []byte("tkhd"))
		require.Positive(t, at)
		const afterName, beforeMatrix = 4, 40 // version 0: flags, times, ids, duration, layer, volume
		m := file[at+afterName+beforeMatrix:]
		put := func(i int, v int32) { binary.BigEndian.PutUint32(m[4*i:], uint32(v<<16)) }
		put(0, a)
		put(1, b)
		put(3, c)
		put(4, d)
	}
}

// openReader opens a clip on a reader with room for few frames, so that
// frames are decoded again and again.
func openReader(t testing.TB, path string, o ReaderOptions) *Reader {
	t.Helper()
	s, err := Open(path)
	require.NoError(t, err)
	r := NewReader(s, o)
	t.Cleanup(func() { r.Close() })
	return r
}
