package progress

import (
	"context"
	"math"
	"slices"

	"turngauge/annotations/library"
	"turngauge/ui/shelf/worker"
)

// reading is what the card shows, read at once.
type reading struct {
	measures []library.Measure
	series   map[measureAt][]library.Value
	shown    []measureAt
}

// read reads what is shown anew.
func (r *Room) read() {
	c := &r.cardState
	if !c.Shown {
		return
	}
	c.asked++
	asked, student, club, shown := c.asked, c.student, c.club, slices.Clone(c.shown)
	worker.Ask(r.shelf, "the progress can't be shown", func(ctx context.Context, l *library.Library) (reading, error) {
		v := reading{series: make(map[measureAt][]library.Value), shown: shown}
		var err error
		if v.measures, err = l.MeasuresOf(ctx, student); err != nil {
			return v, err
		}
		read := func(k measureAt) error {
			if _, ok := v.series[k]; ok {
				return nil
			}
			v.series[k], err = l.Progress(ctx, student, k.name, k.position, club)
			return err
		}
		if len(shown) == 0 {
			for _, m := range v.measures {
				if m.Target {
					if err := read(measureAt{m.Name, m.Position}); err != nil {
						return v, err
					}
				}
			}
			v.shown = mostTelling(v.measures, v.series)
		}
		for _, k := range v.shown {
			if err := read(k); err != nil {
				return v, err
			}
		}
		return v, nil
	}, func(v reading, err error) {
		c := &r.cardState
		if !c.Shown || asked != c.asked {
			return
		}
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		c.measures, c.series, c.shown, c.known = v.measures, v.series, v.shown, true
		c.cursor = min(c.cursor, max(len(c.measures)-1, 0))
	})
}

// mostTelling picks the measures that are shown at first: of those with a target
// range the ones with the surest changes, in the order of the list.
func mostTelling(measures []library.Measure, series map[measureAt][]library.Value) []measureAt {
	type scored struct {
		k     measureAt
		score float64
		order int
	}
	var all []scored
	for i, m := range measures {
		k := measureAt{m.Name, m.Position}
		score := 0.0
		for _, v := range series[k] {
			if v.Change != nil && v.Change.Sigma > 0 {
				score = max(score, math.Abs(v.Change.Value)/v.Change.Sigma)
			}
		}
		if m.Target {
			score += 0.5
		}
		all = append(all, scored{k, score, i})
	}
	slices.SortStableFunc(all, func(x, y scored) int {
		switch {
		case x.score > y.score:
			return -1
		case x.score < y.score:
			return 1
		}
		return 0
	})
	all = all[:min(len(all), mostPlots)]
	slices.SortFunc(all, func(x, y scored) int { return x.order - y.order })
	var out []measureAt
	for _, s := range all {
		out = append(out, s.k)
	}
	return out
}
