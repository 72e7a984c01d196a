package bundle

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// recorder keeps residuals and their derivatives as a dense matrix.
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
		x[k.nG+pos*BlockSize+at[i]] += v
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
			ri, rj := k.nG+pos*BlockSize+a+i, k.nG+pos*BlockSize+b+j
			if rj >= ri {
				k.hess.SetSym(ri, rj, k.hess.At(ri, rj)+f*h[i][j])
			}
		}
	}
}

func stepBy(p *Problem, st *State, x []float64) *State {
	s := st.Clone()
	var dP [][]float64
	for i := range p.Names {
		dP = append(dP, x[p.nG+i*BlockSize:p.nG+(i+1)*BlockSize])
	}
	s.step(x[:p.nG], dP)
	return s
}

// Every derivative of every residual against central differences
// (gonum/diff/fd), at random states of films of one view and two.
func TestResidualDerivatives(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		seed uint64
		filmed
	}{
		{"two views", 1, filmed{positions: []geometry.PositionName{geometry.Address, geometry.Top}}},
		{"two views, strike", 2, filmed{positions: []geometry.PositionName{geometry.Address, geometry.Impact, geometry.Finish}}},
		{"two views, frames apart in time", 5, filmed{positions: []geometry.PositionName{geometry.Address, geometry.ClubLevelBack, geometry.LeadArmLevel}}},
		{"two views, off alike at both", 6, filmed{positions: []geometry.PositionName{geometry.Address, geometry.Top}, biased: true}},
		{"face-on", 3, filmed{views: []geometry.View{geometry.FaceOn}, positions: []geometry.PositionName{geometry.Address, geometry.Delivery}}},
		{"down-the-line", 4, filmed{views: []geometry.View{geometry.DownTheLine}, positions: []geometry.PositionName{geometry.Address, "rehearsal"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, st := shaken(t, c.seed, c.filmed)
			n := p.nG + BlockSize*len(p.Names)
			all := make([]bool, len(p.Names))
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
	p, st := shaken(t, 9, filmed{})
	before := slices.Index(p.Names, geometry.ClubLevelBack)
	for pos, name := range p.Names {
		for _, d := range geometry.DefinitionsAt(name) {
			slots := [geometry.NumSlots]int{pos, p.Address, before}
			_, gr := p.Differentiate(st, d, slots)
			n := 0
			for slot := range gr.By {
				for j, g := range gr.By[slot] {
					if g == 0 {
						continue
					}
					n++
					want := fd.Derivative(func(x float64) float64 {
						c := st.Clone()
						c.p[slots[slot]][j] += x
						return p.Evaluate(c, d, slots)
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
		a := k.nG + pos*BlockSize + at[i]
		x.SetVec(a, x.AtVec(a)+v)
	}
	k.h.SymRankOne(k.h, w, x)
}

func (k *denseSum) Curve(pos, a, b int, f float64, h *[3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			if r, c := k.nG+pos*BlockSize+a+i, k.nG+pos*BlockSize+b+j; a <= b && c >= r {
				k.h.SetSym(r, c, k.h.At(r, c)+f*h[i][j])
			}
		}
	}
}

// The arrow solve and the covariances against a dense inverse (gonum/mat).
func TestArrowAgainstDense(t *testing.T) {
	s := film(t, 5, filmed{positions: []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact}})
	post := s.e.Posterior(s.st)
	post.Covariances()
	nG := s.p.nG
	n := nG + 3*BlockSize
	sum := &denseSum{h: mat.NewSymDense(n, nil), nG: nG}
	ev := evaluator{Problem: s.p, st: s.st, out: sum, cautious: true}
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
				k := nG + p*BlockSize + 3*pt + i
				for j := 0; j < 3; j++ {
					rel(cov.At(k, k-i+j), post.block[p].point[pt][i][j], "point")
				}
				for j := 0; j < nG; j++ {
					rel(cov.At(k, j), post.block[p].global[(3*pt+i)*nG+j], "point with global")
				}
			}
		}
	}
	for i := 0; i < nG; i++ {
		for j := 0; j < nG; j++ {
			rel(cov.At(i, j), post.covG[i*nG+j], "global")
		}
	}
	// The variance of a measure that couples two positions.
	d := geometry.DefinitionOf("separation")
	_, gr := s.p.Differentiate(s.st, d, [geometry.NumSlots]int{1, 0, -1})
	full := mat.NewVecDense(n, nil)
	for slot, p := range gr.Pos {
		for i, v := range gr.By[slot] {
			full.SetVec(nG+p*BlockSize+i, full.AtVec(nG+p*BlockSize+i)+v)
		}
	}
	rel(mat.Inner(full, &cov, full), post.SolveFor(gr, false), "separation")
	// The picture of a point.
	pr, ok := s.p.Project(s.st, 1, 1, geometry.Clubhead)
	require.True(t, ok)
	require.NotZero(t, pr.dt[0], "the clubhead moves at the top, and its frame may be late")
	got := post.PixelCovariance(&pr, 1, 1, geometry.Clubhead)
	j := mat.NewDense(2, n, nil)
	for i := 0; i < 2; i++ {
		c := geometry.CameraUnknowns
		for k, v := range []float64{-pr.ByPoint[i].X, -pr.ByPoint[i].Y, -pr.ByPoint[i].Z, pr.ByRotation[i].X, pr.ByRotation[i].Y, pr.ByRotation[i].Z, pr.ByLogFocal[i], pr.ByK1[i]} {
			j.Set(i, c+k, v)
		}
		for k, v := range []float64{pr.ByPoint[i].X, pr.ByPoint[i].Y, pr.ByPoint[i].Z} {
			j.Set(i, nG+BlockSize+3*int(geometry.Clubhead)+k, v)
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
