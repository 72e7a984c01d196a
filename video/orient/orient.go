// Package orient rotates and mirrors pictures as the display matrix of a file says.
package orient

import (
	"encoding/binary"
	"image"
	"math"
)

// Orientation rotates and mirrors stored pictures to how they are to be shown: what lies
// at (x, y) of the stored picture is shown at (XX*x + XY*y, YX*x + YY*y), moved into the
// positive quadrant. Exactly one of XX and XY is 1 or -1, and likewise YX and YY.
type Orientation struct{ XX, XY, YX, YY int }

// Identity leaves a picture as it is.
var Identity = Orientation{XX: 1, YY: 1}

// MatrixBytes is the size of the matrix in the file: nine 32-bit numbers.
const MatrixBytes = 36

// Of reads a display matrix (ISO/IEC 14496-12, 8.3.2.3: a point
// (p, q) goes to (a p + c q, b p + d q)). ok is false when the matrix rotates by
// something that is not near a right angle, which is then ignored.
func Of(matrix []byte) (o Orientation, ok bool) {
	if len(matrix) < MatrixBytes {
		return Identity, len(matrix) == 0
	}
	at := func(i int) float64 { return float64(int32(binary.LittleEndian.Uint32(matrix[4*i:]))) / (1 << 16) }
	a, b, c, d := at(0), at(1), at(3), at(4)
	norm := math.Max(math.Hypot(a, b), math.Hypot(c, d))
	if norm == 0 {
		return Identity, false
	}
	snap := func(v float64) int { return int(math.Round(v / norm)) }
	o = Orientation{XX: snap(a), XY: snap(c), YX: snap(b), YY: snap(d)}
	const offAxis = 0.02 // about one degree
	off := func(v float64) bool { return math.Abs(v/norm-math.Round(v/norm)) > offAxis }
	if off(a) || off(b) || off(c) || off(d) || !o.Valid() {
		return Identity, false
	}
	return o, true
}

func (o Orientation) Valid() bool {
	return abs(o.XX)+abs(o.XY) == 1 && abs(o.YX)+abs(o.YY) == 1 && o.XX*o.YY-o.XY*o.YX != 0
}

// Transposed reports whether rows become columns.
func (o Orientation) Transposed() bool { return o.XX == 0 }

// Mirrored reports whether left and right change places.
func (o Orientation) Mirrored() bool { return o.XX*o.YY-o.XY*o.YX < 0 }

// Degrees is the clockwise rotation, applied after mirroring left to right if the
// orientation is mirrored.
func (o Orientation) Degrees() int {
	x, y := o.XX, o.YX // where the stored picture's x axis points
	if o.Mirrored() {
		x, y = -x, -y
	}
	switch {
	case x == 1:
		return 0
	case y == 1:
		return 90
	case x == -1:
		return 180
	}
	return 270
}

// Size of a w x h picture after rotating.
func (o Orientation) Size(w, h int) (int, int) {
	if o.Transposed() {
		return h, w
	}
	return w, h
}

// Stored returns the rectangle of the stored w x h picture shown at r.
func (o Orientation) Stored(r image.Rectangle, w, h int) image.Rectangle {
	back := func(p image.Point) image.Point { // inverse: the transpose, and the shift undone
		if o.XX+o.XY < 0 {
			uw, _ := o.Size(w, h)
			p.X -= uw
		}
		if o.YX+o.YY < 0 {
			_, uh := o.Size(w, h)
			p.Y -= uh
		}
		return image.Pt(o.XX*p.X+o.YX*p.Y, o.XY*p.X+o.YY*p.Y)
	}
	a, b := back(r.Min), back(r.Max)
	return image.Rectangle{a, b}.Canon()
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
