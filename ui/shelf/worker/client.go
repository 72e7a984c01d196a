package worker

import (
	"context"
	"errors"
	"fmt"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/fault"
)

// Window is what a client needs of the window it works for; a session.Work is
// one.
type Window interface {
	// Go runs do on a goroutine of its own and failed, on the window's, where do
	// panicked.
	Go(what string, do, failed func())
	// Post runs do on the window's goroutine.
	Post(do func())
	// Report keeps a report of a fault and says where, with a space before it.
	Report(f *fault.Error) string
}

// Client is the library as a window knows it: the worker does what is asked, and
// the answers come on the window's goroutine, to which the client belongs. Until
// the library is started nothing that is asked is done.
type Client struct {
	window   Window
	alert    func(text string)
	worker   *Worker // nil where the library was not started
	folder   string
	ready    bool
	trouble  string
	watchers []func()
}

// NewClient returns a client of a library that is not started yet; alert tells
// the coach of something that went wrong.
func NewClient(w Window, alert func(text string)) *Client { return &Client{window: w, alert: alert} }

// Start opens the library in a folder in the background, to judge by base where
// the library has no ranges of its own, with verdicts that count from the probability
// decided on. opened is called once it is open, and not
// at all where it can't be opened.
func (c *Client) Start(folder string, base annotations.Targets, decided float64, opened func()) {
	c.folder = folder
	c.worker = Start(folder, Events{
		Opened: func(l *library.Library, err error) {
			var notes []string
			if l != nil {
				notes = l.Notices()
			}
			c.window.Post(func() {
				if err != nil {
					c.trouble = err.Error()
					c.alert(c.trouble)
					return
				}
				for _, n := range notes {
					c.alert(n)
				}
				c.ready = true
				opened()
				c.Changed()
			})
		},
		Trouble: func(text string, err error) {
			if err != nil {
				text += ": " + err.Error()
			}
			if f := (*fault.Error)(nil); errors.As(err, &f) {
				text += "." + c.window.Report(f)
			}
			c.window.Post(func() { c.alert(text) })
		},
		Changed: func() { c.window.Post(c.Changed) },
	})
	c.worker.JudgeBy(base)
	c.worker.DecideFrom(decided)
}

// DecideFrom says from which probability on a verdict counts in what is measured from now
// on.
func (c *Client) DecideFrom(probability float64) {
	if c.worker != nil {
		c.worker.DecideFrom(probability)
	}
}

// Close records what waits and closes the library.
func (c *Client) Close() {
	if c.worker != nil {
		c.worker.Close()
	}
}

// Started reports whether the library was started: it is open, is being opened or
// could not be.
func (c *Client) Started() bool { return c.worker != nil }

// Ready reports whether the library is open.
func (c *Client) Ready() bool { return c.ready }

// Trouble says why the library could not be opened, or "".
func (c *Client) Trouble() string { return c.trouble }

// Folder is where the library is, or is to be.
func (c *Client) Folder() string { return c.folder }

// Watch has f called whenever something in the library may have changed.
func (c *Client) Watch(f func()) { c.watchers = append(c.watchers, f) }

// Changed tells all who watch that something in the library may have changed.
func (c *Client) Changed() {
	for _, f := range c.watchers {
		f()
	}
}

// Touch says that a lesson has changed, or was opened or closed (now).
func (c *Client) Touch(path string, l *annotations.Lesson, opened, now bool) {
	if c.worker != nil {
		c.worker.Touch(path, l, opened, now)
	}
}

// Remeasure has lessons measured whose measures are not known.
func (c *Client) Remeasure() {
	if c.worker != nil {
		c.worker.Remeasure()
	}
}

// Move moves the library to another folder; done is called with what came of it.
func (c *Client) Move(to string, done func(error)) {
	c.worker.Move(to, func(err error) {
		c.window.Post(func() {
			if err == nil {
				c.folder = to
			}
			done(err)
		})
	})
}

// Ask runs do on the worker's goroutine and then, with what it returned, on the
// window's. what begins the error where there is no library.
func Ask[T any](c *Client, what string, do func(ctx context.Context, l *library.Library) (T, error), then func(T, error)) {
	if c.worker == nil {
		return
	}
	c.worker.Ask(func(ctx context.Context, l *library.Library) {
		var out T
		err := fmt.Errorf("%s: there is no library", what)
		if l != nil {
			err = fault.Guard(func() (err error) { out, err = do(ctx, l); return err })()
		}
		if ctx.Err() != nil {
			return
		}
		c.window.Post(func() { then(out, err) })
	})
}

// Aside runs do, with the library opened a second time, on a goroutine of its
// own, for what would hold the worker up; then runs on the window's. what names
// it for the coach, as in "Exporting".
func Aside[T any](c *Client, what string, do func(ctx context.Context, l *library.Library) (T, error), then func(T, error)) (stop context.CancelFunc) {
	ctx, stop := context.WithCancel(context.Background())
	c.window.Go(what, func() {
		defer stop()
		var out T
		err := c.worker.Beside(ctx, func(ctx context.Context, l *library.Library) (err error) {
			out, err = do(ctx, l)
			return err
		})
		c.window.Post(func() { then(out, err) })
	}, func() {
		var out T
		then(out, context.Canceled) // the fault itself is told
	})
	return stop
}
