// Package intake brings lessons and clips into the window: what was dropped on it,
// chosen or named on the command line, whose new lesson it is, which view a clip
// shows, and which version of a lesson to open.
package intake

import (
	"fmt"
	"path/filepath"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/video"
)

// Room takes in what is to be opened. Its card asks what each new clip is before
// it becomes part of the lesson.
type Room struct {
	host    kit.Host
	doors   Doors
	student *Student
	card    kit.Modal
	cardState
}

type cardState struct {
	kit.Openable
	clips       []*newClip
	add, cancel draw.Button
	wanted      bool // the clips are to be added as soon as they are looked at
}

// Doors are the ways on for what comes in.
type Doors struct {
	// Lesson opens a lesson's document.
	Lesson func(path string)
	// Begin opens a new lesson, whose document was just written, and reports
	// whether it did.
	Begin func(path string, l *annotations.Lesson) bool
	// Last looks for the last lesson of each student of a name, whatever its upper and
	// lower case, and hands them on. A nil Last knows nobody.
	Last func(student string, then func([]*annotations.Lesson))
	// Apart makes room for another student of a name that is there already.
	Apart func(student string, then func())
	// Minor asks for the consent to keep films of a new student who is a minor, whose first
	// lesson was just opened. A nil Minor asks nothing.
	Minor func(path string, l *annotations.Lesson)
	// Export takes an exported file into the library, and reports whether there is
	// one.
	Export func(path string) bool
	// Table reads a table of shots into the open lesson.
	Table func(path string)
	// Swing puts another swing of the lesson on the bench, and Films opens the
	// files of clips that have come to the one that is there.
	Swing func(id string)
	Films func()
	// Visit looks for the swings in several clips and long takes, for the open lesson; a
	// nil Visit has all clips taken for those of one swing.
	Visit func(clips []string)
	// ClipFolder is where the open lesson's clips lie, "" where that is not known.
	ClipFolder func() string
}

// New returns the room of a window, and the form for a new student.
func New(h kit.Host, d profile.Dirs, doors Doors) (*Room, *Student) {
	r := &Room{host: h, doors: doors}
	r.student = &Student{host: h, dirs: d, begin: doors.Begin, takeIn: r.takeIn, last: doors.Last, apart: doors.Apart, minor: doors.Minor}
	if r.student.minor == nil {
		r.student.minor = func(string, *annotations.Lesson) {}
	}
	if r.student.last == nil {
		r.student.last = func(_ string, then func([]*annotations.Lesson)) { then(nil) }
	}
	return r, r.student
}

// Commands is the way to choose what is to be opened.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "open", Group: "Lesson", After: "bones", Help: "Open a lesson, or clips for this one",
		Keys: kit.WithMod(key.ModCtrl, "O"), Do: r.choose, Anywhere: true,
	}, {
		ID: "swap views", Group: "Lesson", After: "open", Help: "Swap the views: face-on is down-the-line",
		Keys: kit.WithMod(key.ModCtrl|key.ModShift, "T"), Do: r.swapViews, Enabled: r.canSwap,
	}, {
		ID: "remove swing", Group: "Lesson", After: "swap views", Help: "Take this swing out of the lesson",
		Keys: kit.WithMod(key.ModCtrl|key.ModShift, key.NameDeleteForward), Do: r.removeSwing, Enabled: r.canRemove,
	}}
}

// LessonClosed closes the card: the clips were for that lesson.
func (r *Room) LessonClosed() { r.Shown = false }

// newClip is a file that is being taken in.
type newClip struct {
	path   string
	info   video.Info
	sha256 string
	ready  bool
	err    string
	view   geometry.View
	leave  bool // not to be taken in
	told   bool // the coach said which view it is
	seen   seen
	choice draw.Segmented
	filming
	filmed draw.Segmented
}

// viewChoices are the answers to "which view is this?".
var viewChoices = []string{"face-on", "down-the-line", "leave out"}

// takeIn looks at clips, in the background, and asks which view each is.
func (r *Room) takeIn(paths []string) {
	if !r.Shown {
		if len(paths) > mostOfASwing && r.doors.Visit != nil {
			r.doors.Visit(paths)
			return
		}
		r.cardState = cardState{Openable: kit.Opened()}
	}
	for _, p := range paths {
		if abs, err := filepath.Abs(p); err == nil {
			p = abs
		}
		c := &newClip{path: p, view: r.guessView(p)}
		r.clips = append(r.clips, c)
		r.host.Go("Looking at "+p, func() {
			info, err := video.Probe(c.path)
			var sum string
			if err == nil {
				sum, err = video.Fingerprint(c.path)
			}
			r.host.Post(func() {
				if err != nil {
					c.err, c.leave = err.Error(), true
					return
				}
				c.info, c.sha256, c.ready, c.filming = info, sum, true, filmingOf(&info)
				if r.visits(c) {
					return
				}
				r.look(c)
			})
		}, func() { c.err, c.leave = "This clip can't be looked at.", true })
	}
}

// mostOfASwing is how many clips one swing has, and longestS how long a clip of one is,
// seconds of life: of a longer one the phone was left running (common practice, no
// source).
const mostOfASwing, longestS = 2, 20.0

// visits has the swings looked for in the clips of the card, where one of them is a long
// take, and reports whether it is.
func (r *Room) visits(c *newClip) bool {
	long := c.info.Duration.Seconds()/c.info.SlowedBy() > longestS
	if !long || !r.Shown || r.doors.Visit == nil || r.host.Session() == nil {
		return false
	}
	var paths []string
	for _, c := range r.clips {
		if !c.leave {
			paths = append(paths, c.path)
		}
	}
	r.Shown = false
	r.doors.Visit(paths)
	return true
}

// guessView guesses the view from a file's name, else takes the first one that
// nothing has been chosen for.
func (r *Room) guessView(path string) geometry.View {
	name := strings.ToLower(filepath.Base(path))
	for _, w := range []string{"face", "front"} {
		if strings.Contains(name, w) {
			return geometry.FaceOn
		}
	}
	for _, w := range []string{"line", "behind", "rear"} {
		if strings.Contains(name, w) {
			return geometry.DownTheLine
		}
	}
	for _, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		taken := r.host.Session() != nil && r.host.Session().Bench.Swing().ClipOf(v) != nil
		for _, c := range r.clips {
			taken = taken || c.view == v && !c.leave
		}
		if !taken {
			return v
		}
	}
	return geometry.FaceOn
}

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	in := &r.cardState
	for _, c := range in.clips {
		if i, ok := c.choice.Update(gtx); ok {
			c.leave, c.told = i == 2, true
			if !c.leave {
				c.view = []geometry.View{geometry.FaceOn, geometry.DownTheLine}[i]
			}
		}
	}
	for _, c := range in.clips {
		if i, ok := c.filmed.Update(gtx); ok && i < len(c.rates) {
			c.choose(i)
		}
	}
	if in.cancel.Clicked(gtx) {
		in.Shown = false
	}
	// What is asked for while a clip is still looked at is done once that is over.
	in.wanted = in.add.Clicked(gtx) || kit.EnterPressed(gtx) || in.wanted
	if in.wanted && in.Shown && !in.looking() {
		in.wanted = false
		if in.problem() == "" {
			r.addClips()
		}
	}
}

// looking reports whether a clip that is to be added is still looked at.
func (in *cardState) looking() bool {
	for _, c := range in.clips {
		if !c.leave && c.err == "" && (!c.ready || !c.told && !c.seen.done) {
			return true
		}
	}
	return false
}

// problem says why the clips can't be added as they stand, or "".
func (in *cardState) problem() string {
	views := make(map[geometry.View]int)
	adding := 0
	for _, c := range in.clips {
		if c.leave {
			continue
		}
		if in.looking() {
			return "Looking at the clips …"
		}
		adding++
		views[c.view]++
	}
	switch {
	case adding == 0:
		return "No clip is left to add."
	case views[geometry.FaceOn] > 1 || views[geometry.DownTheLine] > 1:
		return "Two clips are given the same view. A swing has one of each: leave one out, and add it to a swing of its own."
	}
	return ""
}

// addClips makes the clips part of the swing on the bench. A view that the
// swing already has begins another swing, so that nothing is replaced.
func (r *Room) addClips() {
	in, b := &r.cardState, r.host.Session().Bench
	taken := false
	for _, c := range in.clips {
		taken = taken || !c.leave && b.Swing().ClipOf(c.view) != nil
	}
	swing := b.Swing().ID
	e := b.Editor()
	e.Begin("add clips")
	apply := func(edit annotations.Edit) {
		if err := e.Apply(edit); err != nil {
			r.host.Alert(err.Error())
		}
	}
	if taken {
		n := len(b.Lesson().Swings) + 1
		swing = annotations.NewID()
		apply(annotations.AddSwing{Swing: annotations.Swing{
			ID: swing, Label: fmt.Sprintf("Swing %d", n), Club: b.Swing().Club,
		}})
	}
	for _, c := range in.clips {
		if c.leave {
			continue
		}
		apply(annotations.AddClip{Swing: swing, Clip: annotations.Clip{
			ID: annotations.NewID(), View: c.view, File: c.path, SHA256: c.sha256,
			Width: c.info.Width, Height: c.info.Height,
			TimeBase:  [2]int64{int64(c.info.TimeBase[0]), int64(c.info.TimeBase[1])},
			FilmedFPS: c.filming.fps,
		}})
	}
	e.End()
	in.Shown = false
	if taken {
		r.doors.Swing(swing)
		return
	}
	b.Refresh()
	r.doors.Films()
}
