package annotations

import (
	"math"
	"slices"
	"strings"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/words"
)

// reader collects what is wrong while a tree of nodes becomes a lesson.
type reader struct {
	faults   Faults
	warnings []string
	unsaid   int             // warnings more than there is room for
	broken   map[string]bool // paths with a fault in them
	void     []string        // paths of what should be objects and are not
}

// What is listed of a document is for people to read, and a document may come from
// anyone: so many fields are read of an object, and so many faults and warnings kept.
const mostFields, mostFaults, mostWarnings = 1000, 1000, 200

type need bool

const (
	optional need = false
	required need = true
)

// fault notes a fault at path and remembers it with everything it is part of,
// so that what merely follows from it is not listed as well.
func (r *reader) fault(path, format string, args ...any) {
	if len(r.faults) >= mostFaults {
		return // the document is refused for what is noted
	}
	r.faults.add(path, format, args...)
	if r.broken == nil {
		r.broken = map[string]bool{}
	}
	for path != "" && !r.broken[path] {
		r.broken[path] = true
		path = path[:max(0, strings.LastIndexAny(path, ".["))]
	}
}

// warn notes a warning, of the first that there is room for.
func (r *reader) warn(warnings ...string) {
	room := mostWarnings - len(r.warnings)
	r.warnings = append(r.warnings, warnings[:min(room, len(warnings))]...)
	r.unsaid += len(warnings) - min(room, len(warnings))
}

// follows reports whether a fault at path only follows from one noted here.
func (r *reader) follows(path string) bool {
	return r.broken[path] || slices.ContainsFunc(r.void, func(v string) bool {
		return strings.HasPrefix(path, v+".")
	})
}

// object is a JSON object being read: fields are taken out one by one and what
// is left is not known.
type object struct {
	r      *reader
	path   string
	fields map[string]*jsontree.Node
	order  []string
	void   bool // not an object after all, which is noted; it misses nothing
}

// object starts reading n, which must be an object.
func (r *reader) object(n *jsontree.Node, path string) object {
	o := object{r: r, path: path, fields: map[string]*jsontree.Node{}}
	if n.Kind != jsontree.Object {
		r.fault(path, "must be an object, not %s", jsontree.KindNames[n.Kind])
		r.void = append(r.void, path)
		o.void = true
		return o
	}
	n.EachField(func(name string, value []byte) bool {
		if _, twice := o.fields[name]; twice {
			r.fault(o.at(words.Shortened(name)), "is given twice; keep one")
			return true
		}
		if len(o.order) == mostFields {
			r.fault(path, "has more than %d fields, which no lesson has", mostFields)
			return false
		}
		o.fields[name] = jsontree.Read(value)
		o.order = append(o.order, name)
		return true
	})
	return o
}

// at returns the path of a field.
func (o object) at(name string) string {
	if o.path == "" {
		return name
	}
	return o.path + "." + name
}

// take removes a field and returns its value, or nil where it is absent.
func (o object) take(name string) *jsontree.Node {
	n := o.fields[name]
	delete(o.fields, name)
	if n != nil && n.Kind == jsontree.Null {
		o.r.fault(o.at(name), "is null; leave the field out where nothing is known")
		return nil
	}
	return n
}

// rest returns what was not taken, with a warning for each field.
func (o object) rest() *jsontree.Fields {
	var u jsontree.Fields
	for _, name := range o.order {
		if n, left := o.fields[name]; left {
			u = append(u, jsontree.Member{Name: name, Value: jsontree.Kept(n.Raw)})
			o.r.warn(o.at(words.Shortened(name)) + ": not a field this version of Turngauge knows; it is kept as it is")
		}
	}
	if u == nil {
		return nil
	}
	return &u
}

// want takes a field and notes its absence where it is required.
func (o object) want(name string, must need) *jsontree.Node {
	before := len(o.r.faults)
	n := o.take(name)
	if n == nil && must == required && len(o.r.faults) == before && !o.void {
		o.r.fault(o.at(name), "is missing")
	}
	return n
}

func (o object) text(name string, must need) string {
	n := o.want(name, must)
	switch {
	case n == nil:
		return ""
	case n.Kind != jsontree.String:
		o.r.fault(o.at(name), "must be a text in quotes, not %s", jsontree.KindNames[n.Kind])
	case n.Text == "" && must == required:
		o.r.fault(o.at(name), "is empty")
	default:
		return n.Text
	}
	return ""
}

func (o object) integer(name string, must need) int64 {
	if n := o.want(name, must); n != nil {
		return o.r.integer(n, o.at(name))
	}
	return 0
}

// positive reads an optional number above 0, or returns 0.
func (o object) positive(name string) float64 {
	n := o.take(name)
	if n == nil {
		return 0
	}
	before := len(o.r.faults)
	v := o.r.number(n, o.at(name))
	if len(o.r.faults) == before && v <= 0 {
		o.r.fault(o.at(name), "must be above 0; leave it out where it is not known")
		return 0
	}
	return v
}

// yes reads an optional true or false.
func (o object) yes(name string) bool {
	n := o.take(name)
	if n == nil {
		return false
	}
	if n.Kind != jsontree.Bool {
		o.r.fault(o.at(name), "must be true or false, not %s", jsontree.KindNames[n.Kind])
		return false
	}
	return n.Text == "true"
}

func (o object) list(name string, limit int) []*jsontree.Node {
	n := o.take(name)
	switch {
	case n == nil:
		return nil
	case n.Kind != jsontree.Array:
		o.r.fault(o.at(name), "must be a list in square brackets, not %s", jsontree.KindNames[n.Kind])
		return nil
	}
	items, count := n.List(limit)
	if count > limit {
		o.r.fault(o.at(name), "has %d entries; at most %d are allowed", count, limit)
		return nil
	}
	return items
}

// enum reads a word and returns its value, or the zero value.
func enum[T comparable](o object, name string, must need, known []word[T]) (v T) {
	n := o.take(name)
	path := o.at(name)
	switch {
	case n == nil:
		if must == required && !o.void && !o.r.broken[path] {
			o.r.fault(path, "is missing; use %s", choices(known))
		}
		return v
	case n.Kind != jsontree.String:
		o.r.fault(path, "must be %s, not %s", choices(known), jsontree.KindNames[n.Kind])
		return v
	}
	v, ok := valueOf(known, n.Text)
	if !ok {
		o.r.fault(path, "%s is not known here; use %s", words.Quote(n.Text), choices(known))
	}
	return v
}

func (r *reader) number(n *jsontree.Node, path string) float64 {
	if n.Kind != jsontree.Number {
		r.fault(path, "must be a number, not %s", jsontree.KindNames[n.Kind])
		return 0
	}
	v, ok := parseNumber(n.Text)
	if !ok {
		r.fault(path, "%s is too large to be a number here", words.Quote(n.Text))
		return 0
	}
	return v
}

func (r *reader) integer(n *jsontree.Node, path string) int64 {
	before := len(r.faults)
	v := r.number(n, path)
	if len(r.faults) > before {
		return 0
	}
	if v != math.Trunc(v) || math.Abs(v) > maxInteger {
		r.fault(path, "%s must be a whole number", words.Quote(n.Text))
		return 0
	}
	return int64(v)
}

// pair returns the two items of a list of two, or nil with a fault.
func (r *reader) pair(n *jsontree.Node, path, shape string) []*jsontree.Node {
	if n.Kind == jsontree.Array {
		if items, count := n.List(2); count == 2 {
			return items
		}
	}
	r.fault(path, "must be %s", shape)
	return nil
}
