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
	misses int     // steps in a row that the look did not fit
	sigma  float64 // of what has crept in since the mark, pixels
	lost   bool
}

// footprint is where a walker found its point in one frame.
type footprint struct {
	x, y  float64
	sigma float64 // of what has crept in since the mark, pixels
	back  float64 // how far going back ended from where it began, pixels
	alike float64 // correlation with the look
	there bool    // false: lost
}

// begin puts the walker on a mark.
func (w *walker) begin(p *pyramid, x, y float64) footprint {
	w.x, w.y, w.vx, w.vy, w.s = x, y, 0, 0, unchanged
	w.misses, w.sigma, w.lost = 0, 0, false
	w.look.set(w.m, &p.levels[0], x, y)
	return footprint{x: x, y: y, alike: 1, there: true}
}

// step follows the point from the picture from, where it was found last, to
// the picture to.
func (w *walker) step(from, to *pyramid) footprint {
	if w.lost {
		return footprint{}
	}
	x, y, back, sigma := w.flow(from, to)
	if back > w.o.Back {
		if debug {
			println("back", int(1000*back), int(w.x), int(w.y))
		}
		w.lost = true
		return footprint{}
	}
	out := footprint{x: x, y: y, back: back, there: true}
	fx, fy, s, alike, ok := w.look.fit(&to.levels[0], x, y, w.s)
	out.alike = alike
	if ok && alike >= w.o.Alike && math.Hypot(fx-x, fy-y) <= w.o.Slack {
		out.x, out.y, w.s = fx, fy, s
		w.misses = 0
	} else {
		// The look fits no more: the step alone is believed, and its own
		// error creeps in.
		w.misses++
		w.sigma = math.Hypot(w.sigma, math.Hypot(sigma, back))
	}
	if debug && (w.misses > 0) {
		println("miss", ok, int(alike*1000), int(1000*math.Hypot(fx-x, fy-y)), int(1000*back), int(x), int(y), "tex", int(1000*w.m.texture()), int(100*w.look.spread))
	}
	if w.misses > mostMisses {
		w.lost = true
		return footprint{}
	}
	w.vx, w.vy = out.x-w.x, out.y-w.y
	w.x, w.y = out.x, out.y
	if w.misses > 0 || alike < w.o.Renew || w.s.strain() > w.o.Strain {
		w.look.set(w.m, &to.levels[0], w.x, w.y)
		w.s = unchanged
		w.sigma = math.Hypot(w.sigma, renewSigma)
	}
	out.sigma = w.sigma
	return out
}

const (
	// mostMisses is how many steps in a row may go without the look fitting
	// before the point counts as lost.
	mostMisses = 3
	// renewSigma is what taking the look anew adds, pixels.
	renewSigma = 0.1
	// noiseGray is the noise of a pixel, grey levels.
	noiseGray = 3
	// nearLevel is the level from which a point is looked for where its last
	// step leads to expect it.
	nearLevel = 1
	// sure is a distance of the way back, pixels, with which no other way is
	// tried.
	sure = 0.25
)

var (
	holdStill = env("HS", 0.3)
	holdPart  = env("HP", 0.1)
)

// flow finds the point by what is about it in the picture before: first near
// where its last step leads to expect it, then, if the way back ends
// elsewhere, from the coarsest level, and from where it stood.
func (w *walker) flow(from, to *pyramid) (x, y, back, sigma float64) {
	back = math.Inf(1)
	for try := range 3 {
		top, vx, vy := len(from.levels)-1, w.vx, w.vy
		switch try {
		case 0:
			top = nearLevel
		case 2:
			vx, vy = 0, 0
		}
		hold := holdStill + holdPart*math.Hypot(vx, vy)
		if try > 0 {
			hold *= 10
		}
		tx, ty, ok := w.m.follow(from, to, w.x, w.y, w.x+vx, w.y+vy, hold, top)
		if !ok {
			continue
		}
		s := noiseGray / math.Sqrt(w.m.texture()*float64(w.m.n*w.m.n)*bellPart*bellPart*6)
		bx, by, ok := w.m.follow(to, from, tx, ty, tx-vx, ty-vy, hold, top)
		if !ok {
			continue
		}
		if d := math.Hypot(bx-w.x, by-w.y); d < back {
			x, y, back, sigma = tx, ty, d, s
		}
		if back < sure {
			break
		}
	}
	return x, y, back, sigma
}
