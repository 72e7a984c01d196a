package shots

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/shots"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
)

// askTable asks for a table of shots for the lesson that is open now.
func (s *Room) askTable() {
	lesson := s.host.Session()
	s.host.Ask(kit.Files{Title: "A table of shots", Kinds: []choose.Kind{choose.Tables}, Dir: filepath.Dir(lesson.Path)}, func(paths []string) {
		if s.host.Session() == lesson {
			s.ReadTable(paths[0])
		}
	})
}

// ReadTable reads a table of shots and asks what its columns are, unless a
// table of the same shape was read before.
func (s *Room) ReadTable(path string) {
	data, err := place.Read(path, annotations.MaxBytes)
	if err != nil {
		s.host.Alert(fmt.Sprintf("The table can't be read: %v. Nothing was added.", err))
		return
	}
	f, err := shots.ReadFile(data)
	if err != nil {
		s.host.Alert(fmt.Sprintf("%s: %v.", filepath.Base(path), err))
		return
	}
	s.ask(f, filepath.Base(path))
}

// Paste takes up a table that was copied from a spreadsheet.
func (s *Room) Paste(text string) bool {
	if s.columns.open {
		return true // a table is being read: its columns are asked for
	}
	if !strings.Contains(strings.TrimSpace(text), "\n") {
		return false
	}
	f, err := shots.ReadFile([]byte(text))
	if err != nil {
		return false
	}
	s.ask(f, "The table that was pasted")
	return true
}

// ask asks what the columns of a table are.
func (s *Room) ask(f *shots.File, name string) {
	s.Open()
	c := &s.columns
	*c = columnsCard{open: true, file: f, name: name, columns: f.Guess(s.host.Settings().Imperial)}
	if known, ok := s.knownColumns()[f.Shape()]; ok && len(known) == len(f.Header) {
		c.columns, c.known = known, true
	}
	c.prepare()
}

// knownColumns are what the coach said of tables read before, by their shape.
func (s *Room) knownColumns() map[string][]shots.Column {
	m := map[string][]shots.Column{}
	_ = profile.ReadJSON(s.known, &m) // broken ones are as good as none
	return m
}

// takeTable adds the shots of the table to the block on show.
func (s *Room) takeTable() {
	c := &s.columns
	block := s.shotBlock()
	shots, told := c.file.Shots(c.columns, s.host.Session().Bench.Lesson().Student.Handed, block)
	if len(shots) == 0 {
		s.host.Alert("No row gave a reading: say above what at least one column is.")
		return
	}
	if !kit.Edit(s.host, annotations.AddShots{Shots: shots, Yards: yards(c.columns)}) {
		return
	}
	all := s.knownColumns()
	all[c.file.Shape()] = c.columns
	if err := profile.WriteJSON(s.known, all); err != nil {
		told = append(told, "What the columns are could not be kept: "+err.Error())
	}
	c.open = false
	s.host.Tell(bench.Note(strings.Join(append([]string{fmt.Sprintf("%s added to “%s”.", words.Count(len(shots), "shot", "shots"), block)}, told...), " ")))
}

// yards reports whether a table has its flights in yards.
func yards(columns []shots.Column) bool {
	return slices.ContainsFunc(columns, func(c shots.Column) bool { return c.Unit == "yd" })
}

// columnsCard asks what the columns of a table are.
type columnsCard struct {
	open    bool
	known   bool // the answer is that of the last time
	name    string
	file    *shots.File
	columns []shots.Column
	rows    []columnRow
	asked   int // the column whose reading is being chosen, or -1
	choices []draw.Button
	take    draw.Button
	cancel  draw.Button
}

type columnRow struct {
	use        draw.Button
	unit, sign draw.Segmented
}

// signWords are the ways a column may count, in the order of shots.Sign.
var signWords = []string{"as here", "other way", "right +", "left +"}

func (c *columnsCard) prepare() {
	c.rows = make([]columnRow, len(c.columns))
	c.choices = make([]draw.Button, len(shots.Readings)+2)
	c.asked = -1
}

func (s *Room) updateColumns(gtx layout.Context) {
	c := &s.columns
	if c.asked >= 0 {
		for i := range c.choices {
			if c.choices[i].Clicked(gtx) {
				c.choose(i, s.host.Settings().Imperial)
			}
		}
		return
	}
	for i := range c.rows {
		r, col := &c.rows[i], &c.columns[i]
		if r.use.Clicked(gtx) {
			c.asked = i
		}
		if k, ok := r.unit.Update(gtx); ok {
			col.Unit = shots.UnitsFor(col.Reading)[k]
		}
		if k, ok := r.sign.Update(gtx); ok {
			col.Sign = shots.Sign(k)
		}
	}
	if c.take.Clicked(gtx) || kit.EnterPressed(gtx) {
		s.takeTable()
	}
	if c.cancel.Clicked(gtx) {
		c.open = false
	}
}

// choose says what the asked column is: nothing, the club, or a reading. A
// reading that another column had is taken from it.
func (c *columnsCard) choose(i int, imperial bool) {
	col := shots.Column{}
	switch {
	case i == 1:
		col.Club = true
	case i >= 2:
		info := shots.Readings[i-2]
		col.Reading, col.Unit = info.Name, info.ColumnUnit(imperial)
		for k := range c.columns {
			if c.columns[k].Reading == info.Name {
				c.columns[k] = shots.Column{}
			}
		}
	}
	c.columns[c.asked] = col
	c.asked = -1
}
