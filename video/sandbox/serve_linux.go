package sandbox

import (
	"os"
	"syscall"
	"time"
)

// Serve does nothing unless this is the process of that name. Then it confines itself,
// tells how well that went in a first message, does the work with the other end of the
// process's link, and ends the process. To be called from an init function.
func Serve(name string, limits Limits, work func(*Link)) {
	if len(os.Args) == 0 || os.Args[0] != name {
		return
	}
	const given = 3 // the first of exec.Cmd.ExtraFiles
	if syscall.SetNonblock(given, true) != nil {
		os.Exit(2) // started by hand
	}
	l, err := NewLink(os.NewFile(given, "link"))
	if err != nil {
		os.Exit(2)
	}
	state := confine(limits)
	go func() { // init holds the first thread, and goroutines on it are slow
		if l.Send(state, nil) == nil {
			work(l)
		}
		os.Exit(0)
	}()
	for {
		time.Sleep(time.Hour)
	}
}
