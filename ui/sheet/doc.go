// Package sheet draws the sheet: every measure of a swing with its 95 %
// interval, over its target range, beside the previous lesson.
//
// [Build] makes a [Model] from measures and targets; it is pure and formats
// every text once, so that a frame only draws. [Sheet] holds what outlives the
// frame: focus, scroll position and filters. A frame asks [Sheet.Update] for
// what the coach did, then calls [Sheet.Layout].
package sheet
