package annotations

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// ClubGroup is a group of clubs that share a target range.
type ClubGroup string

// The club groups. Woods and hybrids have no default of their own.
const (
	AnyClub   ClubGroup = ""
	Driver    ClubGroup = "driver"
	MidIron   ClubGroup = "mid-iron"   // 3-iron to 8-iron
	ShortIron ClubGroup = "short iron" // 9-iron and wedges
)

// Group returns the group of a club by its name, or AnyClub where the name
// says nothing.
func (c Club) Group() ClubGroup {
	name := strings.ToLower(strings.NewReplacer("-", " ", "_", " ").Replace(c.Name))
	words := strings.Fields(name)
	has := func(w string) bool {
		for _, x := range words {
			if x == w {
				return true
			}
		}
		return false
	}
	switch {
	case has("driver"):
		return Driver
	case has("wedge"), has("pw"), has("gw"), has("aw"), has("sw"), has("lw"):
		return ShortIron
	case has("wood"), has("hybrid"), has("putter"):
		return AnyClub
	}
	for n := 3; n <= 9; n++ {
		if has(fmt.Sprintf("%di", n)) || has(fmt.Sprint(n)) && has("iron") {
			if n == 9 {
				return ShortIron
			}
			return MidIron
		}
	}
	return AnyClub
}

// Target is a target range of one measure. An infinite end is open.
type Target struct {
	Measure  string                // name as in geometry.Definitions
	Position geometry.PositionName // "" for every position
	Clubs    ClubGroup             // AnyClub for all
	Sex      geometry.Sex          // SexUnset for both
	Range    geometry.Range        // in the measure's own unit
	Source   string                // where the range comes from, or that it has no source
}

// Targets is a list of target ranges.
type Targets []Target

// Find returns the target for a measure at a position, the most particular one
// where several fit: one for the club before one for the sex before one for
// the position. Of equals the last counts, so that a coach's own ranges may be
// put after the defaults.
func (t Targets) Find(measure string, position geometry.PositionName, clubs ClubGroup, sex geometry.Sex) (Target, bool) {
	best, bestScore := -1, -1
	for i, x := range t {
		if x.Measure != measure || x.Position != "" && x.Position != position ||
			x.Clubs != AnyClub && x.Clubs != clubs || x.Sex != geometry.SexUnset && x.Sex != sex {
			continue
		}
		score := 0
		if x.Position != "" {
			score++
		}
		if x.Sex != geometry.SexUnset {
			score += 2
		}
		if x.Clubs != AnyClub {
			score += 4
		}
		if score >= bestScore {
			best, bestScore = i, score
		}
	}
	if best < 0 {
		return Target{}, false
	}
	return t[best], true
}

// defaultNote stands in the source of every default range.
const defaultNote = "default, coach may edit: "

// DefaultTargets returns the ranges the program starts with. They are starting
// points for a coach, not limits of good play: published means differ by 25
// degrees for one word, and spreads are mostly not published.
func DefaultTargets() Targets {
	const practice = "common practice, no source"
	const stance = "mean of over 100 tour players as reported by a teachers' association (usgtf.com): shoulder width with a 5-iron, about 5 cm wider on each side with a driver, 5 cm narrower with a 9-iron; width of the range derived with shoulders of 40 to 45 cm"
	const bend = "common practice for the trunk from the vertical, no source: 30 to 35 deg with a driver, 38 to 42 with a mid-iron, 42 to 46 with a wedge, measured to the base of the neck; widened by 6 deg, since here the line goes to the middle of the shoulders; elderly golfers bend otherwise (PMC7044058, abstract)"
	const ours = practice + "; the width in numbers is ours"
	ts := Targets{
		{Measure: "pelvis turn", Position: geometry.Top, Range: geometry.Range{Low: 40, High: 60},
			Source: "means of 55 deg for 51 tour players and 53 deg for 34 amateurs, McTeigue, Lamb, Mottram & Pirozzolo 1994, Science and Golf II (abstract); the usual convention is 45 deg; spread not known"},
		{Measure: "torso turn", Position: geometry.Top, Range: geometry.Range{Low: 80, High: 100},
			Source: "mean of 87 deg for tour players and amateurs, McTeigue et al. 1994 (abstract); above 90 deg in Burden, Grimshaw & Wallace 1998, J Sports Sci 16:165-176 (abstract); the usual convention is 90 deg"},
		{Measure: "separation", Position: geometry.Top, Range: geometry.Range{Low: 30, High: 50},
			Source: "from the difference of the means in McTeigue et al. 1994 (32 deg) to the usual convention (45 deg); peak values of 52 to 60 deg in other studies have another definition"},
		{Measure: "pelvis turn", Position: geometry.Impact, Range: geometry.Range{Low: -50, High: -30}, Source: practice},
		{Measure: "torso turn", Position: geometry.Impact, Range: geometry.Range{Low: -40, High: -15}, Source: practice},
		{Measure: "pelvis tilt", Position: geometry.Impact, Range: geometry.Range{Low: 8, High: 16},
			Source: "lead hip about 12 deg up in ten professionals, as reported in the press on Meister et al. 2011, J Appl Biomech 27:242-251; 4 deg either side is ours"},
		{Measure: "lead foot flare", Position: geometry.Address, Range: geometry.Range{Low: 15, High: 30},
			Source: "mean of about 25 deg for over 100 tour players as reported by a teachers' association (usgtf.com); teaching pages say 10 to 30 deg"},
		{Measure: "trail foot flare", Position: geometry.Address, Range: geometry.Range{Low: 0, High: 20}, Source: practice},
		{Measure: "stance width over shoulder breadth", Position: geometry.Address, Clubs: ShortIron, Range: geometry.Range{Low: 0.75, High: 0.95}, Source: stance},
		{Measure: "stance width over shoulder breadth", Position: geometry.Address, Clubs: MidIron, Range: geometry.Range{Low: 0.9, High: 1.1}, Source: stance},
		{Measure: "stance width over shoulder breadth", Position: geometry.Address, Clubs: Driver, Range: geometry.Range{Low: 1.1, High: 1.35}, Source: stance},
		{Measure: "lead knee flex", Position: geometry.Address, Range: geometry.Range{Low: 15, High: 30},
			Source: "20 to 25 deg in the review of Hume, Keogh & Reid 2005, Sports Med 35:429-449 (from memory), widened"},
		{Measure: "trail knee flex", Position: geometry.Address, Range: geometry.Range{Low: 15, High: 30},
			Source: "20 to 25 deg in the review of Hume, Keogh & Reid 2005, Sports Med 35:429-449 (from memory), widened"},
		{Measure: "lead hip offset from the ankle-knee line", Position: geometry.Address, Range: geometry.Range{Low: -3, High: 3}, Source: practice},
		{Measure: "trail hip offset from the ankle-knee line", Position: geometry.Address, Range: geometry.Range{Low: -3, High: 3}, Source: practice},
		{Measure: "tempo", Range: geometry.Range{Low: 2.5, High: 3.5},
			Source: "about 3 to 1 for most tour players, Grober & Cholewicki, arXiv physics/0611291 (number from memory)"},
	}
	// What is known well: shifts of some centimetres, to a centimetre or two.
	ts = append(ts,
		Target{Measure: "sway", Position: geometry.Top, Range: geometry.Range{Low: -5, High: 3}, Source: ours + " (a small sway back)"},
		Target{Measure: "sway", Position: geometry.Impact, Range: geometry.Range{Low: 0, High: 10}, Source: ours + " (a few cm toward the target)"},
		Target{Measure: "pelvis height change", Position: geometry.Impact, Range: geometry.Range{Low: -5, High: 5}, Source: ours + " (the height kept)"},
		Target{Measure: "pelvis toward the ball", Position: geometry.Impact, Range: geometry.Range{Low: -5, High: 4}, Source: ours + " (the hips keep their distance from the ball)"},
		Target{Measure: "head travel to target", Position: geometry.Top, Range: geometry.Range{Low: -8, High: 8}, Source: ours + " (within about a head's width)"},
		Target{Measure: "head travel to target", Position: geometry.Impact, Range: geometry.Range{Low: -8, High: 8}, Source: ours + " (within about a head's width)"},
		Target{Measure: "forward bend", Position: geometry.Address, Clubs: Driver, Range: geometry.Range{Low: 24, High: 41}, Source: bend},
		Target{Measure: "forward bend", Position: geometry.Address, Clubs: MidIron, Range: geometry.Range{Low: 32, High: 48}, Source: bend},
		Target{Measure: "forward bend", Position: geometry.Address, Clubs: ShortIron, Range: geometry.Range{Low: 36, High: 52}, Source: bend},
		Target{Measure: "torso side bend", Position: geometry.Address, Range: geometry.Range{Low: 0, High: 16},
			Source: "a few deg toward the trail side, common practice, no source; 16 deg in the review of Hume, Keogh & Reid 2005, Sports Med 35:429-449 (from memory)"},
		Target{Measure: "balance", Position: geometry.Address, Range: geometry.Range{Low: 40, High: 70}, Source: ours + " (from the middle of the foot to its ball)"},
		Target{Measure: "trail knee flex", Position: geometry.Top, Range: geometry.Range{Low: 10, High: 35}, Source: ours + " (it keeps some of its bend)"},
		Target{Measure: "club above plane", Position: geometry.ClubLevelBack, Range: geometry.Range{Low: -15, High: 15}, Source: ours + " (the club near the plane it had at address)"},
		Target{Measure: "club above plane", Position: geometry.Delivery, Range: geometry.Range{Low: -15, High: 15}, Source: ours + " (the club near the plane it had at address)"},
	)
	for i := range ts {
		ts[i].Source = defaultNote + ts[i].Source
	}
	return ts
}

type targetJSON struct {
	Measure  string                `json:"measure"`
	Position geometry.PositionName `json:"position,omitempty"`
	Clubs    ClubGroup             `json:"clubs,omitempty"`
	Sex      string                `json:"sex,omitempty"`
	Low      *float64              `json:"low,omitempty"`
	High     *float64              `json:"high,omitempty"`
	Source   string                `json:"source"`
}

// MarshalJSON writes the ranges as a list of objects; an open end is absent.
func (t Targets) MarshalJSON() ([]byte, error) {
	out := make([]targetJSON, len(t))
	for i, x := range t {
		out[i] = targetJSON{Measure: x.Measure, Position: x.Position, Clubs: x.Clubs,
			Sex: nameOf(sexWords, x.Sex), Source: x.Source, Low: end(x.Range.Low), High: end(x.Range.High)}
	}
	return json.Marshal(out)
}

func end(v float64) *float64 {
	if math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// UnmarshalJSON reads what MarshalJSON writes. The error lists every fault
// with its JSON path.
func (t *Targets) UnmarshalJSON(data []byte) error {
	var in []targetJSON
	if err := json.Unmarshal(data, &in); err != nil {
		return fmt.Errorf("target ranges: %w", err)
	}
	var f Faults
	out := make(Targets, len(in))
	for i, x := range in {
		at := index(i)
		r := geometry.Range{Low: math.Inf(-1), High: math.Inf(1)}
		if x.Low != nil {
			r.Low = *x.Low
		}
		if x.High != nil {
			r.High = *x.High
		}
		sex, ok := valueOf(sexWords, x.Sex)
		switch {
		case x.Measure == "":
			f.add(at+".measure", "is missing")
		case !ok && x.Sex != "":
			f.add(at+".sex", "%s is not known here; use %s or leave it out", words.Quote(x.Sex), choices(sexWords))
		case x.Low == nil && x.High == nil:
			f.add(at, "has neither low nor high")
		case r.Low > r.High:
			f.add(at, "low %g is above high %g", r.Low, r.High)
		}
		switch x.Clubs {
		case AnyClub, Driver, MidIron, ShortIron:
		default:
			f.add(at+".clubs", "%s is not known here; use %q, %q or %q or leave it out", words.Quote(string(x.Clubs)), Driver, MidIron, ShortIron)
		}
		out[i] = Target{geometry.PresentName(x.Measure), x.Position, x.Clubs, sex, r, x.Source}
	}
	if len(f) > 0 {
		return fmt.Errorf("target ranges:\n%w", f)
	}
	*t = out
	return nil
}
