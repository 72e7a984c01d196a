// Package bench is the state of the window while a coach works on one swing:
// which frame each stage shows, which key position and which point is being
// marked, what is selected, and how the two clips are locked together. It
// changes the lesson only through an annotations.Editor and knows nothing of
// the window toolkit or of decoding, so that everything a coach can do is
// tested without either.
//
// A Bench belongs to one goroutine. Its methods are what the coach does; those
// that can be refused return a Note, which is what to tell the coach.
package bench
