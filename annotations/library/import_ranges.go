package library

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// OfferedRanges are target ranges for a student that came with lessons of that student.
// They change every verdict on the student from then on, so they are taken only where
// the coach says so.
type OfferedRanges struct {
	Student string
	Ranges  annotations.Targets
	Taken   bool
}

// Lines shows the ranges, one a line: "tempo at top, driver: 2 to 3 (source)".
func (o *OfferedRanges) Lines(imperial bool) []string {
	out := make([]string, len(o.Ranges))
	for i, t := range o.Ranges {
		line, unit := t.Measure, geometry.Unit("")
		if d := geometry.DefinitionOf(t.Measure); d != nil {
			unit = d.Unit
		}
		if t.Position != "" {
			line += " at " + string(t.Position)
		}
		for _, only := range []string{string(t.Clubs), map[geometry.Sex]string{geometry.Female: "women", geometry.Male: "men"}[t.Sex]} {
			if only != "" {
				line += ", " + only
			}
		}
		line += ": " + words.Exact(unit, imperial).Of(t.Measure, t.Position).Range(t.Range)
		if t.Source != "" {
			line += " (" + t.Source + ")"
		}
		out[i] = line
	}
	return out
}

// offered returns the ranges that an import may take: for students whose lessons are in
// it, and who have none here.
func (im *importer) offered() (out []OfferedRanges) {
	for _, t := range im.manifest.Targets {
		key := nameKey(t.Student)
		again := func(o OfferedRanges) bool { return nameKey(o.Student) == key }
		if key == "" || !im.students[key] || len(t.Ranges) == 0 || slices.ContainsFunc(out, again) {
			continue
		}
		if student, err := im.l.StudentNamed(im.ctx, t.Student); err == nil && student != 0 {
			if _, have, err := im.l.TargetSet(im.ctx, student); err != nil || have {
				continue
			}
		}
		out = append(out, OfferedRanges{Student: t.Student, Ranges: t.Ranges})
	}
	return out
}

// takeRanges takes the ranges for the students that are named, and notes which are left
// out though nobody was asked about them.
func (im *importer) takeRanges(named []string, notes *[]string) []OfferedRanges {
	for _, t := range im.manifest.Targets {
		if note := im.leftOut(t.Student, t.Ranges); note != "" {
			*notes = append(*notes, note)
		}
	}
	out := im.offered()
	for i := range out {
		o := &out[i]
		if !slices.ContainsFunc(named, func(n string) bool { return nameKey(n) == nameKey(o.Student) }) {
			continue
		}
		key, err := im.l.StudentNamed(im.ctx, o.Student)
		if err != nil || key == 0 {
			continue // no lesson of the student could be taken
		}
		if err := im.l.SetTargets(im.ctx, key, o.Ranges); err != nil {
			*notes = append(*notes, err.Error())
			continue
		}
		o.Taken = true
	}
	return out
}

// leftOut says why ranges are not to be had at all, "" where they are, or where they
// are here already.
func (im *importer) leftOut(student string, ranges annotations.Targets) string {
	key := nameKey(student)
	if len(ranges) == 0 {
		return ""
	}
	if key == "" || !im.students[key] {
		return fmt.Sprintf("The target ranges for %q in it are left out: no lesson of that student came with them.", student)
	}
	here, err := im.l.StudentNamed(im.ctx, student)
	if err != nil || here == 0 {
		return ""
	}
	have, ok, err := im.l.TargetSet(im.ctx, here)
	if err != nil || !ok {
		return ""
	}
	a, _ := json.Marshal(have.Ranges)
	b, _ := json.Marshal(ranges)
	if bytes.Equal(a, b) {
		return ""
	}
	return fmt.Sprintf("The target ranges for %s in it are left out: there are others for that student here.", student)
}
