package annotations

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/place"
	"turngauge/annotations/review"
	"turngauge/annotations/shots"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Load reads the lesson document at path. Warnings name fields this version
// does not know. The error wraps Faults, *SyntaxError, *NewerError or the
// error of the file system.
func Load(path string) (l *Lesson, warnings []string, err error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, nil, fmt.Errorf("the lesson can't be read: %w", err)
	case info.IsDir():
		return nil, nil, fmt.Errorf("the lesson can't be read: %s is a folder, not a lesson document", path)
	}
	data, err := place.Read(path, MaxBytes)
	switch {
	case errors.Is(err, place.ErrTooLarge):
		return nil, nil, fmt.Errorf("%s is not a lesson document:\n%w", path, Faults{{"", jsontree.ErrLarge.Error()}})
	case errors.Is(err, place.ErrNotRegular):
		return nil, nil, fmt.Errorf("the lesson can't be read: %s is a pipe or a device, not a lesson document", path)
	case err != nil:
		return nil, nil, fmt.Errorf("the lesson can't be read: %w", err)
	}
	l, warnings, err = Decode(data)
	if err != nil {
		return nil, nil, fmt.Errorf("%s can't be used:\n%w", path, err)
	}
	return l, warnings, nil
}

// Decode reads a lesson document. The error is Faults with every fault of the
// document, *SyntaxError or *NewerError. It never panics.
func Decode(data []byte) (l *Lesson, warnings []string, err error) {
	n, err := jsontree.Parse(data)
	switch {
	case errors.Is(err, jsontree.ErrLarge), errors.Is(err, jsontree.ErrDeep):
		return nil, nil, Faults{{"", err.Error()}}
	case err != nil:
		return nil, nil, err
	}
	var r reader
	o := r.object(n, "")
	if o.void {
		return nil, nil, r.faults
	}
	if kind := o.text("kind", optional); kind != Kind {
		what := "is not there, so this is not a lesson"
		if kind != "" {
			what = words.Quote(kind) + " is not a lesson"
		}
		return nil, nil, Faults{{"kind", fmt.Sprintf("%s; a lesson document says %q", what, Kind)}}
	}
	version := o.integer("version", required)
	switch {
	case len(r.faults) > 0:
		return nil, nil, r.faults
	case version > Version:
		return nil, nil, &NewerError{version}
	case version < 1:
		return nil, nil, Faults{{"version", fmt.Sprintf("%d is not a version; this program reads version %d", version, Version)}}
	}
	l = r.lesson(o)
	faults := r.faults
	for _, f := range l.check() {
		if len(faults) < mostFaults && !r.follows(f.Path) {
			faults = append(faults, f)
		}
	}
	if len(faults) >= mostFaults {
		faults = append(faults, Fault{"", fmt.Sprintf("has more faults than these %d", mostFaults)})
	}
	if len(faults) > 0 {
		return nil, nil, faults
	}
	r.warn(l.warnings()...)
	if r.unsaid > 0 {
		r.warnings = append(r.warnings, fmt.Sprintf("document: %d more warnings like these are left out", r.unsaid))
	}
	return l, r.warnings, nil
}

func (r *reader) lesson(o object) *Lesson {
	l := &Lesson{
		ID: o.text("id", optional), Title: o.text("title", optional), Date: o.text("date", optional),
		Coach: o.text("coach", optional), Place: o.text("place", optional), Notes: o.text("notes", optional),
		Question: o.text("question", optional), ClickSDPx: o.positive("click_sd_px"),
	}
	if n := o.take("student"); n != nil {
		l.Student = r.student(r.object(n, "student"))
	} else {
		r.faults.add("student.handed", "is missing; use %s", choices(handedWords))
	}
	for i, n := range o.list("swings", maxSwings) {
		l.Swings = append(l.Swings, r.swing(r.object(n, fmt.Sprintf("swings[%d]", i))))
	}
	l.Yards = o.text("flights_in", optional) == "yd"
	for i, n := range o.list("shots", shots.Most) {
		s, unknown := r.shot(r.object(n, "shots"+index(i)))
		l.Shots = append(l.Shots, s)
		if unknown != nil {
			if l.unknownOfShots == nil {
				l.unknownOfShots = make(map[string]*jsontree.Fields)
			}
			l.unknownOfShots[s.ID] = unknown
		}
	}
	if n := o.take("prescription"); n != nil {
		l.Prescription = r.prescription(r.object(n, "prescription"))
	}
	l.Reviews = review.Read(o.list("reviews", review.Most), r.fault, r.warn)
	l.unknown = o.rest()
	return l
}

func (r *reader) student(o object) Student {
	return Student{
		ID:       o.text("id", optional),
		Name:     o.text("name", optional),
		Handed:   enum(o, "handed", required, handedWords),
		StatureM: o.positive("stature_m"), StatureSDM: o.positive("stature_sd_m"),
		MassKg:   o.positive("mass_kg"),
		Sex:      enum(o, "sex", optional, sexWords),
		Handicap: o.text("handicap", optional), Injuries: o.text("injuries", optional),
		unknown: o.rest(),
	}
}

func (r *reader) swing(o object) Swing {
	s := Swing{ID: o.text("id", required), Label: o.text("label", optional), Tried: o.text("tried", optional)}
	if n := o.take("club"); n != nil {
		c := r.object(n, o.at("club"))
		s.Club = Club{Name: c.text("name", optional), LengthM: c.positive("length_m"), unknown: c.rest()}
	}
	for i, n := range o.list("clips", maxClips) {
		s.Clips = append(s.Clips, r.clip(r.object(n, o.at("clips")+index(i))))
	}
	for i, n := range o.list("positions", maxPositions) {
		s.Positions = append(s.Positions, r.position(r.object(n, o.at("positions")+index(i))))
	}
	for i, n := range o.list("marks", maxMarks) {
		s.Marks = append(s.Marks, r.mark(r.object(n, o.at("marks")+index(i))))
	}
	for i, n := range o.list("drawings", maxDrawings) {
		s.Drawings = append(s.Drawings, r.drawing(r.object(n, o.at("drawings")+index(i)), drawingWords))
	}
	for i, n := range o.list("shapes", maxDrawings) {
		s.Drawings = append(s.Drawings, r.drawing(r.object(n, o.at("shapes")+index(i)), shapeWords))
	}
	for i, n := range o.list("repeats", maxMarks) {
		s.Repeats = append(s.Repeats, r.repeat(r.object(n, o.at("repeats")+index(i))))
	}
	for i, n := range o.list("findings", maxFindings) {
		s.Findings = append(s.Findings, r.finding(r.object(n, o.at("findings")+index(i))))
	}
	if n := o.take("followed"); n != nil {
		s.Followed = r.followed(r.object(n, o.at("followed")))
	}
	s.unknown = o.rest()
	return s
}

func (r *reader) clip(o object) Clip {
	c := Clip{
		ID: o.text("id", required), View: enum(o, "view", required, viewWords),
		File: o.text("file", optional), SHA256: o.text("sha256", optional),
		Width: int(o.integer("width", required)), Height: int(o.integer("height", required)),
		FilmedFPS: o.positive("filmed_fps"), Mirrored: o.yes("mirrored"), Speed: enum(o, "speed", optional, speedWords),
		FocalPx: o.positive("focal_px"), FocalRelSD: o.positive("focal_rel_sd"), Stand: int(o.integer("stand", optional)),
	}
	if n := o.take("time_base"); n != nil {
		path := o.at("time_base")
		if items := r.pair(n, path, "two whole numbers such as [1, 90000]"); items != nil {
			for i := range c.TimeBase {
				c.TimeBase[i] = r.integer(items[i], path+index(i))
				if c.TimeBase[i] <= 0 {
					r.fault(path+index(i), "must be a whole number above 0")
				}
			}
		}
	}
	if n := o.take("part"); n != nil {
		c.Part = r.part(n, o.at("part"))
	}
	if n := o.take("golfer_at"); n != nil {
		path := o.at("golfer_at")
		if xy := r.pair(n, path, "x and y"); xy != nil {
			c.GolferAt = geometry.ImagePt{X: r.number(xy[0], path+"[0]"), Y: r.number(xy[1], path+"[1]")}
		}
	}
	for i, n := range o.list("ground_lines", maxGroundLines) {
		c.GroundLines = append(c.GroundLines, r.groundLine(r.object(n, o.at("ground_lines")+index(i))))
	}
	c.unknown = o.rest()
	return c
}

func (r *reader) groundLine(o object) GroundLine {
	g := GroundLine{
		LengthM: o.positive("length_m"), Along: enum(o, "along", optional, alongWords), SDPx: o.positive("sd_px"),
	}
	const shape = "two points, each with x and y, such as [[512, 955.5], [1405, 957]]"
	path := o.at("ends")
	n := o.take("ends")
	if n == nil && !o.void {
		r.fault(path, "is missing; give %s", shape)
	}
	if n != nil {
		if ends := r.pair(n, path, shape); ends != nil {
			for i := range g.Ends {
				if xy := r.pair(ends[i], path+index(i), "x and y"); xy != nil {
					g.Ends[i] = geometry.ImagePt{X: r.number(xy[0], path+index(i)+"[0]"), Y: r.number(xy[1], path+index(i)+"[1]")}
				}
			}
		}
	}
	g.unknown = o.rest()
	return g
}

func (r *reader) position(o object) Position {
	p := Position{Name: geometry.PositionName(o.text("name", required))}
	for i, n := range o.list("frames", maxClips) {
		p.Frames = append(p.Frames, r.frame(r.object(n, o.at("frames")+index(i))))
	}
	p.unknown = o.rest()
	return p
}

func (r *reader) frame(f object) FrameRef {
	ref := FrameRef{Clip: f.text("clip", required), Index: int(f.integer("index", required))}
	if n := f.take("pts"); n != nil {
		ref.PTS = r.integer(n, f.at("pts"))
	} else {
		ref.PTSUnknown = true
	}
	ref.Proposed = f.yes("proposed")
	ref.unknown = f.rest()
	return ref
}

func (r *reader) mark(o object) Mark {
	m := Mark{
		Clip:     o.text("clip", required),
		Position: geometry.PositionName(o.text("position", required)),
		State:    enum(o, "state", optional, stateWords),
		SDPx:     o.positive("sd_px"),
		Point:    o.point("point"),
	}
	m.SharedBiasPx = o.positive("shared_bias_px")
	if old := o.positive("stays_px"); m.SharedBiasPx == 0 {
		m.SharedBiasPx = old // what documents called it until the end of 2026
	}
	x, y := o.take("x"), o.take("y")
	switch {
	case o.void:
	case m.State == geometry.Hidden:
		// A hidden mark has no place; coordinates that were left from before
		// it was hidden would come back as if they had been seen.
		if x != nil || y != nil {
			r.fault(o.path, "a hidden mark has no x and y; take them out or change the state")
		}
	default:
		m.At = geometry.ImagePt{X: r.coordinate(x, o.at("x")), Y: r.coordinate(y, o.at("y"))}
	}
	if n := o.take("seen_at"); n != nil && m.State != geometry.Hidden {
		m.Seen = r.sighting(r.object(n, o.at("seen_at")))
	}
	m.unknown = o.rest()
	return m
}

func (r *reader) coordinate(n *jsontree.Node, path string) float64 {
	if n == nil {
		r.fault(path, `is missing; give the pixel, or state "hidden" where the point can't be seen`)
		return 0
	}
	return r.number(n, path)
}

func index(i int) string { return "[" + strconv.Itoa(i) + "]" }

// maxInteger is the largest whole number that every JSON program keeps exactly.
const maxInteger = 1 << 53

func parseNumber(text string) (float64, bool) {
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && !math.IsInf(v, 0) && !math.IsNaN(v)
}

// IsDocument reports whether a file says at its head that it is a lesson document, be
// it sound or not. One that can't be read is taken for one: its opening says why.
func IsDocument(path string) bool {
	if !strings.EqualFold(filepath.Ext(path), ".json") {
		return false
	}
	f, err := place.Open(path)
	if errors.Is(err, place.ErrNotRegular) {
		return false
	}
	if err != nil {
		return true
	}
	defer func() { _ = f.Close() }()
	head := make([]byte, 512)
	n, _ := io.ReadFull(f, head)
	return bytes.Contains(head[:n], []byte(`"`+Kind+`"`))
}
