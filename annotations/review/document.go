// Package review is a narrated review: what a coach said and showed of a lesson's swings,
// so that it can be shown again, mended and made a film.
//
// It is not a picture of the screen. A review is two files beside the lesson's document,
// in the folder "reviews", and an entry in the document's list of that name (Review):
//
//   - The timed list (list.go): what was shown from when on, a line of JSON for each change.
//   - The voice (voice.go): a WAV file as the microphone gave it. Lines of the list say
//     which sample was heard when, so that the voice can be held to the list's clock.
//
// Both are only ever appended to while the coach speaks. Mending changes the entry in the
// document, so it is undone like everything else, and never the files.
package review

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"turngauge/annotations/jsontree"
)

// Folder is where the files of reviews lie, beside the lesson's document.
const Folder = "reviews"

// The most that the document may hold.
const (
	Most        = 1000 // reviews of a lesson
	mostText    = 500
	mostSpans   = 5000        // passages, captions
	mostSeconds = 6 * 60 * 60 // longer than anybody speaks
)

// Review is the entry of a review in the document.
type Review struct {
	ID    string `json:"id"`
	Title string `json:"title,omitempty"`
	Made  string `json:"made,omitempty"` // year-month-day
	// List and Voice are the files, relative to the document's folder; Voice is "" where
	// there was no microphone.
	List  string `json:"list"`
	Voice string `json:"voice,omitempty"`
	// Seconds is how long it was as it was spoken; 0 where the program was ended meanwhile.
	Seconds float64 `json:"seconds,omitempty"`
	// Cuts are passages that are left out, on the clock of the list, in order and apart.
	Cuts []Span `json:"cuts,omitempty"`
	// LongestPause is how many seconds of a pause are left; 0 leaves all of it.
	LongestPause float64 `json:"longest_pause,omitempty"`
	// Captions are what is written under the pictures, on the clock of the list.
	Captions []Caption `json:"captions,omitempty"`
	// Silenced are passages whose pictures are shown and whose voice is not heard, on the
	// clock of the list, in order and apart.
	Silenced []Span `json:"silenced,omitempty"`
	// Takes are passages that were said anew, in the order in which they were.
	Takes []Take `json:"takes,omitempty"`
	// Film is the file of the film that was made of it last, beside the document.
	Film string `json:"film,omitempty"`
	// Moved are drawings that are shown at another time than that at which they were drawn.
	Moved []Moved `json:"moved,omitempty"`

	unknown []jsontree.Member
}

// Span is a stretch of time, seconds. In a document it is a pair, [12.5, 17.25].
type Span struct{ From, To float64 }

// MarshalJSON writes the pair.
func (s Span) MarshalJSON() ([]byte, error) { return json.Marshal([2]float64{s.From, s.To}) }

// UnmarshalJSON reads a pair.
func (s *Span) UnmarshalJSON(data []byte) error {
	var pair [2]float64
	err := json.Unmarshal(data, &pair)
	*s = Span{pair[0], pair[1]}
	return err
}

// Caption is what is written for a stretch of time.
type Caption struct {
	From float64 `json:"from"` // seconds
	To   float64 `json:"to"`
	Text string  `json:"text"`
}

// List is the reviews of a lesson, the oldest first. It is never changed: With and Without
// make another.
type List []Review

// Find returns the review with an ID.
func (l List) Find(id string) (Review, bool) {
	i := slices.IndexFunc(l, func(r Review) bool { return r.ID == id })
	if i < 0 {
		return Review{}, false
	}
	return l[i], true
}

// With returns the list with a review put in, or in the place of the one with its ID.
func (l List) With(r Review) List {
	next := slices.Clone(l)
	if i := slices.IndexFunc(l, func(o Review) bool { return o.ID == r.ID }); i >= 0 {
		r.unknown = l[i].unknown
		next[i] = r
		return next
	}
	return append(next, r)
}

// Without returns the list without the review of that ID.
func (l List) Without(id string) List {
	return slices.DeleteFunc(slices.Clone(l), func(r Review) bool { return r.ID == id })
}

// known are the fields of an entry.
var known = []string{"id", "title", "made", "list", "voice", "seconds", "cuts", "longest_pause", "captions", "silenced", "takes", "moved", "film"}

// Read reads the entries of a document. fault is told what is wrong, by its JSON path, and
// warn what is not known and kept.
func Read(entries []*jsontree.Node, fault func(path, format string, args ...any), warn func(...string)) (l List) {
	for i, n := range entries {
		at := fmt.Sprintf("reviews[%d]", i)
		if n.Kind != jsontree.Object {
			fault(at, "must be an object, not %s", jsontree.KindNames[n.Kind])
			continue
		}
		var r Review
		if err := json.Unmarshal(n.Raw, &r); err != nil {
			fault(at, "can't be read: %v", err)
			continue
		}
		n.EachField(func(name string, value []byte) bool {
			if !slices.Contains(known, name) && len(r.unknown) < mostUnknown {
				r.unknown = append(r.unknown, jsontree.Member{Name: name, Value: jsontree.Kept(value)})
				warn(at + ": has a field that this version of Turngauge does not know; it is kept as it is")
			}
			return true
		})
		l = append(l, r)
	}
	return l
}

// mostUnknown bounds what is kept of an entry that is none.
const mostUnknown = 100

// Node is the list as the document has it.
func (l List) Node() *jsontree.Node {
	out := &jsontree.Node{Kind: jsontree.Array}
	for _, r := range l {
		raw, err := json.Marshal(r)
		if err != nil {
			panic(err) // of an infinite number, which Check has refused
		}
		n, err := jsontree.Parse(raw)
		if err != nil {
			panic(err) // json.Marshal writes JSON
		}
		entry := &jsontree.Node{Kind: jsontree.Object}
		n.EachField(func(name string, value []byte) bool {
			entry.Members = append(entry.Members, jsontree.Member{Name: name, Value: jsontree.Kept(value)})
			return true
		})
		entry.Members = append(entry.Members, r.unknown...)
		out.Items = append(out.Items, entry)
	}
	return out
}

// Check tells fault what breaks a rule of the document, by its JSON path.
func (l List) Check(fault func(path, format string, args ...any)) {
	seen := map[string]int{}
	for i := range l {
		r, at := &l[i], fmt.Sprintf("reviews[%d]", i)
		if first, twice := seen[r.ID]; twice {
			fault(at+".id", "is that of reviews[%d] too; give each its own", first)
		}
		seen[r.ID] = i
		if r.ID == "" || len(r.ID) > mostText {
			fault(at+".id", "must be a text of 1 to %d characters", mostText)
		}
		if len(r.Title) > mostText || len(r.Made) > mostText {
			fault(at+".title", "and the day may have %d bytes at most", mostText)
		}
		checkFiles(at, r.List, r.Voice, fault)
		if r.Film != "" && r.Film != filepath.Base(r.Film) || len(r.Film) > mostText {
			fault(at+".film", "must be a file beside the lesson, such as %q", "review.mp4")
		}
		if !within(r.Seconds, mostSeconds) || !within(r.LongestPause, mostSeconds) {
			fault(at+".seconds", "must be from 0 to %d", mostSeconds)
		}
		if max(len(r.Cuts), len(r.Captions), len(r.Silenced), len(r.Takes), len(r.Moved)) > mostSpans {
			fault(at+".cuts", "and what else was mended may be %d at most", mostSpans)
			continue
		}
		checkSpans(at+".cuts", r.Cuts, fault)
		for k, c := range r.Captions {
			if !within(c.From, mostSeconds) || !within(c.To, mostSeconds) || c.To <= c.From || c.Text == "" || len(c.Text) > mostText {
				fault(fmt.Sprintf("%s.captions[%d]", at, k), "must have a text of at most %d bytes and two times, the first before the last", mostText)
			}
		}
		r.checkMended(at, fault)
	}
}

func checkFiles(at, list, voice string, fault func(path, format string, args ...any)) {
	// What lies elsewhere is not a lesson's to name: it would be sent along with it.
	for _, f := range [...]struct{ name, path string }{{"list", list}, {"voice", voice}} {
		if f.path != "" && (!filepath.IsLocal(f.path) || len(f.path) > mostText) || f.path == "" && f.name == "list" {
			fault(at+"."+f.name, "must be a file in the folder of the lesson, such as %q", Folder+"/01J.jsonl")
		}
	}
}

// checkSpans looks that stretches are in order and apart.
func checkSpans(at string, all []Span, fault func(path, format string, args ...any)) {
	last := 0.0
	for k, s := range all {
		if !s.some() || s.From < last {
			fault(fmt.Sprintf("%s[%d]", at, k), "must be two times, the first before the last, behind the one before it")
		}
		last = s.To
	}
}

// some reports whether it is a stretch of time at all.
func (s Span) some() bool {
	return within(s.From, mostSeconds) && within(s.To, mostSeconds) && s.To > s.From
}

func within(v, most float64) bool { return !math.IsNaN(v) && v >= 0 && v <= most }
