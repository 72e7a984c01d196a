package video

import (
	"encoding/binary"
	"image"
	"math"
)

// orientation rotates and mirrors stored pictures to how they are to be shown: what lies at (x, y) of the stored
// picture is shown at (xx*x + xy*y, yx*x + yy*y), moved into the positive
// quadrant. Exactly one of xx and xy is 1 or -1, and likewise yx and yy.
type orientation struct{ xx, xy, yx, yy int }

var identity = orientation{xx: 1, yy: 1}

// displayMatrixBytes is the size of the matrix in the file: nine 32-bit numbers.
const displayMatrixBytes = 36

// orientationOf reads a display matrix (ISO/IEC 14496-12, 8.3.2.3: a point
// (p, q) goes to (a p + c q, b p + d q)). ok is false when the matrix rotates by
// something that is not near a right angle, which is then ignored.
func orientationOf(matrix []byte) (o orientation, ok bool) {
	if len(matrix) < displayMatrixBytes {
		return identity, len(matrix) == 0
	}
	at := func(i int) float64 { return float64(int32(binary.LittleEndian.Uint32(matrix[4*i:]))) / (1 << 16) }
	a, b, c, d := at(0), at(1), at(3), at(4)
	norm := math.Max(math.Hypot(a, b), math.Hypot(c, d))
	if norm == 0 {
		return identity, false
	}
	snap := func(v float64) int { return int(math.Round(v / norm)) }
	o = orientation{xx: snap(a), xy: snap(c), yx: snap(b), yy: snap(d)}
	const offAxis = 0.02 // about one degree
	off := func(v float64) bool { return math.Abs(v/norm-math.Round(v/norm)) > offAxis }
	if off(a) || off(b) || off(c) || off(d) || !o.valid() {
		return identity, false
	}
	return o, true
}

func (o orientation) valid() bool {
	return abs(o.xx)+abs(o.xy) == 1 && abs(o.yx)+abs(o.yy) == 1 && o.xx*o.yy-o.xy*o.yx != 0
}

// transposed reports whether rows become columns.
func (o orientation) transposed() bool { return o.xx == 0 }

// mirrored reports whether left and right change places.
func (o orientation) mirrored() bool { return o.xx*o.yy-o.xy*o.yx < 0 }

// degrees is the clockwise rotation, applied after mirroring left to right if the
// orientation is mirrored.
func (o orientation) degrees() int {
	x, y := o.xx, o.yx // where the stored picture's x axis points
	if o.mirrored() {
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

// size of a w x h picture after rotating.
func (o orientation) size(w, h int) (int, int) {
	if o.transposed() {
		return h, w
	}
	return w, h
}

// stored returns the rectangle of the stored w x h picture shown at r.
func (o orientation) stored(r image.Rectangle, w, h int) image.Rectangle {
	back := func(p image.Point) image.Point { // inverse: the transpose, and the shift undone
		if o.xx+o.xy < 0 {
			uw, _ := o.size(w, h)
			p.X -= uw
		}
		if o.yx+o.yy < 0 {
			_, uh := o.size(w, h)
			p.Y -= uh
		}
		return image.Pt(o.xx*p.X+o.yx*p.Y, o.xy*p.X+o.yy*p.Y)
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
