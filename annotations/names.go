package annotations

import (
	"strings"
	"unicode"

	"turngauge/geometry"
)

// The words of the document for the values of geometry's enumerations, in the
// order in which messages list them.
type word[T comparable] struct {
	name  string
	value T
}

var (
	handedWords = []word[geometry.Handed]{
		{"right", geometry.RightHanded}, {"left", geometry.LeftHanded},
	}
	sexWords = []word[geometry.Sex]{
		{"female", geometry.Female}, {"male", geometry.Male},
	}
	viewWords = []word[geometry.View]{
		{geometry.FaceOn.String(), geometry.FaceOn},
		{geometry.DownTheLine.String(), geometry.DownTheLine},
	}
	alongWords = []word[geometry.Direction]{
		{"target line", geometry.AlongTargetLine},
		{"across target line", geometry.AcrossTargetLine},
	}
	speedWords = []word[Speed]{
		{"life", LifesSpeed}, {"varies", VariedSpeed},
	}
	stateWords = []word[geometry.MarkState]{
		{"placed", geometry.Placed}, {"hidden", geometry.Hidden},
		{"proposed", geometry.Proposed}, {"tracked", geometry.Tracked},
	}
)

func nameOf[T comparable](words []word[T], v T) string {
	for _, w := range words {
		if w.value == v {
			return w.name
		}
	}
	return ""
}

func valueOf[T comparable](words []word[T], name string) (v T, ok bool) {
	for _, w := range words {
		if w.name == name {
			return w.value, true
		}
	}
	return v, false
}

// choices lists the words of an enumeration for a message.
func choices[T comparable](words []word[T]) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = quote(w.name)
	}
	return orList(quoted)
}

// orList joins alternatives: "a", "a or b", "a, b or c".
func orList(items []string) string {
	if n := len(items); n > 1 {
		return strings.Join(items[:n-1], ", ") + " or " + items[n-1]
	}
	return strings.Join(items, "")
}

// pointHint says which point was probably meant by a name that is not one.
func pointHint(name string) string {
	words := strings.Fields(strings.ToLower(strings.NewReplacer("_", " ", "-", " ").Replace(name)))
	if len(words) == 0 {
		return "see the list of points in README.md"
	}
	var near []string
	last := words[len(words)-1]
	for p := geometry.Point(0); p < geometry.NumPoints; p++ {
		n := p.String()
		if n == strings.Join(words, " ") {
			return "use " + quote(n)
		}
		if n == last || strings.HasSuffix(n, " "+last) {
			near = append(near, quote(n))
		}
	}
	if len(near) > 0 {
		return "use " + orList(near)
	}
	all := make([]string, geometry.NumPoints)
	for p := range all {
		all[p] = quote(geometry.Point(p).String())
	}
	return "use one of " + orList(all)
}

// quote puts a name from a document into a message: short, on one line.
func quote(s string) string { return `"` + shortened(s) + `"` }

// shortened is a text from a document as it may stand in a message: nothing in it turns
// a line, moves the cursor or changes the direction of writing.
func shortened(s string) string {
	const limit = 60
	s = s[:min(len(s), 8*limit)]
	r := []rune(s)
	if len(r) > limit {
		r = append(r[:limit], '…')
	}
	for i, c := range r {
		if unicode.IsControl(c) || unicode.In(c, unicode.Cf, unicode.Zl, unicode.Zp) {
			r[i] = '�'
		}
	}
	return string(r)
}
