// Package plan draws the plan view: the golfer from above at one key
// position, with feet, ball, target line, the hip and shoulder lines and the
// 95 % intervals of their headings.
//
// [Build] makes a [Figure] from fitted points and measures; it is pure. [View]
// draws it.
package plan
