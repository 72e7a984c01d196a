// Package background models what stands still in the clip of a camera that stands
// still: the median of each pixel over frames in which whoever moves is at different
// places. It is the simplest of the background models, and exact wherever the moving
// covers a pixel in fewer than half of the frames (Gloyer, Aghajan, Siu and Kailath
// 1995, "Video-based freeway monitoring system using recursive vehicle tracking", from
// memory).
package background

import (
	"image"
	"slices"
)

// Median returns the per-pixel, per-channel median of frames of one size, opaque. Of an
// even number of frames it is the upper of the two middle values. It returns nil for
// fewer than three frames, which have no majority, and for frames of different sizes.
func Median(frames []*image.RGBA) *image.RGBA {
	if len(frames) < 3 {
		return nil
	}
	size := frames[0].Rect.Size()
	for _, f := range frames {
		if f.Rect.Size() != size {
			return nil
		}
	}
	out := image.NewRGBA(image.Rectangle{Max: size})
	rows := make([][]byte, len(frames))
	values := make([]byte, len(frames))
	for y := range size.Y {
		for i, f := range frames {
			rows[i] = f.Pix[f.PixOffset(f.Rect.Min.X, f.Rect.Min.Y+y):][:4*size.X]
		}
		to := out.Pix[y*out.Stride:][:4*size.X]
		for k := range to {
			if k%4 == 3 {
				to[k] = 255
				continue
			}
			for i, row := range rows {
				values[i] = row[k]
			}
			insertionSort(values)
			to[k] = values[len(values)/2]
		}
	}
	return out
}

// insertionSort beats slices.Sort on a dozen bytes.
func insertionSort(v []byte) {
	for i := 1; i < len(v); i++ {
		x, j := v[i], i
		for ; j > 0 && v[j-1] > x; j-- {
			v[j] = v[j-1]
		}
		v[j] = x
	}
}

// Noise, levels of 255: what a pixel of a still camera differs by from frame to frame
// after a phone's compression, at most in nine of ten (common practice, no source).
const (
	noise     = 12
	stillPart = 0.8
)

// Still reports whether a picture was taken by a camera that stood where it stood for
// the background: but for whoever moves, pixels differ by noise only. A camera that
// turned by more than a few pixels fails it in any picture with texture.
func Still(im, bg *image.RGBA) bool {
	if im == nil || bg == nil || im.Rect.Size() != bg.Rect.Size() {
		return false
	}
	same, all := 0, 0
	const step = 3
	for y := 0; y < im.Rect.Dy(); y += step {
		p := im.Pix[im.PixOffset(im.Rect.Min.X, im.Rect.Min.Y+y):]
		q := bg.Pix[bg.PixOffset(bg.Rect.Min.X, bg.Rect.Min.Y+y):]
		for x := 0; x < im.Rect.Dx(); x += step {
			all++
			if slices.Max([]int{apart(p[4*x], q[4*x]), apart(p[4*x+1], q[4*x+1]), apart(p[4*x+2], q[4*x+2])}) <= noise {
				same++
			}
		}
	}
	return all > 0 && float64(same) >= stillPart*float64(all)
}

func apart(a, b byte) int { return max(int(a)-int(b), int(b)-int(a)) }
