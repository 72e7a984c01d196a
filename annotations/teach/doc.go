// Package teach tells the proposed marks of a swing what hands have corrected in other
// swings of the lesson.
//
// A program that looks for a joint errs on one student before a phone that stands still in
// nearly the same way each time: the cloth, the build and the view are the same. On the
// demo's visit of five swings (1920 by 1080) the places proposed at address, top and impact
// are off by 4.5 px in root mean square alike in all five, and by 2 px about that. So what
// a hand moves in one swing says what is to be moved in the others.
//
// # Model
//
// Of a joint in one view the place that a program saw in swing s at key position k is off, in
// each coordinate, by
//
//	e = A + B_k + C_sk,   A ~ N(0, q s β²),  B_k ~ N(0, q r (σ² − β²)),  C_sk ~ N(0, q (1−r)(σ² − β²))
//
// with σ and β the standard deviation and its shared part that were stated with the place
// (annotations.Sighting). A is the same at all key positions of all swings, B at one key
// position of all swings that were swung alike, and C is anew in each picture. A hand that has
// moved the mark says d = −e + h, h its own error; one that has taken it as it stood says that
// it lies within two standard deviations, which is when a coach sees that it does not
// (DEVELOPERS.md), and so d = 0 with twice σ for h.
//
// The axes are those of the picture: at one key position of two swings the body is turned
// alike, and the phone has not moved. Lengths go with the size of the golfer in the picture.
//
// How large the errors are at all (q), how much of them is alike everywhere (s) and what part
// of the rest returns (r) is told by the corrections of the whole lesson: they are integrated
// over on a grid, with weights from the likelihood of all corrections and a prior (grid.go).
// This is the shrinkage: where hands move marks by no more than hands err by, q comes out small
// and next to nothing is moved. What is anew in each picture also shows in how the places that
// the program saw differ from swing to swing, corrected or not: that bounds q (1−r), which the
// corrections of a single swing can't tell from what returns. Given the three all is normal, so
// that mean and variance of e in a picture that nobody has touched are those of a
// conditional normal distribution (Rasmussen & Williams 2006, "Gaussian Processes for
// Machine Learning", 2.2), and the mark moves by −mean. Its standard deviation is never
// said to be more than it was, nor less than a hand's.
//
// # What does not teach
//
// A phone that was moved (Clip.Stand), a mirrored clip beside one that is not, or a golfer
// much larger or smaller in the picture: nothing. Another club, or something that was tried: A
// only, for he may stand and move otherwise. A correction of more than 3.5 standard
// deviations in either coordinate: what was seen there was something else. Clubhead and ball:
// what they are off by differs from swing to swing. Marks that a hand has put or taken are
// never changed, nor is what was followed.
package teach
