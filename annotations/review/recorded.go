package review

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"sort"

	"turngauge/annotations/place"
)

// Recorded is a timed list that was read.
type Recorded struct {
	Begun string // RFC 3339
	Steps []Step // in order
	Knots []Knot
	// Quiet are the times from which on there was no voice, and why; Ticked, what of the
	// plan was said when.
	Quiet, Ticked []Said
	// Seconds is how long it is; Ended, that it was ended and not broken off.
	Seconds float64
	Ended   bool
}

// Step is what is shown from a time on, seconds.
type Step struct {
	At    float64
	State State
}

// Knot says which sample of the voice was at the microphone when.
type Knot struct {
	At     float64 // seconds
	Sample int64
	// Anew says that a microphone begins with this sample; At is rough then.
	Anew bool
}

// Said is a sentence and its time, seconds.
type Said struct {
	At   float64
	Text string
}

// The most that a list may hold: six hours of a pointer that never rests.
const (
	mostListBytes = 512 << 20
	mostLine      = 1 << 20
	mostSteps     = 2_000_000
)

// ErrNotOne says that a file is no timed list.
var ErrNotOne = errors.New("it is no list of a review")

// ReadList reads a timed list, also one that was broken off. The error says what is wrong
// with the file, or is ErrNotOne.
func ReadList(path string) (*Recorded, error) {
	f, err := place.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	in := bufio.NewReaderSize(io.LimitReader(f, mostListBytes), 64<<10)
	r := &Recorded{}
	fields := map[string]json.RawMessage{}
	for first := true; ; first = false {
		line, err := in.ReadSlice('\n')
		for errors.Is(err, bufio.ErrBufferFull) && len(line) < mostLine {
			line = slices.Clone(line)
			var more []byte
			more, err = in.ReadSlice('\n')
			line = append(line, more...)
		}
		if errors.Is(err, io.EOF) {
			break // what has no end was not written to its end
		}
		if err != nil {
			return nil, err
		}
		if first {
			h, err := headingOf(line)
			if err != nil {
				return nil, err
			}
			r.Begun = h.Begun
			continue
		}
		r.take(line, fields)
	}
	if r.Begun == "" {
		return nil, ErrNotOne
	}
	return r, nil
}

// heading is the first line of a list.
type heading struct {
	Kind    string
	Version int
	Begun   string
	Lesson  string
}

func headingOf(line []byte) (h heading, err error) {
	if json.Unmarshal(line, &h) != nil || h.Kind != kind || h.Begun == "" {
		return h, ErrNotOne
	}
	if h.Version > version {
		return h, fmt.Errorf("the review was recorded by a newer Turngauge (version %d of its list; this program reads version %d): update the program", h.Version, version)
	}
	return h, nil
}

// take takes a line up. fields are those of the State so far. A line that can't be read is
// passed over: what comes after it is worth having.
func (r *Recorded) take(line []byte, fields map[string]json.RawMessage) {
	var l struct {
		T      *float64
		Voice  *int64
		Anew   bool
		Quiet  string
		Ticked string
		End    bool
	}
	var changed map[string]json.RawMessage
	if json.Unmarshal(line, &l) != nil || l.T == nil || !within(*l.T, mostSeconds) || json.Unmarshal(line, &changed) != nil {
		return
	}
	at := max(*l.T, r.Seconds) // the clock never goes back
	r.Seconds = at
	switch {
	case l.Voice != nil:
		r.Knots = append(r.Knots, Knot{*l.T, *l.Voice, l.Anew})
		return
	case l.Quiet != "":
		r.Quiet = append(r.Quiet, Said{at, l.Quiet})
		return
	case l.Ticked != "":
		r.Ticked = append(r.Ticked, Said{at, l.Ticked})
		return
	case l.End:
		r.Ended = true
		return
	}
	delete(changed, "t")
	for name, v := range changed {
		if string(v) == "null" {
			delete(fields, name)
		} else {
			fields[name] = v
		}
	}
	whole, err := json.Marshal(fields)
	var s State
	if err != nil || json.Unmarshal(whole, &s) != nil || len(r.Steps) >= mostSteps {
		return
	}
	r.Steps = append(r.Steps, Step{at, s})
}

// At returns what is shown at a time, seconds: nothing (nil) before the first step.
func (r *Recorded) At(t float64) *State {
	i := sort.Search(len(r.Steps), func(i int) bool { return r.Steps[i].At > t })
	if i == 0 {
		return nil
	}
	return &r.Steps[i-1].State
}
