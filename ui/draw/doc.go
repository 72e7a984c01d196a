// Package draw is the drawing kit of the window: the palette, text, shapes,
// icons and controls that the stages, the sheet, the plan view and the rails
// share.
//
// A [Theme] is made once with [NewTheme] and lives as long as the window. At
// the top of each frame the window calls [Theme.Context], which makes one sp
// equal TextScale dp; from then on every size given in sp follows the text
// scale, and every size in dp does not. Both are idempotent, so a part that is
// tested alone may call it again.
//
// Shapes are filled paths, never strokes: stroking is slow on a software
// renderer. A [Pen] gathers any number of shapes of one colour into one path;
// the free functions ([Line], [Circle], [Ring] ...) draw a single shape.
// Lengths are pixels and angles are radians from the screen's x axis, positive
// clockwise, as y runs down.
//
// Controls keep their state in a struct that outlives the frame ([Button],
// [Segmented], [Field]) and take how they look as a value built each frame.
// Each carries a semantic label, so that a router test can find it by name.
//
// Nothing here may be used from more than one goroutine at a time.
package draw
