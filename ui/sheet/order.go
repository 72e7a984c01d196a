package sheet

import (
	"cmp"
	"slices"
	"strings"

	"turngauge/geometry"
)

// rank is where a measure stands in the coach's order, those that he did not place last.
func (s *Sheet) rank(r *Row) int {
	if i := slices.Index(s.Order, r.measure()); i >= 0 {
		return i
	}
	return len(s.Order)
}

// measure is the name of the row's measure as it is stored.
func (r *Row) measure() string {
	name, _, _ := strings.Cut(r.Key, " @ ")
	return name
}

// inOrder returns rows in the coach's order.
func (s *Sheet) inOrder(rows []*Row) []*Row {
	if len(s.Order) == 0 {
		return rows
	}
	rows = slices.Clone(rows)
	slices.SortStableFunc(rows, func(a, b *Row) int { return cmp.Compare(s.rank(a), s.rank(b)) })
	return rows
}

// moves reports whether the selected row can move by d.
func (s *Sheet) moves(d int) bool {
	i := s.index()
	return i >= 0 && i+d >= 0 && i+d < len(s.items) && s.items[i+d].row != nil && s.items[i].row.measure() != s.items[i+d].row.measure()
}

// move is the order in which the measure of the selected row stands before the one above
// it (d is -1) or behind the one below; ok is false at the end of its group.
func (s *Sheet) move(d int) (e Event, ok bool) {
	if !s.moves(d) {
		return e, false
	}
	i := s.index()
	mine, other := s.items[i].row.measure(), s.items[i+d].row.measure()
	s.reveal = true
	return Event{Kind: Ordered, Row: s.items[i].row, Order: reordered(s.ordered(), mine, other, d)}, true
}

// ordered is every measure in the order in which they stand now.
func (s *Sheet) ordered() []string {
	order := slices.Clone(s.Order)
	for _, d := range geometry.Definitions() {
		if !slices.Contains(order, d.Name) {
			order = append(order, d.Name)
		}
	}
	return order
}

// reordered returns names with one moved beside another, before it where d is -1.
func reordered(names []string, mine, other string, d int) []string {
	names = slices.DeleteFunc(names, func(n string) bool { return n == mine })
	at := slices.Index(names, other)
	if d > 0 {
		at++
	}
	return slices.Insert(names, at, mine)
}
