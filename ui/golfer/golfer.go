// Package golfer sees a golfer in a frame of a clip: the part of the picture in
// which he swings.
package golfer

import (
	"image"
	"math"

	"turngauge/ui/bench"
	"turngauge/video/pose"
)

// feet are the landmarks that stand lowest.
var feet = []pose.Name{pose.LeftAnkle, pose.RightAnkle, pose.LeftHeel, pose.RightHeel, pose.LeftToe, pose.RightToe}

// hatOff is how far the top of a head lies above the ears, in parts of the
// golfer's height (Drillis and Contini 1966: the head is 0.130 of the stature; the ears lie at its middle).
const hatOff = 0.065

// Around returns the part of a picture in which a golfer who stands at address
// swings.
func Around(f *pose.Figure, size image.Point) bench.Box {
	at := func(n pose.Name) *pose.Landmark { return &f.Landmarks[n] }
	head := (at(pose.LeftEar).Y+at(pose.RightEar).Y)/2 - hatOff*f.Size()
	low, left, right := head, math.Inf(1), math.Inf(-1)
	for _, n := range feet {
		low, left, right = math.Max(low, at(n).Y), math.Min(left, at(n).X), math.Max(right, at(n).X)
	}
	return bench.Reach(head, low, (left+right)/2, bench.Size{W: float64(size.X), H: float64(size.Y)})
}
