// Package bundle is the least-squares problem of one swing: what is unknown, what is
// observed and known beforehand, the minimiser, and the covariance of everything at the
// minimum (bundle adjustment: Triggs, McLauchlan, Hartley & Fitzgibbon 2000). It knows
// nothing of modes, mistakes or advice, nor how the noise is learned: that is package fit,
// which holds the components (Problem.LogScales, WrongShare, Poor) and asks anew.
//
// # The unknowns
//
// A Problem lays them out as a global block g, which all positions share, and a block of
// BlockSize for each key position:
//
//	x = (g; p₀; p₁; …),   g = cameras, lengths, stature, sides, feet, ball, sticks, times, biases
//
// (the table stands at Problem). A State is a value of them. Lengths and stature are
// logarithms, so that they stay positive and a prior is a factor; cameras are moved in
// their tangent space (geometry.Camera.Move), since a rotation has three degrees of freedom
// and no three coordinates without a singularity; what is an unknown error (times, biases,
// differences of the sides) is in units of its own standard deviation, so that its prior is
// N(0, 1) and the matrix well scaled.
//
// # The cost
//
// The negative logarithm of the posterior density but for constants,
//
//	F(x) = Σ ρ(‖m − π(x)‖²/σ²) + Σ ½ (r(x)/s)² + Σ ½ (ν+1) log(1 + r(x)²/νs²),
//
// over the marks m with their pictures π (evaluator.pixel), the normal priors
// (evaluator.emit) and those with heavy tails (evaluator.emitHeavy), ρ the loss of
// levmar.Robust. A mark of a position touches its own three coordinates, one camera and at
// most three more unknowns of g; a prior of posture its own position; a segment its two ends
// and its length. No term touches two positions. So the second derivatives H have the shape
// of an arrow, which levmar.Arrow factorises in time that grows linearly with the number of
// positions.
//
// # The derivatives
//
// Every term writes its own exact derivatives beside its residual: a mark's by
// geometry.Camera.Linearise and the chain rule, those of posture as derived above each. Of
// second derivatives Newton's method needs those of the terms that are far from linear
// where one picture leaves depth open: the lengths (curvature). All others are
// Gauss-Newton's. The tests hold all of them against differences.
//
// # The covariance
//
// Minimiser.Posterior factorises H at the minimum; H⁻¹ is the covariance of x (Laplace's
// approximation, exact were every term linear). Columns of it are never all formed: a
// scalar f(x) with gradient a has the variance aᵀH⁻¹a by one solve (Posterior.SolveFor), and
// that solve's result H⁻¹a is the covariance of f with every unknown, from which its
// covariance with any picture or segment follows by the chain rule (CovarianceWith,
// CovarianceWithSegment). What H⁻¹ leaves out where a depth enters by its square stands in
// curvature.go (variance) and skew.go (mean).
package bundle
