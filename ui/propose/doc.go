// Package propose proposes key positions and marks for a swing, without a window: from
// the strike and the motion in its clips, and from what is seen in the pictures of the
// key positions. The window does the same with the coach looking on; this is for many
// swings at once.
package propose
