package geometry

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Zhang's planar calibration data (Z. Zhang, A flexible new technique for camera
// calibration, Microsoft Research 1998): 256 corners of a plane, inches, and
// their pixels in five pictures. Published: focal length 832.5 px, principal
// point (303.959, 206.585), k1 −0.228601, k2 0.190353.
const (
	zhangFocal, zhangK1 = 832.5, -0.228601
	zhangX, zhangY      = 303.959, 206.585
)

func readPairs(t *testing.T, name string) (out []ImagePt) {
	t.Helper()
	dir := os.Getenv("TURNGAUGE_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "shared", "data")
	}
	f, err := os.Open(filepath.Join(dir, name))
	if errors.Is(err, fs.ErrNotExist) {
		if os.Getenv("CI") != "" && (os.Getenv("TURNGAUGE_DATA") != "" || isThere(dir)) {
			t.Fatalf("the open data is not whole: %v", err)
		}
		t.Skipf("the open data is not beside the repository (set TURNGAUGE_DATA): %v", err)
	}
	require.NoError(t, err)
	defer f.Close()
	var xs []float64
	for sc := bufio.NewScanner(f); sc.Scan(); {
		for _, w := range strings.Fields(sc.Text()) {
			v, err := strconv.ParseFloat(w, 64)
			require.NoError(t, err)
			xs = append(xs, v)
		}
	}
	for i := 0; i+1 < len(xs); i += 2 {
		out = append(out, ImagePt{xs[i], xs[i+1]})
	}
	return out
}

// poseFrom is the camera that sees a plane through a homography, for a given
// focal length and the principal point at the origin of the picture.
func poseFrom(h homography, f float64) Camera {
	col := func(j int) r3.Vec { return r3.Vec{X: h[0][j] / f, Y: h[1][j] / f, Z: h[2][j]} }
	k := 2 / (r3.Norm(col(0)) + r3.Norm(col(1)))
	if col(2).Z < 0 {
		k = -k
	}
	a := r3.Unit(r3.Scale(k, col(0)))
	c := r3.Unit(r3.Cross(a, r3.Scale(k, col(1))))
	b := r3.Cross(c, a)
	t := r3.Scale(k, col(2))
	m := [3][3]float64{{a.X, b.X, c.X}, {a.Y, b.Y, c.Y}, {a.Z, b.Z, c.Z}}
	return Camera{FocalPx: f, Rotation: m, Position: r3.Vec{X: -r3.Dot(a, t), Y: -r3.Dot(b, t), Z: -r3.Dot(c, t)}}
}

// The engine's pinhole with one radial term, fitted with the engine's own
// derivatives to all five pictures at once, gives Zhang's focal length. The
// principal point is taken from him: the engine has it in the middle.
func TestCameraAgainstZhang(t *testing.T) {
	model := readPairs(t, "camera/Model.txt")
	require.Len(t, model, 256)
	var pictures [5][]ImagePt
	var cams [5]Camera
	for i := range pictures {
		for _, p := range readPairs(t, fmt.Sprintf("camera/data%d.txt", i+1)) {
			pictures[i] = append(pictures[i], ImagePt{p.X - zhangX, p.Y - zhangY})
		}
		require.Len(t, pictures[i], len(model))
		h, err := homographyFrom(model, pictures[i])
		require.NoError(t, err)
		cams[i] = poseFrom(h, 700) // far from the answer
	}
	const n = 6*len(pictures) + 2
	var rms float64
	for iter := 0; iter < 60; iter++ {
		a, b := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
		var sum float64
		for i := range cams {
			for k, m := range model {
				pr, ok := cams[i].Linearise(r3.Vec{X: m.X, Y: m.Y}, true)
				require.True(t, ok)
				for j, r := range [2]float64{pictures[i][k].X - pr.X, pictures[i][k].Y - pr.Y} {
					d, w := pr.ByPoint[j], pr.ByRotation[j]
					row := map[int]float64{6 * i: -d.X, 6*i + 1: -d.Y, 6*i + 2: -d.Z, 6*i + 3: w.X, 6*i + 4: w.Y, 6*i + 5: w.Z, n - 2: pr.ByLogFocal[j], n - 1: pr.ByK1[j]}
					for p, u := range row {
						b.SetVec(p, b.AtVec(p)+u*r)
						for q, v := range row {
							if q >= p {
								a.SetSym(p, q, a.At(p, q)+u*v)
							}
						}
					}
					sum += r * r
				}
			}
		}
		rms = math.Sqrt(sum / float64(len(cams)*len(model)))
		var chol mat.Cholesky
		require.True(t, chol.Factorize(a))
		var x mat.VecDense
		require.NoError(t, chol.SolveVecTo(&x, b))
		for i := range cams {
			c := &cams[i]
			c.Position = r3.Add(c.Position, r3.Vec{X: x.AtVec(6 * i), Y: x.AtVec(6*i + 1), Z: x.AtVec(6*i + 2)})
			c.Rotation = Rotate(c.Rotation, r3.Vec{X: x.AtVec(6*i + 3), Y: x.AtVec(6*i + 4), Z: x.AtVec(6*i + 5)})
			c.FocalPx *= math.Exp(x.AtVec(n - 2))
			c.K1 += x.AtVec(n - 1)
		}
	}
	t.Logf("focal %.2f px, k1 %.4f, %.3f px left", cams[0].FocalPx, cams[0].K1, rms)
	assert.InEpsilon(t, zhangFocal, cams[0].FocalPx, 0.003)
	// One radial term does the work of his two.
	assert.InDelta(t, zhangK1, cams[0].K1, 0.05)
	assert.Less(t, rms, 0.5)
}

// errDegenerate says that points do not determine a homography.
var errDegenerate = errors.New("the points do not determine it")

// homography is the projective map of a plane to another: (x, y, 1) goes to
// H(x, y, 1) up to scale. H[2][2] is 1.
type homography [3][3]float64

// homographyFrom computes the map that takes each of at least four points from
// to the point to of the same index, by the normalised direct linear transform
// (Hartley & Zisserman, Multiple View Geometry, alg. 4.2): exact for four,
// algebraic least squares for more. errDegenerate where three of four lie in
// one line or a point is not finite.
func homographyFrom(from, to []ImagePt) (homography, error) {
	if len(from) != len(to) || len(from) < 4 {
		return homography{}, errDegenerate
	}
	tf, nf, ok1 := normalise(from)
	tt, nt, ok2 := normalise(to)
	if !ok1 || !ok2 {
		return homography{}, errDegenerate
	}
	rows := max(2*len(from), 9)
	a := mat.NewDense(rows, 9, nil)
	for i := range nf {
		x, y, u, v := nf[i].X, nf[i].Y, nt[i].X, nt[i].Y
		a.SetRow(2*i, []float64{-x, -y, -1, 0, 0, 0, u * x, u * y, u})
		a.SetRow(2*i+1, []float64{0, 0, 0, -x, -y, -1, v * x, v * y, v})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return homography{}, errDegenerate
	}
	s := svd.Values(nil)
	if s[7] < 1e-9*s[0] {
		return homography{}, errDegenerate
	}
	var v mat.Dense
	svd.VTo(&v)
	var h [3][3]float64
	for i := 0; i < 9; i++ {
		h[i/3][i%3] = v.At(i, 8)
	}
	// Undo the normalisation: H = Tt⁻¹ h Tf.
	inv := [3][3]float64{{1 / tt[0][0], 0, -tt[0][2] / tt[0][0]}, {0, 1 / tt[1][1], -tt[1][2] / tt[1][1]}, {0, 0, 1}}
	h = product(product(inv, h), tf)
	if math.Abs(h[2][2]) < 1e-12 || !Finite(h[2][2]) {
		return homography{}, errDegenerate
	}
	out := homography{}
	for i := range h {
		for j := range h {
			out[i][j] = h[i][j] / h[2][2]
		}
	}
	return out, nil
}

// normalise moves points to a centre of zero and a mean distance of √2.
func normalise(p []ImagePt) (t [3][3]float64, out []ImagePt, ok bool) {
	n := float64(len(p))
	var cx, cy, d float64
	for _, q := range p {
		cx, cy = cx+q.X/n, cy+q.Y/n
	}
	for _, q := range p {
		d += math.Hypot(q.X-cx, q.Y-cy) / n
	}
	if !Finite(d) || d == 0 {
		return t, nil, false
	}
	s := math.Sqrt2 / d
	for _, q := range p {
		out = append(out, ImagePt{s * (q.X - cx), s * (q.Y - cy)})
	}
	return [3][3]float64{{s, 0, -s * cx}, {0, s, -s * cy}, {0, 0, 1}}, out, true
}

// product is the matrix product ab.
func product(a, b [3][3]float64) (m [3][3]float64) {
	for i := range m {
		for j := range m {
			for k := range m {
				m[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return m
}

// isThere reports whether there is something at a path.
func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
