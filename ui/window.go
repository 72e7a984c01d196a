package ui

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"os"

	"gioui.org/app"
	"gioui.org/io/event"
	"gioui.org/op"

	"turngauge/ui/desktop"
	"turngauge/ui/draw"
	"turngauge/ui/fault"
	"turngauge/ui/profile"
	"turngauge/video"
)

// Options say how the window starts.
type Options struct {
	// Paths are lessons or clips to open.
	Paths []string
	// Demo opens the demo lesson, making it if need be.
	Demo bool
	// Trace, where it is not nil, is sent a line of JSON about what the window
	// shows after each frame in which that changed. It is for tests that drive
	// a real window.
	Trace io.Writer
	// Version is named in the reports of faults.
	Version string
}

// Main opens the window and returns once it has been closed, by the coach or
// because ctx ended; the lesson is saved in either case. Where closing takes longer than a
// second after ctx ended, the process ends. (On Linux and Windows
// any goroutine may serve a window. macOS, for which the program is not built
// yet, would want the main one.)
func Main(ctx context.Context, o Options) error {
	p := profile.Standard()
	w := new(app.Window)
	a := newApp(p, draw.NewTheme(true, 1), w.Invalidate)
	a.startLibrary()
	video.StartAhead()
	dialogs, listen := openDialogs(w)
	a.files.Desktop = dialogs
	a.tracer.out, a.work.Version = o.Trace, o.Version
	a.tellOfStop()
	screen := screenSize()
	w.Option(app.Title("Turngauge"))
	w.Option(sizeOn(screen, 1, a.settings)...)
	done := make(chan struct{})
	defer close(done)
	stop := context.AfterFunc(ctx, func() { a.endWithin(done, func() { os.Exit(0) }) })
	defer stop()
	switch {
	case o.Demo:
		a.home.OpenDemo()
	case len(o.Paths) > 0:
		a.intake.Open(o.Paths)
		if a.desk != nil && a.dirs.IsDemo(a.desk.Path) {
			a.tour.DemoOpened()
		}
	}
	return a.loop(w, screen, listen)
}

// loop serves the window until it is closed; listen is shown every event. Where
// the window itself breaks, the lesson is put away safely before the program
// ends.
func (a *App) loop(w *app.Window, screen image.Point, listen func(event.Event)) error {
	err := fault.Guard(func() error { return a.serve(w, screen, listen) })()
	var f *fault.Error
	if errors.As(err, &f) {
		return a.stopped(f)
	}
	return err
}

func (a *App) serve(w *app.Window, screen image.Point, listen func(event.Event)) error {
	var ops op.Ops
	scaled := screen == (image.Point{})
	for {
		e := w.Event()
		listen(e)
		switch e := e.(type) {
		case *app.ClosingEvent:
			if !a.findings.MayClose() {
				e.Abort()
				w.Invalidate()
			}
		case app.DestroyEvent:
			return errors.Join(e.Err, a.close())
		case app.FrameEvent:
			if !scaled { // how many pixels a dp is, is known only now
				scaled = true
				if e.Size.X > screen.X || e.Size.Y > screen.Y {
					w.Option(sizeOn(screen, e.Metric.PxPerDp, a.settings)...)
				}
			}
			gtx := app.NewContext(&ops, e)
			a.frame(gtx)
			e.Frame(gtx.Ops)
			a.tracer.flush(a)
			if a.ending {
				return a.close()
			}
		default:
			a.join(e)
		}
	}
}

// close puts everything away.
func (a *App) close() error {
	a.closeLesson()
	a.findings.Finish()
	a.shelf.Close()
	a.rememberSize()
	if a.desktop == nil {
		return nil
	}
	return a.desktop.Close()
}

// rememberSize keeps the window's size for the next time.
func (a *App) rememberSize() {
	if a.size == (image.Point{}) {
		return
	}
	a.settings.Width, a.settings.Height = a.size.X, a.size.Y
	// The window is gone: there is no one left to tell.
	_ = a.dirs.Keep(a.settings)
}

// join joins the window's desktop once it is known.
func (a *App) join(e event.Event) {
	if a.desktop != nil {
		return
	}
	d, err := joinDesktop(e, func(d desktop.Drag) {
		a.work.Post(func() { a.dropped(d) })
	})
	if err != nil && !errors.Is(err, desktop.ErrNoDrops) {
		fmt.Fprintln(os.Stderr, "turngauge:", err)
	}
	if d != nil {
		a.desktop, a.clip.picture = d, d.CopyPNG
	}
}

func (a *App) dropped(d desktop.Drag) {
	a.home.DropOver(d.Kind == desktop.Over)
	if d.Kind != desktop.Drop {
		return
	}
	if d.Err != nil {
		a.notices.Alert(d.Err.Error())
	}
	a.intake.Open(d.Paths)
}
