package video

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tolColour is how far a flat patch may come out from what was filmed, in
// levels of 255: encoding to 8-bit YUV and back costs up to 3.
const tolColour = 5

// TestColourPatches encodes flat patches with every matrix and range a phone
// uses and expects the filmed colour back. The coefficients are those of ITU-R
// BT.601-7 and BT.709-6; ffmpeg's filters do the encoding.
func TestColourPatches(t *testing.T) {
	needFFmpeg(t)
	patches := []color.RGBA{{0, 192, 0, 255}, {200, 30, 30, 255}, {30, 60, 200, 255}, {128, 128, 128, 255}, {240, 240, 240, 255}, {12, 12, 12, 255}}
	for _, c := range []struct{ name, matrix, space, rng, tags string }{
		{"BT.709 limited", "bt709", "bt709", "tv", ""},
		{"BT.709 full", "bt709", "bt709", "pc", ""},
		{"BT.601 limited", "bt601", "smpte170m", "tv", ""},
		{"BT.601 full", "bt601", "smpte170m", "pc", ""},
		{"undeclared, small", "bt601", "", "tv", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			const side = 48
			src := image.NewRGBA(image.Rect(0, 0, side*len(patches), side))
			for i, p := range patches {
				draw.Draw(src, image.Rect(i*side, 0, (i+1)*side, side), image.NewUniform(p), image.Point{}, draw.Src)
			}
			raw := written(t, "patches.rgba", src.Pix)
			path := filepath.Join(t.TempDir(), "patches.mp4")
			args := fmt.Sprintf("-f rawvideo -pixel_format rgba -video_size %dx%d -framerate 30 -i %s -vf scale=out_color_matrix=%s:out_range=%s:flags=accurate_rnd+full_chroma_int,format=yuv420p -c:v libx264 -qp 4 -color_range %s",
				src.Rect.Dx(), side, raw, c.matrix, c.rng, c.rng)
			if c.space != "" {
				args += " -colorspace " + c.space
			}
			ffmpeg(t, args, path)
			r := openReader(t, path, ReaderOptions{})
			info := r.Source().Info()
			assert.Equal(t, c.space == "", info.ColourAssumed)
			assert.Equal(t, c.rng == "pc", info.ColourRange == "full")
			f, err := r.Read(context.Background(), 0)
			require.NoError(t, err)
			for _, times := range []float64{1, 0.5, 4} {
				scaled := int(side * times)
				img := image.NewRGBA(image.Rect(0, 0, scaled*len(patches), scaled))
				require.NoError(t, f.Render(img, f.Bounds()))
				for i, want := range patches {
					got := img.RGBAAt(i*scaled+scaled/2, scaled/2)
					for k, d := range []int{int(got.R) - int(want.R), int(got.G) - int(want.G), int(got.B) - int(want.B)} {
						assert.LessOrEqual(t, abs(d), tolColour, "channel %d at x%.1f: got %v, want %v", k, times, got, want)
					}
					assert.Equal(t, uint8(255), got.A)
				}
			}
		})
	}
}

// TestUpright compares the upright picture with the one ffmpeg turns itself
// by the file's display matrix, and the sample aspect with ffmpeg's scaler.
func TestUpright(t *testing.T) {
	for _, c := range []struct {
		kind     string
		w, h     int
		degrees  int
		mirrored bool
		filter   string
	}{
		{"H.264 group of 30", 160, 120, 0, false, ""},
		{"rotated by 90", 120, 160, 90, false, ""},
		{"rotated by 180", 160, 120, 180, false, ""},
		{"rotated by 270", 120, 160, 270, false, ""},
		{"mirrored and rotated", 120, 160, 90, true, ""},
		{"mirrored", 160, 120, 0, true, ""},
		{"mirrored top to bottom", 160, 120, 180, true, ""},
		{"long samples", 213, 120, 0, false, "scale=213:120:flags=bilinear,"},
	} {
		t.Run(c.kind, func(t *testing.T) {
			path := clip(t, c.kind)
			r := openReader(t, path, ReaderOptions{})
			info := r.Source().Info()
			require.Equal(t, [2]int{c.w, c.h}, [2]int{info.Width, info.Height})
			if !strings.Contains(c.kind, "mirrored and") { // a turn and a mirroring can be told in two ways
				require.Equal(t, c.degrees, info.RotationDeg)
			}
			require.Equal(t, c.mirrored, info.Mirrored)
			const n = 17
			f, err := r.Read(context.Background(), n)
			require.NoError(t, err)
			img := image.NewRGBA(f.Bounds())
			require.NoError(t, f.Render(img, f.Bounds()))
			want := ffmpeg(t, "", "-i", path, "-vf", fmt.Sprintf("select=eq(n\\,%d),%sformat=rgba", n, c.filter), "-frames:v", "1", "-vsync", "passthrough", "-f", "rawvideo", "-")
			require.Len(t, want, 4*c.w*c.h)
			require.Less(t, meanDifference(want, img.Pix), 2.0, "mean difference in levels")

			// A part of the picture must be the same part of the whole.
			part := image.Rect(c.w/3, c.h/4, c.w/3+32, c.h/4+40)
			crop := image.NewRGBA(image.Rectangle{Max: part.Size()})
			require.NoError(t, f.Render(crop, part))
			whole := image.NewRGBA(crop.Rect)
			for y := range part.Dy() {
				for x := range part.Dx() {
					whole.Set(x, y, img.At(part.Min.X+x, part.Min.Y+y))
				}
			}
			require.Less(t, meanDifference(whole.Pix, crop.Pix), 6.0, "mean difference of the part in levels")
		})
	}
}

// TestShrink compares pictures drawn at less than half their size with
// ffmpeg's area scaler, and finds them in the same place.
func TestShrink(t *testing.T) {
	path := clip(t, "H.264 group of 30")
	r := openReader(t, path, ReaderOptions{})
	f, err := r.Read(context.Background(), 17)
	require.NoError(t, err)
	for _, size := range []image.Point{{80, 60}, {64, 48}, {39, 31}, {16, 12}} {
		img := image.NewRGBA(image.Rectangle{Max: size})
		require.NoError(t, f.Render(img, f.Bounds()))
		scaled := fmt.Sprintf("select=eq(n\\,17),scale=%d:%d:flags=area+accurate_rnd", size.X, size.Y)
		input := []string{"-i", path, "-frames:v", "1", "-vsync", "passthrough", "-f", "rawvideo"}
		want := ffmpeg(t, "", append(input, "-vf", scaled+",format=rgba", "-")...)
		near := meanDifference(want, img.Pix)
		assert.Less(t, near, 8.0, "%v: mean difference in levels", size)
		assert.Less(t, 2*near, meanDifference(want[4:], img.Pix[:len(img.Pix)-4]), "%v: the picture moved", size)

		gray := image.NewGray(image.Rectangle{Max: size})
		require.NoError(t, f.RenderGray(gray, f.Bounds()))
		want = ffmpeg(t, "", append(input, "-vf", scaled, "-pix_fmt", "yuv420p", "-")...)[:len(gray.Pix)]
		assert.Less(t, meanDifference(want, gray.Pix), 5.0, "%v: mean difference in levels", size)
	}
}

func meanDifference(a, b []byte) float64 {
	sum := 0.0
	for i := range a {
		sum += math.Abs(float64(a[i]) - float64(b[i]))
	}
	return sum / float64(len(a))
}

// TestRenderStaysInside draws odd parts into odd places of a larger picture
// and finds the rest untouched.
func TestRenderStaysInside(t *testing.T) {
	r := openReader(t, clip(t, "rotated by 90"), ReaderOptions{})
	f, err := r.Read(context.Background(), 0)
	require.NoError(t, err)
	const mark = 0x77
	for _, c := range []struct{ crop, into image.Rectangle }{
		{image.Rect(0, 0, 120, 160), image.Rect(3, 5, 100, 130)},
		{image.Rect(7, 9, 8, 10), image.Rect(1, 1, 30, 31)},
		{image.Rect(119, 159, 120, 160), image.Rect(10, 10, 17, 19)},
		{image.Rect(1, 1, 120, 160), image.Rect(50, 50, 51, 51)},
		{image.Rect(11, 13, 50, 90), image.Rect(2, 2, 197, 199)},
	} {
		img := image.NewRGBA(image.Rect(0, 0, 200, 200))
		for i := range img.Pix {
			img.Pix[i] = mark
		}
		require.NoError(t, f.Render(img.SubImage(c.into).(*image.RGBA), c.crop))
		for y := range 200 {
			for x := range 200 {
				inside := image.Pt(x, y).In(c.into)
				px := img.RGBAAt(x, y)
				require.Equal(t, inside, px.A == 255, "%v into %v: pixel %d,%d is %v", c.crop, c.into, x, y, px)
			}
		}
	}
	img := image.NewRGBA(image.Rect(0, 0, 20, 20))
	require.Error(t, f.Render(img, image.Rect(0, 0, 121, 160)), "outside the picture")
	require.Error(t, f.Render(img, image.Rectangle{}))
	require.NoError(t, f.Render(new(image.RGBA), f.Bounds()), "nothing to draw into")
	gray := image.NewGray(image.Rect(0, 0, 30, 40))
	require.NoError(t, f.RenderGray(gray, f.Bounds()))
}

// TestBindingLayout checks that the binding still keeps its C pointer first,
// on which native.go relies: the packet read through it is the one seen by the binding.
func TestBindingLayout(t *testing.T) {
	s, _ := streamOf(t, clip(t, "MOV"))
	require.NoError(t, s.reopen())
	raw, err := readPacket(s.in.Load().format, s.packet, s.codec)
	require.NoError(t, err)
	assert.Equal(t, s.packet.Pts(), raw.pts)
	assert.Equal(t, s.packet.Size(), raw.size)
	s.packet.Unref()
}
