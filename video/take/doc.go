// Package take finds the golfer's swings in a take, a clip in which a phone was left
// running over several of them, and pairs the swings of two takes.
//
// A strike that is heard is the golfer's own if his swing is seen before it: standing
// still, a turning back about a third of a second before the strike, and the liveliest
// motion at the strike. So other golfers' strikes are told from his. A swing of which no
// strike is heard, a practice swing, is looked for only where that is asked for, since
// the whole take has to be decoded for it.
//
// It knows nothing of lessons.
package take
