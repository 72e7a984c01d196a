// Package geometry holds what a golfer's posture is measured with: the points that
// a coach marks, cameras, what every measure is and how it is computed from 3-D
// points, verdicts against a target range, and how well marks repeat.
//
// Its chapters build on it. Package fit finds the most probable golfer and cameras
// given the marks at the key positions, with honest intervals on every measure;
// package motion the way he moves between them, from points followed through the
// clips; package levmar has the arithmetic of both. Package golfer is a kinematic
// model of a swing whose truth is known. This package imports none of them.
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
// # Definitions
//
// Definitions lists every measure with its landmarks, plane, reference and
// source; formulas.go computes them. Published means of "the same" turn differ
// by 25 degrees for want of these: McTeigue et al. 1994 measured 55 and 87
// degrees at the top between horizontal headings, Zheng et al. 2008 60 degrees
// between the two. Both kinds are given here: headings in the ground plane
// (Baker 2001) and turns about the segment's own axis (Grood & Suntay 1983).
//
// # Sources
//
// Hartley & Zisserman, Multiple View Geometry (cameras, triangulation,
// homographies, focal length); JCGM 100:2008 (propagation); Drillis & Contini 1966
// via Winter (segment lengths); de Leva 1996 (segment masses); Grood & Suntay 1983,
// Wu et al. 2002 and 2005 (axes); Baker 2001 (pelvic angles); Bland & Altman 1986
// and 1996, Weir 2005 (repeatability).
//
// This is not a medical device: a coach's judgement comes first, and a golfer
// with pain or an injury should stop and see a licensed professional.
package geometry
