// Package sound finds the strike of a club on a ball in a clip's sound, and
// draws the sound's outline. It is pure Go and knows nothing of files.
//
// A strike is short, bright and steep: most of its energy lies above 2 kHz, it
// rises within a millisecond and is gone after a few tens of milliseconds
// (common practice, no source). Speech, wind and machinery lack at least one
// of the three. What cannot be told by sound alone is whose ball it was: a
// neighbour's strike is only fainter, and FindStrikes says so by its order.
package sound
