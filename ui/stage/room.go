// Package stage is the room in which the pictures of a swing are looked at and
// marked: two stages side by side, a time rail under each.
package stage

import (
	"image"
	"time"

	"gioui.org/f32"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Room is both stages with their rails, or the active one alone.
type Room struct {
	host  kit.Host
	doors Doors

	views [bench.NumStages]view
	alone bool // only the active stage is shown
	split kit.Splitter
	marks []annotations.Mark // reused by every frame

	now, lastTick time.Time // of the last frame, and of the last in which a clip played
}

// Explaining takes the place of the marks on the pictures while it is on.
type Explaining interface {
	On() bool
	// Pointer takes what the pointer did on a stage, and reports whether it did.
	Pointer(gtx layout.Context, stage int, e pointer.Event, grip *kit.Grip) bool
	Paint(gtx layout.Context, stage int, inside bool)
}

// Doors are what the room asks of the window beside the open lesson.
type Doors struct {
	Explain Explaining
	Over    Over
	// Followed reports whether the points that were followed are drawn between
	// key positions.
	Followed func() bool
	// Again asks for another frame.
	Again func()
	// Region notes where in the room a picture or a rail lies.
	Region func(name string, r image.Rectangle)
}

// view is one stage in the window: where it is, and what the pointer does
// there.
type view struct {
	size    image.Point // of the picture area, when last laid out
	pointer f32.Point
	inside  bool
	over    bool        // the pointer is on it, whatever it is for
	shift   bool        // and Shift is held
	of      *bench.Show // that the pointer holds something of
	grip    kit.Grip
	// whole is whether all of the picture is asked for, not the golfer alone; auto
	// is the viewport that the window chose last, the zero value where the coach
	// has chosen.
	whole              bool
	auto               bench.Viewport
	rail               railView
	swap               draw.Button
	picture, magnified stagePicture
}

const (
	stageHeader unit.Sp = 30
	least       unit.Dp = 240 // a stage is at least as wide
)

// New makes the room, with both stages shown.
func New(host kit.Host, doors Doors) *Room { return &Room{host: host, doors: doors} }

func (v *view) stageSize() bench.Size {
	return bench.Size{W: float64(v.size.X), H: float64(v.size.Y)}
}

func screenPt(p f32.Point) bench.ScreenPt {
	return bench.ScreenPt{X: float64(p.X), Y: float64(p.Y)}
}

// Size is that of a stage's picture area, pixels.
func (room *Room) Size(stage int) bench.Size { return room.views[stage].stageSize() }

// Pointer is where the pointer is on a stage while Shift is held, to be seen in what is
// recorded.
func (room *Room) Pointer(stage int) (at bench.ScreenPt, ok bool) {
	v := &room.views[stage]
	return screenPt(v.pointer), v.shift
}

// Frame is the number of the frame whose picture a stage shows, or -1 where it
// shows none of its clip.
func (room *Room) Frame(stage int) int {
	p := &room.views[stage].picture
	if f := room.host.Session().Film(stage); f == nil || p.film != f || !p.has {
		return -1
	}
	return p.index
}

// RailX is where on a stage's rail a frame of its clip lies, pixels from the
// rail's left edge.
func (room *Room) RailX(stage, frame int) float32 {
	st := &room.host.Session().Show().Stages[stage]
	return room.views[stage].rail.xOf(st.Along(frame))
}

// Shown lists the stages that the window shows.
func (room *Room) Shown() []int {
	if i, ok := room.lone(); ok {
		return []int{i}
	}
	if _, _, laid := room.doors.Over.Laid(); laid {
		return []int{0}
	}
	if room.alone {
		return []int{room.host.Session().Show().Active}
	}
	return []int{0, 1}
}

// Alone reports whether one stage is shown alone; ShowBoth shows both again.
func (room *Room) Alone() bool { return room.alone }
func (room *Room) ShowBoth()   { room.alone = false }

// Escape lets go of the mark in hand.
func (room *Room) Escape() bool {
	s := room.host.Session()
	if s == nil {
		return false
	}
	room.host.Tell(s.Bench.LetGo())
	return true
}

// HoldsKeys reports false: nothing is written in the room.
func (room *Room) HoldsKeys() bool { return false }

// Update takes up what the pointer did, and moves a playing clip on.
func (room *Room) Update(gtx layout.Context) {
	room.now = gtx.Now
	room.doors.Over.Update(gtx)
	if share, ok := room.split.Update(gtx); ok {
		room.drag(share)
	}
	room.updateShift(gtx)
	for i := range room.views {
		room.updateStage(gtx, i)
		room.updateRail(gtx, i)
	}
	for i := range room.views {
		if room.views[i].swap.Clicked(gtx) {
			room.host.Run("swap views")
		}
	}
	room.play(gtx)
}

// Present asks for the frames that the stages are to show and renders what is
// there of them. It is the last step before laying out.
func (room *Room) Present() {
	over, _, laid := room.doors.Over.Laid()
	for i := range room.views {
		if laid && i == 1 {
			room.presentOver(over)
		} else {
			room.presentStage(i)
		}
	}
}

// Layout places the two stages with their rails, or the active one alone.
func (room *Room) Layout(gtx layout.Context) layout.Dimensions {
	area := image.Rectangle{Max: gtx.Constraints.Max}
	if shown := room.Shown(); len(shown) == 1 {
		room.place(gtx, shown[0], area)
		return layout.Dimensions{Size: area.Max}
	}
	handle, narrow := gtx.Dp(kit.SplitterWidth), gtx.Dp(least)
	cut := int(room.share() * float32(area.Dx()))
	cut = min(max(cut, narrow), area.Max.X-narrow)
	bar := image.Rect(cut-handle/2, 0, cut-handle/2+handle, area.Max.Y)
	for i := range room.views {
		r := area
		if i == 0 {
			r.Max.X = bar.Min.X
		} else {
			r.Min.X = bar.Max.X
		}
		room.place(gtx, i, r)
	}
	room.split.Layout(gtx, room.host.Theme(), bar, area)
	return layout.Dimensions{Size: area.Max}
}

// place draws a stage with its rail.
func (room *Room) place(gtx layout.Context, i int, r image.Rectangle) {
	s := room.host.Session()
	picture, rail := r, r
	picture.Max.Y -= gtx.Sp(RailHeight)
	rail.Min.Y = picture.Max.Y
	kit.At(gtx, picture, func(gtx layout.Context) layout.Dimensions { return room.layoutStage(gtx, i) })
	kit.At(gtx, rail, func(gtx layout.Context) layout.Dimensions { return room.layoutRail(gtx, i) })
	name := s.Show().Stages[i].View.String()
	if s.Comparing != nil {
		name = [...]string{"of this swing", "of the other swing"}[i]
	}
	picture.Min.Y += gtx.Sp(stageHeader)
	room.doors.Region("stage "+name, picture)
	room.doors.Region("rail "+name, rail)
}
