package laid

import (
	"image"
	"image/color"
	"math/cmplx"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/explain"
)

func marked(t *testing.T) *annotations.Lesson {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	return l
}

// sides are a marked lesson, and itself filmed by a camera that sees it otherwise.
func sides(t *testing.T, seen geometry.Similarity, keep func(geometry.Point) bool) (this, other Side) {
	t.Helper()
	a, b := marked(t), marked(t)
	sw := &b.Swings[0]
	clip := sw.ClipOf(geometry.FaceOn)
	sw.Marks = slices.DeleteFunc(sw.Marks, func(m annotations.Mark) bool { return !keep(m.Point) })
	for i := range sw.Marks {
		if m := &sw.Marks[i]; m.Clip == clip.ID {
			m.At = seen.Carry(m.At)
		}
	}
	return Side{Lesson: a, Swing: a.Swings[0].ID, Clip: clip.ID}, Side{Lesson: b, Swing: sw.ID, Clip: clip.ID}
}

func all(geometry.Point) bool { return true }

func TestAlignUndoesWhatAnotherCameraDoes(t *testing.T) {
	seen := geometry.Similarity{A: cmplx.Rect(1.3, 0.05), T: complex(-200, 40)}
	this, other := sides(t, seen, all)
	a, why := Align(&this, &other)
	require.Empty(t, why)
	want := seen.Inverse()
	assert.InDelta(t, 0, cmplx.Abs(a.A-want.A), 1e-9)
	assert.InDelta(t, 0, cmplx.Abs(a.T-want.T), 1e-6)
	assert.InDelta(t, 0, a.RMSPx, 1e-6)
	assert.Contains(t, a.Points, geometry.Ball)
	assert.Equal(t, "Aligned at feet and ball of address, which then lie 1 pixels apart.", (&Aligned{Alignment: geometry.Alignment{RMSPx: 0.4}, Points: a.Points}).Words(false))
}

// A left-hander is laid over a right-hander as a mirror image.
func TestAlignMirrorsTheOtherHand(t *testing.T) {
	seen := geometry.Similarity{A: -1, T: 1000, Mirrored: true} // x becomes 1000 − x
	this, other := sides(t, seen, all)
	other.Lesson.Student.Handed = geometry.LeftHanded
	a, why := Align(&this, &other)
	require.Empty(t, why)
	assert.True(t, a.Mirrored)
	assert.InDelta(t, 0, a.RMSPx, 1e-6)
	p := a.Carry(geometry.ImagePt{X: 900, Y: 70})
	assert.InDelta(t, 100, p.X, 1e-6)
	assert.InDelta(t, 70, p.Y, 1e-6)
	assert.Contains(t, a.Words(false), "mirrored")
}

func TestAlignSaysWhatIsWanting(t *testing.T) {
	one := geometry.Similarity{A: 1}
	this, other := sides(t, one, func(p geometry.Point) bool { return p == geometry.Ball || p > geometry.Ball })
	_, why := Align(&this, &other)
	assert.Contains(t, why, "mark feet and ball at address in both")
	assert.Contains(t, why, "lead ankle")
	assert.NotContains(t, why, ", ball")

	// One foot is too small to tell how large the golfer is.
	this, other = sides(t, one, func(p geometry.Point) bool { return p == geometry.LeadHeel || p == geometry.LeadToe })
	_, why = Align(&this, &other)
	assert.NotEmpty(t, why)

	other.Lesson.Swings[0].Positions = nil
	_, why = Align(&this, &other)
	assert.Equal(t, "To lay one swing over the other, set address in both.", why)
}

// What the fit sees counts where nobody marked.
func TestAlignTakesFittedPoints(t *testing.T) {
	this, other := sides(t, geometry.Similarity{A: 1}, func(p geometry.Point) bool { return p == geometry.Head })
	frame, _ := this.spots()
	for p := range frame {
		if frame[p].Known {
			other.Seen.Spots[p] = explain.Spot{At: geometry.ImagePt{X: frame[p].At.X + 30, Y: frame[p].At.Y}, Known: true, Fitted: true}
		}
	}
	a, why := Align(&this, &other)
	require.Empty(t, why)
	assert.InDelta(t, -30, real(a.T), 1e-6)
}

// A white picture with one black square is laid over a grey one: the square comes to
// lie where it is carried, and each counts by its share.
func TestBlendDrawsWhereTheOtherIsCarried(t *testing.T) {
	other := image.NewRGBA(image.Rect(0, 0, 200, 100))
	for i := range other.Pix {
		other.Pix[i] = 255
	}
	for y := 40; y < 50; y++ {
		for x := 60; x < 80; x++ {
			other.SetRGBA(x, y, color.RGBA{A: 255})
		}
	}
	dst := image.NewRGBA(image.Rect(0, 0, 300, 200))
	for i := range dst.Pix {
		dst.Pix[i] = []uint8{100, 100, 100, 255}[i%4]
	}
	// Twice as large, moved by (50, 20), and dst shows (100, 60) to (250, 160) twice as
	// large again.
	Blend(dst, image.Rect(100, 60, 250, 160), other, other.Rect, geometry.Similarity{A: 2, T: 50 + 20i}, 0.25)
	grey := func(x, y int) int { return int(dst.RGBAAt(x, y).R) }
	at := func(x, y float64) (int, int) { return int((2*x + 50 - 100) * 2), int((2*y + 20 - 60) * 2) }
	x, y := at(70, 45)
	assert.InDelta(t, 75, grey(x, y), 1, "three quarters of grey and one of black")
	x, y = at(58, 45)
	assert.InDelta(t, 139, grey(x, y), 1, "and one of white")
	x, y = at(61, 41)
	assert.InDelta(t, 75, grey(x, y), 1)
}
