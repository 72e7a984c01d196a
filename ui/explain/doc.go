// Package explain works out what is drawn on a frame to explain a swing to the
// student: the lines that follow from the marks and the fit ([Frame.Figure]),
// and the lines, angles and notes of the coach's own.
//
// There are three steps, so that the window, a still and the annotated clip
// show the same thing:
//
//   - A [Figure] says what there is, in upright pixels of the clip: strokes,
//     dots and labels. It knows nothing of any screen.
//   - A [Canvas] lays a figure out for one size of output: widths, dashes, halos
//     and where the labels find room. The outcome is a list of plain shapes.
//   - A painter fills those shapes. [Paint] does so on an image; the window has
//     its own for its graphics.
//
// A [Board] is what a coach's hand can do with drawings, without a window.
//
// No number is written without its 95 % interval. A drawn angle is one of the
// picture, and says so.
//
// The package needs neither a window nor a graphics card.
package explain
