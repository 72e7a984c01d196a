// Package track follows marked points from frame to frame through a clip.
//
// A point is found again in the next frame by the pyramidal Lucas-Kanade
// method (Lucas and Kanade 1981; Bouguet, "Pyramidal implementation of the
// affine Lucas Kanade feature tracker", 2001), gone back to the frame before
// to see whether that ends where it began (Kalal, Mikolajczyk and Matas 2010),
// and held against what it looked like at its mark, turned and stretched as
// need be (the affine consistency check of Shi and Tomasi 1994, solved as in
// Baker and Matthews 2004), so that it does not drift.
//
// Each stretch between two marks of a point is followed from both ends. The
// two ways are blended by time, so that the track passes exactly through every
// mark, and how far they lie apart says how far it can be trusted. Where a
// point can't be followed its track says so and gives no place.
//
// The package knows nothing of files, nor of what a point is. Places are in
// upright pixels of the clip, the centre of the first pixel at (0.5, 0.5).
package track
