package motion

import (
	"context"
	"image"
	"math"
	"slices"
)

const (
	// liveliestS is about how long the liveliest part of a swing lasts, from the
	// delivery until after the strike, seconds of life.
	liveliestS = 0.1
	// looksS is how far the pictures lie apart that are compared for it.
	looksS = 1 / 60.
)

// Strike returns about when the strike is in a clip whose sound does not tell it,
// seconds on the clip's clock: where the picture changes most, which is where club
// and arms are fastest. slow is how many times slower than life the clip plays. It
// reports false where no part of the clip is livelier than the rest.
func Strike(ctx context.Context, c Clip, size image.Point, slow float64) (seconds float64, ok bool, err error) {
	last := c.Frames() - 1
	if last < 2 {
		return 0, false, nil
	}
	length := c.Seconds(last) / slow
	step := max(int(math.Round(looksS*float64(last)/math.Max(length, 1e-9))), 1)
	var changes []float64
	var before *image.Gray
	for n := 0; n <= last; n += step {
		p := image.NewGray(image.Rectangle{Max: size})
		if err := c.Gray(ctx, n, p); err != nil {
			return 0, false, err
		}
		if before != nil {
			changes = append(changes, changed(before.Pix, p.Pix))
		}
		before = p
	}
	wide := max(int(math.Round(liveliestS*slow/(c.Seconds(min(step, last))-c.Seconds(0)))), 1)
	if len(changes) < 3*wide {
		return 0, false, nil
	}
	at, most := 0, 0.0
	for i := 0; i+wide <= len(changes); i++ {
		sum := 0.0
		for _, v := range changes[i : i+wide] {
			sum += v
		}
		if sum > most {
			at, most = i, sum
		}
	}
	usual := slices.Clone(changes)
	slices.Sort(usual)
	const livelier = 3
	if most == 0 || most/float64(wide) < livelier*usual[len(usual)/2] {
		return 0, false, nil
	}
	middle := (float64(at) + float64(wide)/2) * float64(step)
	return c.Seconds(min(int(middle), last)), true, nil
}

// changed is by how much pixels differ between two pictures, in the mean.
func changed(a, b []uint8) float64 {
	sum := 0
	for k := range a {
		if d := absDiff(a[k], b[k]); d > noisy {
			sum += d
		}
	}
	return float64(sum) / float64(len(a))
}
