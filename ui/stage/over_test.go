package stage

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gioui.org/f32"
	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
	"turngauge/ui/bench"
)

// Every place of the second picture is seen where the first stage shows what it lies
// over.
func TestThePictureLaidOverLiesWhereItIsCarried(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 2))
	stage := bench.Size{W: 700, H: 500}
	for range 50 {
		over := geometry.Similarity{A: cmplx.Rect(math.Exp(0.3*rng.NormFloat64()), rng.NormFloat64()), T: complex(90*rng.NormFloat64(), 90*rng.NormFloat64()), Mirrored: rng.IntN(2) == 1}
		port := bench.Viewport{Centre: bench.PicturePt{X: 300 + 50*rng.NormFloat64(), Y: 400}, Scale: math.Exp(0.5 * rng.NormFloat64())}
		under, size := carried(port, over, stage)
		to := placed(over, size, stage)
		for range 10 {
			p := geometry.ImagePt{X: 600 * rng.Float64(), Y: 800 * rng.Float64()}
			want := port.ToScreen(bench.PicturePt(over.Carry(p)), stage)
			own := under.ToScreen(bench.PicturePt(p), size)
			got := to.Transform(f32.Pt(float32(own.X), float32(own.Y)))
			assert.InDelta(t, want.X, got.X, 0.01)
			assert.InDelta(t, want.Y, got.Y, 0.01)
		}
		// All of the first stage lies within the other.
		back := to.Invert()
		for _, corner := range []f32.Point{{}, {X: 700}, {Y: 500}, {X: 700, Y: 500}} {
			p := back.Transform(corner)
			assert.InDelta(t, size.W/2, p.X, size.W/2+0.01)
			assert.InDelta(t, size.H/2, p.Y, size.H/2+0.01)
		}
	}
}
