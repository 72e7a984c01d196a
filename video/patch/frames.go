package patch

import (
	"context"
	"image"
	"sync"
)

// Clip is what frames are kept of while something else reads them.
type Clip interface {
	Frames() int
	Size() image.Point
	Gray(ctx context.Context, n int, dst *image.Gray) error
}

// Keep is a Clip that keeps a part of each frame that is read through it, so that patches
// can be aligned afterwards without decoding anything again.
type Keep struct {
	Clip
	// region is what to keep of frame n; empty for nothing.
	region func(n int) image.Rectangle
	left   int // bytes that may still be kept
	mu     sync.Mutex
	kept   map[int]*image.Gray
}

// NewKeep keeps region(n) of each frame n of a clip as long as all of it fits into so many
// bytes.
func NewKeep(c Clip, bytes int, region func(n int) image.Rectangle) *Keep {
	return &Keep{Clip: c, region: region, left: bytes, kept: map[int]*image.Gray{}}
}

// Gray draws frame n, as the clip does, and keeps its part.
func (k *Keep) Gray(ctx context.Context, n int, dst *image.Gray) error {
	if err := k.Clip.Gray(ctx, n, dst); err != nil {
		return err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	r := k.region(n).Intersect(dst.Rect)
	if k.kept[n] != nil || r.Empty() || r.Dx()*r.Dy() > k.left {
		return nil
	}
	part := image.NewGray(r)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		copy(part.Pix[part.PixOffset(r.Min.X, y):][:r.Dx()], dst.Pix[dst.PixOffset(r.Min.X, y):])
	}
	k.left -= r.Dx() * r.Dy()
	k.kept[n] = part
	return nil
}

// Part returns what was kept of frame n, with its place in the frame as its Rect, or nil.
func (k *Keep) Part(n int) *image.Gray {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.kept[n]
}
