package takehome

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Beside names a swing that the annotated clip shows beside the request's own,
// held together with it at the key positions that are set in both: the
// student's swing before, or another one of the same lesson.
type Beside struct {
	// Lesson is its lesson, and Path where that document lies.
	Lesson *annotations.Lesson
	Path   string
	// Swing is its ID; "" takes the one of the same kind of club that has marks.
	Swing string
	// View leaves one view, where both swings were filmed in two; "" shows both.
	View geometry.View
	// Over lays its pictures over this one's, half transparent, aligned at feet and ball
	// of address, in place of beside them.
	Over bool
}

// side is a swing that the clip shows.
type side struct {
	*measured
	album  *album
	nth    int    // among the sides
	word   string // what it is called beside another: "before", "now"
	title  string // what stands above its pictures, "" for a swing alone
	motion *Motion
}

// besides measures the swing that is shown beside the request's own, which index
// names. The error is that of ctx, or says that there is no such swing.
func (b *builder) besides(ctx context.Context, index int) error {
	r := b.request
	if r.Beside == nil || r.MP4 == "" {
		return nil
	}
	l, id := r.Beside.Lesson, r.Beside.Swing
	same := l.ID == r.Lesson.ID
	if id == "" {
		id, _ = series.ToCompare(l, r.Lesson.Swings[index].Club)
	}
	i := l.SwingIndex(id)
	switch {
	case i < 0 && id == "":
		return fmt.Errorf("%w to show beside this one: the other lesson has none with marks", ErrNoSwing)
	case i < 0:
		return fmt.Errorf("%w as %q to show beside this one: the other lesson has %s", ErrNoSwing, id, swingNames(l))
	case same && i == index:
		return fmt.Errorf("%w to show beside %q: name another one than itself", ErrNoSwing, id)
	}
	if b.before != nil && b.before.Lesson == l && b.before.Index == i {
		b.other, b.held = b.before, b.now.numbers
		return nil
	}
	var err error
	if b.other, err = r.measure(ctx, l, i); err != nil {
		return err
	}
	now := measured{Result: b.now.Result, visit: b.now.visit}
	if same { // one swing against another of the visit
		r.hold(&now, []*annotations.Result{b.other.Result}, true)
	} else {
		r.hold(&now, b.other.visit, false)
	}
	b.held = now.numbers
	return nil
}

// sides returns the swings that the clip shows, the one it is made for last.
func (b *builder) sides() []*side {
	now := &side{measured: b.now, album: newAlbum(filepath.Dir(b.request.Path))}
	out := []*side{now}
	if b.other != nil {
		before := &side{measured: b.other, album: newAlbum(filepath.Dir(b.request.Beside.Path))}
		name(before, now)
		out = []*side{before, now}
	}
	for i, s := range out {
		s.nth, s.album.forward = i, true
	}
	return out
}

// name tells two swings apart in words.
func name(before, now *side) {
	x, y := before.Lesson, now.Lesson
	before.word, now.word = "before", "now"
	switch {
	case x.ID == y.ID:
		before.word, now.word = oneLine(before.Swing().Label), oneLine(now.Swing().Label)
		if before.word == "" || now.word == "" || before.word == now.word {
			before.word, now.word = fmt.Sprintf("swing %d", before.Index+1), fmt.Sprintf("swing %d", now.Index+1)
		}
	case x.Student.Name != y.Student.Name && x.Student.Name != "" && y.Student.Name != "":
		before.word, now.word = oneLine(x.Student.Name), oneLine(y.Student.Name)
	}
	for _, s := range []*side{before, now} {
		s.title = sentence(s.word)
		if when := dateOf(s.Lesson); when != "" && x.ID != y.ID {
			s.title += ": " + when
		}
	}
}

// of names a side beside another, as "of the swing before".
func (s *side) of() string {
	if s.title == "" {
		return ""
	}
	return " (" + s.title + ")"
}

// tale is what is told where the clip stands still.
type tale struct {
	measure string               // "" where nothing is shown but the swing
	finding *annotations.Finding // with a frame of its own, or nil
	text    string               // that stands below the views
	numbers []string             // by side, beside its lines
}

// tales are what the clip tells at a key position.
func (b *builder) tales(sides []*side, position geometry.PositionName) []*tale {
	if b.other != nil {
		return b.comparisons([2]string{sides[0].word, sides[1].word}, position)
	}
	var out []*tale
	findings := b.now.findings()
	for i := range findings {
		if f := &findings[i]; f.Frame.Clip == "" && f.Measure != "" && toldAt(f.Position) == position {
			out = append(out, b.tale(f))
		}
	}
	return out
}

// toldAt is the key position at which a measure is told: those of the whole
// swing are told at the top.
func toldAt(p geometry.PositionName) geometry.PositionName {
	if p == "" {
		return geometry.Top
	}
	return p
}

// told writes a number with its interval.
func (b *builder) told(name string, at geometry.PositionName, u geometry.Unit, v, low, high float64) string {
	return words.Told(u, b.request.Imperial).Of(name, at).WithInterval(v, low, high)
}

// mostCompared is how many differences the clip tells at one key position beside
// those that the coach took a finding from.
const mostCompared = 2

// comparisons are the measures that two swings are compared in at a key position:
// those of the coach's findings, and those with a target range that surely differ,
// the surest first.
func (b *builder) comparisons(called [2]string, position geometry.PositionName) []*tale {
	pairs := b.pairs(func(p geometry.PositionName) bool { return toldAt(p) == position })
	var out []*tale
	tell := func(p *pair) {
		was := b.told(p.old.Name, p.old.Position, p.old.Unit, p.old.Value, p.old.Low95, p.old.High95)
		is := b.told(p.now.Name, p.now.Position, p.now.Unit, p.now.Value, p.now.Low95, p.now.High95)
		out = append(out, &tale{measure: p.now.Name, text: fmt.Sprintf("%s, %s: %s; %s: %s. The difference: %s, %s.",
			p.change.Name, called[0], was, called[1], is, p.change.Change, p.change.Word), numbers: []string{was, is}})
	}
	others := 0
	for i := range pairs {
		p := &pairs[i]
		switch told := p.change.Known && p.now.Target != nil; {
		case p.found:
			tell(p)
		case told && others < mostCompared:
			others++
			tell(p)
		}
	}
	if len(out) > 0 || len(pairs) == 0 {
		return out
	}
	if i := slices.IndexFunc(pairs, func(p pair) bool { return p.now.Target != nil }); i >= 0 && slices.Contains(alwaysTold, position) {
		tell(&pairs[i])
		return out
	}
	return []*tale{{text: "No difference here is sure enough to tell."}}
}

// alwaysTold are the key positions at which something is told even where nothing
// differs for sure.
var alwaysTold = []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact}

// pair is a measure of both swings.
type pair struct {
	now    *annotations.Measured
	old    *geometry.Measure
	change Change
	found  bool    // the coach took a finding from it
	sure   float64 // the difference in its own errors
}

// pairs are the measures of both swings at some positions: those of the coach's
// findings first, then the surest.
func (b *builder) pairs(at func(geometry.PositionName) bool) []pair {
	var out []pair
	for i := range b.held {
		m := &b.held[i]
		if old := m.Before; old != nil && at(m.Position) {
			_, found := b.now.Swing().FindingOf(m.Name, m.Position)
			out = append(out, pair{m, old, b.change(m), found, math.Abs(m.Value-old.Value) / math.Hypot(m.Sigma, old.Sigma)})
		}
	}
	slices.SortStableFunc(out, func(p, q pair) int {
		switch {
		case p.found && !q.found:
			return -1
		case q.found && !p.found:
			return 1
		}
		return cmp.Compare(q.sure, p.sure)
	})
	return out
}

// mostSummed is how many differences are summed up at the end of the clip.
const mostSummed = 5

// compared sums up what two swings differ in, for the end of the clip.
func (b *builder) compared() (head string, lines []string) {
	all := b.pairs(func(geometry.PositionName) bool { return true })
	untold := 0
	for _, p := range all {
		switch {
		case p.now.Target == nil && !p.found:
		case !p.change.Known:
			untold++
		case len(lines) < mostSummed:
			lines = append(lines, fmt.Sprintf("%s: %s, then %s (%s, %s)", p.change.Name, p.change.Before, p.change.Now, p.change.Change, p.change.Brief))
		}
	}
	switch {
	case len(all) == 0:
		return "", nil
	case len(lines) == 0:
		return "What differs", []string{"Nothing that is sure enough to tell."}
	case untold > 0:
		lines = append(lines, sentence(words.Spelled(untold, "other measure differs", "other measures differ"))+" in a way that can't be told.")
	}
	return "What differs", lines
}
