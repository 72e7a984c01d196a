package motion

import (
	"context"
	"image"
	"math"
	"slices"
)

// Mover returns the middle of what moves between two moments of a clip, seconds, as
// parts of the picture's width and height: of a swing the golfer, also where others
// stand beside him. It is the weighted median of the change of all pixels, so that a
// passer-by who changes fewer does not draw it to himself. It reports false where
// nothing moves.
func Mover(ctx context.Context, c Clip, size image.Point, from, to float64) (x, y float64, ok bool, err error) {
	const pictures = 24 // are enough for where
	last := c.Frames() - 1
	a, b := nearest(c, 0, last, from), nearest(c, 0, last, to)
	f := &film{}
	step := max((b-a)/pictures, 1)
	for n := a; n <= b; n += step {
		p := image.NewGray(image.Rectangle{Max: size})
		if err := c.Gray(ctx, n, p); err != nil {
			return 0, 0, false, err
		}
		f.pictures = append(f.pictures, p)
	}
	if len(f.pictures) < 2 {
		return 0, 0, false, nil
	}
	dead := f.noise()
	columns, rows := make([]float64, size.X), make([]float64, size.Y)
	for i := 1; i < len(f.pictures); i++ {
		for k, v := range f.pictures[i].Pix {
			if d := absDiff(v, f.pictures[i-1].Pix[k]); d > dead {
				columns[k%size.X] += float64(d - dead)
				rows[k/size.X] += float64(d - dead)
			}
		}
	}
	x, y = median(columns)/float64(size.X), median(rows)/float64(size.Y)
	return x, y, !math.IsNaN(x) && !math.IsNaN(y), nil
}

// median returns where half of the weights lie on either side; NaN where there are none.
func median(weights []float64) float64 {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	sum := 0.0
	i := slices.IndexFunc(weights, func(w float64) bool { sum += w; return total > 0 && sum >= total/2 })
	if i < 0 {
		return math.NaN()
	}
	return float64(i) + 0.5
}
