package video

import (
	"context"
	"crypto/md5"
	"encoding/hex"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var seed = flag.Uint64("seed", 1, "seed of the shuffled access order")

// independent is what the ffmpeg command line decodes of a clip.
type independent struct {
	pts    []int64
	hashes []string // MD5 of each frame's planes as stored, 8-bit 4:2:0
}

// decodeWithCLI decodes a clip with the ffmpeg command line. Formats other than
// 8-bit 4:2:0 are hashed after the reduction the package documents: 10-bit
// samples are rounded; anything richer goes through swscale, in which case
// only luma can be compared, and only nearly (see lumaOf).
func decodeWithCLI(t testing.TB, path string, i Info) independent {
	t.Helper()
	input := []string{"-noautorotate", "-i", path, "-map", "0:v:0", "-an", "-vsync", "passthrough", "-enc_time_base", "-1", "-copyts"}
	out := ffmpeg(t, "", append(input, "-f", "framemd5", "-")...)
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
	if i.PixelFormat == "yuv420p10le" {
		raw := ffmpeg(t, "", append(input, "-f", "rawvideo", "-")...)
		size := len(raw) / len(d.pts)
		for n := range d.hashes {
			d.hashes[n] = md5Of(roundTo8(raw[n*size : (n+1)*size]))
		}
	}
	return d
}

func md5Of(b []byte) string {
	h := md5.Sum(b)
	return hex.EncodeToString(h[:])
}

func roundTo8(raw []byte) []byte {
	out := make([]byte, len(raw)/2)
	for i := range out {
		v := int(raw[2*i]) | int(raw[2*i+1])<<8
		out[i] = uint8(min((v+2)>>2, 255))
	}
	return out
}

// planes returns a frame's samples without padding.
func planes(f *Frame) []byte {
	s := f.picture.slot
	var out []byte
	plane := func(at, stride, w, rows int) {
		for y := range rows {
			out = append(out, s.pix[at+y*stride:at+y*stride+w]...)
		}
	}
	plane(0, s.lumaStride, s.width, s.height)
	plane(s.u, s.chromaStride, (s.width+1)/2, (s.height+1)/2)
	plane(s.v, s.chromaStride, (s.width+1)/2, (s.height+1)/2)
	return out
}

// hashable formats enter the cache without a scaler, so hashes must agree.
func hashable(i Info) bool {
	return i.PixelFormat == "yuv420p" || i.PixelFormat == "yuvj420p" || i.PixelFormat == "yuv420p10le"
}

// accessOrders are the ways in which every frame must come out the same.
// Backward and shuffled reads of long groups of large pictures are cut short:
// each may decode a whole group.
func accessOrders(frames int, i Info) map[string][]int {
	const pixels = 4e8
	mostReads := min(max(pixels/(i.LongestGroup*i.StoredWidth*i.StoredHeight), 5), 100)
	forward, reverse := make([]int, frames), make([]int, frames)
	for n := range frames {
		forward[n], reverse[frames-1-n] = n, n
	}
	shuffled := rand.New(rand.NewPCG(*seed, 0)).Perm(frames)
	return map[string][]int{
		"sequential": forward, "reverse": reverse[:min(frames, 4*mostReads)],
		"shuffled": shuffled[:min(frames, mostReads)],
	}
}

// checkExact reads every frame in every order and compares with the independent decode.
// What is not read from end to end comes from a further reader of the same index, for
// which nothing was read from end to end.
func checkExact(t *testing.T, path string) {
	t.Helper()
	s, err := Open(path)
	require.NoError(t, err)
	info := s.Info()
	want := decodeWithCLI(t, path, info)
	require.Equal(t, len(want.pts), s.Frames(), "number of frames")
	luma := lumaOf(t, path, info, len(want.pts))
	o := ReaderOptions{CacheBytes: int64(max(16, info.LongestGroup/4) * s.layout.size)} // most frames must be decoded again
	first := NewReader(s, o)
	defer first.Close()
	second, err := s.Index.Open(context.Background())
	require.NoError(t, err)
	further := NewReader(second, o)
	defer further.Close()
	for name, order := range accessOrders(s.Frames(), info) {
		r := further
		if name == "sequential" {
			r = first
		}
		for _, n := range order {
			f, err := r.Read(context.Background(), n)
			require.NoError(t, err, "%s, seed %d", name, *seed)
			require.Equal(t, n, f.Index)
			require.Equal(t, want.pts[n], f.PTS, "%s: time of frame %d", name, n)
			if hashable(info) {
				require.Equal(t, want.hashes[n], md5Of(planes(f)), "%s: pixels of frame %d, seed %d", name, n, *seed)
			} else {
				requireNear(t, luma[n], planes(f)[:info.StoredWidth*info.StoredHeight], "%s: luma of frame %d", name, n)
			}
			f.Release()
		}
	}
	for _, r := range []*Reader{first, further} {
		assert.Zero(t, r.Stats().BadPackets)
		assert.Zero(t, r.Stats().Damaged)
	}
}

// lumaOf decodes the luma of formats that can't be hashed, reduced to 8 bits.
func lumaOf(t testing.TB, path string, i Info, frames int) [][]byte {
	if hashable(i) {
		return nil
	}
	raw := ffmpeg(t, "", "-noautorotate", "-i", path, "-map", "0:v:0", "-vsync", "passthrough", "-f", "rawvideo", "-")
	size, samples := len(raw)/frames, i.StoredWidth*i.StoredHeight
	out := make([][]byte, frames)
	for n := range out {
		plane := raw[n*size:]
		if i.BitDepth == 10 {
			out[n] = roundTo8(plane[:2*samples])
		} else {
			out[n] = plane[:samples]
		}
	}
	return out
}

// requireNear allows the one level by which swscale's dithering may differ.
func requireNear(t testing.TB, want, got []byte, msg string, args ...any) {
	t.Helper()
	require.Equal(t, len(want), len(got))
	for i := range want {
		if d := int(want[i]) - int(got[i]); d < -1 || d > 1 {
			require.Failf(t, "samples differ", msg+": sample %d is %d, want %d", append(args, i, got[i], want[i])...)
		}
	}
}

func TestExactFrames(t *testing.T) {
	t.Parallel()
	for _, k := range clipKinds {
		t.Run(k.name, func(t *testing.T) { checkExact(t, clip(t, k.name)) })
	}
}

// dataDir is where the awkward real files lie; they are not part of the project.
func dataDir(t testing.TB) string {
	dir := os.Getenv("TURNGAUGE_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "shared", "data")
	}
	dir = filepath.Join(dir, "video")
	if _, err := os.Stat(dir); err != nil {
		if os.Getenv("CI") != "" && (os.Getenv("TURNGAUGE_DATA") != "" || isThere(filepath.Dir(dir))) {
			t.Fatalf("the open data is not whole: %v", err)
		}
		t.Skipf("the open test clips are not at %s; set TURNGAUGE_DATA to the folder that holds video/", dir)
	}
	return dir
}

// brokenFiles are the real files that are damaged on purpose, with what the
// program must say. The ffmpeg command line can't open them either.
var brokenFiles = map[string]error{
	"sample_audio_only.mp4":         ErrNoVideoStream,
	"sample_malformed_free_box.mp4": ErrTruncated,
	"zero_empty_stsc.mp4":           ErrNotVideo,
}

// damagedFiles open, but some of their packets can't be decoded. Where the
// value is true only those frames may be refused which the command line leaves
// out as well; in the other file so much is broken that what a decoder guesses
// depends on where it started.
var damagedFiles = map[string]bool{"sample_with_invalid_nalu.mp4": true, "no_timescale.mp4": false}

func TestExactFramesOfRealFiles(t *testing.T) {
	t.Parallel()
	needFFmpeg(t)
	files, err := filepath.Glob(filepath.Join(dataDir(t), "*", "*.*"))
	require.NoError(t, err)
	for _, path := range files {
		name := filepath.Base(path)
		strict, damaged := damagedFiles[name]
		t.Run(name, func(t *testing.T) {
			switch kind := brokenFiles[name]; {
			case kind != nil:
				_, err := Open(path)
				require.ErrorIs(t, err, kind)
			case damaged:
				checkDamaged(t, path, strict)
			default:
				checkExact(t, path)
			}
		})
	}
}

// checkDamaged reads every frame of a file with broken packets: each is either
// shown or refused with a sentence, with strict a refused one is not in the
// independent decode either, and the broken packets are counted.
func checkDamaged(t *testing.T, path string, strict bool) {
	t.Helper()
	s, err := Open(path)
	require.NoError(t, err)
	shown := map[int64]bool{}
	for _, pts := range decodeWithCLI(t, path, s.Info()).pts {
		shown[pts] = true
	}
	r := NewReader(s, ReaderOptions{})
	defer r.Close()
	refused := 0
	for n := range s.Frames() {
		f, err := r.Read(context.Background(), n)
		if err != nil {
			refused++
			var frame *FrameError
			require.ErrorAs(t, err, &frame)
			require.False(t, strict && shown[s.PTS(n)], "frame %d is refused but can be decoded", n)
			continue
		}
		require.Equal(t, s.PTS(n), f.PTS)
		f.Release()
	}
	require.Positive(t, refused)
	require.Positive(t, r.Stats().BadPackets)
	require.Less(t, refused, s.Frames()/2, "most of the clip must stay usable")
}

// isThere reports whether there is something at a path.
func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
