// Package jointpath makes one path through time of what was read in many pictures, each
// reading with its own standard deviation: where a joint was between and beside its
// readings, when it crossed a level, and in which pictures the sides of a body were taken
// for each other.
//
// It knows nothing of pictures nor of golf. Times are seconds, values of any unit.
package jointpath
