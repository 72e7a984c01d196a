package track

import "math"

// ways are what going through a gap forward and backward came to.
type ways struct {
	ahead, backward []footprint
	from, to        *Placed
	verdict         verdict
	endF, endB      float64   // how far each ended from the mark at its other end, pixels, infinite if it did not come there
	part            []float64 // share of the path between the marks that lies behind in each frame, 0 to 1
	travel          float64   // length of the path, pixels
	lastF, firstB   int       // the last footprint of the way forward, the first of the one backward
}

// verdict is how far the ways through a gap are believed.
type verdict uint8

const (
	alone     verdict = iota // nothing confirms either
	bothClose                // each ends near the mark at its other end
	aheadOnly                // only the way forward does, the other was lost
	backOnly                 // only the way backward does, the other was lost
	bridged                  // both end near each other, on the two sides of a short time unseen
)

// judge decides how far two ways are believed. A way that comes to the mark at its
// other end and misses it speaks against the other one: on the demo swing one in
// twenty of what was followed one way all the same was 30 pixels off.
func (g *gap) judge(ahead, backward []footprint, o *Options) ways {
	w := ways{ahead: ahead, backward: backward, from: g.from, to: g.to, endF: math.Inf(1), endB: math.Inf(1)}
	if g.from == nil || g.to == nil {
		return w
	}
	n := len(g.observations) - 1
	if e := ahead[n]; e.there {
		w.endF = math.Hypot(e.x-g.to.X, e.y-g.to.Y)
	}
	if e := backward[0]; e.there {
		w.endB = math.Hypot(e.x-g.from.X, e.y-g.from.Y)
	}
	w.firstB = n
	for i := range n + 1 {
		if ahead[i].there {
			w.lastF = i
		}
		if backward[i].there {
			w.firstB = min(w.firstB, i)
		}
	}
	e, f := ahead[w.lastF], backward[w.firstB]
	unseen := w.firstB - w.lastF
	switch {
	case w.endF <= o.Apart && w.endB <= o.Apart:
		w.verdict = bothClose
	case w.endF <= o.Apart/2 && math.IsInf(w.endB, 1):
		w.verdict = aheadOnly
	case w.endB <= o.Apart/2 && math.IsInf(w.endF, 1):
		w.verdict = backOnly
	case unseen > 0 && unseen <= mostHidden && math.Hypot(e.x-f.x, e.y-f.y) <= o.Apart/2:
		w.verdict = bridged
	}
	return w
}

// cost is less for ways that agree better with the marks.
func (v *ways) cost(o *Options) float64 {
	most := 4 * o.Apart
	return math.Min(v.endF, most) + math.Min(v.endB, most)
}

// blend fills the observations between a gap's marks by the ways, of whichever
// window, that agree best with the marks. It returns by how much they missed
// them, if they came there.
func (g *gap) blend(o *Options) (Gap, bool) {
	best := g.judge(g.tries[0].ahead, g.tries[0].backward, o)
	for i := range g.tries {
		for j := range g.tries {
			if w := g.judge(g.tries[i].ahead, g.tries[j].backward, o); w.cost(o) < best.cost(o) {
				best = w
			}
		}
	}
	best.measure()
	first, last := 0, len(g.observations)-1
	if g.from != nil {
		first++
	}
	if g.to != nil {
		last--
	}
	for i := first; i <= last; i++ {
		g.observations[i] = best.observation(i, o)
	}
	g.trust(first, last, o)
	return best.missed(g)
}

// missed is by how much the ways that are believed missed the marks they came to.
func (v *ways) missed(g *gap) (Gap, bool) {
	out := Gap{From: g.first, To: g.last, Travel: v.travel}
	n := 0.0
	add := func(dx, dy float64) {
		out.MissedX += dx
		out.MissedY += dy
		n++
	}
	if v.verdict == bothClose || v.verdict == aheadOnly {
		e := v.ahead[len(v.ahead)-1]
		add(e.x-v.to.X, e.y-v.to.Y)
	}
	if v.verdict == bothClose || v.verdict == backOnly {
		e := v.backward[0]
		add(v.from.X-e.x, v.from.Y-e.y)
	}
	if n == 0 {
		return Gap{}, false
	}
	out.MissedX, out.MissedY, out.Both = out.MissedX/n, out.MissedY/n, n == 2
	return out, true
}

// restStep is what a frame adds to the path beside the point's own motion, pixels:
// a point at rest is blended by time.
const restStep = 0.05

// measure finds the share of the path behind in each frame. What is followed parts
// from what was marked as the body moves, more than as time passes: on the
// demo swing this takes a fifth off the error of a blend by time in the median.
func (v *ways) measure() {
	p := v.ahead
	if v.verdict == backOnly || v.verdict != aheadOnly && math.IsInf(v.endF, 1) {
		p = v.backward
	}
	v.part = make([]float64, len(p))
	for i := 1; i < len(p); i++ {
		v.part[i] = v.part[i-1] + restStep
		if p[i].there && p[i-1].there {
			v.part[i] += math.Hypot(p[i].x-p[i-1].x, p[i].y-p[i-1].y)
		}
	}
	v.travel = v.part[len(p)-1]
	for i := range v.part {
		v.part[i] /= v.travel
	}
}

// observation returns what is known of the point in frame i of the gap. Its Sigma is
// what the ways themselves say of it.
func (v *ways) observation(i int, o *Options) Observation {
	n := len(v.ahead) - 1
	w := v.part[i]
	f, b := v.ahead[i], v.backward[i]
	bow := 2 * math.Sqrt(w*(1-w)) // a Brownian bridge: 0 at both marks, 1 between them
	way := func(p footprint, dx, dy, sigma, part float64) Observation {
		return Observation{State: OneWay, X: p.x + dx, Y: p.y + dy, Sigma: sigma, Part: part, RoundTrip: p.roundTrip, Correlation: p.correlation}
	}
	both := f.there && b.there
	distance := math.Hypot(f.x-b.x, f.y-b.y)
	switch {
	case v.verdict == bothClose && both && distance <= o.Apart:
		return Observation{
			State: Followed, X: (1-w)*f.x + w*b.x, Y: (1-w)*f.y + w*b.y, Sigma: bow * distance / 2, Apart: distance, Part: w,
			RoundTrip: math.Max(f.roundTrip, b.roundTrip), Correlation: math.Min(f.correlation, b.correlation),
		}
	case (v.verdict == aheadOnly || v.verdict == bothClose && !b.there) && f.there:
		e := v.ahead[n]
		return way(f, w*(v.to.X-e.x), w*(v.to.Y-e.y), bow*v.endF, w)
	case (v.verdict == backOnly || v.verdict == bothClose && !f.there) && b.there:
		e := v.backward[0]
		return way(b, (1-w)*(v.from.X-e.x), (1-w)*(v.from.Y-e.y), bow*v.endB, w)
	case v.verdict == bridged && (f.there || b.there):
		// Each bends half the way to the other.
		e, m := v.ahead[v.lastF], v.backward[v.firstB]
		dx, dy := m.x-e.x, m.y-e.y
		if f.there {
			k := float64(i) / float64(v.lastF+v.firstB)
			return way(f, k*dx, k*dy, bow*math.Hypot(dx, dy), k)
		}
		k := float64(n-i) / float64(2*n-v.lastF-v.firstB)
		return way(b, -k*dx, -k*dy, bow*math.Hypot(dx, dy), 1-k)
	case v.verdict == alone && math.IsInf(v.endF, 1) && f.there && f.sigma <= o.Creep:
		return way(f, 0, 0, aloneSigma+f.sigma, 0)
	case v.verdict == alone && math.IsInf(v.endB, 1) && b.there && b.sigma <= o.Creep:
		return way(b, 0, 0, aloneSigma+b.sigma, 1)
	}
	return Observation{}
}

const (
	// leastSigma is what finding a window costs, pixels.
	leastSigma = 0.15
	// aloneSigma is for a way that nothing confirms, pixels.
	aloneSigma = 0.5
	// pathSigma is what following adds, as a share of the path since the nearer
	// mark: a mark stands for a joint, what is followed is the cloth over it.
	// From the demo swing. One way alone adds more.
	pathSigma, oneWayPath = 0.03, 0.06
)

// trust completes the standard deviations by the length of the path, and tells how far
// each observation can be trusted.
func (g *gap) trust(first, last int, o *Options) {
	path := make([]float64, len(g.observations)) // since the nearer mark, pixels
	for i := range path {
		path[i] = math.Inf(1)
	}
	walk := func(i, step int, mark *Placed) {
		if mark == nil {
			return
		}
		sum, x, y := 0.0, mark.X, mark.Y
		for ; first <= i && i <= last; i += step {
			if s := &g.observations[i]; s.State != Lost {
				sum += math.Hypot(s.X-x, s.Y-y)
				x, y = s.X, s.Y
			}
			path[i] = math.Min(path[i], sum)
		}
	}
	walk(first, 1, g.from)
	walk(last, -1, g.to)
	for i := first; i <= last; i++ {
		s := &g.observations[i]
		if s.State == Lost {
			continue
		}
		share := pathSigma
		if s.State == OneWay {
			share = oneWayPath
		}
		s.Sigma = math.Hypot(math.Hypot(leastSigma, s.Sigma), share*path[i])
		q := s.Sigma / o.Doubt
		s.Confidence = math.Min(math.Max(s.Correlation, 0), 1) / (1 + q*q)
	}
}
