package video

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/orient"

	"turngauge/video/sandbox"
)

// inside is a child that is no process: its work is done in this one, whose memory a
// test counts or whose end it is looking for.
type inside struct{ *sandbox.Link }

func (i inside) Kill()    { i.Close() }
func (i inside) PID() int { return os.Getpid() }

// decodeInside has clips decoded in this process until the test ends.
func decodeInside(t testing.TB) {
	t.Helper()
	endChildren()
	before := startChild
	startChild = func() (*child, error) {
		here, file, err := sandbox.Pair()
		if err != nil {
			return nil, err
		}
		there, err := sandbox.NewLink(file)
		if err != nil {
			return nil, err
		}
		go func() {
			defer there.Close()
			serveClips(there)
		}()
		return &child{process: inside{here}}, nil
	}
	t.Cleanup(func() {
		endChildren()
		startChild = before
	})
}

// endChildren ends those that wait for their clip to be opened again. Those that a test
// before is still leaving are given to nobody any more.
func endChildren() {
	children.mu.Lock()
	var idle []*child
	for _, c := range children.all {
		c.stat = nil
		if c.users == 0 {
			idle = append(idle, c)
		}
	}
	children.mu.Unlock()
	for _, c := range idle {
		children.end(c)
	}
}

// childOf returns the process that decodes for a source, 0 for none.
func childOf(s *Source) int {
	if at := s.session.Load(); at != nil {
		return at.child.process.PID()
	}
	return 0
}

var deaths = 100

// TestTheWindowOutlivesTheDecoder ends the process that decodes by SIGSEGV, while it
// rests and at random moments while it works, as a hostile or damaged file may. All
// frames come again, each the right one, and what was decoded before stays on show.
func TestTheWindowOutlivesTheDecoder(t *testing.T) {
	path := clip(t, "H.264 group of 30")
	info, err := Probe(path)
	require.NoError(t, err)
	want := decodeWithCLI(t, path, info)
	s, err := openFirst(context.Background(), path)
	require.NoError(t, err)
	r := NewReader(s, ReaderOptions{CacheBytes: 1})
	defer r.Close()
	before, err := r.Read(context.Background(), 0)
	require.NoError(t, err)
	defer before.Release()
	files := openFiles(t)
	for n := range deaths {
		at := (7 * n) % info.Frames
		pid := childOf(s)
		killed := make(chan struct{})
		go func() {
			defer close(killed)
			time.Sleep(time.Duration(n%10) * time.Millisecond)
			if pid != 0 {
				_ = syscall.Kill(pid, syscall.SIGSEGV)
			}
		}()
		if n%2 == 0 {
			<-killed
		}
		f, err := r.Read(context.Background(), at)
		require.NoError(t, err, "death %d", n)
		assert.Equal(t, want.hashes[at], md5Of(planes(f)), "pixels of frame %d", at)
		f.Release()
		<-killed
	}
	assert.Equal(t, want.hashes[0], md5Of(planes(before)), "the frame on show")
	stats := r.Stats()
	assert.Greater(t, stats.Restarts, deaths/3)
	assert.Contains(t, stats.Trouble(), "started again")
	require.NoError(t, r.Close())
	endChildren()
	assert.Eventually(t, func() bool { return openFiles(t) <= files+4 }, time.Minute, 10*time.Millisecond, "open files")
	assert.Eventually(t, func() bool { return zombies(t) == 0 }, time.Minute, 10*time.Millisecond)
}

func openFiles(t *testing.T) int {
	t.Helper()
	entries, err := os.ReadDir("/proc/self/fd")
	require.NoError(t, err)
	return len(entries)
}

// zombies counts the children of this process that have ended and are not waited for
// (proc(5): state Z).
func zombies(t *testing.T) (n int) {
	t.Helper()
	stats, err := filepath.Glob("/proc/[0-9]*/stat")
	require.NoError(t, err)
	for _, path := range stats {
		data, err := os.ReadFile(path)
		if err != nil {
			continue // it has gone meanwhile
		}
		_, rest, _ := strings.Cut(string(data), ") ")
		var state string
		var parent int
		if _, err := fmt.Sscan(rest, &state, &parent); err == nil && parent == os.Getpid() && state == "Z" {
			n++
		}
	}
	return n
}

// killAt has the process of every clip end when it is asked for something.
func killAt(t *testing.T, what string) (started func() int) {
	t.Helper()
	endChildren()
	before, n, mu := startChild, 0, sync.Mutex{}
	startChild = func() (*child, error) {
		c, err := before()
		if err == nil {
			mu.Lock()
			n++
			mu.Unlock()
			c.process = &killing{c.process, what}
		}
		return c, err
	}
	t.Cleanup(func() {
		endChildren()
		startChild = before
	})
	return func() int {
		mu.Lock()
		defer mu.Unlock()
		return n
	}
}

// killing stands between a process and its clips, and kills it at a call.
type killing struct {
	process interface {
		Send(text any, data []byte, files ...*os.File) error
		Kill()
		PID() int
	}
	at string
}

func (k *killing) Kill()    { k.process.Kill() }
func (k *killing) PID() int { return k.process.PID() }

// Send hands the other side one end of a new link and passes on what is said on it.
func (k *killing) Send(text any, data []byte, files ...*os.File) error {
	caller, err := sandbox.NewLink(dup(files[0]))
	if err != nil {
		return err
	}
	there, file, err := sandbox.Pair()
	if err != nil {
		return err
	}
	defer file.Close()
	if err := k.process.Send(text, data, file, files[1]); err != nil {
		return err
	}
	go func() {
		defer caller.Close()
		defer there.Close()
		for {
			var c call
			if _, _, err := caller.Receive(&c); err != nil {
				return
			}
			if c.Do == k.at {
				_ = syscall.Kill(k.process.PID(), syscall.SIGSEGV)
				_, _, _ = there.Receive(&answer{}) // until it is dead, or it might still answer
				return
			}
			if there.Send(c, nil) != nil {
				return
			}
			for more := true; more; {
				var a answer
				data, files, err := there.Receive(&a)
				if err != nil || caller.Send(a, data, files...) != nil {
					return
				}
				sandbox.CloseAll(files)
				more = a.More
			}
		}
	}()
	return nil
}

func dup(f *os.File) *os.File {
	fd, err := syscall.Dup(int(f.Fd()))
	if err != nil {
		panic(err)
	}
	return os.NewFile(uintptr(fd), f.Name())
}

// TestAFileThatKillsTwiceIsLeftAlone: at each thing that is done with a clip, it is tried
// once more, and then refused with a sentence.
func TestAFileThatKillsTwiceIsLeftAlone(t *testing.T) {
	path := clip(t, "sound first")
	t.Run("opening", func(t *testing.T) {
		started := killAt(t, callIndex)
		_, err := openFirst(context.Background(), path)
		require.ErrorIs(t, err, ErrUnsupported)
		require.ErrorContains(t, err, "left alone")
		assert.Equal(t, 2, started())
	})
	t.Run("decoding", func(t *testing.T) {
		s, err := Open(path)
		require.NoError(t, err)
		s.hangUp()
		started := killAt(t, callNext)
		r := NewReader(s, ReaderOptions{CacheBytes: 1})
		defer r.Close()
		for n := range 3 {
			_, err := r.Read(context.Background(), n)
			require.ErrorContains(t, err, "left alone")
		}
		assert.Equal(t, 2, started())
		assert.Equal(t, 2, r.Stats().Restarts)
	})
	t.Run("sound", func(t *testing.T) {
		x, err := ReadIndex(context.Background(), path)
		require.NoError(t, err)
		started := killAt(t, callSound)
		_, err = ReadAudio(context.Background(), path)
		require.ErrorContains(t, err, "left alone")
		assert.Equal(t, 2, started())
		assert.NotNil(t, x)
	})
}

// TestAHungDecoderCanBeClosed: closing a reader and giving up opening do not wait for a
// process that no longer answers.
func TestAHungDecoderCanBeClosed(t *testing.T) {
	path := clip(t, "H.264 group of 30")
	s, err := openFirst(context.Background(), path)
	require.NoError(t, err)
	pid := childOf(s)
	require.Positive(t, pid)
	require.NoError(t, syscall.Kill(pid, syscall.SIGSTOP))
	r := NewReader(s, ReaderOptions{CacheBytes: 1})
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	_, err = r.Read(ctx, 3)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	start := time.Now()
	require.NoError(t, r.Close())
	ctx, cancel = context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	_, err = openFirst(ctx, path) // by the same process
	require.ErrorIs(t, err, context.DeadlineExceeded)
	assert.Less(t, time.Since(start), 30*time.Second)
	endChildren()
}

// TestAnswersThatMakeNoSense gives a reader what a process in the wrong hands might say
// of a picture: nothing outside the arena is read.
func TestAnswersThatMakeNoSense(t *testing.T) {
	l := newLayout(64, 48, orient.Identity, [2]int{1, 1})
	good := stored{Bytes: int64(l.size) + readAhead, Luma: l.lumaStride, Chroma: l.chromaStride, U: int64(l.u), V: int64(l.v)}
	require.True(t, good.fits(int(good.Bytes), l))
	for name, change := range map[string]func(*stored){
		"beyond the arena": func(p *stored) { p.At = 1 },
		"before it":        func(p *stored) { p.At = -1 },
		"longer":           func(p *stored) { p.Bytes++ },
		"a plane behind":   func(p *stored) { p.V = p.Bytes },
		"a plane before":   func(p *stored) { p.U = -1 },
		"long rows":        func(p *stored) { p.Luma *= 3 },
		"short rows":       func(p *stored) { p.Chroma = 31 },
		"first":            func(p *stored) { p.First = p.Bytes - 10 },
		"overflow":         func(p *stored) { p.At, p.Bytes = 1<<62, 1<<62 },
	} {
		bad := good
		change(&bad)
		assert.False(t, bad.fits(int(good.Bytes), l), name)
	}
	_, err := indexOf("x.mp4", nil, nil, nil)
	require.Error(t, err)
	assert.True(t, errors.Is(err, ErrUnreadable))
}
