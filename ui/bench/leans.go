package bench

import (
	_ "embed" // the leans
	"encoding/csv"
	"math"
	"strconv"
	"strings"

	"turngauge/geometry"
	"turngauge/video/pose"
)

// A joint of the network is not the point that a coach marks: an ankle lies
// lower on the leg, a heel inside the shoe, a shoulder where the sleeve says,
// and with the arms up elsewhere than with the arms down. lean is how far the
// network's place lies from the point, in hundredths of the golfer's height:
// along toward the target face-on and toward the ball down the line, and down
// the picture.
//
// leans.csv is estimated by TestEstimateLeans on pictures of rendered golfers of
// known truth, of many statures, stances, turns and colours, by many cameras;
// TestJointsOfRenderedGolfers holds others against it. Rendered figures are not
// photographs: of a lean over all key positions only the part carried is taken away, and
// of the rest, half of the lean at least, and never less than photograph, is the same at
// all of them. What a position adds to it is taken away, and half of it is not the same.
// TestProposalsOnAPhotographedPerson holds both against a person who walks.
type lean struct {
	along, down float64
	own         float64 // standard deviation of a coordinate about that, anew at each key position
	stays       float64 // and of what is the same on one golfer at every one
}

// sd is the standard deviation of one coordinate of a joint less its lean.
func (l *lean) sd() float64 { return math.Hypot(l.own, l.stays) }

// half is half of a lean, in each of its two coordinates.
func half(along, down float64) float64 { return math.Hypot(along, down) / math.Sqrt2 / 2 }

// carried is which part of a rendered figure's lean is the network's own, so that a
// photographed person has it too: where it puts the joints of a foot rather than where a
// figure's shoulders and hips are. Found on the walker of ../shared/data/walker: the whole
// lean makes his feet better and his hips and shoulders worse. Of heads and arms, which
// he has no reference for, all of it.
func carried(p geometry.Point) float64 {
	switch class, _ := geometry.ClassOf(p); class {
	case geometry.HipClass, geometry.ShoulderClass:
		return 0.25
	case geometry.KneeClass:
		return 0.5
	case geometry.FootClass:
		return 0.6
	}
	return 1
}

// photograph is the least standard deviation by which the network's place on a
// photographed person differs from that on a rendered one, hundredths of the height, as
// the walker has it; where he tells nothing, 14 mm of 1.72 m. One person, barefoot: of
// golfers in trousers it is not known. What lies off by twice that is seen by the coach,
// who looks at a mark before he takes it.
func photograph(p geometry.Point) float64 {
	switch class, _ := geometry.ClassOf(p); class {
	case geometry.HipClass:
		return 1.8
	case geometry.ShoulderClass, geometry.KneeClass:
		return 1
	}
	return 0.8
}

// anyPosition stands for the positions that have no row of their own.
const anyPosition geometry.PositionName = "any"

type leanKey struct {
	view     geometry.View
	position geometry.PositionName
	point    geometry.Point
}

//go:embed leans.csv
var leansFile string

var leans = readLeans(leansFile)

// readLeans reads the table; it panics on a fault in it.
func readLeans(text string) map[leanKey]lean {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic(err)
	}
	out := make(map[leanKey]lean)
	for _, row := range rows[1:] {
		key := leanKey{geometry.FaceOn, geometry.PositionName(row[1]), 0}
		if row[0] == geometry.DownTheLine.String() {
			key.view = geometry.DownTheLine
		}
		p, ok := geometry.ParsePoint(row[2])
		if !ok {
			panic("leans.csv: " + row[2])
		}
		key.point = p
		var v [3]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(row[3+i], 64); err != nil {
				panic(err)
			}
		}
		out[key] = lean{along: v[0], down: v[1], own: v[2]}
	}
	over := make(map[leanKey]lean)
	for key, l := range out {
		if key.position == anyPosition {
			over[key] = l
		}
	}
	for key, l := range out {
		over, ok := over[leanKey{key.view, anyPosition, key.point}]
		if !ok {
			panic("leans.csv: no row over all positions for the " + key.point.String())
		}
		kept := carried(key.point)
		left := 2 * math.Max(1-kept, 0.5)
		l.stays = math.Max(left*half(over.along, over.down), photograph(key.point))
		l.own = math.Hypot(l.own, half(l.along-over.along, l.down-over.down))
		l.along -= (1 - kept) * over.along
		l.down -= (1 - kept) * over.down
		out[key] = l
	}
	return out
}

// leanOf returns the lean of a joint; false for what the network does not give.
func leanOf(view geometry.View, position geometry.PositionName, p geometry.Point) (lean, bool) {
	l, ok := leans[leanKey{view, position, p}]
	if !ok {
		l, ok = leans[leanKey{view, anyPosition, p}]
	}
	return l, ok
}

// joints are the network's landmarks of a right-hander.
var joints = map[geometry.Point]pose.Name{
	geometry.LeadShoulder: pose.LeftShoulder, geometry.TrailShoulder: pose.RightShoulder,
	geometry.LeadElbow: pose.LeftElbow, geometry.TrailElbow: pose.RightElbow,
	geometry.LeadWrist: pose.LeftWrist, geometry.TrailWrist: pose.RightWrist,
	geometry.LeadHip: pose.LeftHip, geometry.TrailHip: pose.RightHip,
	geometry.LeadKnee: pose.LeftKnee, geometry.TrailKnee: pose.RightKnee,
	geometry.LeadAnkle: pose.LeftAnkle, geometry.TrailAnkle: pose.RightAnkle,
	geometry.LeadHeel: pose.LeftHeel, geometry.TrailHeel: pose.RightHeel,
	geometry.LeadToe: pose.LeftToe, geometry.TrailToe: pose.RightToe,
	geometry.Head: pose.LeftEar, // and the right one: between the ears
}
