// Package randomeffects estimates the mean of a quantity that differs from one
// occasion to the next, and by how much it differs, from one measured value of each
// occasion with a known standard deviation of its own:
//
//	y_i = μ + u_i + e_i,  u_i ~ N(0, τ²),  e_i ~ N(0, σ_i²)
//
// The variance component τ² is estimated by restricted maximum likelihood
// (Viechtbauer 2005, J Educ Behav Stat 30:261-293), its interval by the Q-profile
// (Viechtbauer 2007, Stat Med 26:37-52). The interval of μ has the small-sample
// correction of Hartung & Knapp 2001, Stat Med 20:3875-3889, and Sidik & Jonkman
// 2002, Stat Med 21:3153-3159: with few occasions τ² is known badly, and the normal
// interval is too short.
//
// Values may come in groups, each with a mean of its own (OfGroups).
//
// testdata/metafor.json and groups.json hold what R's metafor gives for the same
// values; the scripts beside them make them.
package randomeffects
