package video

import (
	"context"
	"crypto/md5"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// clipKind is one kind of file a phone, camera or editing program makes. The
// arguments follow the input options of ffmpeg; %s is the output.
type clipKind struct {
	name, file string
	args       string
}

const testPicture = "-f lavfi -i testsrc2=size=160x120:rate=240:duration=0.5"

var clipKinds = []clipKind{
	{"H.264 with B-frames, group of 30", "g30.mp4", testPicture + " -c:v libx264 -g 30 -bf 3 -pix_fmt yuv420p"},
	{"H.264 with B-frames, group of 250", "g250.mp4", "-f lavfi -i testsrc2=size=160x120:rate=240:duration=2 -c:v libx264 -g 250 -bf 3 -pix_fmt yuv420p"},
	{"open groups, H.264", "open264.mp4", testPicture + " -c:v libx264 -g 30 -bf 3 -x264-params open-gop=1 -pix_fmt yuv420p"},
	{"open groups, HEVC", "open265.mp4", testPicture + " -c:v libx265 -x265-params keyint=24:open-gop=1:bframes=4:log-level=none -pix_fmt yuv420p -tag:v hvc1"},
	{"HEVC, 10 bit", "ten.mp4", testPicture + " -c:v libx265 -x265-params keyint=30:log-level=none -pix_fmt yuv420p10le -tag:v hvc1"},
}

// independent is what the ffmpeg command line decodes of a clip.
type independent struct {
	pts    []int64
	hashes []string
}

// decodeWithCLI decodes a clip with the ffmpeg command line: every frame's
// presentation time and the MD5 of its planes as stored.
func decodeWithCLI(t testing.TB, path string) independent {
	t.Helper()
	out, err := exec.Command("ffmpeg", "-v", "error", "-noautorotate", "-i", path, "-map", "0:v:0", "-an",
		"-vsync", "passthrough", "-enc_time_base", "-1", "-copyts", "-f", "framemd5", "-").Output()
	require.NoError(t, err)
	var d independent
	for line := range strings.Lines(string(out)) {
		if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
			continue
		}
		fields := strings.Split(line, ",")
		pts, err := strconv.ParseInt(strings.TrimSpace(fields[2]), 10, 64)
		require.NoError(t, err)
		d.pts = append(d.pts, pts)
		d.hashes = append(d.hashes, strings.TrimSpace(fields[5]))
	}
	return d
}

// planesMD5 hashes a frame's planes without their padding, as framemd5 does.
func planesMD5(f *Frame) string {
	h := md5.New()
	l := f.picture.layout
	plane := func(at, stride, w, rows int) {
		for y := range rows {
			h.Write(f.picture.pix[at+y*stride : at+y*stride+w])
		}
	}
	plane(0, l.lumaStride, l.width, l.height)
	plane(l.u, l.chromaStride, (l.width+1)/2, (l.height+1)/2)
	plane(l.v, l.chromaStride, (l.width+1)/2, (l.height+1)/2)
	return hex.EncodeToString(h.Sum(nil))
}

func TestExactFrames(t *testing.T) {
	needFFmpeg(t)
	for _, k := range clipKinds {
		t.Run(k.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), k.file)
			args := append([]string{"-v", "error", "-y"}, strings.Fields(k.args)...)
			out, err := exec.Command("ffmpeg", append(args, path)...).CombinedOutput()
			require.NoError(t, err, string(out))
			want := decodeWithCLI(t, path)
			s, err := Open(path)
			require.NoError(t, err)
			require.Equal(t, len(want.pts), s.Frames())
			r := NewReader(s, ReaderOptions{CacheBytes: 1})
			defer r.Close()
			order := make([]int, 0, 4*s.Frames())
			for n := range s.Frames() {
				order = append(order, n)
			}
			for n := range s.Frames() {
				order = append(order, s.Frames()-1-n)
			}
			order = append(order, rand.New(rand.NewPCG(1, 2)).Perm(s.Frames())...)
			for _, n := range order {
				f, err := r.Read(context.Background(), n)
				require.NoError(t, err, fmt.Sprint(n))
				assert.Equal(t, want.pts[n], f.PTS)
				require.Equal(t, want.hashes[n], planesMD5(f), "frame %d", n)
				f.Release()
			}
			t.Logf("%+v", r.Stats())
		})
	}
}
