package video

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func newSurface(t testing.TB, w, h int) *Surface {
	t.Helper()
	s, err := NewSurface(w, h)
	require.NoError(t, err)
	t.Cleanup(s.Free)
	return s
}

// samples are the three planes of a surface, one after the other without gaps.
func samples(t testing.TB, s *Surface) []byte {
	t.Helper()
	b, err := s.frame.Data().Bytes(1)
	require.NoError(t, err)
	return b
}

// near compares samples: the mean difference, and how far off the worst one in a
// thousand is.
func near(t *testing.T, want, got []byte, mean float64, worst int) {
	t.Helper()
	require.Len(t, got, len(want))
	var count [256]int
	sum := 0
	for i := range want {
		d := abs(int(want[i]) - int(got[i]))
		sum += d
		count[d]++
	}
	assert.LessOrEqual(t, float64(sum)/float64(len(want)), mean, "mean difference")
	left := len(want) / 1000
	for d := 255; d > worst; d-- {
		left -= count[d]
	}
	assert.GreaterOrEqual(t, left, 0, "more than one sample in a thousand is more than %d off", worst)
}

// TestPutOnASurface puts parts of clips on a surface and expects what FFmpeg's own
// crop and scale filters make of the same frame, with the clip turned, in full
// range and in another matrix as well.
func TestPutOnASurface(t *testing.T) {
	needFFmpeg(t)
	for _, c := range []struct {
		name, convert, tags string
		turned              int
	}{
		{"as it is encoded", "scale=out_color_matrix=bt709:out_range=tv", "-colorspace bt709 -color_range tv", 0},
		{"rotated by 90", "scale=out_color_matrix=bt709:out_range=tv", "-colorspace bt709 -color_range tv", 90},
		{"rotated by 180", "scale=out_color_matrix=bt709:out_range=tv", "-colorspace bt709 -color_range tv", 180},
		{"full range", "scale=out_color_matrix=bt709:out_range=pc", "-colorspace bt709 -color_range pc", 0},
		{"BT.601", "scale=out_color_matrix=bt601:out_range=tv", "-colorspace smpte170m -color_range tv", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "flat.mp4")
			ffmpeg(t, "-f lavfi -i testsrc2=size=480x320:rate=30:duration=0.1 -vf gblur=sigma=2,"+c.convert+",format=yuv420p -c:v libx264 -qp 8 "+c.tags, path)
			if c.turned != 0 {
				turned := filepath.Join(dir, "turned.mp4")
				ffmpeg(t, fmt.Sprintf("-i %s -c copy -metadata:s:v:0 rotate=%d", path, c.turned), turned)
				path = turned
			}
			r := openReader(t, path, ReaderOptions{})
			f, err := r.Read(context.Background(), 2)
			require.NoError(t, err)
			for _, x := range []struct {
				part image.Rectangle
				w, h int
			}{
				{image.Rect(0, 0, f.Width, f.Height), f.Width, f.Height},
				{image.Rect(40, 24, 240, 184), 300, 240},
				{image.Rect(40, 24, 240, 184), 200, 160},
				{image.Rect(20, 60, 260, 300), 180, 180},
				{image.Rect(20, 60, 260, 300), 96, 96},
			} {
				s := newSurface(t, x.w+64, x.h+32)
				at := image.Rect(10, 6, 10+x.w, 6+x.h)
				require.NoError(t, s.Put(f, x.part, at))
				want := ffmpeg(t, fmt.Sprintf("-i %s -vf select=eq(n\\,2),crop=%d:%d:%d:%d:exact=1,scale=%d:%d:flags=bilinear:out_color_matrix=bt709:out_range=tv,pad=%d:%d:10:6:black -frames:v 1 -f rawvideo -pix_fmt yuv420p -",
					path, x.part.Dx(), x.part.Dy(), x.part.Min.X, x.part.Min.Y, x.w, x.h, s.Bounds().Dx(), s.Bounds().Dy()))
				mean, worst := 0.5, 3
				if c.name == "BT.601" { // by way of red, green and blue
					mean, worst = 1.2, 8
				}
				if x.w*2 <= x.part.Dx() { // box-filtered first, which leaves out the filter's long ends
					mean, worst = 1.2, 10
				}
				near(t, want, samples(t, s), mean, worst)
			}
		})
	}
}

// TestOverASurface lays drawings over a surface. What is opaque comes out as
// swscale converts it; what is not as blending the colours first and converting
// then, which is the same since the conversion of BT.709 is linear.
func TestOverASurface(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 8))
	const w, h = 64, 48
	ground := color.RGBA{200, 120, 40, 255}
	s := newSurface(t, w, h)
	s.Fill(s.Bounds(), ground)
	img := image.NewRGBA(image.Rect(0, 0, w-1, h-3)) // odd, as drawings are
	full := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(full, full.Rect, image.NewUniform(ground), image.Point{}, draw.Src)
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			c := color.NRGBA{uint8(rnd.IntN(256)), uint8(rnd.IntN(256)), uint8(rnd.IntN(256)), uint8([]int{0, 0, 90, 200, 255}[rnd.IntN(5)])}
			img.Set(x, y, c)
		}
	}
	at := image.Pt(0, 2)
	s.Over(img, at)
	draw.Draw(full, img.Rect.Add(at), img, image.Point{}, draw.Over)
	near(t, converted(full), samples(t, s), 0.6, 2)

	// swscale's own conversion, through a Writer's scaler.
	for i := range full.Pix {
		full.Pix[i] = uint8(128 + 100*math.Sin(float64(i/4%w)/9+float64(i/4/w)/7+float64(i%4)))
		if i%4 == 3 {
			full.Pix[i] = 255
		}
	}
	writer, err := Create(filepath.Join(t.TempDir(), "x.mp4"), WriterOptions{Width: w, Height: h, RateNum: 30})
	require.NoError(t, err)
	defer writer.Abort()
	require.NoError(t, writer.convert())
	require.NoError(t, writer.scaler.fillRGBA(writer.frame, full.Pix, full.Stride))
	want, err := writer.frame.Data().Bytes(1)
	require.NoError(t, err)
	s.Over(full, image.Point{})
	near(t, want, samples(t, s), 0.7, 2)

	before := append([]byte(nil), samples(t, s)...)
	s.Over(full, image.Pt(1, 0)) // not at even numbers
	s.Over(full, image.Pt(400, 400))
	assert.Equal(t, before, samples(t, s))
	s.Over(full, image.Pt(-20, -10)) // partly outside
	assert.NotEqual(t, before, samples(t, s))
}

// converted are the samples of an opaque picture by Rec. ITU-R BT.709-6, each of
// colour the mean of four pixels.
func converted(img *image.RGBA) []byte {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	out := make([]byte, w*h*3/2)
	u, v := out[w*h:w*h*5/4], out[w*h*5/4:]
	sums := make([][2]float64, w*h/4)
	for y := range h {
		for x := range w {
			c := img.RGBAAt(x, y)
			r, g, b := float64(c.R)/255, float64(c.G)/255, float64(c.B)/255
			l := 0.2126*r + 0.7152*g + 0.0722*b
			out[y*w+x] = uint8(math.Round(16 + 219*l))
			k := y/2*(w/2) + x/2
			sums[k][0] += (b - l) / 1.8556 / 4
			sums[k][1] += (r - l) / 1.5748 / 4
		}
	}
	for k, x := range sums {
		u[k], v[k] = uint8(math.Round(128+224*x[0])), uint8(math.Round(128+224*x[1]))
	}
	return out
}

// A surface that is written again gives the bytes that a new one gives, may be
// drawn on as soon as it is written, and ffprobe counts it.
func TestWriteASurfaceAgain(t *testing.T) {
	needFFmpeg(t)
	o := WriterOptions{Width: 128, Height: 96, RateNum: 30, BFrames: 2}
	paint := func(s *Surface, n int) {
		s.Fill(s.Bounds(), color.RGBA{uint8(40 * n), 90, 60, 255})
		s.Fill(image.Rect(8*n, 10, 8*n+40, 70), color.White)
	}
	made := func(name string, again bool) []byte {
		path := filepath.Join(t.TempDir(), name)
		w, err := Create(path, o)
		require.NoError(t, err)
		s := newSurface(t, 128, 96)
		for n := range 4 {
			paint(s, n)
			for range 1 + n*5 {
				require.NoError(t, w.WriteSurface(s))
				if !again {
					s = newSurface(t, 128, 96)
					paint(s, n)
				}
			}
			s.Fill(s.Bounds(), color.Black) // for something else
		}
		require.Error(t, w.WriteSurface(newSurface(t, 64, 96)))
		require.NoError(t, w.Close())
		require.Error(t, w.WriteSurface(s), "closed")
		out, err := exec.Command("ffprobe", "-v", "error", "-count_frames", "-show_entries", "stream=nb_read_frames,duration", "-of", "csv=p=0", path).CombinedOutput()
		require.NoError(t, err, string(out))
		assert.Equal(t, "1.133333,34", strings.TrimSpace(string(out)))
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		return data
	}
	assert.Equal(t, sha256.Sum256(made("a.mp4", false)), sha256.Sum256(made("b.mp4", true)))
}

func TestSurfacesThatCantBe(t *testing.T) {
	_, err := NewSurface(63, 48)
	assert.ErrorContains(t, err, "width and height must be even")
	path := filepath.Join(t.TempDir(), "bar.mp4")
	writeTestClip(t, path, WriterOptions{Width: 128, Height: 96, RateNum: 240}, 2)
	r := openReader(t, path, ReaderOptions{})
	f, err := r.Read(context.Background(), 1)
	require.NoError(t, err)
	s := newSurface(t, 128, 96)
	assert.ErrorContains(t, s.Put(f, f.Bounds(), image.Rect(1, 0, 65, 48)), "at even numbers")
	assert.ErrorContains(t, s.Put(f, f.Bounds(), image.Rect(0, 0, 256, 48)), "does not lie in the surface")
	assert.ErrorContains(t, s.Put(f, image.Rect(0, 0, 400, 10), s.Bounds()), "does not lie in the picture")
	f.Release()
	assert.ErrorIs(t, s.Put(f, image.Rect(0, 0, 128, 96), s.Bounds()), ErrReleased)
}
