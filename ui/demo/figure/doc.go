// Package figure gives the kinematic golfer a visible body: meshes for
// clothes, skin, hair, shoes, club and ball that follow a pose.
//
// The surfaces pass through the points that a coach marks: the buckle sits at
// the front of the belt, the label at its rear, the shoes end at heel and toe,
// joint centres lie inside the limbs. Sizes not given by the golfer are those
// of a slim adult of her stature; they only shape the look.
package figure
