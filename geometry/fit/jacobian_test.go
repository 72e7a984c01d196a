package fit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// recorder movesWithBody residuals and their derivatives as a dense matrix.
type recorder struct {
	n, nG int
	rows  [][]float64
	res   []float64
	hess  *mat.SymDense
}

func (k *recorder) Add(pos int, r *levmar.Row, res, w float64) {
	x := make([]float64, k.n)
	at, value := r.Globals()
	for i, v := range value {
		x[at[i]] += v
	}
	at, value = r.Locals()
	for i, v := range value {
		x[k.nG+pos*blockSize+at[i]] += v
	}
	k.rows = append(k.rows, x)
	k.res = append(k.res, res)
}

func (k *recorder) Curve(pos, a, b int, f float64, h *[3][3]float64) {
	if k.hess == nil || a > b {
		return
	}
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			ri, rj := k.nG+pos*blockSize+a+i, k.nG+pos*blockSize+b+j
			if rj >= ri {
				k.hess.SetSym(ri, rj, k.hess.At(ri, rj)+f*h[i][j])
			}
		}
	}
}

func anyFilm(seed uint64, o filmOptions) *film {
	return makeFilm(rand.New(rand.NewPCG(seed, 77)), o)
}

var fullFilm = filmOptions{views: bothViews, positions: geometry.KeyPositions, stick: true, stature: true, focal: true}

// staying is the seed of the film whose marks are off alike at all positions.
const biased = 6

// shaken returns the problem of a film and a state some centimetres and
// degrees away from its solution, so that no derivative is accidentally zero.
func shaken(t *testing.T, seed uint64, o filmOptions) (*problem, *state) {
	t.Helper()
	f := anyFilm(seed, o)
	if seed == biased { // what a program saw: off alike at all positions
		for i := range f.swing.Marks {
			f.swing.Marks[i].SigmaPx, f.swing.Marks[i].SharedBiasPx = 10, float64(4+i%5)
		}
	}
	sol, err := NewSolver().Solve(context.Background(), f.swing)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(seed, 3))
	st := sol.st.clone()
	dG := make([]float64, sol.p.nG)
	for i := range dG {
		dG[i] = 0.02 * r.NormFloat64()
	}
	var dP [][]float64
	for range sol.p.names {
		x := make([]float64, blockSize)
		for i := range x {
			x[i] = 0.04 * r.NormFloat64()
		}
		dP = append(dP, x)
	}
	st.step(dG, dP)
	return sol.p, st
}

func stepBy(p *problem, st *state, x []float64) *state {
	s := st.clone()
	var dP [][]float64
	for i := range p.names {
		dP = append(dP, x[p.nG+i*blockSize:p.nG+(i+1)*blockSize])
	}
	s.step(x[:p.nG], dP)
	return s
}

// Every derivative of every residual against central differences
// (gonum/diff/fd), at random states of films of one view and two.
func TestResidualDerivatives(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		seed  uint64
		views []geometry.View
		names []geometry.PositionName
	}{
		{"two views", 1, bothViews, []geometry.PositionName{geometry.Address, geometry.Top}},
		{"two views, strike", 2, bothViews, []geometry.PositionName{geometry.Address, geometry.Impact, geometry.Finish}},
		{"two views, frames apart in time", 5, bothViews, []geometry.PositionName{geometry.Address, geometry.ClubLevelBack, geometry.LeadArmLevel}},
		{"two views, off alike at both", biased, bothViews, []geometry.PositionName{geometry.Address, geometry.Top}},
		{"face-on", 3, []geometry.View{geometry.FaceOn}, []geometry.PositionName{geometry.Address, geometry.Delivery}},
		{"down-the-line", 4, []geometry.View{geometry.DownTheLine}, []geometry.PositionName{geometry.Address, "rehearsal"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := fullFilm
			o.views, o.positions = c.views, c.names
			if c.names[1] == "rehearsal" {
				madePoses["rehearsal"] = madePoses[geometry.Top]
				defer delete(madePoses, "rehearsal")
			}
			p, st := shaken(t, c.seed, o)
			n := p.nG + blockSize*len(p.names)
			all := make([]bool, len(p.names))
			for i := range all {
				all[i] = true
			}
			got := &recorder{n: n, nG: p.nG}
			p.total(st, all, true, got)
			// Residuals are compared bare, in pixels, metres and radians: the
			// robust weights are held while a step is computed.
			residuals := func(dst, x []float64) {
				k := &recorder{n: n, nG: p.nG}
				p.total(stepBy(p, st, x), all, true, k)
				require.Len(t, k.res, len(dst), "a constraint switched within the difference step")
				for i := range dst {
					dst[i] = k.res[i]
				}
			}
			want := mat.NewDense(len(got.res), n, nil)
			fd.Jacobian(want, residuals, make([]float64, n), &fd.JacobianSettings{Formula: fd.Central, Step: 1e-6})
			worst, where := 0.0, ""
			for i := range got.rows {
				for j, v := range got.rows[i] {
					// Relative to the row: a pixel's reach thousands.
					e := math.Abs(v-want.At(i, j)) / (1 + mat.Norm(want.RowView(i), math.Inf(1)))
					if e > worst {
						worst, where = e, fmt.Sprintf("residual %d by unknown %d: %g, differences give %g", i, j, v, want.At(i, j))
					}
				}
			}
			assert.Less(t, worst, 2e-6, where)
			t.Logf("%d residuals, %d unknowns, worst relative difference %.1e", len(got.res), n, worst)
		})
	}
}

// The second derivative of a segment's length against gonum's differences.
func TestLengthCurvature(t *testing.T) {
	at := []float64{0.12, -0.31, 0.22}
	length := func(x []float64) float64 { return math.Sqrt(x[0]*x[0] + x[1]*x[1] + x[2]*x[2]) }
	var want mat.SymDense
	fd.Hessian(&want, length, at, &fd.Settings{Formula: fd.Central, Step: 1e-4})
	got := curvature(geometry.WorldPt{X: at[0], Y: at[1], Z: at[2]}, length(at), 1)
	for i := range got {
		for j := range got {
			assert.InDelta(t, want.At(i, j), got[i][j], 1e-5)
		}
	}
}

// The gradient of every measure against differences.
func TestMeasureDerivatives(t *testing.T) {
	p, st := shaken(t, 9, fullFilm)
	s := &Solution{p: p, st: st}
	for pos, name := range p.names {
		for _, d := range geometry.DefinitionsAt(name) {
			slots := s.slotPositions(pos)
			_, gr := p.differentiate(st, d, slots)
			n := 0
			for slot := range gr.p {
				for j, g := range gr.p[slot] {
					if g == 0 {
						continue
					}
					n++
					want := fd.Derivative(func(x float64) float64 {
						c := st.clone()
						c.p[slots[slot]][j] += x
						return p.evaluate(c, d, slots)
					}, 0, &fd.Settings{Formula: fd.Central, Step: 1e-6})
					assert.InDelta(t, want, g, 1e-4*(1+math.Abs(want)), "%s at %s, %s", d.Name, name, geometry.Point(j/3))
				}
			}
			assert.Positive(t, n, "%s at %s depends on nothing", d.Name, name)
		}
	}
}

// denseSum sums the normal matrix without any structure.
type denseSum struct {
	h  *mat.SymDense
	nG int
}

func (k *denseSum) Add(pos int, r *levmar.Row, _, w float64) {
	x := mat.NewVecDense(k.h.SymmetricDim(), nil)
	at, value := r.Globals()
	for i, v := range value {
		x.SetVec(at[i], x.AtVec(at[i])+v)
	}
	at, value = r.Locals()
	for i, v := range value {
		a := k.nG + pos*blockSize + at[i]
		x.SetVec(a, x.AtVec(a)+v)
	}
	k.h.SymRankOne(k.h, w, x)
}

func (k *denseSum) Curve(pos, a, b int, f float64, h *[3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			if r, c := k.nG+pos*blockSize+a+i, k.nG+pos*blockSize+b+j; a <= b && c >= r {
				k.h.SetSym(r, c, k.h.At(r, c)+f*h[i][j])
			}
		}
	}
}

// The arrow solve and the covariances against a dense inverse (gonum/mat).
func TestArrowAgainstDense(t *testing.T) {
	o := fullFilm
	o.positions = []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact}
	f := anyFilm(5, o)
	sol, err := NewSolver().Solve(context.Background(), f.swing)
	require.NoError(t, err)
	nG := sol.p.nG
	n := nG + 3*blockSize
	sum := &denseSum{h: mat.NewSymDense(n, nil), nG: nG}
	ev := evaluator{problem: sol.p, st: sol.st, out: sum, cautious: true}
	ev.run(everyPosition(3), true)
	var chol mat.Cholesky
	require.True(t, chol.Factorize(sum.h))
	var cov mat.SymDense
	require.NoError(t, chol.InverseTo(&cov))

	rel := func(want, got float64, what string) {
		t.Helper()
		assert.InDelta(t, want, got, 1e-6*(1e-6+math.Abs(want)), what)
	}
	for p := range 3 {
		for pt := 0; pt < geometry.NumBody; pt++ {
			for i := 0; i < 3; i++ {
				k := nG + p*blockSize + 3*pt + i
				for j := 0; j < 3; j++ {
					rel(cov.At(k, k-i+j), sol.post.block[p].point[pt][i][j], "point")
				}
				for j := 0; j < nG; j++ {
					rel(cov.At(k, j), sol.post.block[p].global[(3*pt+i)*nG+j], "point with global")
				}
			}
		}
	}
	for i := 0; i < nG; i++ {
		for j := 0; j < nG; j++ {
			rel(cov.At(i, j), sol.post.covG[i*nG+j], "global")
		}
	}
	// The variance of a measure that couples two positions.
	d := geometry.DefinitionOf("separation")
	_, gr := sol.p.differentiate(sol.st, d, sol.slotPositions(1))
	full := mat.NewVecDense(n, nil)
	for slot, p := range gr.pos {
		for i, v := range gr.p[slot] {
			full.SetVec(nG+p*blockSize+i, full.AtVec(nG+p*blockSize+i)+v)
		}
	}
	rel(mat.Inner(full, &cov, full), sol.post.solveFor(gr, false), "separation")
	// The picture of a point.
	pr, ok := sol.projection(1, 1, geometry.Clubhead)
	require.True(t, ok)
	require.NotZero(t, pr.dt[0], "the clubhead moves at the top, and its frame may be late")
	got := sol.post.pixelCovariance(&pr, 1, 1, geometry.Clubhead, 0)
	j := mat.NewDense(2, n, nil)
	for i := 0; i < 2; i++ {
		c := geometry.CameraUnknowns
		for k, v := range []float64{-pr.ByPoint[i].X, -pr.ByPoint[i].Y, -pr.ByPoint[i].Z, pr.ByRotation[i].X, pr.ByRotation[i].Y, pr.ByRotation[i].Z, pr.ByLogFocal[i], pr.ByK1[i]} {
			j.Set(i, c+k, v)
		}
		for k, v := range []float64{pr.ByPoint[i].X, pr.ByPoint[i].Y, pr.ByPoint[i].Z} {
			j.Set(i, nG+blockSize+3*int(geometry.Clubhead)+k, v)
		}
		j.Set(i, pr.oTime, pr.dt[i])
	}
	var jc, jcj mat.Dense
	jc.Mul(j, &cov)
	jcj.Mul(&jc, j.T())
	for a := 0; a < 2; a++ {
		for b := 0; b < 2; b++ {
			rel(jcj.At(a, b), got[a][b], "picture")
		}
	}
}
