package geometry

import "math"

// dual is a number with its derivative in one direction: forward-mode
// automatic differentiation, exact to rounding (Griewank & Walther, Evaluating
// Derivatives, ch. 3).
//
// The rules are those of the derivative: of a sum the sum, of a product a′b + ab′, of
// a quotient (a′b − ab′)/b², of atan2(y, x) (x y′ − y x′)/(x² + y²). One pass gives one
// derivative, so a gradient of n unknowns takes n passes: cheap enough here, where a measure
// reads a few points, and free of the step that a difference quotient needs.
type dual struct{ v, d float64 }

func num(v float64) dual { return dual{v: v} }

func (a dual) add(b dual) dual      { return dual{a.v + b.v, a.d + b.d} }
func (a dual) sub(b dual) dual      { return dual{a.v - b.v, a.d - b.d} }
func (a dual) mul(b dual) dual      { return dual{a.v * b.v, a.d*b.v + a.v*b.d} }
func (a dual) scale(k float64) dual { return dual{k * a.v, k * a.d} }
func (a dual) div(b dual) dual      { return dual{a.v / b.v, (a.d*b.v - a.v*b.d) / (b.v * b.v)} }
func (a dual) shift(k float64) dual { return dual{a.v + k, a.d} }
func (a dual) degrees() dual        { return a.scale(180 / math.Pi) }
func (a dual) centimetres() dual    { return a.scale(100) }
func dsqrt(a dual) dual             { s := math.Sqrt(a.v); return dual{s, a.d / (2 * s)} }
func dhypot(a, b dual) dual         { return dsqrt(a.mul(a).add(b.mul(b))) }
func datan2(y, x dual) dual {
	return dual{math.Atan2(y.v, x.v), (x.v*y.d - y.v*x.d) / (x.v*x.v + y.v*y.v)}
}
func wrapDual(a dual) dual { return dual{WrapAngle(a.v), a.d} }
func wrapAbove(a dual, lo float64) dual {
	return dual{lo + math.Mod(math.Mod(a.v-lo, 2*math.Pi)+2*math.Pi, 2*math.Pi), a.d}
}

// dvec is a vector of duals in the world frame, metres.
type dvec struct{ x, y, z dual }

func (a dvec) add(b dvec) dvec        { return dvec{a.x.add(b.x), a.y.add(b.y), a.z.add(b.z)} }
func (a dvec) sub(b dvec) dvec        { return dvec{a.x.sub(b.x), a.y.sub(b.y), a.z.sub(b.z)} }
func (a dvec) scale(k float64) dvec   { return dvec{a.x.scale(k), a.y.scale(k), a.z.scale(k)} }
func (a dvec) dot(b dvec) dual        { return a.x.mul(b.x).add(a.y.mul(b.y)).add(a.z.mul(b.z)) }
func (a dvec) norm() dual             { return dsqrt(a.dot(a)) }
func (a dvec) unit() dvec             { n := a.norm(); return dvec{a.x.div(n), a.y.div(n), a.z.div(n)} }
func midpoint(a, b dvec) dvec         { return a.add(b).scale(0.5) }
func along(a, b dvec, t float64) dvec { return a.add(b.sub(a).scale(t)) }

func (a dvec) cross(b dvec) dvec {
	return dvec{
		a.y.mul(b.z).sub(a.z.mul(b.y)),
		a.z.mul(b.x).sub(a.x.mul(b.z)),
		a.x.mul(b.y).sub(a.y.mul(b.x)),
	}
}
