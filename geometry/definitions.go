package geometry

// Two measures of one name need not be of one thing. What each is, therefore, is fixed by four
// facts that the table states: the landmarks, the plane or the space the angle is taken in, what
// it is counted from, and which way is positive. The function beside is the definition for the
// program; the text is it for the coach, and tests hold the one against the other on a golfer of
// known posture (golfer.Model.Measures, written from the text alone).
// Definition says what a measure is.
type Definition struct {
	Name       string
	Definition string // landmarks, plane and reference, in one line
	Positive   string // what a positive value means
	Unit       Unit
	Source     string
	// Group is where the measure stands on the sheet when it is tied to one
	// position; measures of several positions are grouped by GroupOf.
	Group Group
	// Positions lists the positions the measure applies to; nil means every
	// position, also a coach's own.
	Positions []PositionName
	// SinceAddress says that the value is a change since address; such a
	// measure does not apply to the address itself.
	SinceAddress bool

	// Needs are what must be marked, all of them. None may be changed.
	Needs []Need
	// Views lists the views in which at least one of every need's points must
	// be marked, for measures that the other views by themselves can't give.
	Views []View
	// Chain is the chain of segments that bends the measure's most probable value
	// away from its mean where one picture leaves depth open.
	Chain Chain
	// OpenSigma is the standard deviation, in Unit, from which on the marks are
	// said to leave the value OpenSigma: it is then no better known than it is of
	// any golfer.
	OpenSigma float64

	value func(*reader) dual
}

// Need is a set of points of which some must be marked for a measure.
//
// Least of n points are enough where the others only sharpen the number, as the belt does a turn
// that two hips define; where a formula reads a point, it is needed. A point at a position counts
// as marked in whichever clip it is, unless Views asks for a certain one.
type Need struct {
	Points []Point
	Least  int    // how many of them
	Slots  []Slot // at each of these
	Text   string // what to mark, for the coach
}

// Chain names a group of segments.
//
// A chain's middle joint lies off the line of its ends, by an amount that one picture leaves open
// when it is toward the camera. Of the measures that hang on it the mean differs from the most
// probable value (bundle/skew.go of package fit).
type Chain uint8

// The chains. The zero value is none.
const (
	NoChain Chain = iota
	LegChain
	ShoulderChain
	HandChain
	NumChains
)

// GroupOf says in which part of the sheet the measures of a position stand.
func GroupOf(p PositionName) Group {
	switch p {
	case Address:
		return SetUp
	case Delivery:
		return Downswing
	case Impact, Finish:
		return Strike
	default:
		return Backswing
	}
}

// Covered reports whether a swing has every position the measure reads: slots
// holds the index of the position in each slot, −1 for none.
//
// A measure that reads the address can't be had of a swing without one, whatever is marked:
// that is told apart from what is not marked yet (Missing).
func (d *Definition) Covered(slots [NumSlots]int) bool {
	for _, n := range d.Needs {
		for _, slot := range n.Slots {
			if slots[slot] < 0 {
				return false
			}
		}
	}
	return true
}

// Measure returns the measure with a value at a position, and the 95 % interval
// of a normal distribution with standard deviation sigma.
//
// sigma is one standard deviation in Unit. Values are as they are computed; rounding is for whoever
// prints them.
func (d *Definition) Measure(pos PositionName, v, sigma float64, method string) Measure {
	g := d.Group
	if g == "" {
		g = GroupOf(pos)
	}
	return Measure{Name: d.Name, Position: pos, Definition: d.Definition, Group: g, Unit: d.Unit,
		Value: v, Sigma: sigma, Low95: v - Z95*sigma, High95: v + Z95*sigma, Method: method}
}

// AppliesTo reports whether the measure is given at a position.
//
// A change since address is zero at the address by definition and not by measurement, and so is
// none there. Positions of a coach's own have all measures that are not tied to key positions.
func (d *Definition) AppliesTo(p PositionName) bool {
	if d.SinceAddress && p == Address {
		return false
	}
	if d.Positions == nil {
		return true
	}
	for _, q := range d.Positions {
		if q == p {
			return true
		}
	}
	return false
}

var (
	slotsHere = []Slot{Here}
	slotsBoth = []Slot{Here, AtAddress}
)

var (
	viewsFaceOn      = []View{FaceOn}
	viewsDownTheLine = []View{DownTheLine}
	viewsBoth        = []View{FaceOn, DownTheLine}
)

func needPelvis(slots []Slot) Need {
	return Need{[]Point{LeadHip, TrailHip, Buckle, Tailbone}, 2, slots, "both hips (the buckle and the tailbone sharpen it)"}
}

func needTorso(slots []Slot) Need {
	return Need{[]Point{LeadShoulder, TrailShoulder, Breastbone, UpperBack}, 2, slots, "both shoulders (the breastbone and the upper back sharpen it)"}
}

func needHips(slots []Slot) Need {
	return Need{[]Point{LeadHip, TrailHip}, 2, slots, "both hips"}
}

func needShoulders(slots []Slot) Need {
	return Need{[]Point{LeadShoulder, TrailShoulder}, 2, slots, "both shoulders"}
}

func needPoints(slots []Slot, text string, pts ...Point) Need {
	return Need{pts, len(pts), slots, text}
}

func needLeg(hip Point) Need {
	side := hip - LeadHip
	return needPoints(slotsHere, "the "+hip.Side().name()+" hip, knee and ankle", hip, LeadKnee+side, LeadAnkle+side)
}

func (s Side) name() string {
	if s == Lead {
		return "lead"
	}
	return "trail"
}

// AwayFromTarget is what a positive turn means.
const AwayFromTarget = "away from the target"

const (
	ownSource  = "this program's definition"
	planeFront = "frontal plane (target line and vertical)"
)

// definitions is the table of all measures, in the order of the sheet.
//
// OpenSigma of each is about what a golfer of whom nothing but the usual is known would have
// (this project's own; no source): an interval as wide says nothing of this one. Sources named are those of the definition; where it is
// "this program's definition" a handbook has no such measure, or several.
var definitions = buildDefinitions()

// Definitions returns every measure the program knows, in the order of the
// sheet. "tempo", "backswing time" and "downswing time" are among them.
func Definitions() []Definition {
	out := make([]Definition, 0, len(definitions)+len(tempoDefinitions))
	for _, d := range definitions {
		d.Positions = append([]PositionName(nil), d.Positions...)
		out = append(out, d)
	}
	return append(out, tempoDefinitions...)
}

// DefinitionsAt returns the measures, but for those of tempo, that are given at a
// position, in the order of the sheet. What they point to must not be changed.
func DefinitionsAt(p PositionName) []*Definition {
	var out []*Definition
	for i := range definitions {
		if definitions[i].AppliesTo(p) {
			out = append(out, &definitions[i])
		}
	}
	return out
}

// DefinitionOf finds a measure, but for those of tempo, by name; nil where there
// is none. What it points to must not be changed.
func DefinitionOf(name string) *Definition {
	for i := range definitions {
		if definitions[i].Name == name {
			return &definitions[i]
		}
	}
	return nil
}

func buildDefinitions() []Definition {
	d := []Definition{
		{Name: "pelvis turn", Definition: "heading in the ground plane of the line trail hip to lead hip, since address",
			Positive: AwayFromTarget, Unit: Degrees, SinceAddress: true, value: pelvisTurn, OpenSigma: 20,
			Source: "horizontal-plane angle of the medio-lateral axis: Baker 2001, Gait Posture 13:1", Needs: []Need{needPelvis(slotsBoth)}},
		{Name: "torso turn", Definition: "heading in the ground plane of the line trail shoulder to lead shoulder, since address",
			Positive: AwayFromTarget, Unit: Degrees, SinceAddress: true, value: torsoTurn, Chain: ShoulderChain, OpenSigma: 20,
			Source: "as pelvis turn, with the shoulder line", Needs: []Need{needTorso(slotsBoth)}},
		{Name: "separation", Definition: "torso turn minus pelvis turn at the same instant, both in the ground plane since address",
			Positive: "torso turned further away", Unit: Degrees, SinceAddress: true, value: separation, Chain: ShoulderChain, OpenSigma: 20,
			Source: "difference of turns: McTeigue et al. 1994", Needs: []Need{needPelvis(slotsBoth), needTorso(slotsBoth)}},
		{Name: "pelvis turn about its own axis", Definition: "rotation of the pelvis about its own long axis since address (order: forward tilt, side tilt, turn; long axis square to the hip line and to tailbone-buckle)",
			Positive: AwayFromTarget, Unit: Degrees, SinceAddress: true, value: pelvisTurnOwn, OpenSigma: 20,
			Source: "Grood & Suntay 1983, J Biomech Eng 105:136; axes after Wu et al. 2002",
			Needs:  []Need{needPelvis(slotsBoth), {[]Point{Buckle, Tailbone}, 1, slotsBoth, "the buckle or the tailbone"}}},
		{Name: "torso turn about the spine", Definition: "rotation of the shoulder line about the line mid-hip to mid-shoulder since address (order: forward bend, side bend, turn)",
			Positive: AwayFromTarget, Unit: Degrees, SinceAddress: true, value: torsoTurnOwn, Chain: ShoulderChain, OpenSigma: 20,
			Source: "Grood & Suntay 1983, J Biomech Eng 105:136; order after Wu et al. 2005",
			Needs:  []Need{needTorso(slotsBoth), needHips(slotsBoth)}},
		{Name: "pelvis tilt", Definition: "slope of the line trail hip to lead hip against the horizontal",
			Positive: "trail side lower", Unit: Degrees, value: pelvisTilt, OpenSigma: 10,
			Source: "obliquity, clinical order: Baker 2001, Gait Posture 13:1", Needs: []Need{needHips(slotsHere)}},
		{Name: "torso side bend", Definition: "slope of the line mid-hip to mid-shoulder against the vertical in the " + planeFront,
			Positive: "toward the trail side", Unit: Degrees, value: torsoSideBend, OpenSigma: 8,
			Source: ownSource, Needs: []Need{needHips(slotsHere), needShoulders(slotsHere)}, Views: viewsFaceOn},
		{Name: "forward bend", Definition: "angle of the line mid-hip to mid-shoulder from the vertical in the sagittal plane (ball line and vertical)",
			Positive: "toward the ball", Unit: Degrees, value: forwardBend, OpenSigma: 9,
			Source: ownSource, Needs: []Need{needHips(slotsHere), needShoulders(slotsHere)}},
	}
	for _, hip := range [2]Point{LeadHip, TrailHip} {
		d = append(d, legDefinitions(hip)...)
	}
	d = append(d, footDefinitions()...)
	d = append(d, travelDefinitions()...)
	return append(d, clubDefinitions()...)
}

// The finish is left out of what is seen against the ankle-knee line: the trail foot stands on
// its toe there, and the line is no support.
func legDefinitions(hip Point) []Definition {
	s := hip.Side().name()
	source := "this program's definition; back of the knee: the knee moved back by half the knee depth (0.068 of stature)"
	var body []PositionName
	for _, p := range KeyPositions {
		if p != Finish {
			body = append(body, p)
		}
	}
	line := "sagittal plane: hip against the straight line through the ankle and the back of the knee, " + s + " leg"
	return []Definition{
		{Name: s + " knee flex", Definition: "180 degrees minus the angle hip-knee-ankle in space, " + s + " leg",
			Positive: "bent", Unit: Degrees, value: kneeFlex(hip), Chain: LegChain, OpenSigma: 12, Source: ownSource, Needs: []Need{needLeg(hip)}},
		{Name: s + " hip offset from the ankle-knee line", Definition: "distance, in the " + line, Positive: "hip behind the line", Unit: Centimetres,
			value: legOffset(hip), Chain: LegChain, OpenSigma: 8, Source: source, Positions: body, Needs: []Need{needLeg(hip)}},
		{Name: s + " hip offset from the ankle-knee line over shank", Definition: "distance divided by the length knee to ankle, in the " + line, Positive: "hip behind the line", Unit: Ratio,
			value: legOffsetOverShank(hip), Chain: LegChain, OpenSigma: 0.2, Source: source, Positions: body, Needs: []Need{needLeg(hip)}},
		{Name: s + " hip angle from the ankle-knee line", Definition: "angle at the back of the knee, in the " + line, Positive: "hip behind the line", Unit: Degrees,
			value: legAngle(hip), Chain: LegChain, OpenSigma: 12, Source: source, Positions: body, Needs: []Need{needLeg(hip)}},
	}
}

func footDefinitions() []Definition {
	var d []Definition
	address := []PositionName{Address}
	heelToe := func(heel Point) Need {
		return needPoints(slotsHere, "the "+heel.Side().name()+" heel and toe", heel, heel+LeadToe-LeadHeel)
	}
	for _, heel := range [2]Point{LeadHeel, TrailHeel} {
		d = append(d, Definition{Name: heel.Side().name() + " foot flare",
			Definition: "angle in the ground plane between heel to toe and the perpendicular to the target line",
			Positive:   "toe away from the other foot", Unit: Degrees, value: footFlare(heel), OpenSigma: 9,
			Source: ownSource, Group: SetUp, Positions: address, Needs: []Need{heelToe(heel)}, Views: viewsFaceOn})
	}
	heels := needPoints(slotsHere, "both heels", LeadHeel, TrailHeel)
	return append(d,
		Definition{Name: "stance width", Definition: "distance of the heels in the ground plane", Positive: "wider", Unit: Centimetres,
			value: stanceWidth, OpenSigma: 8, Source: ownSource, Group: SetUp, Positions: address, Needs: []Need{heels}},
		Definition{Name: "stance width over shoulder breadth", Definition: "distance of the heels in the ground plane divided by the distance of the shoulders in space",
			Positive: "wider", Unit: Ratio, value: stanceOverShoulders, OpenSigma: 0.3,
			Source: ownSource, Group: SetUp, Positions: address, Needs: []Need{heels, needShoulders(slotsHere)}},
		Definition{Name: "balance", Definition: "whole-body centre of mass over the ground, per cent of the foot's length from the heel, mean of both feet",
			Positive: "toward the toes", Unit: Percent, value: balance, OpenSigma: 12,
			Source: "segment masses: de Leva 1996, J Biomech 29:1223", Group: SetUp, Positions: address,
			Needs: []Need{heelToe(LeadHeel), heelToe(TrailHeel), needHips(slotsHere), needShoulders(slotsHere),
				needPoints(slotsHere, "both knees", LeadKnee, TrailKnee)}, Views: viewsBoth})
}

// Displacements are of the world's axes and not of the golfer's own: a golfer who stands open to
// the target line sways along that line all the same.
func travelDefinitions() []Definition {
	var d []Definition
	words := [3]string{"to target", "up", "to ball"}
	axes := [3]string{"along the target line", "vertically", "along the ball line"}
	positive := [3]string{"toward the target", "up", "toward the ball"}
	for i, name := range [3]string{"sway", "pelvis height change", "pelvis toward the ball"} {
		d = append(d, Definition{Name: name, Definition: "displacement of the middle of the hips " + axes[i] + ", since address",
			Positive: positive[i], Unit: Centimetres, SinceAddress: true, value: hipTravel(i), OpenSigma: 8,
			Source: ownSource, Needs: []Need{needHips(slotsBoth)}})
	}
	for _, p := range [2]Point{Head, LeadKnee} {
		for i, w := range words {
			d = append(d, Definition{Name: p.String() + " travel " + w, Definition: "displacement of the " + p.String() + " " + axes[i] + ", since address",
				Positive: positive[i], Unit: Centimetres, SinceAddress: true, value: pointTravel(p, i), OpenSigma: 8,
				Source: ownSource, Needs: []Need{needPoints(slotsBoth, "the "+p.String(), p)}})
		}
	}
	return d
}

// Of the club two points are marked, so that of its face, its loft and its lie nothing is known.
// The plane contains the target direction by definition, whichever way the shaft points at
// address: seen down the line it is one line, and that is what a coach sees.
func clubDefinitions() []Definition {
	shaft := needPoints([]Slot{AtAddress}, "the grip and the clubhead", Grip, Clubhead)
	head := needPoints(slotsHere, "the clubhead", Clubhead)
	return []Definition{
		{Name: "shaft plane", Definition: "inclination to the ground of the plane through the shaft at address and the target direction",
			Positive: "steeper", Unit: Degrees, value: shaftPlane, Chain: HandChain, OpenSigma: 8, Source: ownSource, Group: SetUp,
			Positions: []PositionName{Address}, Needs: []Need{shaft}, Views: viewsDownTheLine},
		{Name: "club above plane", Definition: "distance of the clubhead from the address shaft plane",
			Positive: "above", Unit: Centimetres, value: clubAbovePlane, OpenSigma: 25, Source: ownSource,
			Positions: []PositionName{ClubLevelBack, LeadArmLevel, Delivery}, SinceAddress: true, Needs: []Need{shaft, head}, Views: viewsBoth},
		{Name: "plane change", Definition: "from club level back to delivery, angle seen along the target line of the clubhead about its place at address",
			Positive: "above on the way down", Unit: Degrees, value: planeChange, OpenSigma: 12, Source: ownSource, Group: Downswing,
			Positions: []PositionName{Delivery}, SinceAddress: true,
			Needs: []Need{needPoints([]Slot{Here, Before, AtAddress}, "the clubhead", Clubhead)}, Views: viewsDownTheLine},
		{Name: "lead arm height", Definition: "angle to the horizontal of the line lead shoulder to lead wrist at the top",
			Positive: "wrist above the shoulder", Unit: Degrees, value: leadArmHeight, OpenSigma: 12, Source: ownSource, Group: Backswing,
			Positions: []PositionName{Top}, Needs: []Need{needPoints(slotsHere, "the lead shoulder and the lead wrist", LeadShoulder, LeadWrist)}, Views: viewsBoth},
		{Name: "shaft angle at the top", Definition: "angle to the horizontal of the shaft, grip to clubhead, at the top",
			Positive: "clubhead above the grip, short of level", Unit: Degrees, value: shaftAngle, OpenSigma: 15, Source: ownSource, Group: Backswing,
			Positions: []PositionName{Top}, Needs: []Need{needPoints(slotsHere, "the grip and the clubhead", Grip, Clubhead)}, Views: viewsBoth},
	}
}
