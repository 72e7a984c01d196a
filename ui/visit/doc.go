// Package visit takes in what was filmed in a visit, without a window: it finds the
// swings in any number of clips and long takes, which of them belong together and from
// where each was filmed, and makes a lesson's swings of them, each a part of its clips.
// Nothing is cut, copied or moved.
package visit
