package series

import (
	"context"
	"fmt"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Visit returns the results of the swings of a lesson that are swung as one of them is,
// that one included, put together: known ones, and others that are evaluated now. A swing
// without marks is left out. The only error is that of ctx.
func Visit(ctx context.Context, r *annotations.Result, known []*annotations.Result, o annotations.Options) ([]*annotations.Result, error) {
	o.Solver, o.Follow, o.Rules = nil, nil, nil
	var out []*annotations.Result
next:
	for i := range r.Lesson.Swings {
		s := &r.Lesson.Swings[i]
		if i == r.Index {
			out = append(out, r)
			continue
		}
		if len(s.Marks) == 0 || s.Tried != r.Swing().Tried || s.Club.Group() != r.Swing().Club.Group() {
			continue
		}
		for _, k := range known {
			if k.Lesson == r.Lesson && k.Index == i {
				out = append(out, k)
				continue next
			}
		}
		x, err := annotations.Evaluate(ctx, r.Lesson, i, o)
		if err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return annotations.PutTogether(out), nil
}

// With returns the results of a visit with a newer one of one of its swings in the place
// of the one that is there, put together. None of them is together already.
func With(r *annotations.Result, visit []*annotations.Result) []*annotations.Result {
	var out []*annotations.Result
	found := false
	for _, x := range visit {
		if x.Swing().ID == r.Swing().ID {
			x, found = r, true
		}
		out = append(out, x)
	}
	if !found {
		out = append(out, r)
	}
	return annotations.PutTogether(out)
}

// Held returns the measures of a swing as a sheet shows them: the means over the swings
// of the visit that were swung alike, where there are two or more and it is not to stand
// alone, held against the swings of an earlier visit, if there are any. The visit holds
// the swing itself.
func Held(r *annotations.Result, visit, earlier []*annotations.Result, alone bool, o *annotations.Options) []annotations.Measured {
	for _, x := range visit {
		if x.Lesson == r.Lesson && x.Index == r.Index {
			r = x // as the swings tell it together
		}
	}
	out := make([]annotations.Measured, len(r.Measures))
	copy(out, r.Measures)
	c, compared := Between(r, visit, earlier)
	if alone {
		if len(c.Later) > 1 { // they tell how far his swings differ
			c.Others = [][]*annotations.Result{without(c.Later, r)}
		}
		c.Later = []*annotations.Result{r}
	} else if list := Of(Alike(r, visit), o); len(list) > 0 {
		out = list[0].over(out)
	}
	if !compared {
		return out
	}
	for i := range out {
		m := &out[i]
		if x, ok := c.Of(m.Name, m.Position, m.Unit); ok {
			m.Before, m.Change = c.before(m, &x), &x
		}
	}
	return out
}

// before is what a measure was: of one swing its own number, of several their mean.
func (c *Comparison) before(m *annotations.Measured, x *geometry.Change) *geometry.Measure {
	if x.Earlier.N == 1 {
		for _, r := range c.Earlier {
			if b := r.Find(m.Name, m.Position); b != nil {
				return &b.Measure
			}
		}
	}
	b := measureOf(&m.Measure, &x.Earlier)
	return &b
}

func without(list []*annotations.Result, r *annotations.Result) []*annotations.Result {
	var out []*annotations.Result
	for _, x := range list {
		if x != r {
			out = append(out, x)
		}
	}
	return out
}

// measureOf is a measure with the mean of a visit for its number.
func measureOf(m *geometry.Measure, mean *geometry.Mean) geometry.Measure {
	out := *m
	out.Value, out.Sigma, out.Low95, out.High95, out.Shared, out.Lasting = mean.Value, mean.Sigma, mean.Low95, mean.High95, 0, 0
	if mean.N > 1 {
		out.Method = fmt.Sprintf("mean of %d swings; each: %s", mean.N, m.Method)
	}
	return out
}

// over puts the means in the place of one swing's measures, with those that this swing
// lacks behind.
func (s *Series) over(swing []annotations.Measured) []annotations.Measured {
	at := make(map[string]int, len(swing))
	key := func(name string, p geometry.PositionName) string { return name + "\x00" + string(p) }
	for i := range swing {
		at[key(swing[i].Name, swing[i].Position)] = i
	}
	for k := range s.Measures {
		m := &s.Measures[k]
		var like *annotations.Measured // this swing's, or another's
		i, here := at[key(m.Name, m.Position)]
		if here {
			like = &swing[i]
		} else {
			for _, v := range m.Values {
				if v != nil {
					like = v
				}
			}
		}
		x := *like
		x.Measure = measureOf(&like.Measure, &m.Mean)
		x.Basis, x.Alone, x.Target, x.Judgement = annotations.OnVisit, nil, m.Target, m.Judgement
		if !here {
			swing = append(swing, x)
			continue
		}
		one := like.Measure
		x.One = &one
		swing[i] = x
	}
	return swing
}
