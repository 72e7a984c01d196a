package bundle

import (
	"context"
	"math"

	"turngauge/geometry"
)

// Iteration limits of the stages of a solve.
const (
	maxFirstIterations = 40
	maxBlockIterations = 25
	maxJointIterations = 100
)

// Begin is the way of a cold solve to where everything is fitted together for the first
// time, with each camera started that far round the golfer from its line, radians. It
// returns the cost and the iterations it took.
//
// Everything at once from the template figures would often end in a wrong minimum: cameras and
// figures can make up for each other. So what is known best comes first. At address the golfer
// stands square, still and as all golfers do, which fixes the cameras; with these held each
// other position is fitted by itself from each figure that one picture can't tell from the
// usual one; and only then all unknowns move. Where a camera may stand anywhere the address
// alone does not fix it, and all positions take part from the start.
func (e *Minimiser) Begin(ctx context.Context, sw geometry.Swing, turns []float64) (st *State, cost float64, iterations int, err error) {
	p := e.Problem
	st = p.firstState(turns)
	p.SetSigmas(&sw, st)
	e.Warm = false
	active := make([]bool, len(p.Names))
	first := p.firstPosition()
	active[first] = true
	p.Seed(st, first, &p.figure[first])
	if p.anyOffLine() {
		// The marks of one position do not tell from where a camera looks that may stand
		// anywhere; those of all do.
		for i := range p.Names {
			p.Seed(st, i, &p.figure[i])
		}
		active = everyPosition(len(p.Names))
		e.Loose = true
	}
	alone, err := e.minimise(ctx, st, active, false, maxFirstIterations)
	if err != nil {
		return nil, 0, 0, err
	}
	e.Loose = false
	p.SetSigmas(&sw, st)
	for i := range p.Names {
		if i != first {
			if _, err := e.StartPosition(ctx, st, i); err != nil {
				return nil, 0, 0, err
			}
		}
	}
	e.Loose = true
	together, err := e.MinimiseAll(ctx, st)
	e.Loose = false
	return st, together.Cost, alone.Iterations + together.Iterations, err
}

// StartPosition fits one position with everything shared held fixed, from each
// of its start figures, and leaves the best in st.
//
// The returned cost is the position's own, of the best start; the others are local minima that
// cost more, mirror images for the most part.
func (e *Minimiser) StartPosition(ctx context.Context, st *State, pos int) (float64, error) {
	best := math.Inf(1)
	var keep []float64
	for _, f := range e.Problem.figures(st, pos) {
		e.Problem.Seed(st, pos, &f)
		r, err := e.MinimisePosition(ctx, st, pos, maxBlockIterations)
		if err != nil {
			return 0, err
		}
		if r.Cost < best {
			best = r.Cost
			keep = append(keep[:0], st.p[pos]...)
		}
	}
	if keep != nil {
		copy(st.p[pos], keep)
	}
	return best, nil
}

// anyOffLine reports whether some camera is taken to stand anywhere.
func (p *Problem) anyOffLine() bool {
	for c := range p.Clips {
		if p.Clips[c].OffLine {
			return true
		}
	}
	return false
}
