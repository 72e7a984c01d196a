package sheet

import (
	"math"

	"turngauge/geometry"
)

// span is the stretch of values a measure's scale shows, in the measure's own
// unit. It is fixed per measure, so that a dot moves steadily under the hand.
type span struct{ low, high float64 }

// spans holds the stretch shown of a measure before the top (back) and from
// the downswing on (after); a zero after is the same as back. The spans are a
// choice of layout, wide enough for the full swings of published studies; a
// value outside extends its scale.
var spans = map[string]struct{ back, after span }{
	"pelvis turn":                    {span{-20, 80}, span{-100, 40}},
	"torso turn":                     {span{-20, 120}, span{-120, 60}},
	"separation":                     {span{-20, 70}, span{-60, 40}},
	"pelvis turn about its own axis": {span{-20, 80}, span{-100, 40}},
	"torso turn about the spine":     {span{-20, 120}, span{-120, 60}},
	"pelvis tilt":                    {span{-25, 25}, span{}},
	"torso side bend":                {span{-50, 50}, span{}},
	"forward bend":                   {span{0, 70}, span{}},
	"lead knee flex":                 {span{0, 70}, span{}},
	"trail knee flex":                {span{0, 70}, span{}},
	"lead hip offset from the ankle-knee line":             {span{-20, 20}, span{}},
	"trail hip offset from the ankle-knee line":            {span{-20, 20}, span{}},
	"lead hip offset from the ankle-knee line over shank":  {span{-0.5, 0.5}, span{}},
	"trail hip offset from the ankle-knee line over shank": {span{-0.5, 0.5}, span{}},
	"lead hip angle from the ankle-knee line":              {span{-30, 30}, span{}},
	"trail hip angle from the ankle-knee line":             {span{-30, 30}, span{}},
	"lead foot flare":                    {span{-20, 50}, span{}},
	"trail foot flare":                   {span{-20, 50}, span{}},
	"stance width":                       {span{20, 80}, span{}},
	"stance width over shoulder breadth": {span{0.5, 2}, span{}},
	"balance":                            {span{0, 100}, span{}},
	"sway":                               {span{-20, 20}, span{}},
	"pelvis height change":               {span{-20, 20}, span{}},
	"pelvis toward the ball":             {span{-20, 20}, span{}},
	"head travel to target":              {span{-25, 25}, span{}},
	"head travel up":                     {span{-25, 25}, span{}},
	"head travel to ball":                {span{-25, 25}, span{}},
	"lead knee travel to target":         {span{-30, 30}, span{}},
	"lead knee travel up":                {span{-30, 30}, span{}},
	"lead knee travel to ball":           {span{-30, 30}, span{}},
	"shaft plane":                        {span{30, 75}, span{}},
	"club above plane":                   {span{-50, 50}, span{}},
	"plane change":                       {span{-25, 25}, span{}},
	"lead arm height":                    {span{-30, 70}, span{}},
	"shaft angle at the top":             {span{-60, 60}, span{}},
	"backswing time":                     {span{0.4, 1.4}, span{}},
	"downswing time":                     {span{0.1, 0.5}, span{}},
	"tempo":                              {span{1, 5}, span{}},
}

// defaultSpan returns the stretch of values shown for a measure.
func defaultSpan(name string, pos geometry.PositionName, unit geometry.Unit) span {
	if k, ok := spans[name]; ok {
		if after(pos) && k.after != (span{}) {
			return k.after
		}
		return k.back
	}
	switch unit {
	case geometry.Centimetres:
		return span{-25, 25}
	case geometry.Percent:
		return span{0, 100}
	case geometry.Ratio:
		return span{0, 4}
	case geometry.Seconds:
		return span{0, 2}
	default:
		return span{-90, 90}
	}
}

func after(pos geometry.PositionName) bool {
	return pos == geometry.Delivery || pos == geometry.Impact || pos == geometry.Finish
}

// include extends the span by whole quarters of itself until it holds v, so
// that a dot that leaves its scale makes the scale jump once rather than
// creep. Values that are not finite change nothing.
func (s span) include(v float64) span {
	if math.IsNaN(v) || math.IsInf(v, 0) || !(s.high > s.low) {
		return s
	}
	q := (s.high - s.low) / 4
	if v > s.high {
		s.high += q * math.Ceil((v-s.high)/q)
	}
	if v < s.low {
		s.low -= q * math.Ceil((s.low-v)/q)
	}
	return s
}

// at returns where v stands on the span: 0 at its low end, 1 at its high end,
// limited to that.
func (s span) at(v float64) float32 {
	if !(s.high > s.low) {
		return 0.5
	}
	return float32(min(max((v-s.low)/(s.high-s.low), 0), 1))
}
