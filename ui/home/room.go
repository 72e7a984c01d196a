// Package home is the first window: what to begin with, the library or the recent
// lessons, and how a swing is filmed, marked and read.
package home

import (
	"context"
	"image"

	"gioui.org/layout"

	"turngauge/ui/demo"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
)

// Room is the first window, in place of a lesson.
type Room struct {
	host    kit.Host
	dirs    profile.Dirs
	library Library
	doors   Doors

	demo, fresh, open draw.Button
	recents           []profile.Recent
	rows              []draw.Button
	making            *making
	cancel            draw.Button
	dropOver          bool
}

// Library is the library as it stands in the first window.
type Library interface {
	// Shown reports whether there is anything to show.
	Shown() bool
	Update(gtx layout.Context)
	Panel(gtx layout.Context) layout.Dimensions
}

// Doors are the ways from the first window into the rest of it.
type Doors struct {
	// Lesson opens a lesson's document.
	Lesson func(path string)
	// NewStudent asks whom a new lesson is for.
	NewStudent func()
	// DemoOpened is called when the demo lesson has been opened.
	DemoOpened func()
	// Region notes where something was drawn, for those who drive the window.
	Region func(name string, r image.Rectangle)
}

// making is the demo lesson being made.
type making struct {
	done, total int
	cancel      context.CancelFunc
}

// New returns the room of a window.
func New(h kit.Host, d profile.Dirs, l Library, doors Doors) *Room {
	r := &Room{host: h, dirs: d, library: l, doors: doors}
	r.LessonClosed()
	return r
}

// Commands are none: what can be done here can be done anywhere.
func (r *Room) Commands() []kit.Command { return nil }

// Escape does nothing.
func (r *Room) Escape() bool { return false }

// HoldsKeys is false: the library's fields are the library's.
func (r *Room) HoldsKeys() bool { return false }

// LessonClosed reads the recent lessons anew.
func (r *Room) LessonClosed() {
	r.recents = r.dirs.Recents()
	r.rows = make([]draw.Button, len(r.recents))
}

// DropOver says whether files are held over the window.
func (r *Room) DropOver(over bool) { r.dropOver = over }

// Update takes up what was done in the first window.
func (r *Room) Update(gtx layout.Context) {
	if r.making != nil {
		if r.cancel.Clicked(gtx) {
			r.making.cancel()
		}
		return
	}
	if r.library.Shown() {
		if r.library.Update(gtx); r.host.Session() != nil {
			return
		}
	}
	if r.demo.Clicked(gtx) {
		r.OpenDemo()
	}
	if r.fresh.Clicked(gtx) {
		r.doors.NewStudent()
	}
	if r.open.Clicked(gtx) {
		r.host.Run("open")
	}
	for i := range r.rows {
		if r.rows[i].Clicked(gtx) {
			r.doors.Lesson(r.recents[i].Path)
			return
		}
	}
}

// OpenDemo makes the demo lesson if it is not there yet, with progress, and
// opens it.
func (r *Room) OpenDemo() {
	ctx, cancel := context.WithCancel(context.Background())
	m := &making{cancel: cancel, total: 1}
	r.making = m
	dir := r.dirs.Demo()
	r.host.Go("Making the demo lesson", func() {
		defer cancel()
		path, err := demo.Create(ctx, dir, func(done, total int) {
			r.host.Post(func() { m.done, m.total = done, total })
		})
		r.host.Post(func() {
			r.making = nil
			switch {
			case ctx.Err() == context.Canceled && err != nil:
				r.host.Tell("The demo lesson was not made.")
			case err != nil:
				r.host.Alert(err.Error())
			default:
				r.doors.Lesson(path)
				r.doors.DemoOpened()
			}
		})
	}, func() { r.making = nil })
}
