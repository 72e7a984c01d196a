// Package drawtest renders parts of the window to pictures in tests, without
// a display, and compares them with kept ones.
package drawtest

import (
	"flag"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/gpu/headless"
	"gioui.org/io/input"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/paint"
	"gioui.org/unit"
)

var update = flag.Bool("update", false, "write the kept pictures of ui tests anew")

// Now is the time of every frame drawn here.
var Now = time.Date(2026, 5, 2, 10, 0, 0, 0, time.UTC)

// Context returns a layout context of w by h dp at a scale of pixels per dp,
// enabled but without events.
func Context(ops *op.Ops, w, h int, scale float32) layout.Context {
	return layout.Context{
		Ops: ops, Now: Now, Source: new(input.Router).Source(),
		Metric:      unit.Metric{PxPerDp: scale, PxPerSp: scale},
		Constraints: layout.Exact(image.Pt(int(float32(w)*scale), int(float32(h)*scale))),
	}
}

// Picture draws one frame of w by h dp over a background. Without a GPU (or
// Mesa's software one) it fails the test where CI is set, and skips it
// elsewhere.
func Picture(t testing.TB, w, h int, scale float32, bg color.NRGBA, draw func(gtx layout.Context)) *image.RGBA {
	t.Helper()
	if os.Getenv("DISPLAY") == "" && os.Getenv("EGL_PLATFORM") == "" {
		// Mesa needs to be told that there is no display.
		t.Setenv("EGL_PLATFORM", "surfaceless")
	}
	var ops op.Ops
	gtx := Context(&ops, w, h, scale)
	size := gtx.Constraints.Max
	win, err := headless.NewWindow(size.X, size.Y)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("no GPU to draw with: %v", err)
		}
		t.Skipf("no GPU to draw with: %v", err)
	}
	defer win.Release()
	paint.Fill(gtx.Ops, bg)
	draw(gtx)
	if err := win.Frame(&ops); err != nil {
		t.Fatal(err)
	}
	img := image.NewRGBA(image.Rectangle{Max: size})
	if err := win.Screenshot(img); err != nil {
		t.Fatal(err)
	}
	return img
}

// Save writes a picture as PNG.
func Save(t testing.TB, path string, img image.Image) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	if err := enc.Encode(f, img); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// Golden compares a picture with the kept one at path (with -update it keeps
// the new one). Drivers differ in how they smooth edges: a pixel counts as
// different where a channel is off by more than 48 of 255, and up to 0.5 % of
// the pixels may be. What is drawn otherwise lies together, as where a 3 became an 8:
// no more than a few pixels of the size of a figure may be off by more than 96. On a
// failure the new picture is left in the system's temporary folder.
func Golden(t testing.TB, path string, got *image.RGBA) {
	t.Helper()
	if *update {
		Save(t, path, got)
		return
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatalf("no kept picture; run the test with -update and look at it: %v", err)
	}
	defer f.Close()
	kept, err := png.Decode(f)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	if kept.Bounds() != got.Bounds() {
		t.Fatalf("%s is %v, now %v", path, kept.Bounds().Size(), got.Bounds().Size())
	}
	want := image.NewRGBA(kept.Bounds())
	draw.Draw(want, want.Bounds(), kept, image.Point{}, draw.Src)
	off, together, at := differ(want, got)
	if limit := len(want.Pix) / 4 / 200; off > limit || together > mostTogether {
		now := filepath.Join(os.TempDir(), "turngauge-"+filepath.Base(path))
		Save(t, now, got)
		t.Errorf("%s: %d pixels differ (at most %d may), %d of them about %v (at most %d may); the new picture is %s", path, off, limit, together, at, mostTogether, now)
	}
}

// figureSide is the size that a figure of text has, and mostTogether how many pixels of
// such a square may be plainly different.
const figureSide, mostTogether = 12, 3

// differ counts the pixels of two pictures of one size that are off, and the most of them
// that are plainly off within one square, with where that is.
func differ(want, got *image.RGBA) (off, together int, at image.Point) {
	size := want.Bounds().Size()
	const step = figureSide / 2
	cells := image.Pt(size.X/step+1, size.Y/step+1)
	plainly := make([]int, cells.X*cells.Y)
	for y := range size.Y {
		for x := range size.X {
			i, most := want.PixOffset(want.Rect.Min.X+x, want.Rect.Min.Y+y), 0
			j := got.PixOffset(got.Rect.Min.X+x, got.Rect.Min.Y+y)
			for c := range 3 {
				d := int(want.Pix[i+c]) - int(got.Pix[j+c])
				most = max(most, d, -d)
			}
			if most > 48 {
				off++
			}
			if most > 96 {
				plainly[y/step*cells.X+x/step]++
			}
		}
	}
	for y := range cells.Y - 1 {
		for x := range cells.X - 1 {
			n := y*cells.X + x
			if sum := plainly[n] + plainly[n+1] + plainly[n+cells.X] + plainly[n+cells.X+1]; sum > together {
				together, at = sum, image.Pt(x*step, y*step)
			}
		}
	}
	return off, together, at
}
