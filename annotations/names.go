package annotations

import (
	"strings"

	"turngauge/annotations/words"
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

func nameOf[T comparable](known []word[T], v T) string {
	for _, w := range known {
		if w.value == v {
			return w.name
		}
	}
	return ""
}

func valueOf[T comparable](known []word[T], name string) (v T, ok bool) {
	for _, w := range known {
		if w.name == name {
			return w.value, true
		}
	}
	return v, false
}

// choices lists the words of an enumeration for a message.
func choices[T comparable](known []word[T]) string {
	quoted := make([]string, len(known))
	for i, w := range known {
		quoted[i] = words.Quote(w.name)
	}
	return words.Or(quoted)
}

// pointHint says which point was probably meant by a name that is not one.
func pointHint(name string) string {
	parts := strings.Fields(strings.ToLower(strings.NewReplacer("_", " ", "-", " ").Replace(name)))
	if len(parts) == 0 {
		return "see the list of points in README.md"
	}
	var near []string
	last := parts[len(parts)-1]
	for p := geometry.Point(0); p < geometry.NumPoints; p++ {
		n := p.String()
		if n == strings.Join(parts, " ") {
			return "use " + words.Quote(n)
		}
		if n == last || strings.HasSuffix(n, " "+last) {
			near = append(near, words.Quote(n))
		}
	}
	if len(near) > 0 {
		return "use " + words.Or(near)
	}
	all := make([]string, geometry.NumPoints)
	for p := range all {
		all[p] = words.Quote(geometry.Point(p).String())
	}
	return "use one of " + words.Or(all)
}
