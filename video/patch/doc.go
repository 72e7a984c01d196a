// Package patch aligns small patches of cloth with a picture under a warp that the
// caller's model gives: by how much each is seen beside where the model puts it, how
// sure that is in each direction, and how alike the two look.
//
// A patch is taken from one frame and aligned with any other directly, not from frame to
// frame, so that nothing adds up along the way. Its shape in the other frame (the turn,
// shear and foreshortening of the cloth) is the model's; found are the two coordinates of
// its place. What is aligned is the cloth's texture: a ramp of brightness across the patch,
// which is shading and stays where the light stands while the cloth turns under it, is
// removed from both pictures, and so are offset and gain.
//
// The package knows nothing of files, nor of what the patches are on. Places are in
// upright pixels of the clip, the centre of the first pixel at (0.5, 0.5).
//
// # Sources
//
// Baker & Matthews 2004, "Lucas-Kanade 20 years on", IJCV 56:221 (inverse compositional
// alignment); Hager & Belhumeur 1998, IEEE PAMI 20:1025, and Baker, Gross & Matthews 2003,
// CMU-RI-TR-03-35, 2 (appearance projected out of the Jacobian); Shi & Tomasi 1994, CVPR (the
// structure tensor as information); Evangelidis & Psarakis 2008, IEEE PAMI 30:1858 (the
// correlation that a best alignment has, and the outside check of this package, OpenCV's
// findTransformECC).
package patch
