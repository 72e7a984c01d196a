package manual

import (
	"strings"
	"sync"

	"turngauge/annotations/shots"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// plain says in a coach's words what a measure is, and by what else it is called: the
// side of the body is put in front where a measure has one.
var plain = map[string][2]string{
	"pelvis turn":                         {"How far the hips have turned since address, seen from above.", "hip hips rotate rotation coil open closed"},
	"torso turn":                          {"How far the shoulders have turned since address, seen from above.", "shoulder shoulders chest upper body rotate rotation coil open closed"},
	"separation":                          {"How much farther the shoulders have turned than the hips.", "stretch coil difference hip shoulder between"},
	"pelvis turn about its own axis":      {"The turn of the hips without what their tilt adds to it.", "hip rotate rotation true"},
	"torso turn about the spine":          {"The turn of the shoulders about the leaning spine: what a golfer feels as a full turn.", "shoulder rotate rotation coil true"},
	"pelvis tilt":                         {"How much lower one hip is than the other.", "hip slope side higher lower level"},
	"torso side bend":                     {"How far the upper body leans to one side, seen face-on.", "lean spine tilt shoulder upper body away behind"},
	"forward bend":                        {"How far the upper body bends over the ball, seen down the line.", "posture lean spine angle hip stoop upright"},
	"stance width":                        {"How far apart the heels stand.", "feet foot wide narrow"},
	"stance width over shoulder breadth":  {"How wide the feet stand beside how broad the shoulders are: 1 is shoulder width.", "feet foot wide narrow stance"},
	"balance":                             {"Where the weight stands over the feet at address, between heel and toe.", "weight pressure toes heels centre mass"},
	"sway":                                {"How far the hips have moved toward the target, or away from it.", "hip slide shift sideways lateral weight"},
	"pelvis height change":                {"How far the hips have come up, or gone down.", "hip rise dip squat jump stand up lower early"},
	"pelvis toward the ball":              {"How far the hips have come toward the ball, or away from it.", "hip posture stand up loss early in room"},
	"head travel to target":               {"How far the head has moved toward the target, or away from it.", "head still move sideways sway steady"},
	"head travel up":                      {"How far the head has come up, or gone down.", "head still move lift dip rise drop steady"},
	"head travel to ball":                 {"How far the head has come toward the ball, or away from it.", "head still move steady"},
	"lead knee travel to target":          {"How far the lead knee has moved toward the target, or away from it.", "knees left front"},
	"lead knee travel up":                 {"How far the lead knee has come up, or gone down.", "knees left front"},
	"lead knee travel to ball":            {"How far the lead knee has come toward the ball, or away from it.", "knees left front"},
	"shaft plane":                         {"How steep the shaft stands at address, seen down the line.", "club lie steep flat swing"},
	"club above plane":                    {"How far the clubhead is above or below the line of the shaft at address.", "over top under steep shallow swing inside outside shaft"},
	"plane change":                        {"Whether the club comes down steeper or flatter than it went up.", "over top steep shallow swing shaft flatten down"},
	"lead arm height":                     {"How high the lead arm is at the top of the swing.", "arms left front backswing steep flat hands"},
	"shaft angle at the top":              {"How far short of level the shaft is at the top of the swing, or past it.", "club long backswing overswing parallel short"},
	"tempo":                               {"How many times as long the backswing takes as the downswing.", "rhythm timing speed fast slow quick ratio"},
	"backswing time":                      {"How long it takes from the first move to the top.", "rhythm timing speed fast slow quick tempo seconds"},
	"downswing time":                      {"How long it takes from the top to the strike.", "rhythm timing speed fast slow quick tempo seconds"},
	"knee flex":                           {"How much the knee is bent.", "knees bend straight leg legs"},
	"hip offset from the ankle-knee line": {"How far the hip is behind the straight line from the ankle through the back of the knee, seen down the line.", "knees leg legs sit seat posture"},
	"hip offset from the ankle-knee line over shank": {"The same hip offset, as a part of the lower leg, so that tall and small golfers compare.", "knees leg legs sit seat posture"},
	"hip angle from the ankle-knee line":             {"The same hip offset, as an angle at the back of the knee.", "knees leg legs sit seat posture"},
	"foot flare":                                     {"How far the toes point outward.", "feet turned out square toe duck"},
}

// plainOf is what is known of a measure's plain meaning; that of a side is said of
// both.
func plainOf(name string) (text, asked string, ok bool) {
	p, ok := plain[name]
	if ok {
		return p[0], p[1], true
	}
	side, rest, _ := strings.Cut(name, " ")
	if p, ok = plain[rest]; ok {
		p[1] += map[string]string{"lead": " left front target", "trail": " right back rear"}[side]
	}
	return p[0], p[1], ok
}

// positions say what is to be seen at a key position.
var positions = map[geometry.PositionName][2]string{
	geometry.Address:       {"The last moment before the club moves.", "set-up setup start begin stance"},
	geometry.ClubLevelBack: {"The shaft is level for the first time, on the way back.", "takeaway halfway shaft parallel backswing"},
	geometry.LeadArmLevel:  {"The lead arm is level, on the way up.", "halfway backswing left arm parallel"},
	geometry.Top:           {"The club turns round: the backswing ends.", "backswing end transition highest"},
	geometry.Delivery:      {"The shaft is level on the way down.", "downswing halfway shaft parallel"},
	geometry.Impact:        {"The club meets the ball.", "strike hit contact ball"},
	geometry.Finish:        {"The swing has come to rest.", "end follow through"},
}

// verdictLabels say how a number stands to its target range.
var verdictLabels = []struct {
	verdict draw.Verdict
	text    string
}{
	{draw.Within, "The number lies in its target range, as surely as you ask for: a filled dot."},
	{draw.Below, "The number lies below its target range: a triangle that points down."},
	{draw.Above, "The number lies above its target range: a triangle that points up."},
	{draw.NotBelow, "The number is not below its target range; whether it is within or above is open: a ring on a bar."},
	{draw.NotAbove, "The number is not above its target range; whether it is within or below is open: a ring under a bar."},
	{draw.CantTell, "With these marks it can't be said where the number lies: a ring. The row's card says what would decide it."},
}

// readings say what a reading of a shot is.
var readings = map[shots.Reading][2]string{
	shots.ClubPath:     {"Where the clubhead travels at impact, against the target line.", "swing direction in-to-out out-to-in inside outside slice hook"},
	shots.FaceToPath:   {"Where the face points at impact, against the path: what makes the ball curve.", "clubface open closed curve slice hook draw fade"},
	shots.StartLine:    {"Where the ball sets off, against the target line.", "start push pull left right direction"},
	shots.StrikeAcross: {"Where on the face the ball was struck, toward the toe or the heel.", "contact toe heel shank centre"},
	shots.StrikeUp:     {"Where on the face the ball was struck, up or down.", "contact thin fat top high low"},
	shots.Carry:        {"How far the ball flies before it lands.", "distance length yards metres"},
	shots.Offline:      {"How far from the target line the ball comes down.", "dispersion left right miss accuracy"},
	shots.ClubSpeed:    {"How fast the clubhead moves at impact.", "swing speed power fast"},
	shots.BallSpeed:    {"How fast the ball leaves the face.", "power fast"},
	shots.LaunchAngle:  {"How steeply the ball sets off.", "height flight high low trajectory"},
	shots.DynamicLoft:  {"How far the face leans back at impact.", "dynamic delivered deloft"},
	shots.AttackAngle:  {"Whether the clubhead moves up or down at impact.", "attack steep shallow divot descending"},
	shots.BackSpin:     {"How fast the ball turns backward.", "spin rate rpm"},
	shots.SpinAxis:     {"How far the axis of the spin leans: which way the ball curves, and how much.", "spin axis curve slice hook draw fade"},
}

// Labels are all labels that can be looked up, measures first.
var Labels = sync.OnceValue(func() []Label {
	var out []Label
	for _, d := range geometry.Definitions() {
		text, asked, _ := plainOf(d.Name)
		out = append(out, Label{Kind: measureKind, Name: d.Name, Plain: text, Exact: d.Definition, Positive: d.Positive, Source: d.Source,
			asked: asked, picture: measurePicture(d.Name)})
	}
	for _, p := range geometry.KeyPositions {
		out = append(out, Label{Kind: positionKind, Name: string(p), Plain: positions[p][0], asked: positions[p][1], picture: positionPicture(p)})
	}
	for p := range geometry.Point(geometry.NumPoints) {
		out = append(out, Label{Kind: pointKind, Name: p.String(), Plain: bench.Title(bench.Where(p)) + ".", asked: "mark joint place", picture: pointPicture(p)})
	}
	for _, v := range verdictLabels {
		out = append(out, Label{Kind: verdictKind, Name: v.verdict.String(), Plain: v.text, asked: "dot ring triangle colour target range green blue", picture: verdictPicture(v.verdict)})
	}
	for _, r := range shots.Readings {
		out = append(out, Label{Kind: shotKind, Name: string(r.Name), Plain: readings[r.Name][0], Positive: r.Positive, asked: readings[r.Name][1] + " ball shot", picture: shotPicture(r.Name)})
	}
	return append(out, words...)
})

// words are those of the window that are names of nothing measured.
var words = []Label{
	{Kind: wordKind, Name: "interval", Plain: "The ± behind a number: the true value lies between the number less that and the number more that, 95 times of 100.",
		asked: "plus minus ± error accuracy sure exact confidence 95 certain", picture: verdictPicture(draw.Within)},
	{Kind: wordKind, Name: "target range", Plain: "From where to where a number is to lie, as you chose it: the band behind the dot. Ctrl+T shows them all, with their sources.",
		asked: "band goal ideal normal tour good ranges", picture: verdictPicture(draw.Within)},
	{Kind: wordKind, Name: "open and closed", Plain: "A turn toward the target is open, one away from it closed; so it reads alike for left-handers. At the top a turn away from the target stands without a word.",
		asked: "sign minus negative left right turn hips shoulders", picture: measurePicture("pelvis turn")},
	{Kind: wordKind, Name: "lead and trail", Plain: "The lead side is the one nearer the target at address: the left of a right-hander, the right of a left-hander. Lines of the lead side are drawn solid, those of the trail side dashed.",
		asked: "left right side front back rear solid dashed", picture: pointPicture(geometry.LeadHip)},
	{Kind: wordKind, Name: "face-on and down the line", Plain: "The two views: face-on looks at the golfer's front, down the line from behind the hands at the target.",
		asked: "view views camera phone film behind front", picture: filming},
	{Kind: wordKind, Name: "ankle-knee line", Plain: "The straight line from the ankle through the back of the knee, and on; down the line the hip is seen before it or behind it.",
		asked: "leg legs line explain hip", picture: measurePicture("lead hip offset from the ankle-knee line")},
	{Kind: wordKind, Name: "likely, very likely, virtually certain", Plain: "How surely a verdict is true: likely from 66 %, very likely from 90 %, virtually certain from 99 %.",
		asked: "sure probability percent certain", picture: verdictPicture(draw.Within)},
	{Kind: wordKind, Name: "visit", Plain: "The swings of one lesson together: the sheet shows their means, with how far the student's own swings differ counted in.",
		asked: "several swings mean average lesson", picture: measurePicture("tempo")},
}
