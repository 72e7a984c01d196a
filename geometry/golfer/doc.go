// Package golfer is a kinematic model of a golfer's full swing: where every
// point that a coach can mark is, at any instant from address to finish, and
// the body frames between them. It is the known truth behind the demo clips
// and behind tests of the fit.
//
// The model is built from body frames, not from recorded motion. Turns, bends
// and shifts are smooth curves through key poses; the limbs follow by two-bone
// inverse kinematics to planted feet and to hands that hold the club. Lengths
// are constant by construction.
//
// World coordinates, units and names are those of package geometry: metres, x
// toward the target, y up, z toward the ball, for a right-handed player.
// Angles are degrees where a name says so. Time is seconds on the swing's own
// clock, which starts when the club starts back.
//
// Segment lengths are fractions of stature after Drillis and Contini (1966)
// as given by Winter, Biomechanics and Motor Control of Human Movement.
// Where the table gives outside breadths and the model needs joint centres,
// the choice is stated beside the number in Lengths.
package golfer
