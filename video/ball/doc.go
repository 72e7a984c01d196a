// Package ball finds the golf ball in one picture, near where the clubhead
// stands at address.
//
// A ball is a round blob of known size that is brighter than what lies about
// it. Every place is tried in a few sizes by how much brighter a disc is than
// the ring about it, the response of a blob detector at the scale of the blob
// (Lindeberg 1998, "Feature detection with automatic scale selection"). At the
// best places the edge is looked for along rays, at half the height of the
// step, and a circle is laid through it (the least squares of Kåsa 1976, "A
// circle fitting procedure and its error analysis"). Where the edge is no
// circle all round, or another blob is nearly as good, nothing is said.
//
// The package knows nothing of files, nor of the golfer. Places are in pixels
// of the picture, the centre of the first pixel at (0.5, 0.5).
package ball
