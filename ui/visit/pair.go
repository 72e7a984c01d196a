package visit

import (
	"cmp"
	"slices"

	"turngauge/geometry"
	"turngauge/video/take"
)

const (
	// nearS is how far the times of two films of one swing may differ by their files,
	// seconds, and farS from when on they are of two: phones round to seconds and some
	// set their clocks by hand.
	nearS, farS = 5.0, 90.0
	// byTime and byOrder are what files whose times agree count for, and what films that
	// come at the same place in the order of their view do: a swing in both counts 1.
	byTime, byOrder = 1.0, 0.4
)

// couple is two films that may show the same swings.
type couple struct {
	films  [2]*Film // by view
	match  take.Match
	swings [2][]int // of each moment
	score  float64
	sure   bool
}

// pair finds which swings of face-on and down-the-line films are the same, best couple
// of films first, and makes the rows.
func (v *Visit) pair() {
	var by [2][]*Film
	for _, f := range v.Films {
		i := slices.Index(views[:], f.View)
		by[i] = append(by[i], f)
	}
	for i := range by {
		slices.SortStableFunc(by[i], order)
	}
	var couples []couple
	for i, a := range by[0] {
		for j, b := range by[1] {
			couples = append(couples, newCouple(a, b, i == j && len(by[0]) == len(by[1]), len(by[0])*len(by[1]) > 1))
		}
	}
	slices.SortStableFunc(couples, func(a, b couple) int { return cmp.Compare(b.score, a.score) })
	taken := map[Shot]bool{}
	for _, c := range couples {
		n := 0
		for _, p := range c.match.Pairs {
			a, b := Shot{c.films[0], c.swings[0][p[0]]}, Shot{c.films[1], c.swings[1][p[1]]}
			if c.score <= 0 || taken[a] || taken[b] {
				continue
			}
			taken[a], taken[b] = true, true
			v.Rows = append(v.Rows, Row{Shots: [2]Shot{a, b}})
			n++
		}
		if n > 0 && !c.sure {
			v.note("The swings of %s and %s are put together by the order in which they come: look whether they are the same.", c.films[0].Name(), c.films[1].Name())
		}
	}
	for i := range by {
		for _, f := range by[i] {
			for k := range f.Swings {
				if s := (Shot{f, k}); !taken[s] {
					r := Row{}
					r.Shots[i] = s
					v.Rows = append(v.Rows, r)
				}
			}
		}
	}
	v.arrange(couples)
}

// newCouple says what speaks for two films showing the same swings. sameRank says that
// they come at the same place among those of their views, several that there are more.
func newCouple(a, b *Film, sameRank, several bool) couple {
	c := couple{films: [2]*Film{a, b}}
	var moments [2][]take.Moment
	moments[0], c.swings[0] = a.moments()
	moments[1], c.swings[1] = b.moments()
	c.match = take.Pair(moments[0], moments[1])
	c.score, c.sure = c.match.Score, c.match.Sure()
	if len(c.match.Pairs) == 0 {
		return c
	}
	if len(c.match.Pairs) == 1 && several {
		c.sure = false // any two strikes are as far apart as they are
	}
	switch seconds, ok := apart(a, b, c.match.Offset); {
	case ok && seconds <= nearS:
		c.score += byTime
		c.sure = true
	case ok && seconds > farS && several:
		c.score = 0
	case !ok && sameRank:
		c.score += byOrder
	}
	return c
}

// arrange puts the rows into the order of time: that of the face-on films, into which
// rows with the other view alone are sorted by their couples' offsets. A practice swing
// is one in no film of which a strike is heard.
func (v *Visit) arrange(couples []couple) {
	rank := map[*Film]int{}
	films := slices.Clone(v.Films)
	slices.SortStableFunc(films, order)
	for i, f := range films {
		rank[f] = i
	}
	// when is the film by which a row is sorted, and a time on its clock.
	when := func(r *Row) (film int, seconds float64) {
		if s := r.Shots[0]; s.Film != nil {
			return rank[s.Film], s.Of().Strike
		}
		s := r.Shots[1]
		for _, c := range couples {
			if c.films[1] == s.Film && c.score > 0 && len(c.match.Pairs) > 0 {
				return rank[c.films[0]], s.Of().Strike - c.match.Offset
			}
		}
		return rank[s.Film], s.Of().Strike
	}
	slices.SortStableFunc(v.Rows, func(a, b Row) int {
		fa, sa := when(&a)
		fb, sb := when(&b)
		return cmp.Or(cmp.Compare(fa, fb), cmp.Compare(sa, sb))
	})
	v.findPractice()
}

// Shot returns what a row shows from a view.
func (r *Row) Shot(view geometry.View) Shot { return r.Shots[slices.Index(views[:], view)] }

// SwapViews makes what was taken for face-on down-the-line, and the other way round.
func (v *Visit) SwapViews() {
	for _, f := range v.Films {
		f.View = other(f.View)
	}
	for i := range v.Rows {
		s := &v.Rows[i].Shots
		s[0], s[1] = s[1], s[0]
	}
}
