// Package demo makes the demo lesson: clips of an invented student's swing
// with known truth, filmed by two virtual phones, and the lesson documents
// that go with them.
//
// Everything is made up and generated: the golfer is geometry/golfer, the
// pictures are drawn by ui/demo/render. The same version makes the same files.
package demo
