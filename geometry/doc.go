// Package geometry measures a golfer's posture from points marked in one or
// two phone clips, with honest intervals.
//
// # Frames
//
// World: metres, right-handed. x points along the target line toward the
// target, y up, z from the golfer toward the ball; the origin is on the ground
// midway between the ankles at address. A left-hander is measured in the
// mirror: the picture is flipped, then everything is the same, and points are
// named lead and trail, never left and right.
//
// Picture: pixels of the upright frame from its top-left corner, the centre of
// the first pixel at (0.5, 0.5). Camera: right, down, forward; a pinhole with
// the principal point in the middle and one radial term.
//
// # The fit
//
// Solver.Solve finds the most probable cameras (position, direction, focal
// length), segment lengths and 3-D points at every key position, given all
// marks of a swing at once: one nonlinear least-squares problem. Its terms are
//
//   - marks, through a full perspective camera, with a Student t loss, so that
//     a misplaced one loses its pull (robustNu);
//   - segments, whose lengths are one set of unknowns for all positions, and
//     equal on both sides (bodyLengths);
//   - the ground: feet, ball, sticks of known length and direction;
//   - what is known of any golfer beforehand: proportions (segmentPriors),
//     how one stands at address, which way knees bend, how far one turns
//     (problem.go). All are standard deviations to be overruled by marks.
//
// The normal matrix has the shape of an arrow: one block for each position and
// one for what they share (arrow.go). Levenberg-Marquardt with exact
// derivatives and the curvature of the segments minimises it (lm.go); where a
// turn hangs on one picture its mirror images are tried, and what is left of
// their odds widens the interval or withholds the number (mirror.go).
//
// # Uncertainty
//
// Solution.Measures gives each measure its standard deviation by propagating
// the posterior covariance (posterior.go), in which every unknown has a proper
// prior, so that nothing is hidden by a pseudo-inverse: Summary.Rank says how
// many unknowns the marks and the body determine, PointEstimate.Known which
// points. A measure whose points are not marked, or that stays as open as it is
// for any golfer, is reported as Missing with what to mark. Where one picture
// leaves depth open, the curvature of the measure is added (curvature.go).
//
// The intervals hold the truth for golfers that are not drawn from the priors
// (accuracy_test.go prints the tables: make accuracy). They rest on the marking
// model of DefaultSigmaPx; marks shifted alike at all positions, such as a belt
// worn crooked, cancel in changes since address but not in postures.
//
// # Definitions
//
// Definitions lists every measure with its landmarks, plane, reference and
// source; formulas.go computes them. Published means of "the same" turn differ
// by 25 degrees for want of these: McTeigue et al. 1994 measured 55 and 87
// degrees at the top between horizontal headings, Zheng et al. 2008 60 degrees
// between the two. Both kinds are given here: headings in the ground plane
// (Baker 2001) and turns about the segment's own axis (Grood & Suntay 1983).
//
// # Symbols
//
// In code: g the global block, a, b, c a position's blocks, u and w their
// factors; pos indexes positions, pt points, slot the positions a measure
// reads; sigma is always one standard deviation.
//
// # Sources
//
// Hartley & Zisserman, Multiple View Geometry (cameras, triangulation,
// homographies, focal length); Triggs et al. 2000, Bundle Adjustment; Nocedal &
// Wright, Numerical Optimization, ch. 10; JCGM 100:2008 (propagation); Lange,
// Little & Taylor 1989 (Student t); Drillis & Contini 1966 via Winter (segment
// lengths); de Leva 1996 (segment masses); Grood & Suntay 1983, Wu et al. 2002
// and 2005 (axes); Baker 2001 (pelvic angles); Bland & Altman 1986 and 1996,
// Weir 2005 (repeatability).
//
// This is not a medical device: a coach's judgement comes first, and a golfer
// with pain or an injury should stop and see a licensed professional.
package geometry
