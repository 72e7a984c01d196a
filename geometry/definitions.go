package geometry

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

	needs []need
	// views lists the views in which at least one of every need's points must
	// be marked, for measures that the other views by themselves can't give.
	views []View
	value func(*reader) dual
	chain chain // see towardMean
	// open is the standard deviation, in Unit, from which on the marks are
	// said to leave the value open: it is then no better known than it is of
	// any golfer.
	open float64
}

// need is a set of points of which some must be marked for a measure.
type need struct {
	points []Point
	least  int
	slots  []int
	text   string // what to mark, for the coach
}

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

// appliesTo reports whether the measure is given at a position.
func (d *Definition) appliesTo(p PositionName) bool {
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
	slotsHere = []int{here}
	slotsBoth = []int{here, atAddress}
)

var (
	viewsFaceOn      = []View{FaceOn}
	viewsDownTheLine = []View{DownTheLine}
	viewsBoth        = []View{FaceOn, DownTheLine}
)

func needPelvis(slots []int) need {
	return need{[]Point{LeadHip, TrailHip, Buckle, Tailbone}, 2, slots, "both hips (the buckle and the tailbone sharpen it)"}
}

func needTorso(slots []int) need {
	return need{[]Point{LeadShoulder, TrailShoulder, Breastbone, UpperBack}, 2, slots, "both shoulders (the breastbone and the upper back sharpen it)"}
}

func needHips(slots []int) need {
	return need{[]Point{LeadHip, TrailHip}, 2, slots, "both hips"}
}

func needShoulders(slots []int) need {
	return need{[]Point{LeadShoulder, TrailShoulder}, 2, slots, "both shoulders"}
}

func needPoints(slots []int, text string, pts ...Point) need {
	return need{pts, len(pts), slots, text}
}

func needLeg(hip Point) need {
	side := hip - LeadHip
	return needPoints(slotsHere, "the "+hip.Side().name()+" hip, knee and ankle", hip, LeadKnee+side, LeadAnkle+side)
}

func (s Side) name() string {
	if s == Lead {
		return "lead"
	}
	return "trail"
}

const (
	awayText   = "away from the target"
	ownSource  = "this program's definition"
	planeFront = "frontal plane (target line and vertical)"
)

// definitions is the table of all measures, in the order of the sheet.
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

// definitionOf finds a measure by name.
func definitionOf(name string) *Definition {
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
			Positive: awayText, Unit: Degrees, SinceAddress: true, value: pelvisTurn, open: 20,
			Source: "horizontal-plane angle of the medio-lateral axis: Baker 2001, Gait Posture 13:1", needs: []need{needPelvis(slotsBoth)}},
		{Name: "torso turn", Definition: "heading in the ground plane of the line trail shoulder to lead shoulder, since address",
			Positive: awayText, Unit: Degrees, SinceAddress: true, value: torsoTurn, chain: shoulderChain, open: 20,
			Source: "as pelvis turn, with the shoulder line", needs: []need{needTorso(slotsBoth)}},
		{Name: "separation", Definition: "torso turn minus pelvis turn at the same instant, both in the ground plane since address",
			Positive: "torso turned further away", Unit: Degrees, SinceAddress: true, value: separation, chain: shoulderChain, open: 20,
			Source: "difference of turns: McTeigue et al. 1994", needs: []need{needPelvis(slotsBoth), needTorso(slotsBoth)}},
		{Name: "pelvis turn about its own axis", Definition: "rotation of the pelvis about its own long axis since address (order: forward tilt, side tilt, turn; long axis square to the hip line and to tailbone-buckle)",
			Positive: awayText, Unit: Degrees, SinceAddress: true, value: pelvisTurnOwn, open: 20,
			Source: "Grood & Suntay 1983, J Biomech Eng 105:136; axes after Wu et al. 2002",
			needs:  []need{needPelvis(slotsBoth), {[]Point{Buckle, Tailbone}, 1, slotsBoth, "the buckle or the tailbone"}}},
		{Name: "torso turn about the spine", Definition: "rotation of the shoulder line about the line mid-hip to mid-shoulder since address (order: forward bend, side bend, turn)",
			Positive: awayText, Unit: Degrees, SinceAddress: true, value: torsoTurnOwn, chain: shoulderChain, open: 20,
			Source: "Grood & Suntay 1983, J Biomech Eng 105:136; order after Wu et al. 2005",
			needs:  []need{needTorso(slotsBoth), needHips(slotsBoth)}},
		{Name: "pelvis tilt", Definition: "slope of the line trail hip to lead hip against the horizontal",
			Positive: "trail side lower", Unit: Degrees, value: pelvisTilt, open: 10,
			Source: "obliquity, clinical order: Baker 2001, Gait Posture 13:1", needs: []need{needHips(slotsHere)}},
		{Name: "torso side bend", Definition: "slope of the line mid-hip to mid-shoulder against the vertical in the " + planeFront,
			Positive: "toward the trail side", Unit: Degrees, value: torsoSideBend, open: 8,
			Source: ownSource, needs: []need{needHips(slotsHere), needShoulders(slotsHere)}, views: viewsFaceOn},
		{Name: "forward bend", Definition: "angle of the line mid-hip to mid-shoulder from the vertical in the sagittal plane (ball line and vertical)",
			Positive: "toward the ball", Unit: Degrees, value: forwardBend, open: 9,
			Source: ownSource, needs: []need{needHips(slotsHere), needShoulders(slotsHere)}},
	}
	for _, hip := range [2]Point{LeadHip, TrailHip} {
		d = append(d, legDefinitions(hip)...)
	}
	d = append(d, footDefinitions()...)
	d = append(d, travelDefinitions()...)
	return append(d, clubDefinitions()...)
}

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
			Positive: "bent", Unit: Degrees, value: kneeFlex(hip), chain: legChain, open: 12, Source: ownSource, needs: []need{needLeg(hip)}},
		{Name: s + " leg line offset", Definition: "distance, in the " + line, Positive: "hip behind the line", Unit: Centimetres,
			value: legOffset(hip), chain: legChain, open: 8, Source: source, Positions: body, needs: []need{needLeg(hip)}},
		{Name: s + " leg line offset over shank", Definition: "distance divided by the length knee to ankle, in the " + line, Positive: "hip behind the line", Unit: Ratio,
			value: legOffsetOverShank(hip), chain: legChain, open: 0.2, Source: source, Positions: body, needs: []need{needLeg(hip)}},
		{Name: s + " leg line angle", Definition: "angle at the back of the knee, in the " + line, Positive: "hip behind the line", Unit: Degrees,
			value: legAngle(hip), chain: legChain, open: 12, Source: source, Positions: body, needs: []need{needLeg(hip)}},
	}
}

func footDefinitions() []Definition {
	var d []Definition
	address := []PositionName{Address}
	heelToe := func(heel Point) need {
		return needPoints(slotsHere, "the "+heel.Side().name()+" heel and toe", heel, heel+LeadToe-LeadHeel)
	}
	for _, heel := range [2]Point{LeadHeel, TrailHeel} {
		d = append(d, Definition{Name: heel.Side().name() + " foot flare",
			Definition: "angle in the ground plane between heel to toe and the perpendicular to the target line",
			Positive:   "toe away from the other foot", Unit: Degrees, value: footFlare(heel), open: 9,
			Source: ownSource, Group: SetUp, Positions: address, needs: []need{heelToe(heel)}, views: viewsFaceOn})
	}
	heels := needPoints(slotsHere, "both heels", LeadHeel, TrailHeel)
	return append(d,
		Definition{Name: "stance width", Definition: "distance of the heels in the ground plane", Positive: "wider", Unit: Centimetres,
			value: stanceWidth, open: 8, Source: ownSource, Group: SetUp, Positions: address, needs: []need{heels}},
		Definition{Name: "stance width over shoulder breadth", Definition: "distance of the heels in the ground plane divided by the distance of the shoulders in space",
			Positive: "wider", Unit: Ratio, value: stanceOverShoulders, open: 0.3,
			Source: ownSource, Group: SetUp, Positions: address, needs: []need{heels, needShoulders(slotsHere)}},
		Definition{Name: "balance", Definition: "whole-body centre of mass over the ground, per cent of the foot's length from the heel, mean of both feet",
			Positive: "toward the toes", Unit: Percent, value: balance, open: 12,
			Source: "segment masses: de Leva 1996, J Biomech 29:1223", Group: SetUp, Positions: address,
			needs: []need{heelToe(LeadHeel), heelToe(TrailHeel), needHips(slotsHere), needShoulders(slotsHere),
				needPoints(slotsHere, "both knees", LeadKnee, TrailKnee)}, views: viewsBoth})
}

func travelDefinitions() []Definition {
	var d []Definition
	words := [3]string{"to target", "up", "to ball"}
	axes := [3]string{"along the target line", "vertically", "along the ball line"}
	positive := [3]string{"toward the target", "up", "toward the ball"}
	for i, name := range [3]string{"sway", "lift", "thrust"} {
		d = append(d, Definition{Name: name, Definition: "displacement of the middle of the hips " + axes[i] + ", since address",
			Positive: positive[i], Unit: Centimetres, SinceAddress: true, value: hipTravel(i), open: 8,
			Source: ownSource, needs: []need{needHips(slotsBoth)}})
	}
	for _, p := range [2]Point{Head, LeadKnee} {
		for i, w := range words {
			d = append(d, Definition{Name: p.String() + " travel " + w, Definition: "displacement of the " + p.String() + " " + axes[i] + ", since address",
				Positive: positive[i], Unit: Centimetres, SinceAddress: true, value: pointTravel(p, i), open: 8,
				Source: ownSource, needs: []need{needPoints(slotsBoth, "the "+p.String(), p)}})
		}
	}
	return d
}

func clubDefinitions() []Definition {
	shaft := needPoints([]int{atAddress}, "the grip and the clubhead", Grip, Clubhead)
	head := needPoints(slotsHere, "the clubhead", Clubhead)
	return []Definition{
		{Name: "shaft plane", Definition: "inclination to the ground of the plane through the shaft at address and the target direction",
			Positive: "steeper", Unit: Degrees, value: shaftPlane, chain: handChain, open: 8, Source: ownSource, Group: SetUp,
			Positions: []PositionName{Address}, needs: []need{shaft}, views: viewsDownTheLine},
		{Name: "club above plane", Definition: "distance of the clubhead from the address shaft plane",
			Positive: "above", Unit: Centimetres, value: clubAbovePlane, open: 25, Source: ownSource,
			Positions: []PositionName{ClubLevelBack, LeadArmLevel, Delivery}, SinceAddress: true, needs: []need{shaft, head}, views: viewsBoth},
		{Name: "plane change", Definition: "from club level back to delivery, angle seen along the target line of the clubhead about its place at address",
			Positive: "above on the way down", Unit: Degrees, value: planeChange, open: 12, Source: ownSource, Group: Downswing,
			Positions: []PositionName{Delivery}, SinceAddress: true,
			needs: []need{needPoints([]int{here, before, atAddress}, "the clubhead", Clubhead)}, views: viewsDownTheLine},
		{Name: "lead arm height", Definition: "angle to the horizontal of the line lead shoulder to lead wrist at the top",
			Positive: "wrist above the shoulder", Unit: Degrees, value: leadArmHeight, open: 12, Source: ownSource, Group: Backswing,
			Positions: []PositionName{Top}, needs: []need{needPoints(slotsHere, "the lead shoulder and the lead wrist", LeadShoulder, LeadWrist)}, views: viewsBoth},
		{Name: "shaft angle at the top", Definition: "angle to the horizontal of the shaft, grip to clubhead, at the top",
			Positive: "clubhead above the grip, short of level", Unit: Degrees, value: shaftAngle, open: 15, Source: ownSource, Group: Backswing,
			Positions: []PositionName{Top}, needs: []need{needPoints(slotsHere, "the grip and the clubhead", Grip, Clubhead)}, views: viewsBoth},
	}
}
