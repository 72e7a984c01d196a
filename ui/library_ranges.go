package ui

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// rangesCard is where the coach edits target ranges: their own, and those for
// the student on the bench.
type rangesCard struct {
	open     bool
	student  int64
	name     string // of the student; "" without one
	of       int    // 0 the coach's own, 1 the student's
	scope    draw.Segmented
	search   draw.Field
	focus    bool
	list     layout.List
	rows     []rangeRow
	shown    []int // rows that match the search
	own      [2]annotations.Targets
	versions [2]int
	known    bool
	problem  string
	undo     draw.Button
	export   draw.Button
	imported draw.Button
	done     draw.Button
	cancel   draw.Button
}

// rangeRow is a measure at a position for a group of clubs.
type rangeRow struct {
	measure   string
	position  geometry.PositionName
	clubs     annotations.ClubGroup
	unit      geometry.Unit
	low, high draw.Field
	back      draw.Button
	base      annotations.Target // what counts without the range that is edited here
	hasBase   bool
	wrong     bool
}

func (r *rangeRow) label() string {
	return kit.Joined(words.Sentence(r.measure), string(r.position), string(r.clubs))
}

func (a *App) openRanges() {
	if a.worker == nil || !a.library.ready {
		a.notices.Tell("There is no library to keep target ranges in.")
		return
	}
	c := &a.ranges
	*c = rangesCard{open: true, focus: true}
	c.list.Axis = layout.Vertical
	if a.desk != nil {
		c.name = a.desk.Bench.Lesson().Student.Name
		a.worker.Touch(a.desk.Path, a.desk.Bench.Lesson(), true, true)
	}
	name := c.name
	type both struct {
		student int64
		sets    [2]library.TargetSet
	}
	ask(a, "the target ranges can't be read", func(ctx context.Context, l *library.Library) (b both, err error) {
		if b.student, err = l.StudentNamed(ctx, name); err != nil {
			return b, err
		}
		if b.sets[0], _, err = l.TargetSet(ctx, 0); err != nil || b.student == 0 {
			return b, err
		}
		b.sets[1], _, err = l.TargetSet(ctx, b.student)
		return b, err
	}, func(b both, err error) {
		if err != nil {
			a.notices.Alert(err.Error())
			c.open = false
			return
		}
		c.student = b.student
		for i, s := range b.sets {
			c.own[i], c.versions[i] = s.Ranges, s.Version
		}
		c.known = true
		a.fillRanges()
	})
}

// fillRanges makes the rows of the set that is edited: what has a range first,
// then every other measure.
func (a *App) fillRanges() {
	c := &a.ranges
	base := a.baseTargets
	if c.of == 1 {
		base = library.Override(base, c.own[0])
	}
	units := make(map[string]geometry.Unit)
	for _, d := range geometry.Definitions() {
		units[d.Name] = d.Unit
	}
	c.rows = nil
	have := make(map[string]bool)
	add := func(t annotations.Target) *rangeRow {
		k := t.Measure + "\x00" + string(t.Position) + "\x00" + string(t.Clubs)
		if have[k] {
			return nil
		}
		have[k] = true
		c.rows = append(c.rows, rangeRow{measure: t.Measure, position: t.Position, clubs: t.Clubs, unit: units[t.Measure]})
		return &c.rows[len(c.rows)-1]
	}
	for _, t := range slices.Concat(c.own[c.of], base) {
		add(t)
	}
	ranged := make(map[string]bool)
	for i := range c.rows {
		ranged[c.rows[i].measure+"\x00"+string(c.rows[i].position)] = true
	}
	for _, d := range geometry.Definitions() {
		positions := d.Positions
		if positions == nil {
			positions = geometry.KeyPositions
		}
		for _, p := range positions {
			if !(d.SinceAddress && p == geometry.Address) && !ranged[d.Name+"\x00"+string(p)] && !ranged[d.Name+"\x00"] {
				add(annotations.Target{Measure: d.Name, Position: p})
			}
		}
	}
	for i := range c.rows {
		r := &c.rows[i]
		r.base, r.hasBase = base.Find(r.measure, r.position, r.clubs, geometry.SexUnset)
		if t, ok := ownRange(c.own[c.of], r); ok {
			r.low.SetText(endText(t.Range.Low))
			r.high.SetText(endText(t.Range.High))
		}
	}
	c.filter()
}

// ownRange is the range of a set that a row edits.
func ownRange(set annotations.Targets, r *rangeRow) (annotations.Target, bool) {
	for _, t := range set {
		if t.Measure == r.measure && t.Position == r.position && t.Clubs == r.clubs && t.Sex == geometry.SexUnset {
			return t, true
		}
	}
	return annotations.Target{}, false
}

func endText(v float64) string {
	if math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// filter picks the rows that match the search.
func (c *rangesCard) filter() {
	c.shown = c.shown[:0]
	words := strings.Fields(strings.ToLower(c.search.Text()))
	for i := range c.rows {
		label := strings.ToLower(c.rows[i].label())
		if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(label, w) }) {
			c.shown = append(c.shown, i)
		}
	}
}

// read takes the ranges from the fields. ok is false where one makes no sense.
func (c *rangesCard) read() (out annotations.Targets, ok bool) {
	ok = true
	c.problem = ""
	// What the rows can't show, such as a range for one sex, stays.
	for _, t := range c.own[c.of] {
		if t.Sex != geometry.SexUnset {
			out = append(out, t)
		}
	}
	for i := range c.rows {
		r := &c.rows[i]
		low, wrongLow := endOf(r.low.Text(), math.Inf(-1))
		high, wrongHigh := endOf(r.high.Text(), math.Inf(1))
		r.wrong = wrongLow || wrongHigh || low > high
		if r.wrong {
			ok = false
			if c.problem == "" {
				c.problem = r.label() + ": a range is two numbers, the lower first; one may be empty for an open end."
			}
			continue
		}
		if math.IsInf(low, 0) && math.IsInf(high, 0) {
			continue
		}
		t := annotations.Target{Measure: r.measure, Position: r.position, Clubs: r.clubs, Range: geometry.Range{Low: low, High: high}}
		old, had := ownRange(c.own[c.of], r)
		switch {
		case had && old.Range == t.Range:
			t.Source = old.Source
		case c.of == 1:
			t.Source = "the coach's own range for " + c.name
		default:
			t.Source = "the coach's own range"
		}
		out = append(out, t)
	}
	return out, ok
}

// endOf reads an end of a range; "" is an open one.
func endOf(text string, open float64) (v float64, wrong bool) {
	text = strings.TrimSpace(strings.ReplaceAll(strings.ReplaceAll(text, ",", "."), "−", "-"))
	if text == "" {
		return open, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err != nil || math.IsNaN(v) || math.IsInf(v, 0)
}

// keepRanges makes what stands in the fields the newest version, and reports
// whether it makes sense.
func (a *App) keepRanges() bool {
	c := &a.ranges
	if !c.known {
		return true
	}
	set, ok := c.read()
	if !ok {
		return false
	}
	of, student := c.of, int64(0)
	if of == 1 {
		student = c.student
	}
	if len(set) == 0 && len(c.own[of]) == 0 {
		return true
	}
	c.own[of] = set
	ask(a, "the target ranges can't be kept", func(ctx context.Context, l *library.Library) (bool, error) {
		return true, l.SetTargets(ctx, student, set)
	}, func(_ bool, err error) {
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		if a.desk != nil {
			a.askTargets(a.desk)
		}
	})
	return true
}

// closeRanges keeps the ranges and puts the card away, unless one makes no sense.
func (a *App) closeRanges() {
	if a.keepRanges() {
		a.ranges.open = false
	}
}

func (a *App) updateRanges(gtx layout.Context) {
	c := &a.ranges
	if c.focus {
		c.focus = false
		gtx.Execute(key.FocusCmd{Tag: &c.search.Editor})
	}
	if c.search.Edited(gtx) {
		c.filter()
		c.list.Position = layout.Position{}
	}
	for i := range c.rows {
		r := &c.rows[i]
		r.low.Edited(gtx)
		r.high.Edited(gtx)
		if r.back.Clicked(gtx) {
			r.low.SetText("")
			r.high.SetText("")
			r.wrong = false
		}
	}
	if i, ok := c.scope.Update(gtx); ok && i != c.of && (i == 0 || c.student != 0) && a.keepRanges() {
		c.of = i
		a.fillRanges()
	}
	switch {
	case c.done.Clicked(gtx):
		a.closeRanges()
	case c.cancel.Clicked(gtx):
		c.open = false
	case c.undo.Clicked(gtx):
		a.earlierRanges()
	case c.export.Clicked(gtx):
		a.exportRanges()
	case c.imported.Clicked(gtx):
		a.Ask(kit.Files{Title: "Target ranges to take in", Kinds: []choose.Kind{{Name: "Target ranges", Extensions: []string{"json"}}}},
			func(paths []string) { a.importRanges(paths[0]) })
	}
}

// earlierRanges puts the version before into the fields; Done makes it the
// newest.
func (a *App) earlierRanges() {
	c := &a.ranges
	student, of, version := c.student, c.of, c.versions[c.of]
	if of == 0 {
		student = 0
	}
	ask(a, "the earlier target ranges can't be read", func(ctx context.Context, l *library.Library) ([]library.TargetSet, error) {
		return l.TargetSets(ctx, student)
	}, func(sets []library.TargetSet, err error) {
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		for _, s := range sets {
			if s.Version < version && c.of == of {
				c.own[of], c.versions[of] = s.Ranges, s.Version
				a.fillRanges()
				a.notices.Tell(bench.Note(fmt.Sprintf("Version %d of %s is in the fields; Done keeps it as the newest.", s.Version, s.Made.Format("2 January 2006, 15:04"))))
				return
			}
		}
		a.notices.Tell("There is no version before this one.")
	})
}

func (a *App) exportRanges() {
	set, ok := a.ranges.read()
	if !ok {
		return
	}
	name := "target ranges"
	if a.ranges.of == 1 {
		name += " for " + a.ranges.name
	}
	data, err := json.MarshalIndent(set, "", "  ")
	path := place.FreeName(filepath.Join(a.dirs.Exports(), library.ExportName(name)+".json"))
	if err == nil {
		err = os.MkdirAll(filepath.Dir(path), 0o755)
	}
	if err == nil {
		err = place.New(path, bytes.NewReader(append(data, '\n')))
	}
	if err != nil {
		a.notices.Alert("The target ranges can't be exported: " + annotations.Explain(err).Error())
		return
	}
	a.notices.Tell(bench.Note("The target ranges are in " + path + "."))
}

// importRanges puts the ranges of a file into the fields.
func (a *App) importRanges(path string) {
	c := &a.ranges
	data, err := os.ReadFile(path)
	var set annotations.Targets
	if err == nil {
		err = set.UnmarshalJSON(data)
	}
	if err != nil {
		a.notices.Alert(fmt.Sprintf("%s can't be used: %v", filepath.Base(path), err))
		return
	}
	c.own[c.of] = library.Override(c.own[c.of], set)
	a.fillRanges()
	a.notices.Tell(bench.Note(words.Count(len(set), "range was", "ranges were") + " taken in; Done keeps them."))
}

const rangesRow unit.Sp = 40
