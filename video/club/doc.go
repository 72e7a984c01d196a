// Package club finds the shaft of a golf club in one picture, near the hands
// that hold it.
//
// A shaft is a narrow stripe, brighter or darker than what lies on both sides
// of it, that begins at the hands and runs straight. All directions from the
// hands are tried, each with the stripes that pass the hands closely, in the
// three widths that a shaft has at rest and blurred by its motion. The stripe
// that can be followed farthest is the shaft, if it is long enough and no other
// one is nearly as good. Else nothing is said. This is the voting of a Hough
// transform (Duda and Hart 1972) for lines through a known place, with the
// response of a ridge in place of an edge, because a shaft has two edges of one
// contrast (Lindeberg 1998, "Edge detection and ridge detection with automatic
// scale selection"). Where the background of a camera that stands still is known, a
// stripe counts by no more than it differs from it.
//
// The package knows nothing of files, nor of the golfer. Places are in pixels
// of the picture, the centre of the first pixel at (0.5, 0.5).
package club
