package ui

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
)

// shotsCard is the card on which shots are logged and two blocks of them
// compared.
type shotsCard struct {
	open   bool
	block  int // the one on show
	blocks draw.Segmented

	entry            [len(entryReadings)]draw.Field
	entryError       string
	add, file, clear draw.Button
	done             draw.Button
	drop             []draw.Button // one a shot of the block
	list             layout.List
	asking           bool // the file dialog is open for a table

	columns columnsCard
}

// entryReadings are what is logged by hand: what the eye or one look at a
// screen gives.
var entryReadings = [...]annotations.Reading{
	annotations.ClubPath, annotations.FaceToPath, annotations.StrikeAcross, annotations.StrikeUp, annotations.Carry,
}

// standardBlocks are offered whether they have shots or not.
var standardBlocks = []string{annotations.BeforeBlock, annotations.AfterBlock}

func (a *App) openShots() {
	a.shots.open = true
	a.shots.list.Axis = layout.Vertical
}

// shotBlocks lists the blocks: before and after, then those of the lesson.
func (a *App) shotBlocks() []string {
	blocks := slices.Clone(standardBlocks)
	for _, b := range a.desk.bench.Lesson().Blocks() {
		if !slices.Contains(blocks, b) {
			blocks = append(blocks, b)
		}
	}
	return blocks
}

// shotBlock is the block on show.
func (a *App) shotBlock() string {
	blocks := a.shotBlocks()
	return blocks[min(a.shots.block, len(blocks)-1)]
}

// shotsOf returns the shots of a block.
func (a *App) shotsOf(block string) []annotations.Shot {
	var out []annotations.Shot
	for _, s := range a.desk.bench.Lesson().Shots {
		if s.Block == block {
			out = append(out, s)
		}
	}
	return out
}

func (a *App) updateShots(gtx layout.Context) {
	s := &a.shots
	if s.columns.open {
		a.updateColumns(gtx)
		return
	}
	if i, ok := s.blocks.Update(gtx); ok {
		s.block = i
	}
	block := a.shotBlock()
	enter := s.add.Clicked(gtx)
	for i := range s.entry {
		enter = s.entry[i].Entered(gtx) || enter
	}
	if enter {
		a.logShot(block)
		gtx.Execute(key.FocusCmd{Tag: &s.entry[0].Editor})
	}
	shots := a.shotsOf(block)
	for i := range s.drop {
		if s.drop[i].Clicked(gtx) && i < len(shots) {
			a.edit(annotations.DropShots{ID: shots[i].ID})
		}
	}
	if s.clear.Clicked(gtx) && len(shots) > 0 {
		a.edit(annotations.DropShots{Block: block})
		a.tell(bench.Note(fmt.Sprintf("The shots of “%s” are taken out. Ctrl+Z brings them back.", block)))
	}
	if s.file.Clicked(gtx) {
		s.asking = true
		a.chooser.Look(choose.Tables)
		a.chooser.Open("A table of shots", false, filepath.Dir(a.desk.path))
	}
	if s.done.Clicked(gtx) {
		s.open = false
	}
}

// logShot adds what stands in the fields as one shot.
func (a *App) logShot(block string) {
	s := &a.shots
	s.entryError = ""
	values := map[annotations.Reading]float64{}
	for i, r := range entryReadings {
		text := strings.ReplaceAll(strings.TrimSpace(s.entry[i].Text()), ",", ".")
		if text == "" {
			continue
		}
		v, err := strconv.ParseFloat(strings.ReplaceAll(text, "−", "-"), 64)
		info, _ := annotations.InfoOf(r)
		u := info.In(a.settings.Imperial)
		v = u.Kept(v)
		if err != nil || v > info.Most || v < -info.Most {
			unit := u.Name
			if unit == "°" {
				unit = "degrees"
			}
			s.entryError = fmt.Sprintf("“%s” can't be the %s: write a number of %s, %.3g at most either way.", s.entry[i].Text(), r, unit, info.Most/u.Per)
			return
		}
		values[r] = v
	}
	if len(values) == 0 {
		s.entryError = "Write at least one reading."
		return
	}
	shot := annotations.Shot{ID: annotations.NewID(), Block: block, Club: a.desk.bench.Swing().Club.Name, Values: values}
	if a.edit(annotations.AddShots{Shots: []annotations.Shot{shot}}) {
		for i := range s.entry {
			s.entry[i].SetText("")
		}
	}
}

// readShotTable reads a table of shots and asks what its columns are, unless a
// table of the same shape was read before.
func (a *App) readShotTable(path string) {
	data, err := os.ReadFile(path)
	if err != nil {
		a.alert(fmt.Sprintf("The table can't be read: %v. Nothing was added.", err))
		return
	}
	f, err := annotations.ReadShotFile(data)
	if err != nil {
		a.alert(fmt.Sprintf("%s: %v.", filepath.Base(path), err))
		return
	}
	a.openShots()
	c := &a.shots.columns
	*c = columnsCard{open: true, file: f, name: filepath.Base(path), columns: f.Guess(a.settings.Imperial)}
	if known, ok := a.places.columns()[f.Shape()]; ok && len(known) == len(f.Header) {
		c.columns, c.known = known, true
	}
	c.prepare()
}

// columns are what the coach said of tables read before, by their shape.
func (p places) columns() map[string][]annotations.Column {
	m := map[string][]annotations.Column{}
	_ = readJSON(p.columnsFile(), &m) // broken ones are as good as none
	return m
}

func (p places) columnsFile() string { return filepath.Join(p.config, "shot-columns.json") }

// takeTable adds the shots of the table to the block on show.
func (a *App) takeTable() {
	c := &a.shots.columns
	block := a.shotBlock()
	shots, told := c.file.Shots(c.columns, a.desk.bench.Lesson().Student.Handed, block)
	if len(shots) == 0 {
		a.alert("No row gave a reading: say above what at least one column is.")
		return
	}
	if !a.edit(annotations.AddShots{Shots: shots}) {
		return
	}
	all := a.places.columns()
	all[c.file.Shape()] = c.columns
	if err := writeJSON(a.places.columnsFile(), all); err != nil {
		told = append(told, "What the columns are could not be kept: "+err.Error())
	}
	c.open = false
	a.tell(bench.Note(strings.Join(append([]string{fmt.Sprintf("%s added to “%s”.", bench.Count(len(shots), "shot"), block)}, told...), " ")))
}

// columnsCard asks what the columns of a table are.
type columnsCard struct {
	open    bool
	known   bool // the answer is that of the last time
	name    string
	file    *annotations.ShotFile
	columns []annotations.Column
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

// signWords are the ways a column may count, in the order of annotations.Sign.
var signWords = []string{"as here", "other way", "right +", "left +"}

func (c *columnsCard) prepare() {
	c.rows = make([]columnRow, len(c.columns))
	c.choices = make([]draw.Button, len(annotations.Readings)+2)
	c.asked = -1
}

func (a *App) updateColumns(gtx layout.Context) {
	c := &a.shots.columns
	if c.asked >= 0 {
		for i := range c.choices {
			if c.choices[i].Clicked(gtx) {
				c.choose(i, a.settings.Imperial)
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
			col.Unit = annotations.UnitsFor(col.Reading)[k]
		}
		if k, ok := r.sign.Update(gtx); ok {
			col.Sign = annotations.Sign(k)
		}
	}
	if c.take.Clicked(gtx) || enterPressed(gtx) {
		a.takeTable()
	}
	if c.cancel.Clicked(gtx) {
		c.open = false
	}
}

// choose says what the asked column is: nothing, the club, or a reading. A
// reading that another column had is taken from it.
func (c *columnsCard) choose(i int, imperial bool) {
	col := annotations.Column{}
	switch {
	case i == 1:
		col.Club = true
	case i >= 2:
		info := annotations.Readings[i-2]
		col.Reading, col.Unit = info.Name, info.ColumnUnit(imperial)
		for k := range c.columns {
			if c.columns[k].Reading == info.Name {
				c.columns[k] = annotations.Column{}
			}
		}
	}
	c.columns[c.asked] = col
	c.asked = -1
}

// escape goes one step back on the card.
func (s *shotsCard) escape() {
	switch {
	case s.columns.open && s.columns.asked >= 0:
		s.columns.asked = -1
	case s.columns.open:
		s.columns.open = false
	default:
		s.open = false
	}
}

// isTable reports whether a path is that of a table of shots.
func isTable(path string) bool { return choose.Tables.Matches(filepath.Base(path)) }
