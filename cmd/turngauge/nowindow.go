//go:build nowindow

package main

// drawing are the commands that draw with the window's library: none.
func drawing() []*command { return nil }

// window says that there is none.
func window(r *run) int {
	r.say("this program was built without its window\nSee \"turngauge help\" for what it does without one.")
	return exitUsage
}
