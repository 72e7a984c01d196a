package curves

import (
	"fmt"
	"math"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/geometry/motion"
)

// tally adds up errors of one number, in its unit.
type tally struct {
	n, inside   int
	square, all float64 // of errors; of half widths
}

func (a *tally) add(value, low, high, truth float64) {
	a.n++
	a.square += (value - truth) * (value - truth)
	a.all += (high - low) / 2
	if low <= truth && truth <= high {
		a.inside++
	}
}

func (a *tally) join(b *tally) {
	a.n, a.inside, a.square, a.all = a.n+b.n, a.inside+b.inside, a.square+b.square, a.all+b.all
}

func (a *tally) String() string {
	if a.n == 0 {
		return "-"
	}
	n := float64(a.n)
	return fmt.Sprintf("%.2f ±%.1f %.0f %%", math.Sqrt(a.square/n), a.all/n, 100*float64(a.inside)/n)
}

// clothRow is a row of the table: what a group of golfers came to.
type clothRow struct {
	alone, plain, cloth, sheet tally // pelvis turn by marks, tracks, with clothes, and the number that is shown
	byPosition                 map[geometry.PositionName]*tally
	pelvis, torso              tally    // peak speeds, degrees a second
	speeds                     [2]tally // of both turns at all instants from top to impact
	order                      struct{ known, told, wrong int }
	lead                       tally // milliseconds
	used, swings, on           int
	followed, frames           int
	seconds                    float64 // of the processor, with clothes beyond without
}

// motionOf is a rendered golfer's truth between the key positions, seconds with impact at 0.
type motionOf struct{ model *golfer.Model }

func (m motionOf) turns(t float64) (pelvis, torso float64) {
	a, b := m.model.At(0), m.model.At(t+golfer.ImpactTime)
	for _, x := range geometry.MeasuresOf(geometry.Golfer{}, []geometry.Position{{Name: geometry.Address}, {Name: geometry.Delivery}},
		[][geometry.NumPoints]geometry.WorldPt{a.Points, b.Points}) {
		switch {
		case x.Position != geometry.Delivery:
		case x.Name == "pelvis turn":
			pelvis = x.Value
		case x.Name == "torso turn":
			torso = x.Value
		}
	}
	return pelvis, torso
}

// rates are degrees a second, by differences over 2 ms.
func (m motionOf) rates(t float64) (pelvis, torso float64) {
	const h = 1e-3
	p0, t0 := m.turns(t - h)
	p1, t1 := m.turns(t + h)
	return (p1 - p0) / (2 * h), (t1 - t0) / (2 * h)
}

// peaks are the fastest turns toward the target from the top to impact, as negative
// numbers, and by how many milliseconds the pelvis turns round before the torso.
func (m motionOf) peaks() (pelvis, torso, lead float64) {
	var top [2]float64
	var when [2]float64
	for t := -0.45; t < 0; t += 0.002 {
		p, q := m.rates(t)
		pelvis, torso = math.Min(pelvis, p), math.Min(torso, q)
		a, b := m.turns(t)
		for i, v := range [2]float64{a, b} {
			if v > top[i] {
				top[i], when[i] = v, t
			}
		}
	}
	return pelvis, torso, 1000 * (when[1] - when[0])
}

func processorSeconds() float64 {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

// score adds the curves of one hand's marks.
func (row *clothRow) score(c *motion.Curves, truth motionOf) {
	peak := func(curve int) (v motion.Value) {
		for i, s := range c.Seconds {
			if now := c.Curves[curve].Values[i]; now.Known && s > -0.35 && s < 0.01 && (!v.Known || now.Rate < v.Rate) {
				v = now
			}
		}
		return v
	}
	pelvis, torso, lead := truth.peaks()
	if v := peak(0); v.Known {
		row.pelvis.add(v.Rate, v.RateLow95, v.RateHigh95, pelvis)
	}
	if v := peak(1); v.Known {
		row.torso.add(v.Rate, v.RateLow95, v.RateHigh95, torso)
	}
	for i, s := range c.Seconds {
		if s < -0.35 || s > 0 {
			continue
		}
		p, q := truth.rates(s)
		for k, want := range [2]float64{p, q} {
			if v := c.Curves[k].Values[i]; v.Known {
				row.speeds[k].add(v.Rate, v.RateLow95, v.RateHigh95, want)
			}
		}
	}
	if r := &c.Reversal; r.Known {
		row.order.known++
		row.lead.add(1000*r.Lead, 1000*r.Low95, 1000*r.High95, lead)
		if p := r.PelvisFirst; p > 0.9 || p < 0.1 {
			row.order.told++
			if (p > 0.5) != (lead > 0) {
				row.order.wrong++
			}
		}
	}
}

// join adds another row.
func (row *clothRow) join(o *clothRow) {
	for _, x := range [][2]*tally{{&row.alone, &o.alone}, {&row.plain, &o.plain}, {&row.cloth, &o.cloth}, {&row.sheet, &o.sheet}, {&row.pelvis, &o.pelvis},
		{&row.torso, &o.torso}, {&row.speeds[0], &o.speeds[0]}, {&row.speeds[1], &o.speeds[1]}, {&row.lead, &o.lead}} {
		x[0].join(x[1])
	}
	for p, a := range o.byPosition {
		if row.byPosition[p] == nil {
			row.byPosition[p] = &tally{}
		}
		row.byPosition[p].join(a)
	}
	row.order.known, row.order.told, row.order.wrong = row.order.known+o.order.known, row.order.told+o.order.told, row.order.wrong+o.order.wrong
	row.used, row.swings, row.on = row.used+o.used, row.swings+o.swings, row.on+o.on
	row.followed, row.frames, row.seconds = row.followed+o.followed, row.frames+o.frames, row.seconds+o.seconds
}

// between are the five positions of the table.
var between = []geometry.PositionName{geometry.ClubLevelBack, geometry.LeadArmLevel, geometry.Top, geometry.Delivery, geometry.Impact}

// TestClothTable prints what the pelvis turn, the speeds of turning and the order of turning
// round come to by marks, tracks and clothes, on rendered golfers of known truth (see casts).
// Its last run stands in doc.go of geometry/motion.
func TestClothTable(t *testing.T) {
	if !*accuracy {
		t.Skip("two hours: run with -accuracy (make accuracy-cloth)")
	}
	rows := map[string]*clothRow{}
	var order []string
	for _, c := range casts() {
		if !c.chosen() {
			continue
		}
		row := rows[c.group]
		if row == nil {
			row = &clothRow{byPosition: map[geometry.PositionName]*tally{}}
			rows[c.group], order = row, append(order, c.group)
		}
		own := &clothRow{byPosition: map[geometry.PositionName]*tally{}}
		for hand := range *handsOf {
			c.fit(t, hand, own)
		}
		own.log(t, c.Name)
		row.join(own)
	}
	for _, name := range order {
		rows[name].log(t, "all of "+name)
	}
}

// log prints a row.
func (row *clothRow) log(t *testing.T, name string) {
	t.Helper()
	r := row
	t.Logf("%s: marks %s; tracks %s; clothes %s; shown %s (%d of %d by clothes or tracks); clothes used in %d of %d, seen in %.0f %% of frames; %.1f s",
		name, r.alone.String(), r.plain.String(), r.cloth.String(), r.sheet.String(), r.on, r.sheet.n, r.used, r.swings, 100*float64(r.followed)/float64(max(r.frames, 1)), r.seconds/float64(max(r.swings, 1)))
	for _, p := range between {
		if a := r.byPosition[p]; a != nil {
			t.Logf("    %s %s", p, a.String())
		}
	}
	t.Logf("    peak speeds: pelvis %s; torso %s; speeds from top to impact: pelvis %s; torso %s", r.pelvis.String(), r.torso.String(), r.speeds[0].String(), r.speeds[1].String())
	t.Logf("    order of turning round: told in %d of %d, %d of them wrong; lead in ms %s", r.order.told, r.order.known, r.order.wrong, r.lead.String())
}

// fit marks, follows and fits one golfer by one hand.
func (c *cast) fit(t *testing.T, hand int, row *clothRow) {
	t.Helper()
	l, truth, r := c.marked(t, hand)
	s := &l.Swings[0]
	error5 := func(a *tally, list []geometry.Measure, each bool) {
		for i := range list {
			m := &list[i]
			for _, p := range between {
				if m.Name != "pelvis turn" || m.Position != p {
					continue
				}
				want := truth.Position(p).Measures[m.Name]
				a.add(m.Value, m.Low95, m.High95, want)
				if each {
					if row.byPosition[p] == nil {
						row.byPosition[p] = &tally{}
					}
					row.byPosition[p].add(m.Value, m.Low95, m.High95, want)
				}
			}
		}
	}
	var marks []geometry.Measure
	for i := range r.Measures {
		marks = append(marks, *r.Measures[i].ByMarks())
	}
	error5(&row.alone, marks, false)
	row.swings++
	if c.blind {
		error5(&row.sheet, marks, false)
		return
	}
	f := &Followed{Clips: make([]Clip, len(s.Clips))}
	for i := range s.Clips {
		var err error
		f.Clips[i], err = Follow(t.Context(), s, i, filepath.Join(films(t), s.Clips[i].File), func(int, int) {})
		require.NoError(t, err)
	}
	bare := &Followed{Clips: append([]Clip(nil), f.Clips...)}
	for i := range bare.Clips {
		bare.Clips[i].kept = nil
	}
	began := processorSeconds()
	without, err := Fit(t.Context(), r, bare, func(float64) {})
	require.NoError(t, err)
	middle := processorSeconds()
	with, err := Fit(t.Context(), r, f, func(float64) {})
	require.NoError(t, err)
	row.seconds += processorSeconds() - middle - (middle - began)
	error5(&row.plain, without.Measures(), false)
	error5(&row.cloth, with.Measures(), true)
	s.Followed = annotations.NewFollowed(&r.Problem, with.Measures(), with.Seen)
	shown, err := annotations.Evaluate(t.Context(), l, 0, annotations.Options{})
	require.NoError(t, err)
	var list []geometry.Measure
	for i := range shown.Measures {
		list = append(list, shown.Measures[i].Measure)
		for _, p := range between {
			if m := &shown.Measures[i]; m.Name == "pelvis turn" && m.Position == p && m.Basis == annotations.OnFollowed {
				row.on++
			}
		}
	}
	error5(&row.sheet, list, false)
	row.score(with, motionOf{golfer.New(c.Golfer)})
	if with.Seen.Used() {
		row.used++
	}
	row.followed, row.frames = row.followed+with.Seen.Followed, row.frames+with.Seen.Frames
}
