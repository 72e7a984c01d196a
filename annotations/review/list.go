package review

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"turngauge/annotations/place"
)

// The timed list is lines of JSON. The first says what it is:
//
//	{"kind": "turngauge-review", "version": 1, "begun": "2026-12-05T10:12:00Z", "lesson": "01J…"}
//
// "lesson" is the ID of the lesson it belongs to, also when that does not name it any more.
//
// Each other has "t", seconds since the beginning on the computer's steady clock, and
//
//   - fields of State that are different from then on; null: there is none any more;
//   - or "voice": which sample of the voice was at the microphone then; "anew" where a
//     microphone begins with it, whose time is rough;
//   - or "quiet": why there is no voice from then on;
//   - or "ticked": what of the plan was said;
//   - or "end": true, which is missing where the program was ended meanwhile.
//
// Fields that are not known are passed over. A last line that is not whole is none.

const (
	kind    = "turngauge-review"
	version = 1
)

// State is what is shown at a time.
type State struct {
	// Swing is the ID of the swing on the bench, and Other the one compared with.
	Swing string `json:"swing,omitempty"`
	Other *Other `json:"other,omitempty"`
	// Position is the key position that the sheet is about, "" for none.
	Position string `json:"position,omitempty"`
	// Views are the pictures from left to right.
	Views []View `json:"views,omitempty"`
	// Over is how strongly the picture of the other swing lies over the one of this, from 0
	// to 1, instead of beside it; Views then has both, this one first.
	Over float64 `json:"over,omitempty"`
	// Slow is how many times slower than life the clips play, 0 while they stand still.
	Slow float64 `json:"slow,omitempty"`
	// Explained says that drawings and Lines are shown, and not the marks.
	Explained bool     `json:"explained,omitempty"`
	Lines     []string `json:"lines,omitempty"` // by name, as package explain has them
	// Drawings are the coach's own that are on the pictures, as far as they have got.
	Drawings []Drawing `json:"drawings,omitempty"`
	// Row is the measure that was pointed at.
	Row *Row `json:"row,omitempty"`
	// Pointer is where on a picture the pointer was, while it was to be seen.
	Pointer *Pointer `json:"pointer,omitempty"`
	// Panels are what else was open: "curves", "from above", "findings".
	Panels []string `json:"panels,omitempty"`
	// Curves are those that were chosen while "curves" was open; nil where that is not known.
	Curves *Curves `json:"curves,omitempty"`
}

// Other is a swing of this lesson or of another.
type Other struct {
	Lesson string `json:"lesson,omitempty"` // where its document lies; "" for this one
	Swing  string `json:"swing"`
}

// View is one picture.
type View struct {
	Clip  string `json:"clip"`
	Frame int    `json:"frame"`
	Other bool   `json:"other,omitempty"` // of the swing compared with
	// Part is what is seen of it: left, top, width and height, upright pixels.
	Part [4]float64 `json:"part"`
}

// Drawing is one of the coach's own; see annotations.Drawing.
type Drawing struct {
	ID     string       `json:"id"`
	Clip   string       `json:"clip"`
	Kind   string       `json:"kind"`
	Points [][2]float64 `json:"points"` // upright pixels
	Text   string       `json:"text,omitempty"`
	Stroke string       `json:"stroke,omitempty"`
}

// Row is a row of the sheet.
type Row struct {
	Measure  string `json:"measure"`
	Position string `json:"position,omitempty"`
}

// Curves says which curves are shown.
type Curves struct {
	Names []string `json:"names"` // as motion.Curve has them
	// Speeds says that what each changes by in a second is shown in the place of its value.
	Speeds bool `json:"speeds,omitempty"`
}

// Pointer is a place on a picture, upright pixels.
type Pointer struct {
	View int     `json:"view"` // of Views
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
}

// Log is a timed list that is being written. One goroutine.
type Log struct {
	f      *os.File
	before map[string]json.RawMessage // the fields of the State written last
}

// Create begins a timed list of a lesson, by its ID. Its folder is made.
func Create(path, lesson string, begun time.Time) (*Log, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL|os.O_APPEND, 0o600)
	if err != nil {
		return nil, err
	}
	l := &Log{f: f}
	return l, l.line(map[string]any{"kind": kind, "version": version, "begun": begun.UTC().Format(time.RFC3339), "lesson": lesson})
}

// line is one call of write(2): a process that is killed leaves whole lines.
func (l *Log) line(fields any) error {
	data, err := json.Marshal(fields)
	if err != nil {
		return err
	}
	_, err = l.f.Write(append(data, '\n'))
	return err
}

// seconds are written to a tenth of a millisecond.
func seconds(at time.Duration) json.RawMessage {
	return fmt.Appendf(nil, "%.4f", at.Seconds())
}

// Show notes what is shown from a time on. Nothing is written where nothing has changed.
func (l *Log) Show(at time.Duration, s *State) error {
	data, err := json.Marshal(s)
	if err != nil {
		return err
	}
	var now map[string]json.RawMessage
	if err := json.Unmarshal(data, &now); err != nil {
		return err
	}
	changed := map[string]json.RawMessage{}
	for name, v := range now {
		if !bytes.Equal(v, l.before[name]) {
			changed[name] = v
		}
	}
	for name := range l.before {
		if _, still := now[name]; !still {
			changed[name] = json.RawMessage("null")
		}
	}
	if len(changed) == 0 {
		return nil
	}
	l.before = now
	changed["t"] = seconds(at)
	return l.line(changed)
}

// Voice notes that a sample of the voice, counted from 0, was at the microphone then.
func (l *Log) Voice(at time.Duration, sample int64) error {
	return l.line(map[string]any{"t": seconds(at), "voice": sample})
}

// Anew notes that a microphone begins with a sample, at about that time.
func (l *Log) Anew(at time.Duration, sample int64) error {
	return l.line(map[string]any{"t": seconds(at), "voice": sample, "anew": true})
}

// Quiet notes why there is no voice from then on.
func (l *Log) Quiet(at time.Duration, why string) error {
	return l.line(map[string]any{"t": seconds(at), "quiet": why})
}

// Ticked notes that something of the plan was said.
func (l *Log) Ticked(at time.Duration, what string) error {
	return l.line(map[string]any{"t": seconds(at), "ticked": what})
}

// Sync brings what was written to the disk.
func (l *Log) Sync() error { return l.f.Sync() }

// Close ends the list.
func (l *Log) Close(at time.Duration) error {
	err := l.line(map[string]any{"t": seconds(at), "end": true})
	return errors.Join(err, place.Finish(l.f))
}
