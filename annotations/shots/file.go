package shots

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/oklog/ulid/v2"

	"turngauge/geometry"
)

// File is a table of shots as some device wrote it, before anyone has said
// what its columns are.
type File struct {
	Header []string
	Units  []string // as the header or a row under it gives them, "" where not
	Rows   [][]string
}

// Sign is which way a column counts positive.
type Sign uint8

// The ways a column may count.
const (
	AsKept     Sign = iota // as the program keeps it
	Turned                 // the other way round
	RightIsPos             // positive to the right, looking at the target
	LeftIsPos              // positive to the left, looking at the target
)

// Column says what a column of a File holds. A column that is not used has
// the zero value.
type Column struct {
	Reading Reading `json:"reading,omitempty"`
	Unit    string  `json:"unit,omitempty"` // one of UnitsFor(Reading)
	Sign    Sign    `json:"sign,omitempty"`
	Club    bool    `json:"club,omitempty"`  // it names the club
	Block   bool    `json:"block,omitempty"` // it names the block
}

// The factors to the unit that is kept. The foot and the yard are exact by the
// international agreement of 1959, the mile and the hour follow.
var unitFactors = map[string]map[string]float64{
	"deg": {"deg": 1},
	"mm":  {"mm": 1, "cm": 10, "in": 25.4},
	"m":   {"m": 1, "yd": 0.9144, "ft": 0.3048},
	"m/s": {"m/s": 1, "mph": 0.44704, "km/h": 1 / 3.6},
	"rpm": {"rpm": 1},
}

var unitOrder = []string{"deg", "mm", "cm", "in", "m", "yd", "ft", "m/s", "mph", "km/h", "rpm"}

// UnitsFor returns the units in which a reading may come, the kept one first.
func UnitsFor(r Reading) []string {
	info, ok := InfoOf(r)
	if !ok {
		return nil
	}
	var out []string
	for _, u := range unitOrder {
		if _, ok := unitFactors[info.Unit][u]; ok {
			out = append(out, u)
		}
	}
	return out
}

// Sided reports whether a reading has a side that a device may count the other
// way.
func Sided(r Reading) bool {
	switch r {
	case ClubPath, FaceToPath, StartLine, StrikeAcross, Offline, SpinAxis:
		return true
	}
	return false
}

// What a table of shots may be at most.
const (
	maxFileBytes = 16 << 20
	maxColumns   = 300
)

// ReadFile reads a table of shots: values separated by commas, semicolons
// or tabs, with a row that names the columns. What stands before that row, and
// rows without a number, are left out.
func ReadFile(data []byte) (*File, error) {
	if len(data) > maxFileBytes {
		return nil, errors.New("the file is larger than 16 MB, which no list of shots is")
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if !utf8.Valid(data) {
		return nil, errors.New("the file is not UTF-8 text. Save it as CSV in UTF-8 and try again")
	}
	rows, err := records(data)
	if err != nil {
		return nil, fmt.Errorf("the table can't be read: %w", err)
	}
	head := headerOf(rows)
	if head < 0 {
		return nil, errors.New("no row names the columns. The first row of a table of shots says what stands under it")
	}
	f := &File{Header: rows[head]}
	if len(f.Header) > maxColumns {
		return nil, fmt.Errorf("the table has %d columns; at most %d are read", len(f.Header), maxColumns)
	}
	f.Units = make([]string, len(f.Header))
	for i, h := range f.Header {
		f.Units[i] = unitIn(h)
	}
	for k, row := range rows[head+1:] {
		if !hasNumber(row) {
			if k == 0 {
				for i := range min(len(row), len(f.Units)) {
					if u := unitIn("[" + row[i] + "]"); u != "" {
						f.Units[i] = u
					}
				}
			}
			continue
		}
		if len(f.Rows) == Most {
			return nil, fmt.Errorf("the table has more than %d shots", Most)
		}
		f.Rows = append(f.Rows, row)
	}
	if len(f.Rows) == 0 {
		return nil, errors.New("the table has no row with a number")
	}
	return f, nil
}

// records splits the text at the separator that gives its rows the most cells.
func records(data []byte) ([][]string, error) {
	var best [][]string
	var firstErr error
	most := 1
	for _, comma := range []rune{';', '\t', ','} {
		r := csv.NewReader(bytes.NewReader(data))
		r.Comma, r.LazyQuotes, r.FieldsPerRecord, r.TrimLeadingSpace = comma, true, -1, true
		var rows [][]string
		cells := 0
		for {
			row, err := r.Read()
			if err == io.EOF {
				break
			}
			if err != nil {
				firstErr = err
				rows = nil
				break
			}
			for i := range row {
				row[i] = strings.TrimSpace(row[i])
			}
			rows = append(rows, row)
			if len(row) > 1 {
				cells += len(row)
			}
		}
		if rows != nil && cells > most {
			best, most = rows, cells
		}
	}
	if best == nil {
		if firstErr != nil {
			return nil, firstErr
		}
		return nil, errors.New("it has one column only")
	}
	return best, nil
}

// headerOf returns the row that names the columns: of those before the first
// row with a number, the one with the most words, at least two; or -1.
func headerOf(rows [][]string) int {
	head, most := -1, 1
	for i, row := range rows {
		if hasNumber(row) {
			break
		}
		words := 0
		for _, c := range row {
			if c != "" {
				words++
			}
		}
		if words > most {
			head, most = i, words
		}
	}
	return head
}

func hasNumber(row []string) bool {
	return slices.ContainsFunc(row, func(c string) bool { _, _, ok := number(c); return ok })
}

// number reads a cell such as "3.2", "-3,2", "3.2 R" or "L 3.2". side is 'R' or
// 'L' where the cell says so, else 0.
func number(cell string) (v float64, side rune, ok bool) {
	s := strings.ToUpper(strings.TrimSpace(cell))
	for _, word := range []struct {
		text string
		side rune
	}{{"RIGHT", 'R'}, {"LEFT", 'L'}, {"R", 'R'}, {"L", 'L'}} {
		if rest, found := strings.CutSuffix(s, word.text); found {
			s, side = strings.TrimSpace(rest), word.side
			break
		}
		if rest, found := strings.CutPrefix(s, word.text); found {
			s, side = strings.TrimSpace(rest), word.side
			break
		}
	}
	s = strings.TrimRight(s, "°% ")
	s = strings.ReplaceAll(s, "−", "-")
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, side, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// unitIn finds a unit in brackets in a column's name.
func unitIn(name string) string {
	open := strings.IndexAny(name, "([")
	if open < 0 {
		return ""
	}
	inside := strings.ToLower(strings.Trim(name[open:], "()[] "))
	for _, u := range []struct{ written, unit string }{
		{"km/h", "km/h"}, {"kph", "km/h"}, {"mph", "mph"}, {"m/s", "m/s"}, {"rpm", "rpm"}, {"yd", "yd"}, {"yard", "yd"},
		{"deg", "deg"}, {"°", "deg"}, {"mm", "mm"}, {"cm", "cm"}, {"in", "in"}, {"ft", "ft"}, {"feet", "ft"}, {"m", "m"},
	} {
		if strings.HasPrefix(inside, u.written) {
			return u.unit
		}
	}
	return ""
}

// Shape names the kind of table, so that what its columns are need be said
// once only.
func (f *File) Shape() string {
	return strings.ToLower(strings.Join(f.Header, "|"))
}

// guesses are words in a column's name, plain English for the reading; all of
// one entry must be there.
var guesses = []struct {
	words   []string
	reading Reading
}{
	{[]string{"face", "path"}, FaceToPath},
	{[]string{"path"}, ClubPath},
	{[]string{"attack"}, AttackAngle},
	{[]string{"spin", "axis"}, SpinAxis},
	{[]string{"axis"}, SpinAxis},
	{[]string{"spin"}, BackSpin},
	{[]string{"launch", "direction"}, StartLine},
	{[]string{"start", "direction"}, StartLine},
	{[]string{"launch", "angle"}, LaunchAngle},
	{[]string{"loft"}, DynamicLoft},
	{[]string{"strike", "across"}, StrikeAcross},
	{[]string{"impact", "horizontal"}, StrikeAcross},
	{[]string{"impact", "lateral"}, StrikeAcross},
	{[]string{"strike", "up"}, StrikeUp},
	{[]string{"impact", "vertical"}, StrikeUp},
	{[]string{"offline"}, Offline},
	{[]string{"carry"}, Carry},
	{[]string{"ball", "speed"}, BallSpeed},
	{[]string{"club", "speed"}, ClubSpeed},
}

// Guess proposes what the columns are, from their names; the coach confirms. With
// imperial, a column that names no unit is taken in yards, miles an hour or inches.
func (f *File) Guess(imperial bool) []Column {
	columns := make([]Column, len(f.Header))
	used := make(map[Reading]bool)
	for _, g := range guesses {
		for i, h := range f.Header {
			name := strings.ToLower(h)
			if columns[i] != (Column{}) || used[g.reading] ||
				slices.ContainsFunc(g.words, func(w string) bool { return !strings.Contains(name, w) }) {
				continue
			}
			units := UnitsFor(g.reading)
			info, _ := InfoOf(g.reading)
			c := Column{Reading: g.reading, Unit: info.ColumnUnit(imperial)}
			if slices.Contains(units, f.Units[i]) {
				c.Unit = f.Units[i]
			}
			columns[i] = c
			used[g.reading] = true
		}
	}
	for i, h := range f.Header {
		words := strings.FieldsFunc(strings.ToLower(h), func(r rune) bool { return !unicode.IsLetter(r) })
		if columns[i] == (Column{}) && slices.Contains(words, "club") && !slices.ContainsFunc(columns, func(c Column) bool { return c.Club }) {
			columns[i].Club = true
		}
	}
	return columns
}

// Shots reads the rows as shots of one block. What can't be a reading of a golf
// shot is left out of its shot and told. handed says which side right is.
func (f *File) Shots(columns []Column, handed geometry.Handed, block string) (shots List, told []string) {
	left := 0
	for _, row := range f.Rows {
		s := Shot{ID: ulid.Make().String(), Block: block, Values: map[Reading]float64{}}
		for i, c := range columns {
			if i >= len(row) || row[i] == "" {
				continue
			}
			switch {
			case c.Club:
				s.Club = clipped(row[i], MaxName)
			case c.Block:
				s.Block = clipped(row[i], MaxName)
			case c.Reading != "":
				if v, ok := c.value(row[i], handed); ok {
					s.Values[c.Reading] = v
				} else {
					left++
				}
			}
		}
		if len(s.Values) > 0 {
			shots = append(shots, s)
		}
	}
	if left > 0 {
		told = append(told, fmt.Sprintf("%s left out: no number, or none that a golf shot can have. Look at the units chosen.", wereLeft(left, "value")))
	}
	if n := len(f.Rows) - len(shots); n > 0 {
		told = append(told, fmt.Sprintf("%s left out, without any reading.", wereLeft(n, "row")))
	}
	return shots, told
}

func wereLeft(n int, what string) string {
	if n == 1 {
		return "1 " + what + " was"
	}
	return fmt.Sprintf("%d %ss were", n, what)
}

func (c Column) value(cell string, handed geometry.Handed) (float64, bool) {
	info, ok := InfoOf(c.Reading)
	if !ok {
		return 0, false
	}
	v, side, ok := number(cell)
	if !ok {
		return 0, false
	}
	factor, ok := unitFactors[info.Unit][c.Unit]
	if !ok {
		factor = 1
	}
	v *= factor
	// To the right of a right-hander's target line is the far side.
	right := 1.0
	if handed == geometry.LeftHanded {
		right = -1
	}
	switch {
	case side == 'R':
		v *= right
	case side == 'L':
		v *= -right
	case c.Sign == Turned:
		v = -v
	case c.Sign == RightIsPos:
		v *= right
	case c.Sign == LeftIsPos:
		v *= -right
	}
	if math.Abs(v) > info.Most {
		return 0, false
	}
	return v + 0, true
}

func clipped(s string, most int) string {
	r := []rune(s)
	return string(r[:min(len(r), most)])
}
