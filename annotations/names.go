package annotations

import (
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
