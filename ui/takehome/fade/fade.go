// Package fade draws weaker, in an annotated clip, what is about to be lost.
package fade

import "image"

// Fading is over how many frames of its clip a line fades before it is lost.
const Fading = 6

// Strength is how strongly a line is drawn in a frame: 1 where its points are followed
// well beyond it, less toward the frame in which one of them is lost.
func Strength(known func(frame int) bool, n int) float64 {
	for d := range Fading {
		if !known(n-d) || !known(n+d) {
			return float64(d) / Fading
		}
	}
	return 1
}

// Weaken makes a part of what was drawn on clear ground show less.
func Weaken(img *image.RGBA, part image.Rectangle, by float64) {
	part = part.Intersect(img.Rect)
	for y := part.Min.Y; y < part.Max.Y; y++ {
		row := img.Pix[img.PixOffset(part.Min.X, y):img.PixOffset(part.Max.X, y)]
		for i := range row {
			row[i] = uint8(float64(row[i]) * by)
		}
	}
}
