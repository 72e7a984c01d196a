package geometry

import (
	"math"
	"math/cmplx"
)

// Similarity carries places of one picture to places of another that shows the same
// things turned, larger or smaller, moved, and mirrored where Mirrored is set. With a
// place as the complex number z = x + iy, pixels of either picture,
//
//	z ↦ a·z + t,  or  a·z̄ + t where mirrored;
//
// |a| is the scale and arg a the turn, from the x axis to the y axis (clockwise as
// seen, for y points down). The zero value carries everything to (0, 0).
//
// It is the widest family of maps that keeps shapes: a body laid over another keeps
// its proportions. A homography through points of the ground would keep the ground
// straight and bend everything that stands on it.
type Similarity struct {
	A, T     complex128
	Mirrored bool
}

// Paired is one thing seen in both pictures.
type Paired struct{ From, To ImagePt }

// Alignment is a Similarity with how well it is known.
type Alignment struct {
	Similarity
	// RMSPx is the root mean square of what lies between the carried places and
	// those they belong to, pixels of the second picture.
	RMSPx float64
	// ScaleSD is the standard deviation of ln |a|, and of arg a in radians, per pixel
	// of standard deviation of one coordinate in either picture.
	ScaleSD float64
}

// Align returns the similarity that carries the From of pairs to their To with the
// least sum of squares, turned and moved so, at the scale by which the places spread
// as far in both. ok is false for fewer than two pairs, and where all places of
// a picture are one.
//
// Let p, q be the places about their means; mirrored ones are conjugated first. The
// sum Σ|q − a·p|² is least for a = Σ p̄q / Σ|p|² (the two-dimensional case of
// S. Umeyama, Least-squares estimation of transformation parameters between two point
// patterns, IEEE Trans. PAMI 13(4), 1991). That scale is not the inverse of the one
// found with the pictures changed about: what does not fit makes either too small. So
// the turn is kept and the scale is √(Σ|q|²/Σ|p|²), which is its own inverse
// (B. K. P. Horn, Closed-form solution of absolute orientation using unit
// quaternions, J. Opt. Soc. Am. A 4(4), 1987, section 2.E).
//
// An error e of a place q moves ln a by Re and Im of p̄e/(a·Σ|p|²), so that each has
// the variance σ²/Σ|q|² from the second picture, and as much from the first.
func Align(pairs []Paired, mirrored bool) (al Alignment, ok bool) {
	if len(pairs) < 2 {
		return Alignment{}, false
	}
	n := complex(float64(len(pairs)), 0)
	var meanP, meanQ complex128
	for _, c := range pairs {
		meanP += onPlane(c.From, mirrored) / n
		meanQ += onPlane(c.To, false) / n
	}
	var cross complex128
	var spreadP, spreadQ float64
	for _, c := range pairs {
		p, q := onPlane(c.From, mirrored)-meanP, onPlane(c.To, false)-meanQ
		cross += cmplx.Conj(p) * q
		spreadP += real(p * cmplx.Conj(p))
		spreadQ += real(q * cmplx.Conj(q))
	}
	if spreadP == 0 || spreadQ == 0 || cross == 0 {
		return Alignment{}, false
	}
	al.Mirrored = mirrored
	al.A = cross / complex(cmplx.Abs(cross), 0) * complex(math.Sqrt(spreadQ/spreadP), 0)
	al.T = meanQ - al.A*meanP
	sum := 0.0
	for _, c := range pairs {
		d := onPlane(al.Carry(c.From), false) - onPlane(c.To, false)
		sum += real(d * cmplx.Conj(d))
	}
	al.RMSPx = math.Sqrt(sum / float64(len(pairs)))
	al.ScaleSD = math.Sqrt(1/spreadQ + real(al.A*cmplx.Conj(al.A))/spreadQ)
	return al, true
}

// onPlane is a place as a complex number, its conjugate where mirrored.
func onPlane(p ImagePt, mirrored bool) complex128 {
	if mirrored {
		return complex(p.X, -p.Y)
	}
	return complex(p.X, p.Y)
}

// Carry returns where a place of the first picture comes to lie in the second.
func (s Similarity) Carry(p ImagePt) ImagePt {
	z := s.A*onPlane(p, s.Mirrored) + s.T
	return ImagePt{real(z), imag(z)}
}

// Inverse carries the places of the second picture back; of a scale of zero there is
// none, and its values are not numbers. From w = a·z̄ + t follows
// z = (w̄ − t̄)/ā: mirrored maps turn back mirrored.
func (s Similarity) Inverse() Similarity {
	a, t := s.A, s.T
	if s.Mirrored {
		a, t = cmplx.Conj(a), cmplx.Conj(t)
	}
	return Similarity{A: 1 / a, T: -t / a, Mirrored: s.Mirrored}
}

// Scale is how many pixels of the second picture one of the first becomes.
func (s Similarity) Scale() float64 { return cmplx.Abs(s.A) }

// Turn is by how much the first picture is turned, radians, after it was mirrored.
func (s Similarity) Turn() float64 { return cmplx.Phase(s.A) }
