//go:build !nowindow

package main

import (
	"fmt"
	"os"
	"strings"

	"turngauge/ui"
)

// drawing are the commands that draw with the window's library.
func drawing() []*command {
	return []*command{{"report", "write the sheet a student takes home, as PDF or HTML", reportHelp, report}}
}

// window opens the window on the paths of the command line.
func window(r *run) int {
	for _, p := range r.args {
		if strings.HasPrefix(p, "-") {
			r.say("there is no option %s\nSee \"turngauge help\".", p)
			return exitUsage
		}
	}
	for _, p := range r.args {
		if _, err := os.Stat(p); err != nil {
			if !strings.ContainsAny(p, "./\\") {
				r.say("there is no command and no file %q\nSee \"turngauge help\".", p)
				return exitUsage
			}
			return r.fail(fmt.Errorf("%s can't be opened: %w", p, err), exitInput)
		}
	}
	o := ui.Options{Paths: r.args, Version: version()}
	if os.Getenv("TURNGAUGE_TRACE") != "" { // a line of JSON for each change of what is shown; see DEVELOPERS.md
		o.Trace = r.stdout
	}
	if err := ui.Main(r.ctx, o); err != nil {
		return r.fail(err, exitFailed)
	}
	return exitOK
}
