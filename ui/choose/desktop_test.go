package choose

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/io/key"
	"gioui.org/x/explorer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var _ Desktop = (*explorer.Explorer)(nil)

// fakeDesktop is a desktop's dialog the test answers for.
type fakeDesktop struct {
	asked  chan []string
	answer chan func() ([]io.ReadCloser, error)
}

func newFake() *fakeDesktop {
	return &fakeDesktop{make(chan []string, 9), make(chan func() ([]io.ReadCloser, error), 9)}
}

func (f *fakeDesktop) ChooseFiles(exts ...string) ([]io.ReadCloser, error) {
	f.asked <- exts
	return (<-f.answer)()
}

func (f *fakeDesktop) ChooseFile(exts ...string) (io.ReadCloser, error) {
	files, err := f.ChooseFiles(exts...)
	if err != nil {
		return nil, err
	}
	return files[0], nil
}

func opened(paths ...string) func() ([]io.ReadCloser, error) {
	return func() ([]io.ReadCloser, error) {
		var files []io.ReadCloser
		for _, p := range paths {
			f, err := os.Open(p)
			if err != nil {
				return nil, err
			}
			files = append(files, f)
		}
		return files, nil
	}
}

func failed(after time.Duration, err error) func() ([]io.ReadCloser, error) {
	return func() ([]io.ReadCloser, error) {
		time.Sleep(after)
		return nil, err
	}
}

func TestDesktopChooses(t *testing.T) {
	dir := folder(t)
	for _, multiple := range []bool{false, true} {
		r, f := newRig(t, Clips), newFake()
		r.c.Desktop = f
		r.c.Open("Add clips", multiple, dir)
		r.frame()
		assert.False(t, r.c.Visible())
		assert.Contains(t, <-f.asked, ".MOV")
		want := []string{filepath.Join(dir, "Mara 9.mp4")}
		if multiple {
			want = append(want, filepath.Join(dir, "putt.MOV"))
		}
		f.answer <- opened(want...)
		r.settle()
		assert.Equal(t, 1, r.done)
		assert.Equal(t, want, r.paths)
		assert.Equal(t, []string{dir}, r.c.Recent)
	}
}

func TestDesktopDeclinedIsSilence(t *testing.T) {
	r, f := newRig(t, Clips), newFake()
	r.c.Desktop = f
	r.c.Open("Add clips", true, "")
	f.answer <- failed(tooQuick+50*time.Millisecond, explorer.ErrUserDecline)
	r.settle()
	assert.Equal(t, 1, r.done)
	assert.Empty(t, r.paths)
	assert.False(t, r.c.Visible())
}

func TestNoDesktopDialogBringsThePanel(t *testing.T) {
	dir := folder(t)
	for name, answer := range map[string]func() ([]io.ReadCloser, error){
		"not available":       failed(0, explorer.ErrNotAvailable),
		"no session bus":      failed(0, errors.New("unable to connect to session bus: no such file or directory")),
		"closed at once":      failed(0, explorer.ErrUserDecline),
		"nothing but success": func() ([]io.ReadCloser, error) { return nil, nil },
		"files without names": func() ([]io.ReadCloser, error) { return []io.ReadCloser{io.NopCloser(nil)}, nil },
	} {
		t.Run(name, func(t *testing.T) {
			r, f := newRig(t, Clips), newFake()
			r.c.Desktop = f
			r.c.Open("Add clips", true, dir)
			f.answer <- answer
			r.settle()
			assert.Zero(t, r.done)
			assert.True(t, r.c.Visible())
			assert.Equal(t, dir, r.c.list.Dir)
			assert.Empty(t, r.c.note)
		})
	}
}

func TestFileTheDesktopGaveCantBeOpened(t *testing.T) {
	dir := folder(t)
	r, f := newRig(t, Clips), newFake()
	r.c.Desktop = f
	r.c.Open("Add clips", true, "")
	gone := filepath.Join(dir, "bay", "gone.mp4")
	f.answer <- opened(gone)
	r.settle()
	assert.True(t, r.c.Visible())
	assert.Equal(t, filepath.Join(dir, "bay"), r.c.list.Dir)
	assert.Equal(t, "“"+gone+"” can't be opened: no such file or directory. Choose another file.", r.c.note)
}

func TestAskingAgainBringsThePanel(t *testing.T) {
	dir := folder(t)
	r, f := newRig(t, Clips), newFake()
	r.c.Desktop = f
	r.c.Open("Add clips", true, dir)
	<-f.asked
	r.c.Open("Add clips", true, dir) // the dialog may hide behind the window, or hang
	r.frame()
	assert.True(t, r.c.Visible())
	assert.Empty(t, f.asked, "one dialog at a time")

	// The dialog's late answer counts while the panel is out.
	f.answer <- opened(filepath.Join(dir, "Mara 9.mp4"))
	r.settle()
	assert.Equal(t, 1, r.done)
	assert.False(t, r.c.Visible())

	// But not after the panel was closed.
	r.c.Open("Add clips", true, dir)
	<-f.asked
	r.c.Open("Add clips", true, dir)
	r.frame()
	r.router.Queue(key.Event{Name: key.NameEscape, State: key.Press})
	r.frame()
	assert.Equal(t, 2, r.done)
	f.answer <- opened(filepath.Join(dir, "Mara 9.mp4"))
	r.settle()
	assert.Equal(t, 2, r.done)
}

// TestRealPortal asks the real thing where there is none: the error must be told from a coach who declines.
func TestRealPortal(t *testing.T) {
	t.Setenv("DBUS_SESSION_BUS_ADDRESS", "unix:path="+filepath.Join(t.TempDir(), "no-bus"))
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Desktop = explorer.NewExplorer(nil)
	r.c.Open("Add clips", true, dir)
	r.settle()
	require.True(t, r.c.Visible())
	assert.Equal(t, dir, r.c.list.Dir)
}
