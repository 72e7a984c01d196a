package tour

import (
	"fmt"
	"time"

	"gioui.org/unit"
)

// moment is what a step's doing is told by.
type moment struct {
	frame     int // on the stage that the coach works on
	positions int
	position  string
	revision  uint64 // of the lesson
	row       string
}

// step is one step: the panel it rings, what it says, and what to try.
type step struct {
	panel       Panel
	title, text string
	try         string
	tried       func(then, now moment) bool
}

// pause is how long a step that was done stays, to be seen as done.
const pause = 900 * time.Millisecond

const width unit.Sp = 350

// steps names keys from the command table.
func (r *Room) steps() [5]step {
	keys := func(id string) string { return r.host.Shortcut(id) }
	row := "point at a row, of Decided or of All, to see what it means and what would sharpen it"
	pointed := func(then, now moment) bool { return now.row != "" && now.row != then.row }
	if !r.doors.Rows() {
		row, pointed = "", nil // they come with the first marks
	}
	return [5]step{
		{Stages, "One swing, two views",
			"Face-on at the left, down-the-line at the right, locked together by the sound of the strike. The wheel zooms about the pointer; the right button drags the picture.",
			fmt.Sprintf("step with %s and %s, or drag along the line under a picture", keys("step back"), keys("step forward")),
			func(then, now moment) bool { return then.frame != now.frame }},
		{Strip, "Key positions",
			fmt.Sprintf("Numbers are read at seven moments of the swing. The program proposes those it can hear or see; %s takes them all. On any other frame, 1 to 7 sets one.", keys("accept positions")),
			fmt.Sprintf("press %s, or click a card to go there", keys("accept positions")),
			func(then, now moment) bool {
				return then.positions != now.positions || then.position != now.position
			}},
		{Guide, "Marking",
			fmt.Sprintf("The program asks for the point that helps most, and says why. Click it on the picture; arrows nudge it. %s skips, %s lets you choose on a drawing of the body.", keys("next point"), keys("points")),
			"place the point it asks for, or drag a mark that is there",
			func(then, now moment) bool { return now.revision != then.revision }},
		{Sheet, "The sheet",
			"What is decided stands first: what lies outside or within its target range, or is settled at one end, and how surely; can't tell is an answer. All lists every number with its interval, and which point to mark for what is missing.",
			row, pointed},
		{Plan, "Seen from above",
			fmt.Sprintf("Hips, shoulders and feet from above; the wedges are the intervals. Everything is saved as you go, and %s takes any step back. %s lists every key and starts this tour again.", keys("undo"), keys("help")),
			"", nil},
	}
}
