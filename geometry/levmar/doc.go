// Package levmar minimises sums of squared residuals by the method of
// Levenberg and Marquardt, for problems whose normal matrix is sparse in one of
// two ways.
//
// The cost of a state x is ½ Σ wᵢ rᵢ(x)², with residuals rᵢ and weights wᵢ, the
// inverses of their variances: half the squared distance from what was observed
// in standard deviations, and the negative logarithm of the posterior density
// but for a constant. A step δ solves the damped normal equations
//
//	(JᵀWJ + λ diag JᵀWJ) δ = −JᵀW r
//
// (Marquardt 1963, J Soc Indust Appl Math 11:431; Nocedal & Wright, Numerical
// Optimization, ch. 10). Minimise holds the iteration, Problem is what it asks
// of a model, and Arrow and Band are the two normal matrices: Arrow for key
// positions that share unknowns and else have nothing to do with each other, Band
// for instants that follow one another. Both are filled residual by residual
// through a Row, factorised by Cholesky in a time that grows linearly with the
// number of blocks, and give the covariance of the unknowns, which is the
// inverse of the undamped matrix at the minimum.
//
// The matrices know nothing of golfers: unknowns are numbers, and their units
// are the caller's.
package levmar
