package panel

import (
	"context"
	"fmt"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/visit"
)

// watching is a folder into which the phones' clips arrive, and the lesson that takes them
// in.
type watching struct {
	folder string
	lesson *session.Session
	stop   context.CancelFunc // nil while nothing is watched
}

// Watching returns the folder that is watched, "" for none.
func (r *Room) Watching() string {
	if r.watch.stop == nil {
		return ""
	}
	return r.watch.folder
}

// watchFolder has the folder of the lesson's clips watched, or one that the coach
// chooses; where one is watched, no longer.
func (r *Room) watchFolder() {
	if r.watch.stop != nil {
		r.endWatch()
		r.host.Tell("The folder is no longer watched.")
		return
	}
	s := r.host.Session()
	r.host.Ask(kit.Files{
		Title: "Which folder do the clips come into?", Folder: true, Dir: s.ClipFolder(),
	}, func(paths []string) {
		if len(paths) > 0 && r.host.Session() == s {
			r.beginWatch(s, paths[0], nil)
		}
	})
}

// beginWatch takes in what comes into a folder beside what was in it before and what the
// lesson holds; where before is nil, what comes from now on.
func (r *Room) beginWatch(s *session.Session, folder string, before []string) {
	ctx, stop := context.WithCancel(s.Context())
	r.watch = watching{folder: folder, lesson: s, stop: stop}
	l := s.Bench.Lesson()
	r.host.Go("Watching "+folder, func() {
		there, err := visit.Clips(folder)
		if err != nil {
			r.host.Post(func() {
				if r.watch.lesson == s && ctx.Err() == nil {
					r.stopWatch() // the drive may be there the next time
					r.host.Alert(err.Error())
				}
			})
			return
		}
		if before == nil {
			before = append([]string{}, there...)
		}
		r.host.Post(func() {
			if ctx.Err() == nil {
				r.under.Folder, r.under.Before = folder, before
				r.writeDown()
			}
		})
		known := append([]string(nil), before...)
		for _, path := range there {
			if visit.Holds(l, s.Path, path) {
				known = append(known, path)
			}
		}
		visit.NewWatcher(folder, known).Run(ctx, func(clips []string) { r.arrived(ctx, s, clips) }, func(err error) {
			r.host.Post(func() { r.host.Alert(err.Error()) })
		})
	}, r.endWatch)
	r.host.Tell(bench.Note(fmt.Sprintf("Clips that come into %s are taken into this lesson by themselves.", filepath.Base(folder))))
}

// endWatch ends it for good.
func (r *Room) endWatch() {
	r.stopWatch()
	r.under.Folder, r.under.Before = "", nil
	r.writeDown()
}

func (r *Room) stopWatch() {
	if r.watch.stop != nil {
		r.watch.stop()
		r.watch.lesson.SetArrival(session.Arrival{})
	}
	r.watch = watching{}
}

// arrived finds the swings in clips that have come, on the watcher's goroutine.
func (r *Room) arrived(ctx context.Context, lesson *session.Session, clips []string) {
	mine := func() bool { return ctx.Err() == nil && r.host.Session() == lesson }
	o := visit.Options{Kept: r.kept, Progress: r.progress(func(part float32) {
		if mine() {
			lesson.SetArrival(session.Arrival{Clips: len(clips), Part: part})
		}
	})}
	v, err := visit.Look(ctx, clips, o)
	r.host.Post(func() {
		lesson.SetArrival(session.Arrival{})
		if err != nil || !mine() {
			return // it is watched no longer
		}
		for _, n := range v.Notes {
			r.host.Tell(bench.Note(n))
		}
		if len(v.Rows) == 0 {
			return
		}
		v.After(lesson.Bench.Lesson(), r.kept)
		moved := v.Moved()
		r.addRows(lesson, v)
		r.host.Tell(bench.Note(words.Count(len(v.Rows), "swing has", "swings have") + " come in, and marks are being proposed."))
		for _, view := range moved {
			r.host.Tell(bench.Note(fmt.Sprintf("The %s phone has moved: from here on it has a camera of its own.", view)))
		}
	})
}

// addRows makes the chosen rows of a visit swings of a lesson, in one step of undo, and has
// marks proposed in them. A swing without a clip, as a new lesson begins with, makes room
// for them. It returns the first one's ID, "" where nothing was added.
func (r *Room) addRows(s *session.Session, v *visit.Visit) string {
	b := s.Bench
	empty := b.Swing()
	label := visit.FullSwing
	if len(empty.Clips) > 0 {
		label = empty.Label
	}
	swings, found := v.Swings(filepath.Dir(s.Path), label, empty.Club)
	e := b.Editor()
	e.Begin("add " + words.Count(len(swings), "swing", "swings"))
	for _, w := range swings {
		if !kit.Edit(r.host, annotations.AddSwing{Swing: w}) {
			e.Cancel()
			return ""
		}
	}
	first := len(empty.Clips) == 0 && len(empty.Marks) == 0
	if first {
		kit.Edit(r.host, annotations.RemoveSwing{Swing: empty.ID})
	}
	e.End()
	if first {
		r.show(swings[0].ID)
	}
	s.ProposeSwings(found)
	return swings[0].ID
}
