package track

import "math"

// walker follows one point in one direction from the mark it starts at.
type walker struct {
	m      *matcher
	look   *anchor // what the point looks like
	o      *Options
	x, y   float64
	vx, vy float64 // the last step
	s      shape
	age    int // steps since the mark
	looks  int // how often the look was taken anew
	sigma  float64 // standard deviation of what has crept in since the mark, pixels
	lost   bool
}

// footprint is where a walker found its point in one frame.
type footprint struct {
	x, y  float64
	sigma float64 // of the place, from the mark on, pixels
	back  float64 // how far going back ended from where it began, pixels
	alike float64 // correlation with the look
	there bool    // false: lost
}

// begin puts the walker on a mark.
func (w *walker) begin(p *pyramid, x, y float64) footprint {
	w.x, w.y, w.vx, w.vy, w.s = x, y, 0, 0, unchanged
	w.age, w.looks, w.sigma, w.lost = 0, 0, 0, false
	w.look.set(w.m, &p.levels[0], x, y)
	return footprint{x: x, y: y, alike: 1, there: true}
}

// step follows the point from the picture from, where it was found last, to
// the picture to.
func (w *walker) step(from, to *pyramid) footprint {
	if w.lost {
		return footprint{}
	}
	x, y, back, ok := w.flow(from, to)
	if !ok {
		w.lost = true
		return footprint{back: back}
	}
	texture := w.texture
	out := footprint{x: x, y: y, back: back, there: true}
	fx, fy, s, alike, ok := w.look.fit(&to.levels[0], x, y, w.s)
	held := ok && alike >= w.o.Alike && math.Hypot(fx-x, fy-y) <= w.o.Slack
	if held {
		out.x, out.y, out.alike = fx, fy, alike
		w.s = s
	} else {
		// The look no longer fits: the step alone is believed, and adds its
		// own error to what has crept in.
		step := w.o.StepSigma / math.Sqrt(math.Max(texture, 1)) 
		w.sigma = math.Hypot(w.sigma, math.Hypot(step, back))
		out.alike = alike
	}
	w.vx, w.vy = out.x-w.x, out.y-w.y
	w.x, w.y = out.x, out.y
	w.age++
	if !held || alike < w.o.Renew || w.s.strain() > w.o.Strain {
		w.look.set(w.m, &to.levels[0], w.x, w.y)
		w.s = unchanged
		w.looks++
		w.sigma = math.Hypot(w.sigma, renewSigma)
	}
	out.sigma = w.sigma
	return out
}
