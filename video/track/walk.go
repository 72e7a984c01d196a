package track

import "math"

// walker follows one point in one direction from the mark it starts at.
type walker struct {
	m        *matcher
	template *template // what the point looks like
	o        *Options
	base     int // the finest level of the pyramid used
	x, y     float64
	vx, vy   float64 // the last step
	s        affine  // of the template
	misses   int     // steps in a row that the template did not fit
	hidden   int     // steps in a row without a place
	crept    float64 // what had crept in when the template was taken, pixels as a standard deviation
	drift    float64 // and since
	lost     bool
}

// footprint is where a walker found its point in one frame.
type footprint struct {
	x, y        float64 // the walker's, pixels; kept as upright pixels
	sigma       float64 // of what has crept in since the mark, pixels
	roundTrip   float64 // forward-backward error, pixels
	correlation float64 // with the template
	there       bool    // false: lost
	held        bool    // the template fits
}

// begin puts the walker on a mark.
func (w *walker) begin(p *pyramid, x, y float64) footprint {
	w.x, w.y, w.vx, w.vy = x, y, 0, 0
	w.misses, w.hidden, w.crept, w.drift, w.lost = 0, 0, 0, 0, false
	w.base = min(w.base, len(p.levels)-1)
	w.renew(p)
	return footprint{x: x, y: y, correlation: 1, there: true, held: true}
}

// renew takes what the point looks like now as its template.
func (w *walker) renew(p *pyramid) {
	scale := w.scale()
	w.template.set(w.m, &p.levels[w.base], w.x/scale, w.y/scale)
	w.s = identity
}

func (w *walker) scale() float64 { return float64(int(1) << w.base) }

// fit looks for the template about (x, y), pixels of the full picture.
func (w *walker) fit(p *pyramid, x, y float64) (fx, fy float64, s affine, correlation float64, ok bool) {
	scale := w.scale()
	fx, fy, s, correlation, ok = w.template.fit(&p.levels[w.base], x/scale, y/scale, w.s)
	fx, fy = fx*scale, fy*scale
	return fx, fy, s, correlation, ok && correlation >= w.o.Correlation && math.Hypot(fx-x, fy-y) <= w.o.Slack*scale
}

// step follows the point from the picture from, where it was found last, to
// the picture to.
func (w *walker) step(from, to *pyramid) footprint {
	if w.lost {
		return footprint{}
	}
	if w.hidden > 0 {
		return w.regain(to)
	}
	x, y, roundTrip, sigma := w.flow(from, to)
	if roundTrip > w.o.RoundTrip*w.scale() {
		return w.hide()
	}
	out := footprint{x: x, y: y, roundTrip: roundTrip, there: true}
	fx, fy, s, correlation, ok := w.fit(to, x, y)
	out.correlation, out.held = correlation, ok
	if ok {
		out.x, out.y, w.s = fx, fy, s
		w.misses = 0
		// What the template does not hold goes with the step, and stays.
		w.drift = (w.drift + sigma) * w.template.loose
	} else if w.misses++; w.misses > mostMisses {
		return w.hide()
	}
	w.vx, w.vy = out.x-w.x, out.y-w.y
	w.x, w.y = out.x, out.y
	if ok && (correlation < w.o.Renew || w.s.strain() > w.o.Strain) {
		w.renew(to)
		w.crept += w.drift + renewSigma*w.scale()
		w.drift = 0
	}
	if !ok {
		w.drift += sigma + roundTrip
	}
	out.sigma = w.crept + w.drift
	return out
}

// hide notes that the point is not seen.
func (w *walker) hide() footprint {
	w.hidden++
	if w.hidden > mostHidden {
		w.lost = true
	}
	return footprint{}
}

// regain tries to fit the template where a hidden point would be if it went on,
// ever more slowly.
func (w *walker) regain(to *pyramid) footprint {
	w.vx, w.vy = w.vx*slowing, w.vy*slowing
	w.x, w.y = w.x+w.vx, w.y+w.vy
	fx, fy, s, correlation, ok := w.fit(to, w.x, w.y)
	if !ok || correlation < w.o.Renew {
		return w.hide()
	}
	w.x, w.y, w.s = fx, fy, s
	w.hidden, w.misses = 0, 0
	w.crept += renewSigma * w.scale()
	return footprint{x: fx, y: fy, sigma: w.crept + w.drift, correlation: correlation, there: true, held: true}
}

const (
	// mostMisses is how many steps in a row may go without the template fitting
	// before the point counts as hidden, and mostHidden how many frames it may
	// be hidden before it is lost.
	mostMisses, mostHidden = 3, 12
	// slowing is the part of its step that a hidden point keeps.
	slowing = 0.9
	// renewSigma is what taking the template anew adds, pixels of its level.
	renewSigma = 0.1
	// nearLevels is how many levels coarser than its own a point is looked
	// for where its last step leads to expect it.
	nearLevels = 1
	// sure is the forward-backward error, pixels, with which no other start is
	// tried.
	sure = 0.25
	// The prior of a step: it differs from the one before by a standard
	// deviation of steady pixels and steadyPart of its length. A point that is
	// not found that way is looked for with unsteady times that.
	steady, steadyPart, unsteady = 0.2, 0.1, 10
)

// flow finds the point by optical flow from the picture before: first near where
// constant velocity leads to expect it, then, if the forward-backward error is
// large, from the coarsest level, and at last from where it stood. It returns the
// place, the forward-backward error (Kalal, Mikolajczyk and Matas 2010), infinite
// where none converged, and the standard deviation of the flow, all in pixels.
func (w *walker) flow(from, to *pyramid) (x, y, roundTrip, sigma float64) {
	roundTrip = math.Inf(1)
	for try := range 3 {
		top, vx, vy := len(from.levels)-1, w.vx, w.vy
		hold := steady + steadyPart*math.Hypot(vx, vy)
		switch try {
		case 0:
			top = w.base + nearLevels
		case 1:
			hold *= unsteady
		case 2:
			vx, vy = 0, 0
			hold *= unsteady
		}
		tx, ty, ok := w.m.follow(from, to, w.x, w.y, w.x+vx, w.y+vy, hold, top, w.base)
		if !ok {
			continue
		}
		s := w.m.sigma() * w.scale()
		bx, by, ok := w.m.follow(to, from, tx, ty, tx-vx, ty-vy, hold, top, w.base)
		if !ok {
			continue
		}
		if d := math.Hypot(bx-w.x, by-w.y); d < roundTrip {
			x, y, roundTrip, sigma = tx, ty, d, s
		}
		if roundTrip < sure {
			break
		}
	}
	return x, y, roundTrip, sigma
}
