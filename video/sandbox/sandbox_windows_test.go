package sandbox

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func init() { Serve(Name("test"), Limits{}, obey) }

// obey does what it is told and tells what came of it.
func obey(l *Link) {
	for {
		var do string
		data, files, err := l.Receive(&do)
		if err != nil {
			return
		}
		var out []byte
		var send []*os.File
		switch do {
		case "read":
			out, err = io.ReadAll(files[0])
		case "echo":
			out = data
		case "share":
			var m *Memory
			var f *os.File
			if m, f, err = MakeMemory(len(data)); err == nil {
				copy(m.Bytes(), data)
				send = append(send, f)
				m.Leave()
			}
		case "talk":
			var other *Link
			if other, err = NewLink(files[0]); err == nil {
				files = nil
				go obey(other)
			}
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

func started(t *testing.T) *Process {
	t.Helper()
	p, err := Start(Name("test"))
	require.NoError(t, err)
	t.Cleanup(p.Kill)
	var s State
	_, _, err = p.Receive(&s)
	require.NoError(t, err)
	assert.NotEmpty(t, s.Lacks())
	return p
}

func told(t *testing.T, l *Link, do string, data []byte, files ...*os.File) (text string, out []byte, got []*os.File) {
	t.Helper()
	require.NoError(t, l.Send(do, data, files...))
	out, got, err := l.Receive(&text)
	require.NoError(t, err, do)
	return text, out, got
}

// TestWhatItIsHanded: open files and data of any length come through; what the sender closes
// stays open there.
func TestWhatItIsHanded(t *testing.T) {
	p := started(t)
	path := filepath.Join(t.TempDir(), "clip")
	require.NoError(t, os.WriteFile(path, []byte("what is in it"), 0o600))
	f, err := os.Open(path)
	require.NoError(t, err)
	require.NoError(t, p.Send("read", nil, f))
	require.NoError(t, f.Close())
	var text string
	out, _, err := p.Receive(&text)
	require.NoError(t, err)
	assert.Empty(t, text)
	assert.Equal(t, "what is in it", string(out))
	for _, n := range []int{0, 1, 200_000, 9 << 20} {
		_, out, _ := told(t, p.Link, "echo", bytes.Repeat([]byte{7}, n))
		require.Len(t, out, n)
	}
	require.NoError(t, os.Remove(path), "nobody has it open")
}

// TestSharedMemory maps what the other side made, and refuses what is larger than may be.
func TestSharedMemory(t *testing.T) {
	p := started(t)
	_, _, files := told(t, p.Link, "share", []byte("in memory"))
	require.Len(t, files, 1)
	m, err := MapMemory(files[0], 1<<20)
	require.NoError(t, err)
	assert.Equal(t, "in memory", string(m.Bytes()[:9]))
	p.Kill()
	CloseAll(files)
	assert.Equal(t, "in memory", string(m.Bytes()[:9]), "it is there as long as it is used, whoever made it")
	m.Leave()
	assert.Nil(t, m.Bytes())

	_, large, err := MakeMemory(3 << 20)
	require.NoError(t, err)
	defer large.Close()
	_, err = MapMemory(large, 1<<20)
	require.Error(t, err)
}

// TestItsEnd: the links that were sent to it end with it, and a silent side is not waited for.
func TestItsEnd(t *testing.T) {
	p := started(t)
	here, there, err := Pair()
	require.NoError(t, err)
	_, _, _ = told(t, p.Link, "talk", nil, there)
	require.NoError(t, there.Close())
	_, out, _ := told(t, here, "echo", []byte("through it"))
	assert.Equal(t, "through it", string(out))
	require.NoError(t, here.Expect(time.Now().Add(10*time.Millisecond)))
	var text string
	_, _, err = here.Receive(&text)
	require.ErrorIs(t, err, os.ErrDeadlineExceeded)
	require.NoError(t, here.Expect(time.Time{}))
	p.Kill()
	_, _, err = here.Receive(&text)
	require.ErrorIs(t, err, io.EOF)
	require.Error(t, here.Send("echo", nil))
	select {
	case <-p.Done():
	case <-time.After(20 * time.Second):
		t.Fatal("it is still there")
	}
}
