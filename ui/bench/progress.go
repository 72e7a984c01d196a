package bench

import (
	"math"
	"time"
)

// Ticks returns round values from low to high or a little beyond, at most so
// many: steps of 1, 2 or 5 times a power of ten.
func Ticks(low, high float64, most int) []float64 {
	if !(high > low) || most < 2 || math.IsInf(high-low, 0) {
		return nil
	}
	raw := (high - low) / float64(most-1)
	step := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*step >= raw*(1-1e-9) {
			step *= m
			break
		}
	}
	var out []float64
	for k := math.Ceil(low/step - 1e-9); k*step <= high+1e-9*step; k++ {
		out = append(out, k*step+0) // no negative zero
	}
	return out
}

// Timeline places days along an axis from 0 to 1 by their distance in time, but
// no two nearer than least, so that each can be told and pointed at. Days that
// are not known stand after the one before. The days are in order.
func Timeline(days []string, least float64) []float64 {
	n := len(days)
	out := make([]float64, n)
	if n < 2 {
		for i := range out {
			out[i] = 0.5
		}
		return out
	}
	least = math.Min(least, 1/float64(n-1))
	gaps := make([]float64, n-1)
	var last time.Time
	for i, d := range days {
		t, err := time.Parse(time.DateOnly, d)
		if i > 0 && err == nil && !last.IsZero() {
			gaps[i-1] = math.Max(t.Sub(last).Hours()/24, 0)
		}
		if err == nil {
			last = t
		}
	}
	// What the shortest gaps are given, the longer ones give.
	fixed := make([]bool, n-1)
	for {
		room, sum := 1.0, 0.0
		for i, f := range fixed {
			if f {
				room -= least
			} else {
				sum += gaps[i]
			}
		}
		again := false
		for i := range gaps {
			if !fixed[i] && (sum == 0 || gaps[i]/sum*room < least) {
				fixed[i], again = true, true
			}
		}
		if again {
			continue
		}
		for i := range gaps {
			step := least
			if !fixed[i] {
				step = gaps[i] / sum * room
			}
			out[i+1] = out[i] + step
		}
		break
	}
	if end := out[n-1]; end > 0 {
		for i := range out {
			out[i] /= end
		}
	}
	return out
}
