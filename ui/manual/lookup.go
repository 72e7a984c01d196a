package manual

import (
	"cmp"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// Label is a name that stands somewhere in the window or on what the student takes
// home, with what it means.
type Label struct {
	Kind kind
	Name string
	// Plain says what it means in a coach's words, Exact how it is defined.
	Plain, Exact string
	// Positive is what a positive number means, and Source where the definition is
	// from; "" where there is nothing to say.
	Positive, Source string
	// asked are words under which it is looked for beside those of its name.
	asked   string
	picture picture
}

// kind is what a label is a name of.
type kind string

const (
	measureKind  kind = "measure"
	pointKind    kind = "point"
	positionKind kind = "key position"
	verdictKind  kind = "verdict"
	shotKind     kind = "shot"
	wordKind     kind = "word"
)

// mostFound is how many labels are shown for what was asked.
const mostFound = 12

// How much a word of the question counts where it is found. Our own, chosen so that a
// name beats a word that only goes with it, and that beats a word in passing.
const (
	inName  = 6.0
	inAsked = 4.0
	inText  = 1.0
	begun   = 0.8 // of it, for a word of which the question has the beginning
)

// asWritten is a label's words as they are compared.
type asWritten struct{ name, asked, text []string }

var written = sync.OnceValue(func() []asWritten {
	out := make([]asWritten, len(Labels()))
	for i, l := range Labels() {
		out[i] = asWritten{stems(l.Name), stems(l.asked), stems(l.Plain + " " + l.Exact + " " + string(l.Kind))}
	}
	return out
})

// Find returns the labels that a coach may mean by a question in his own words, the
// likeliest first: those in which the most of its words are found.
func Find(question string) []*Label {
	asked := slices.DeleteFunc(stems(question), func(w string) bool { return idle[w] })
	if len(asked) == 0 {
		return nil
	}
	type hit struct {
		label *Label
		words int
		score float64
	}
	var hits []hit
	for i := range written() {
		w, h := &written()[i], hit{label: &Labels()[i]}
		for _, a := range asked {
			best := max(inName*match(a, w.name), inAsked*match(a, w.asked), inText*match(a, w.text))
			if best > 0 {
				h.words++
				h.score += best
			}
		}
		if h.words == 0 {
			continue
		}
		// Of two names that hold the question the shorter one is meant.
		said := 0
		for _, n := range w.name {
			if match(n, asked) > 0 {
				said++
			}
		}
		h.score += 2 * float64(said) / float64(len(w.name))
		hits = append(hits, h)
	}
	slices.SortStableFunc(hits, func(a, b hit) int {
		return cmp.Or(b.words-a.words, cmp.Compare(b.score, a.score))
	})
	var out []*Label
	for _, h := range hits {
		if len(out) == mostFound || h.words < hits[0].words || h.score < hits[0].score/4 {
			break
		}
		out = append(out, h.label)
	}
	return out
}

// match is 1 where a word is among others, less where it begins one of them, else 0.
func match(word string, among []string) float64 {
	best := 0.0
	for _, w := range among {
		switch {
		case w == word:
			return 1
		case len(word) > 2 && strings.HasPrefix(w, word), len(w) > 3 && strings.HasPrefix(word, w) && len(word) <= len(w)+3:
			best = begun
		}
	}
	return best
}

// idle are words of a question that say nothing of what is meant, as stems leaves
// them.
var idle = func() map[string]bool {
	m := make(map[string]bool)
	for _, w := range stems("a an and are at be by can did do does far for from had has have how i in is it its long many me mean measure much my of on or should so tell that the their there this to was what when where which who why will with you your") {
		m[w] = true
	}
	return m
}()

// stems are the words of a text in lower case, without the endings of plurals and of
// what has been done: "Turned hips" is "turn", "hip".
func stems(text string) []string {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	for i, w := range words {
		for _, ending := range []string{"ing", "ed", "es", "s"} {
			stem, cut := strings.CutSuffix(w, ending)
			if !cut || len(stem) < 3 || strings.HasSuffix(w, "ss") || ending == "es" && !strings.HasSuffix(stem, "ch") {
				continue
			}
			w = stem
			break
		}
		words[i] = w
	}
	return words
}
