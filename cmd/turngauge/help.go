package main

import (
	"fmt"
	"runtime/debug"
	"strings"

	"turngauge/annotations"
)

// release is the version of the program.
const release = "0.1.0"

// version returns the release with the state of the sources it was built from.
func version() string {
	text := "turngauge " + release
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return text
	}
	var revision, changed string
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			revision = s.Value[:min(12, len(s.Value))]
		case "vcs.modified":
			if s.Value == "true" {
				changed = ", changed since"
			}
		}
	}
	if revision != "" {
		text += " (" + revision + changed + ")"
	}
	return text + ", " + info.GoVersion
}

const windowHelp = `Turngauge measures a golfer's body turn from two phone clips, for coaches.

  turngauge                      open the window
  turngauge LESSON.json          open a lesson in the window
  turngauge CLIP...              take clips into a new lesson in the window
  turngauge COMMAND ...          work without the window

Commands:
`

// help prints the help of the program, or of the command it is asked about.
func help(r *run) int {
	if len(r.args) > 1 {
		for _, c := range commands() {
			if c.name == r.args[1] {
				_, _ = fmt.Fprint(r.stdout, c.help)
				return exitOK
			}
		}
		r.say("there is no command %q\nSee \"turngauge help\".", r.args[1])
		return exitUsage
	}
	var b strings.Builder
	b.WriteString(windowHelp)
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-12s %s\n", c.name, c.summary)
	}
	b.WriteString("  help         explain a command: turngauge help COMMAND\n  version      print the version\n")
	b.WriteString("\n" + annotations.Cautions + "\n")
	_, _ = fmt.Fprint(r.stdout, b.String())
	return exitOK
}
