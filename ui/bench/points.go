package bench

import (
	"slices"

	"turngauge/geometry"
)

// The order in which a guided pass asks for points: the belt line and the
// shoulders first, because the turns need them, then the legs and feet, then
// arms and club. Points that can hardly be seen from a view are left to the
// coach's own choice.
var (
	faceOnOrder = []geometry.Point{
		geometry.LeadHip, geometry.TrailHip, geometry.Buckle,
		geometry.LeadShoulder, geometry.TrailShoulder, geometry.Breastbone,
		geometry.LeadKnee, geometry.TrailKnee, geometry.LeadAnkle, geometry.TrailAnkle,
		geometry.LeadToe, geometry.TrailToe, geometry.LeadHeel, geometry.TrailHeel,
		geometry.Head,
		geometry.LeadElbow, geometry.TrailElbow, geometry.LeadWrist, geometry.TrailWrist,
		geometry.Grip, geometry.Clubhead, geometry.Ball,
	}
	downTheLineOrder = []geometry.Point{
		geometry.TrailHip, geometry.LeadHip, geometry.Tailbone,
		geometry.TrailShoulder, geometry.LeadShoulder, geometry.UpperBack,
		geometry.TrailKnee, geometry.LeadKnee, geometry.TrailAnkle, geometry.LeadAnkle,
		geometry.TrailHeel, geometry.TrailToe, geometry.LeadHeel, geometry.LeadToe,
		geometry.Head,
		geometry.TrailElbow, geometry.LeadElbow, geometry.TrailWrist, geometry.LeadWrist,
		geometry.Grip, geometry.Clubhead, geometry.Ball,
	}
)

// Useful returns the points worth marking in a view at a key position, in the
// order in which a guided pass asks for them. The result is not to be changed.
func Useful(view geometry.View, position geometry.PositionName) []geometry.Point {
	k := usefulKey{view, position}
	if list, ok := usefulLists[k]; ok {
		return list
	}
	return slices.Clip(useful(view, position)) // a position of the coach's own
}

type usefulKey struct {
	view     geometry.View
	position geometry.PositionName
}

// usefulLists are the lists of the key positions, which every card asks for in
// every frame.
var usefulLists = func() map[usefulKey][]geometry.Point {
	m := make(map[usefulKey][]geometry.Point)
	for _, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		for _, position := range geometry.KeyPositions {
			m[usefulKey{view, position}] = slices.Clip(useful(view, position))
		}
	}
	return m
}()

func useful(view geometry.View, position geometry.PositionName) []geometry.Point {
	order := faceOnOrder
	if view == geometry.DownTheLine {
		order = downTheLineOrder
	}
	return slices.DeleteFunc(slices.Clone(order), func(p geometry.Point) bool {
		switch p {
		case geometry.Ball:
			// Before the strike the ball lies where it lay at address.
			return position != geometry.Address
		case geometry.LeadHeel, geometry.TrailHeel:
			// Face-on the shoe hides its own heel; at address the feet are
			// worth the attempt, because the foot flare is read there.
			return view == geometry.FaceOn && position != geometry.Address
		default:
			return false
		}
	})
}

// Where describes, for someone who marks for the first time, where on the body
// a point is and what to aim at.
func Where(p geometry.Point) string {
	return whereIs[p]
}

var whereIs = [geometry.NumPoints]string{
	geometry.Head:          "middle of the head, between the ears",
	geometry.LeadShoulder:  "middle of the shoulder joint on the target side",
	geometry.TrailShoulder: "middle of the shoulder joint away from the target",
	geometry.LeadElbow:     "middle of the elbow of the arm nearer the target",
	geometry.TrailElbow:    "middle of the elbow of the arm away from the target",
	geometry.LeadWrist:     "middle of the wrist of the hand nearer the butt of the club",
	geometry.TrailWrist:    "middle of the wrist of the lower hand",
	geometry.LeadHip:       "hip joint on the target side: the crease of the groin, a hand below the belt",
	geometry.TrailHip:      "hip joint away from the target: the crease of the groin, a hand below the belt",
	geometry.LeadKnee:      "middle of the knee on the target side",
	geometry.TrailKnee:     "middle of the knee away from the target",
	geometry.LeadAnkle:     "middle of the ankle on the target side, at the ankle bones",
	geometry.TrailAnkle:    "middle of the ankle away from the target, at the ankle bones",
	geometry.LeadHeel:      "back end of the sole of the shoe on the target side",
	geometry.TrailHeel:     "back end of the sole of the shoe away from the target",
	geometry.LeadToe:       "front end of the sole of the shoe on the target side",
	geometry.TrailToe:      "front end of the sole of the shoe away from the target",
	geometry.Buckle:        "front centre of the belt",
	geometry.Tailbone:      "rear centre of the belt",
	geometry.Breastbone:    "front centre of the chest, at the height of the arm pits",
	geometry.UpperBack:     "centre of the back, at the height of the arm pits",
	geometry.Grip:          "butt end of the club",
	geometry.Clubhead:      "middle of the clubhead",
	geometry.Ball:          "middle of the ball",
}
