package sandbox

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"turngauge/video/sandbox/oldsystem"
)

const ownBytes = 2 << 30

// before is what opening a file came to in a process that Serve had not confined yet.
var before error

func init() {
	_, before = os.Open("/proc/self/maps")
	Serve(Name("test"), Limits{OwnBytes: ownBytes, Files: 64}, obey)
	if len(os.Args) > 1 && os.Args[1] == "start and wait" { // the parent of TestItEndsWithItsParent
		p, err := Start(Name("test"))
		if err == nil {
			fmt.Println(p.PID())
			time.Sleep(time.Hour)
		}
		os.Exit(1)
	}
	if len(os.Args) > 1 && os.Args[1] == "tell" { // the parent of TestWithoutASandbox
		oldsystem.FromEnvironment()
		tell()
		os.Exit(0)
	}
}

// tell starts a process and prints how it is confined and what came of its work.
func tell() {
	p, err := Start(Name("test"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer p.Kill()
	var s State
	if _, _, err := p.Receive(&s); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%+v\n", s)
	for _, o := range []order{{Do: "echo"}, {"open", "/dev/null"}, {Do: "take memory"}} {
		var text string
		err := p.Send(o, []byte("data"))
		if err == nil {
			_, _, err = p.Receive(&text)
		}
		fmt.Printf("%s: %q %v\n", o.Do, text, err)
	}
}

type order struct {
	Do   string
	Path string
}

// obey does what it is told and tells what came of it.
func obey(l *Link) {
	for {
		var o order
		data, files, err := l.Receive(&o)
		if err != nil {
			return
		}
		var out []byte
		var send []*os.File
		switch o.Do {
		case "open":
			_, err = os.Open(o.Path)
		case "what was before":
			err = before
		case "make":
			err = os.WriteFile(o.Path, []byte("x"), 0o600)
		case "remove":
			err = os.Remove(o.Path)
		case "look":
			_, err = os.Stat(o.Path)
		case "run":
			err = exec.Command("/bin/true").Run()
		case "dial":
			_, err = net.Dial("tcp", o.Path)
		case "listen":
			_, err = net.Listen("tcp", "127.0.0.1:0")
		case "kill":
			pid, _ := strconv.Atoi(o.Path)
			err = syscall.Kill(pid, syscall.SIGKILL)
		case "signal a thread":
			pid, _ := strconv.Atoi(o.Path)
			err = unix.Tgkill(pid, pid, unix.SIGKILL)
		case "trace":
			pid, _ := strconv.Atoi(o.Path)
			err = syscall.PtraceAttach(pid)
		case "fork":
			_, _, errno := unix.RawSyscall6(unix.SYS_CLONE, uintptr(unix.SIGCHLD), 0, 0, 0, 0, 0)
			if errno != 0 {
				err = errno
			}
		case "read":
			out, err = io.ReadAll(files[0])
		case "write":
			_, err = files[0].Write([]byte("x"))
		case "echo":
			out = data
		case "share", "share unsealed":
			var fd int
			if fd, err = unix.MemfdCreate("test", unix.MFD_CLOEXEC|unix.MFD_ALLOW_SEALING); err == nil {
				f := os.NewFile(uintptr(fd), "memory")
				_, err = f.Write(data)
				if o.Do == "share" {
					_, _ = unix.FcntlInt(uintptr(fd), unix.F_ADD_SEALS, unix.F_SEAL_SHRINK|unix.F_SEAL_GROW)
				}
				send = append(send, f)
			}
		case "take memory":
			big := make([]byte, ownBytes+1<<20) // more than there may be: the end of this process
			big[len(big)-1] = 1
		case "die":
			_ = syscall.Kill(os.Getpid(), syscall.SIGSEGV) // refused
			var nothing *int
			*nothing = 1
		}
		text := ""
		if err != nil {
			text = err.Error()
		}
		if l.Send(text, out, send...) != nil {
			return
		}
		CloseAll(files)
		CloseAll(send)
	}
}

func started(t *testing.T) (*Process, State) {
	t.Helper()
	p, err := Start(Name("test"))
	require.NoError(t, err)
	t.Cleanup(p.Kill)
	require.NoError(t, p.Expect(time.Now().Add(time.Minute)))
	var s State
	_, _, err = p.Receive(&s)
	require.NoError(t, err)
	return p, s
}

func (p *Process) told(t *testing.T, o order, data []byte, files ...*os.File) (text string, out []byte, got []*os.File) {
	t.Helper()
	require.NoError(t, p.Send(o, data, files...))
	out, got, err := p.Receive(&text)
	require.NoError(t, err, o.Do)
	return text, out, got
}

// TestWhatItMayNot asks a confined process for what a hostile file would have it do.
// The errors are those of errno(3).
func TestWhatItMayNot(t *testing.T) {
	p, s := started(t)
	require.True(t, s.Seccomp, "this kernel has no seccomp")
	assert.Equal(t, !checked, s.Lacks() == "")
	secret := filepath.Join(t.TempDir(), "secret")
	require.NoError(t, os.WriteFile(secret, []byte("secret"), 0o600))
	listening, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer listening.Close()
	other := exec.Command("sleep", "60")
	require.NoError(t, other.Start())
	defer func() { _ = other.Process.Kill(); _ = other.Wait() }()
	victim := strconv.Itoa(other.Process.Pid)
	for _, o := range []order{
		{"open", secret}, {"open", "/proc/self/maps"}, {"open", "/dev/null"}, {"look", secret}, {"make", secret + "2"}, {"remove", secret},
		{Do: "run"}, {"dial", listening.Addr().String()}, {Do: "listen"},
		{"kill", victim}, {"signal a thread", victim}, {"trace", victim}, {Do: "fork"},
	} {
		text, _, _ := p.told(t, o, nil)
		assert.Contains(t, text, "not permitted", o.Do)
	}
	assert.NoError(t, syscall.Kill(other.Process.Pid, 0), "the other process was killed")
	assert.NoFileExists(t, secret+"2")
	assert.FileExists(t, secret)
}

// TestLandlock looks at what the process could do before the list of system calls was
// there. EACCES is what Landlock answers (Documentation/userspace-api/landlock.rst).
func TestLandlock(t *testing.T) {
	version, _, errno := unix.Syscall(unix.SYS_LANDLOCK_CREATE_RULESET, 0, 0, unix.LANDLOCK_CREATE_RULESET_VERSION)
	if errno != 0 || version < 1 {
		t.Skip("this kernel has no Landlock")
	}
	p, s := started(t)
	assert.True(t, s.Landlock)
	text, _, _ := p.told(t, order{Do: "what was before"}, nil)
	assert.Contains(t, text, "permission denied")
}

// TestWhatItIsHanded: open files come through, for reading only where they were opened
// for that, and so does data of any length.
func TestWhatItIsHanded(t *testing.T) {
	p, _ := started(t)
	path := filepath.Join(t.TempDir(), "clip")
	require.NoError(t, os.WriteFile(path, []byte("what is in it"), 0o600))
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	text, out, _ := p.told(t, order{Do: "read"}, nil, f)
	assert.Empty(t, text)
	assert.Equal(t, "what is in it", string(out))
	text, _, _ = p.told(t, order{Do: "write"}, nil, f)
	assert.Contains(t, text, "bad file descriptor") // write(2): not open for writing
	for _, n := range []int{0, 1, 200_000, 9 << 20} {
		data := bytes.Repeat([]byte{7}, n)
		done := make(chan error, 1)
		go func() { done <- p.Send(order{Do: "echo"}, data) }()
		out, _, err := p.Receive(&text)
		require.NoError(t, err)
		require.NoError(t, <-done)
		require.Len(t, out, n)
	}
}

// TestSharedMemory maps what the other process made, and refuses what it could cut off.
func TestSharedMemory(t *testing.T) {
	p, _ := started(t)
	_, _, files := p.told(t, order{Do: "share"}, []byte("in memory"))
	require.Len(t, files, 1)
	m, err := MapMemory(files[0], 1<<20)
	require.NoError(t, err)
	assert.Equal(t, "in memory", string(m.Bytes()))
	_, err = MapMemory(files[0], 4)
	require.Error(t, err)
	CloseAll(files)
	m.Use()
	m.Leave()
	p.Kill()
	assert.Equal(t, "in memory", string(m.Bytes()), "it is there as long as it is used, whoever made it")
	m.Leave()
	assert.Nil(t, m.Bytes())

	p, _ = started(t)
	_, _, files = p.told(t, order{Do: "share unsealed"}, []byte("in memory"))
	require.Len(t, files, 1)
	defer CloseAll(files)
	_, err = MapMemory(files[0], 1<<20)
	require.Error(t, err)
	plain, err := os.Open(os.Args[0])
	require.NoError(t, err)
	defer plain.Close()
	_, err = MapMemory(plain, 1<<40)
	require.Error(t, err, "a file of the disk")
}

// TestItsEnd ends it in several ways; each time its end is noticed, and nothing is left
// of it, a zombie neither (proc(5): a process that is not waited for has a folder there).
func TestItsEnd(t *testing.T) {
	for name, end := range map[string]func(p *Process) error{
		"memory":   func(p *Process) error { return p.Send(order{Do: "take memory"}, nil) },
		"by fault": func(p *Process) error { return p.Send(order{Do: "die"}, nil) },
		"killed":   func(p *Process) error { return syscall.Kill(p.PID(), syscall.SIGSEGV) },
		"hung up":  func(p *Process) error { return p.Link.Close() },
	} {
		if name == "memory" && checked {
			continue // no limit on it there
		}
		p, _ := started(t)
		require.NoError(t, end(p), name)
		var text string
		_, _, err := p.Receive(&text)
		require.Error(t, err, name)
		select {
		case <-p.Done():
		case <-time.After(20 * time.Second):
			t.Fatal(name, "is still there")
		}
		assert.NoDirExists(t, fmt.Sprintf("/proc/%d", p.PID()), name)
		p.Kill()
		p.Kill()
	}
}

// TestItEndsWithItsParent kills the process that started one; no signal or hook of ours
// is left to end the other then but prctl(2), PR_SET_PDEATHSIG.
func TestItEndsWithItsParent(t *testing.T) {
	cmd := exec.Command(os.Args[0], "start and wait")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	var pid int
	_, err = fmt.Fscan(out, &pid)
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(pid, 0))
	require.NoError(t, cmd.Process.Kill())
	_ = cmd.Wait()
	require.Eventually(t, func() bool {
		stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		return err != nil || strings.Contains(string(stat), ") Z ") // whoever inherits it may be slow to wait
	}, 20*time.Second, 10*time.Millisecond)
}

// TestStartedByHand: somebody who types the hidden name gets no process that waits.
func TestStartedByHand(t *testing.T) {
	cmd := exec.Command(os.Args[0])
	cmd.Args = []string{Name("test")}
	require.Error(t, cmd.Run())
}

// TestMessagesThatAreNone feeds a link what a process in the wrong hands might send.
func TestMessagesThatAreNone(t *testing.T) {
	for name, raw := range map[string][]byte{
		"cut off":      {0, 0, 0},
		"no text":      {0, 0, 0, 2, 0, 0, 0, 0, '{'},
		"not JSON":     {0, 0, 0, 2, 0, 0, 0, 0, '{', '{'},
		"large text":   {0xff, 0xff, 0xff, 0xff, 0, 0, 0, 0},
		"large data":   {0, 0, 0, 2, 0xff, 0xff, 0xff, 0xff, '{', '}'},
		"data to come": append([]byte{0, 0, 0, 2, 0x10, 0, 0, 0}, "{}only that"...),
	} {
		l, there, err := Pair()
		require.NoError(t, err)
		_, err = there.Write(raw)
		require.NoError(t, err)
		require.NoError(t, there.Close())
		var v struct{}
		_, _, err = l.Receive(&v)
		assert.Error(t, err, name)
		l.Close()
	}
}

// TestWithoutASandbox starts the process on systems that lack what confines it: it says so,
// and does its work.
func TestWithoutASandbox(t *testing.T) {
	_, here := started(t)
	for lacking, want := range map[string]State{
		"seccomp": {Landlock: here.Landlock, Memory: here.Memory}, "no seccomp,landlock": {Memory: here.Memory},
		"landlock": {Seccomp: here.Seccomp, Memory: here.Memory}, "limits": {Landlock: here.Landlock, Seccomp: here.Seccomp},
		"seccomp,landlock,limits": {},
	} {
		cmd := exec.Command(os.Args[0], "tell")
		cmd.Env = append(os.Environ(), oldsystem.Variable+"="+lacking)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s: %s", lacking, out)
		lines := strings.Split(string(out), "\n")
		require.Greater(t, len(lines), 3, "%s: %s", lacking, out)
		assert.Equal(t, fmt.Sprintf("%+v", want), lines[0], lacking)
		assert.Equal(t, `echo: "" <nil>`, lines[1], lacking)
		assert.Equal(t, want.Seccomp || want.Landlock, strings.Contains(lines[2], "not permitted") || strings.Contains(lines[2], "denied"), "%s: %s", lacking, lines[2])
		assert.Equal(t, want.Memory, strings.Contains(lines[3], "EOF"), "%s: %s", lacking, lines[3])
		assert.Equal(t, want.Seccomp && want.Memory, want.Lacks() == "", lacking)
	}
	assert.Equal(t, "this system has neither seccomp nor Landlock", (&State{Memory: true}).Lacks())
	assert.Equal(t, "it may make any system call, though it can open no files", (&State{Landlock: true}).Lacks())
	assert.Equal(t, "its memory is not limited", (&State{Seccomp: true}).Lacks())
}
