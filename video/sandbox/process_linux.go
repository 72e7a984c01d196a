package sandbox

import (
	"os"
	"os/exec"
	"runtime"
	"sync"
	"syscall"
)

// Process is a process that Start has started.
type Process struct {
	*Link
	process *os.Process
	done    chan struct{}
}

// starts are run by one thread that never ends: the kernel kills what a thread has
// started when that thread ends (PR_SET_PDEATHSIG, prctl(2)).
var starts = sync.OnceValue(func() chan<- func() {
	c := make(chan func())
	go func() {
		runtime.LockOSThread()
		for start := range c {
			start()
		}
	}()
	return c
})

// Start starts this program as the process of that name, for which Serve is called
// there. Kill it when it is no longer needed.
func Start(name string) (*Process, error) {
	here, there, err := Pair()
	if err != nil {
		return nil, err
	}
	defer there.Close()
	cmd := exec.Command("/proc/self/exe") // also where the file has been replaced
	cmd.Args = []string{name}
	cmd.ExtraFiles = []*os.File{there} // descriptor 3
	cmd.Dir = "/"
	cmd.Env = environment()
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Pdeathsig: syscall.SIGKILL,
		Setpgid:   true, // Ctrl+C on the terminal is for this process
	}
	started := make(chan error)
	starts() <- func() { started <- cmd.Start() }
	if err := <-started; err != nil {
		here.Close()
		return nil, err
	}
	p := &Process{Link: here, process: cmd.Process, done: make(chan struct{})}
	go func() {
		defer close(p.done)
		_ = cmd.Wait() // how it ended says nothing that its silence does not
	}()
	return p, nil
}

// environment is what of this process's the other needs in order to run.
func environment() (env []string) {
	for _, name := range []string{"LD_LIBRARY_PATH", "GODEBUG", "GOMAXPROCS", "GORACE", "ASAN_OPTIONS"} {
		if v, ok := os.LookupEnv(name); ok {
			env = append(env, name+"="+v)
		}
	}
	return append(env, "GOTRACEBACK=none")
}

// PID returns its number.
func (p *Process) PID() int { return p.process.Pid }

// Done is closed once it has ended and nothing of it is left.
func (p *Process) Done() <-chan struct{} { return p.done }

// Kill ends it and waits until it has ended. Further calls do nothing.
func (p *Process) Kill() {
	p.Link.Close()
	select {
	case <-p.done:
	default:
		_ = p.process.Kill() // may have ended by now
		<-p.done
	}
}
