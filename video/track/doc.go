// Package track follows marked points from frame to frame through a clip.
//
// A point is found again in the next frame by the pyramidal Lucas-Kanade
// method (Lucas and Kanade 1981; Bouguet, "Pyramidal implementation of the
// affine Lucas Kanade feature tracker", 2001), checked by its forward-backward
// error (Kalal, Mikolajczyk and Matas 2010), and aligned with the template taken at
// its mark under an affine warp (the consistency check of Shi and Tomasi 1994, solved
// as in Baker and Matthews 2004), so that it does not drift.
//
// Each segment between two marks of a point is followed from both ends, with
// two windows of different size. The two tracks are blended by the share of
// the path behind, so that the track passes exactly through every mark, and how far
// they lie apart says how far it can be trusted. A way that misses the mark it
// comes to is not believed. Where a point can't be followed its track says so
// and gives no place.
//
// What is followed is what is seen about the mark: for a joint, the cloth and
// skin over it. Marks at key positions keep that apart from the joint by no
// more than the body turns between two of them.
//
// The package knows nothing of files, nor of what a point is. Places are in
// upright pixels of the clip, the centre of the first pixel at (0.5, 0.5).
package track
