package pose

import (
	"cmp"
	"math"
	"slices"
)

// A person is found where the score is at least leastScore; those that overlap
// by more than mostOverlap of their union are one. Source: the graph.
const (
	leastScore  = 0.5
	mostOverlap = 0.3
)

// person is where the first network finds one: a box about the head and four
// points, of which the first is the middle of the hips and the second lies
// above it, as far as the whole body reaches.
type person struct {
	score                float64
	x0, y0, x1, y1       float64 // parts of the picture that was looked at
	hipX, hipY, upX, upY float64
}

const (
	detectionSide  = 224
	numAnchors     = 2254
	numCoordinates = 12
)

// anchors are the places that the first network looks from, as parts of its
// picture: two in each cell of 8 and of 16 pixels, six in each of 32.
func anchors() [][2]float64 {
	out := make([][2]float64, 0, numAnchors)
	for _, l := range [...]struct{ stride, each int }{{8, 2}, {16, 2}, {32, 6}} {
		n := detectionSide / l.stride
		for y := range n {
			for x := range n {
				for range l.each {
					out = append(out, [2]float64{(float64(x) + 0.5) / float64(n), (float64(y) + 0.5) / float64(n)})
				}
			}
		}
	}
	return out
}

func logistic(x float32) float64 {
	return 1 / (1 + math.Exp(-math.Min(math.Max(float64(x), -100), 100)))
}

// people reads what the first network gives: the best first.
func people(anchors [][2]float64, boxes, scores []float32) []person {
	var all []person
	for i, a := range anchors {
		s := logistic(scores[i])
		if s < leastScore {
			continue
		}
		v := boxes[i*numCoordinates:][:numCoordinates]
		at := func(k int) (x, y float64) {
			return float64(v[k])/detectionSide + a[0], float64(v[k+1])/detectionSide + a[1]
		}
		p := person{score: s}
		x, y := at(0)
		w, h := float64(v[2])/detectionSide, float64(v[3])/detectionSide
		p.x0, p.y0, p.x1, p.y1 = x-w/2, y-h/2, x+w/2, y+h/2
		p.hipX, p.hipY = at(4)
		p.upX, p.upY = at(6)
		all = append(all, p)
	}
	slices.SortStableFunc(all, func(a, b person) int { return cmp.Compare(b.score, a.score) })
	return merge(all)
}

// merge makes one person of those that overlap with the best of them: their
// mean, weighted by their scores.
func merge(all []person) []person {
	var out []person
	for len(all) > 0 {
		best := all[0]
		var sum person
		var rest []person
		for _, p := range all {
			if p != best && overlap(&best, &p) <= mostOverlap {
				rest = append(rest, p)
				continue
			}
			sum.score += p.score
			for k, v := range p.places() {
				*sum.places()[k] += p.score * *v
			}
		}
		for _, v := range sum.places() {
			*v /= sum.score
		}
		sum.score = best.score
		out = append(out, sum)
		all = rest
	}
	return out
}

func (p *person) places() [8]*float64 {
	return [8]*float64{&p.x0, &p.y0, &p.x1, &p.y1, &p.hipX, &p.hipY, &p.upX, &p.upY}
}

// overlap is the common part of two boxes, as a part of both together.
func overlap(a, b *person) float64 {
	w := math.Min(a.x1, b.x1) - math.Max(a.x0, b.x0)
	h := math.Min(a.y1, b.y1) - math.Max(a.y0, b.y0)
	if w <= 0 || h <= 0 {
		return 0
	}
	both := (a.x1-a.x0)*(a.y1-a.y0) + (b.x1-b.x0)*(b.y1-b.y0) - w*h
	return w * h / both
}

// regionMargin is how much larger a region is than the body reaches. Source:
// the graph.
const regionMargin = 1.25

// about returns the region of a body: the middle of the hips in its middle, and
// the other point straight above.
func about(hipX, hipY, upX, upY float64) Region {
	dx, dy := upX-hipX, upY-hipY
	return Region{X: hipX, Y: hipY, Side: 2 * math.Hypot(dx, dy) * regionMargin, Angle: math.Atan2(dx, -dy)}
}
