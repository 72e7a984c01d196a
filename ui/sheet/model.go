package sheet

import (
	"turngauge/geometry"
	"turngauge/ui/draw"
)

// Model is everything the sheet shows. It is never changed after [Build]:
// a new one is built when the measures change.
type Model struct {
	Groups []Group
	// Measured and Asked count the rows with a value and all rows.
	Measured, Asked int
	// Compared says that at least one row has a previous value.
	Compared bool
	// Empty is shown where there is no row at all.
	Empty string
	// Notice is a mistake of the whole swing, nil for none.
	Notice *Notice

	counted string // "9 of 30 measured"
	alike   int    // as in Input
	alone   bool
	marked  marked
	// known and knownChanges are the judged and the compared rows by what is known
	// of them.
	known, knownChanges []knownGroup
}

// Group is one part of the sheet: the measures of one position.
type Group struct {
	Title    string // "Backswing"
	At       string // "top"
	Measured int    // rows with a value
	Rows     []Row
}

// Row is one measure at one position. Numbers are in the unit shown.
type Row struct {
	Key      string // "pelvis turn @ top"; stays the same while marks move
	Name     string // "Pelvis turn"
	Position geometry.PositionName

	// Missing says what to mark; it is empty for a row with a value.
	Missing string

	Value     float64
	Low, High float64 // 95 % interval
	Number    string  // "38.2°"
	PlusMinus string  // "± 5.7"
	Interval  string  // "32.5 to 43.9°"

	HasTarget             bool
	TargetLow, TargetHigh float64 // an end may be infinite
	Target                string  // "40 to 60°"
	Source                string
	Verdict               draw.Verdict
	Probability           float64
	Says                  string // "very likely within"
	Chances               string // "27 % below, 73 % within"

	HasPrevious                         bool
	Previous, PreviousLow, PreviousHigh float64
	PreviousNumber                      string // "31.0° ± 5.2"
	Change                              string // "7.2° ± 7.7 more"
	Delta, deltaWord                    string // "7.2°", "more"
	ChangeTold                          bool   // the change's direction is settled
	ChangeProbability                   float64
	ChangeSays                          string // "very likely: closer to the target range"
	spread                              string // what the change counts in from swing to swing
	ChangeBrief                         string // "very likely"
	delta                               string // "7.2° more"
	deltaUnit                           string // behind Delta: "cm more"

	Definition, Positive, Method string
	Basis                        string   // what a followed number is beside that of the marks; else ""
	Advice                       []string // what would sharpen the number, best first

	// Made once by Build, so that a frame makes no strings.
	label, described, defined string
	word                      string // the verdict's: "within", "less open"
	facts                     []fact
	scale                     span
	open                      bool // its verdict is not two-sided
	order                     int
}

// fact is a named line of the detail card.
type fact struct {
	name, text string
	accent     bool
}

// Title returns the row's name with its position: "Pelvis turn, top".
func (r *Row) Title() string {
	if r.Position == "" {
		return r.Name
	}
	return r.Name + ", " + string(r.Position)
}

// Extent returns the stretch of values that the row's scale shows, in the unit
// shown; both are 0 for a row without a value.
func (r *Row) Extent() (low, high float64) { return r.scale.low, r.scale.high }

// Find returns the row with the key.
func (m *Model) Find(key string) (*Row, bool) {
	if m == nil || key == "" {
		return nil, false
	}
	for g := range m.Groups {
		rows := m.Groups[g].Rows
		for i := range rows {
			if rows[i].Key == key {
				return &rows[i], true
			}
		}
	}
	return nil, false
}

// Key returns the key of a measure's row.
func Key(name string, pos geometry.PositionName) string { return name + " @ " + string(pos) }
