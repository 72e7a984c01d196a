// Package shots is the room in which shots are logged, by hand or from a table,
// and two blocks of them are compared.
package shots

import (
	"fmt"
	"path/filepath"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Room is the card of the shots.
type Room struct {
	host  kit.Host
	known string // the file of what the coach said of tables read before
	cardState
}

// cardState is what the card forgets with the lesson.
type cardState struct {
	kit.Openable
	card   kit.Modal
	block  int // the one on show
	blocks draw.Segmented

	entry            [len(entryReadings)]draw.Field
	entryError       string
	add, file, clear draw.Button
	done             draw.Button
	drop             []draw.Button // one a shot of the block
	list             layout.List

	columns columnsCard
}

// New makes the room; what columns mean is remembered in the folder config.
func New(host kit.Host, config string) *Room {
	return &Room{host: host, known: filepath.Join(config, "shot-columns.json")}
}

// Commands are how the room is opened.
func (s *Room) Commands() []kit.Command {
	return []kit.Command{{ID: "shots", Group: "Lesson", After: "findings", Help: "Shots: log them, and hold two blocks against each other", Keys: kit.On("Y"), Do: s.Open}}
}

// Open opens the card.
func (s *Room) Open() {
	s.Shown = true
	s.list.Axis = layout.Vertical
}

// LessonClosed closes the card and forgets what was written in it.
func (s *Room) LessonClosed() { s.cardState = cardState{} }

// IsTable reports whether a path is that of a table of shots.
func IsTable(path string) bool { return choose.Tables.Matches(filepath.Base(path)) }

// Update takes up what was done on the card.
func (s *Room) Update(gtx layout.Context) {
	if s.columns.open {
		s.updateColumns(gtx)
		return
	}
	if i, ok := s.blocks.Update(gtx); ok {
		s.block = i
	}
	block := s.shotBlock()
	enter := s.add.Clicked(gtx)
	for i := range s.entry {
		enter = s.entry[i].Entered(gtx) || enter
	}
	if enter {
		s.logShot(block)
		gtx.Execute(key.FocusCmd{Tag: &s.entry[0].Editor})
	}
	hit := s.shotsOf(block)
	for i := range s.drop {
		if s.drop[i].Clicked(gtx) && i < len(hit) {
			kit.Edit(s.host, annotations.DropShots{ID: hit[i].ID})
		}
	}
	if s.clear.Clicked(gtx) && len(hit) > 0 {
		kit.Edit(s.host, annotations.DropShots{Block: block})
		s.host.Tell(bench.Note(fmt.Sprintf("The shots of “%s” are taken out. Ctrl+Z brings them back.", block)))
	}
	if s.file.Clicked(gtx) {
		s.askTable()
	}
	if s.done.Clicked(gtx) {
		s.Shown = false
	}
}

// Escape goes one step back on the card.
func (s *Room) Escape() bool {
	if !s.Shown {
		return false
	}
	switch {
	case s.columns.open && s.columns.asked >= 0:
		s.columns.asked = -1
	case s.columns.open:
		s.columns.open = false
	default:
		s.Shown = false
	}
	return true
}
