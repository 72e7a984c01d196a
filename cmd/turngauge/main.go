// Turngauge measures a golfer's body turn from clips filmed with a phone.
//
// Without a command it opens the window. Its commands do without one:
// measure, curves, report, visit, propose, list, export, import, student, probe and demo. "turngauge help" explains them.
//
// Built with the tag nowindow it has neither the window nor the report, which is
// drawn with the window's library, and links nothing of that library.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"
	"time"
)

// Exit codes. The first four are part of the lesson format.
const (
	exitOK       = 0
	exitFailed   = 1 // anything the others do not cover
	exitUsage    = 2 // the command line is wrong
	exitInput    = 3 // a document or a clip can't be read or is invalid
	exitNothing  = 4 // nothing could be measured
	exitCanceled = 130
)

// run is what a command gets to work with.
type run struct {
	ctx            context.Context
	args           []string
	stdout, stderr io.Writer
}

// command is one entry of the command line.
type command struct {
	name    string
	summary string // one line
	help    string
	do      func(r *run, c *command) int
}

func commands() []*command {
	return slices.Concat([]*command{
		{"measure", "measure the swings of lesson documents", measureHelp, measure},
		{"curves", "follow a swing and print its turns over time", curvesHelp, curvesOf},
	}, drawing(), []*command{
		{"visit", "take in a visit: find its swings, propose marks, measure", visitHelp, takeVisit},
		{"propose", "propose key positions and marks for swings that have none", proposeHelp, proposeMarks},
		{"list", "list the lessons of the library, or search them", listHelp, list},
		{"export", "write lessons to a zip file", exportHelp, export},
		{"import", "take lessons into the library", importHelp, importLessons},
		{"student", "say what is held on a student; copy it, or erase it", studentHelp, student},
		{"probe", "say what the program sees and hears in a clip", probeHelp, probe},
		{"demo", "make the demo lesson", demoHelp, makeDemo},
	})
}

// endTime is how long a command has once it is told to end: what a file or a disk keeps
// waiting is left then.
const endTime = 950 * time.Millisecond

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, func() {
		time.Sleep(endTime)
		os.Exit(exitCanceled)
	})
	code := start(&run{ctx, os.Args[1:], os.Stdout, os.Stderr})
	stop()
	os.Exit(code)
}

// start finds the command and runs it.
func start(r *run) int {
	r.stdout, r.stderr = &terminal{to: r.stdout}, &terminal{to: r.stderr}
	if len(r.args) == 0 {
		return window(r)
	}
	switch first := r.args[0]; first {
	case "help", "-h", "-help", "--help":
		return help(r)
	case "version", "-version", "--version":
		_, _ = fmt.Fprintln(r.stdout, version())
		return exitOK
	default:
		for _, c := range commands() {
			if c.name == first {
				r.args = r.args[1:]
				return c.do(r, c)
			}
		}
	}
	return window(r)
}

// say prints a sentence for the user on stderr.
func (r *run) say(format string, args ...any) {
	_, _ = fmt.Fprintf(r.stderr, "turngauge: "+format+"\n", args...)
}

// fail says err and returns the exit code for it.
func (r *run) fail(err error, code int) int {
	if errors.Is(err, context.Canceled) {
		r.say("stopped")
		return exitCanceled
	}
	r.say("%v", err)
	return code
}

// flags returns an empty flag set for the command; parse reads it.
func (c *command) flags() *flag.FlagSet {
	fs := flag.NewFlagSet(c.name, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	return fs
}

// parse reads flags anywhere among the arguments and returns the rest. done is
// true when the command is finished already, with the exit code to return.
func (r *run) parse(c *command, fs *flag.FlagSet) (rest []string, code int, done bool) {
	args := r.args
	for {
		if err := fs.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				_, _ = fmt.Fprint(r.stdout, c.help)
				return nil, exitOK, true
			}
			return nil, r.misuse(c, "%s", strings.Replace(err.Error(), "flag provided but not defined: ", "there is no option ", 1)), true
		}
		left := fs.Args()
		if n := len(args) - len(left); len(left) == 0 || n > 0 && args[n-1] == "--" {
			return append(rest, left...), exitOK, false
		}
		rest, args = append(rest, left[0]), left[1:]
	}
}

// misuse says what is wrong with the command line and where the help is.
func (r *run) misuse(c *command, format string, args ...any) int {
	r.say("%s\nSee \"turngauge help %s\".", fmt.Sprintf(format, args...), c.name)
	return exitUsage
}
