package annotations

import (
	"fmt"
	"math"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// The findings of a swing and the prescription of a lesson in the document:
//
//	"findings": [{"id": "01J…", "rule": "pelvis turn short", "text": "…", "measure": "pelvis turn", "position": "top",
//	              "value": 31.2, "low95": 26.0, "high95": 36.4, "unit": "deg", "verdict": "below"}]
//	"prescription": {"set_up": ["…", "…"], "feel": "…", "drill": "…", "film_next": "…"}
//
// "frame": {"clip": "fo", "index": 263, "pts": 16832} is the frame that the coach chose to
// show it by. "verdict" is "can't tell" also where the measure had no target range.
//
// The number is the one that the coach saw when taking the finding.

// The most that findings and a prescription may hold.
const (
	maxFindings     = 200
	maxFindingText  = 1000
	maxSetUpChanges = 10
)

var unitWords = []word[geometry.Unit]{
	{string(geometry.Degrees), geometry.Degrees}, {string(geometry.Centimetres), geometry.Centimetres},
	{string(geometry.Percent), geometry.Percent}, {string(geometry.Seconds), geometry.Seconds},
	{string(geometry.Ratio), geometry.Ratio},
}

var verdictWords = []word[geometry.Verdict]{
	{string(geometry.Within), geometry.Within}, {string(geometry.Below), geometry.Below},
	{string(geometry.Above), geometry.Above}, {string(geometry.CantTell), geometry.CantTell},
	{string(geometry.NotBelow), geometry.NotBelow}, {string(geometry.NotAbove), geometry.NotAbove},
}

func (r *reader) finding(o object) Finding {
	f := Finding{
		ID: o.text("id", required), Rule: o.text("rule", optional), Text: o.text("text", required),
		Measure: geometry.PresentName(o.text("measure", optional)), Position: geometry.PositionName(o.text("position", optional)),
	}
	if f.Measure != "" {
		for _, v := range []struct {
			name string
			into *float64
		}{{"value", &f.Value}, {"low95", &f.Low95}, {"high95", &f.High95}} {
			if n := o.want(v.name, required); n != nil {
				*v.into = r.number(n, o.at(v.name))
			}
		}
		f.Unit = enum(o, "unit", required, unitWords)
		f.Verdict = enum(o, "verdict", required, verdictWords)
	}
	if n := o.take("frame"); n != nil {
		f.Frame = r.frame(r.object(n, o.at("frame")))
	}
	f.unknown = o.rest()
	return f
}

func (f *Finding) node() *jsontree.Node {
	var b builder
	b.text("id", f.ID)
	b.text("rule", f.Rule)
	b.text("text", f.Text)
	if f.Measure != "" {
		b.text("measure", f.Measure)
		b.text("position", string(f.Position))
		b.add("value", floatNode(f.Value))
		b.add("low95", floatNode(f.Low95))
		b.add("high95", floatNode(f.High95))
		b.text("unit", string(f.Unit))
		b.text("verdict", string(f.Verdict))
	}
	if f.Frame.Clip != "" {
		b.add("frame", f.Frame.node())
	}
	return b.done(f.unknown)
}

func (s *Swing) checkFindings(f *Faults, at string, clips map[string]int) {
	if len(s.Findings) > maxFindings {
		f.add(at+".findings", "has %d entries; at most %d are allowed", len(s.Findings), maxFindings)
		return
	}
	seen := make(map[string]int, len(s.Findings))
	for i := range s.Findings {
		x := &s.Findings[i]
		in := fmt.Sprintf("%s.findings[%d]", at, i)
		f.id(in+".id", x.ID)
		f.once(seen, x.ID, in+".id", at+".findings", "finding", i)
		f.text(in+".text", x.Text, maxFindingText)
		f.text(in+".rule", x.Rule, maxName)
		f.text(in+".measure", x.Measure, maxName)
		f.text(in+".position", string(x.Position), maxName)
		if x.Text == "" {
			f.add(in+".text", "a finding says something; give its text or take the finding out")
		}
		if _, ok := clips[x.Frame.Clip]; !ok && x.Frame.Clip != "" {
			f.add(in+".frame.clip", "there is no clip %s in this swing", words.Quote(x.Frame.Clip))
		}
		if x.Frame.Index < 0 || x.Frame.Index > maxIndex || x.Frame.PTS > maxInteger || x.Frame.PTS < -maxInteger {
			f.add(in+".frame", "is no frame that a clip can have")
		}
		if x.Measure == "" {
			continue
		}
		for _, v := range []float64{x.Value, x.Low95, x.High95} {
			if math.IsNaN(v) || math.Abs(v) > maxFindingValue {
				f.add(in+".value", "is no number that a swing can give")
				break
			}
		}
		if x.Low95 > x.Value || x.High95 < x.Value {
			f.add(in+".low95", "the interval from low95 to high95 does not hold the value")
		}
		if nameOf(verdictWords, x.Verdict) == "" {
			f.add(in+".verdict", "must be %s", choices(verdictWords))
		}
	}
}

// maxFindingValue bounds a finding's number: no angle, length or ratio of a
// swing comes near it in its unit.
const maxFindingValue = 1e4

func (r *reader) prescription(o object) Prescription {
	p := Prescription{Feel: o.text("feel", optional), Drill: o.text("drill", optional), FilmNext: o.text("film_next", optional)}
	for i, n := range o.list("set_up", maxSetUpChanges) {
		if n.Kind != jsontree.String {
			r.fault(o.at("set_up")+index(i), "must be a text in quotes, not %s", jsontree.KindNames[n.Kind])
			continue
		}
		p.SetUp = append(p.SetUp, n.Text)
	}
	p.unknown = o.rest()
	return p
}

func (p *Prescription) node() *jsontree.Node {
	var b builder
	if len(p.SetUp) > 0 {
		b.add("set_up", listOf(p.SetUp, func(s *string) *jsontree.Node { return &jsontree.Node{Kind: jsontree.String, Text: *s} }))
	}
	b.text("feel", p.Feel)
	b.text("drill", p.Drill)
	b.text("film_next", p.FilmNext)
	return b.done(p.unknown)
}

func (p *Prescription) check(f *Faults) {
	if len(p.SetUp) > maxSetUpChanges {
		f.add("prescription.set_up", "has %d entries; at most %d are allowed", len(p.SetUp), maxSetUpChanges)
	}
	for i, s := range p.SetUp {
		f.text(fmt.Sprintf("prescription.set_up[%d]", i), s, maxFindingText)
	}
	f.text("prescription.feel", p.Feel, maxFindingText)
	f.text("prescription.drill", p.Drill, maxFindingText)
	f.text("prescription.film_next", p.FilmNext, maxFindingText)
}
