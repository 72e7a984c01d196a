package drop

import (
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/jezek/xgb/xproto"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/desktop"
)

const twoFiles = "file:///clips/Mara%20face-on.mp4\r\nfile:///clips/Ruderm%C3%B6we%20%C3%BCbt.mov\r\n"

// rig is a plain window with a listener, and a source that would drop on it.
func rig(t *testing.T, wait time.Duration) (*fakeSource, recorder, *Listener) {
	t.Helper()
	display := startX(t)
	win := plainWindow(t, connect(t, display))
	l, rec := startListener(t, display, win, wait)
	s := newSource(t, display, win)
	s.list = twoFiles
	require.Equal(t, uint32(5), s.version)
	require.NotEqual(t, win, s.to, "the proxy is found")
	return s, rec, l
}

func TestTwoFilesAreDropped(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.serve()
	s.enter("text/uri-list", "text/plain")
	accepted, action := s.move(110, 70)
	assert.True(t, accepted)
	assert.Equal(t, "XdndActionCopy", action, "files are copied from the source's view, whatever it proposed")
	s.move(310, 170)
	s.move(310, 170)
	taken, action := s.drop()
	assert.True(t, taken)
	assert.Equal(t, "XdndActionCopy", action)

	assert.Equal(t, desktop.Drag{Kind: desktop.Over, X: 10, Y: 20}, rec.next(t))
	assert.Equal(t, desktop.Drag{Kind: desktop.Over, X: 210, Y: 120}, rec.next(t))
	assert.Equal(t, desktop.Drag{
		Kind: desktop.Drop, X: 210, Y: 120,
		Paths: []string{"/clips/Mara face-on.mp4", "/clips/Rudermöwe übt.mov"},
	}, rec.next(t))

	// And again: nothing of the first drag is left over.
	s.enter("a/b", "c/d", "e/f", "text/uri-list")
	accepted, _ = s.move(101, 51)
	assert.True(t, accepted, "the type is found in XdndTypeList")
	taken, _ = s.drop()
	assert.True(t, taken)
	assert.Equal(t, desktop.Drag{Kind: desktop.Over, X: 1, Y: 1}, rec.next(t))
	assert.Len(t, rec.next(t).Paths, 2)
	rec.none(t)
}

func TestDragLeaves(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.serve()
	s.enter("text/uri-list")
	s.move(200, 100)
	s.send("XdndLeave")
	assert.Equal(t, desktop.Over, rec.next(t).Kind)
	assert.Equal(t, desktop.Drag{Kind: desktop.Leave}, rec.next(t))
}

func TestSomethingElseIsNotAccepted(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.serve()
	s.enter("text/plain", "image/png")
	accepted, action := s.move(200, 100)
	assert.False(t, accepted)
	assert.Empty(t, action)
	rec.none(t)
	// A source must not drop now. One that does gets a word, and so does the coach.
	taken, _ := s.drop()
	assert.False(t, taken)
	ev := rec.next(t)
	assert.Equal(t, desktop.Drop, ev.Kind)
	assert.EqualError(t, ev.Err, "What was dropped is not a file. Drop clips or a lesson from a file manager.")
}

func TestWebAddressIsRefusedWithASentence(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.list = "https://example.org/clip.mp4\r\n"
	s.serve()
	s.enter("text/uri-list")
	s.move(200, 100)
	taken, action := s.drop()
	assert.False(t, taken)
	assert.Empty(t, action)
	assert.Equal(t, desktop.Over, rec.next(t).Kind)
	ev := rec.next(t)
	assert.Empty(t, ev.Paths)
	assert.ErrorContains(t, ev.Err, "is not a file on this computer")
}

func TestOtherVersionsAreIgnored(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.serve()
	for _, v := range []uint32{0, 2, 6, 255} {
		s.version = v
		s.enter("text/uri-list")
		s.send("XdndPosition", 0, 200<<16|100, 0, 0)
		s.send("XdndDrop", 0, 0)
	}
	for _, v := range []uint32{3, 4} {
		s.version = v
		s.enter("text/uri-list")
		accepted, _ := s.move(200, 100)
		assert.True(t, accepted)
		taken, _ := s.drop()
		assert.True(t, taken)
		assert.Equal(t, desktop.Over, rec.next(t).Kind)
		assert.Equal(t, desktop.Drop, rec.next(t).Kind)
	}
	rec.none(t)
}

func TestListInParts(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.chunk = 17
	s.serve()
	s.enter("text/uri-list")
	taken, _ := s.drop()
	assert.True(t, taken)
	assert.Equal(t, []string{"/clips/Mara face-on.mp4", "/clips/Rudermöwe übt.mov"}, rec.next(t).Paths)
}

func TestManyFiles(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.list = strings.Repeat(twoFiles, 1000) // 70 KB, well within one request of the X protocol
	s.serve()
	s.enter("text/uri-list")
	taken, _ := s.drop()
	assert.True(t, taken)
	ev := rec.next(t)
	assert.Len(t, ev.Paths, maxPaths)
	assert.ErrorContains(t, ev.Err, "Only the first 256 files were taken")
}

func TestListTooLong(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.chunk = 1 << 16
	s.list = strings.Repeat(twoFiles, maxListBytes/len(twoFiles)+1)
	s.serve()
	s.enter("text/uri-list")
	taken, _ := s.drop()
	assert.False(t, taken)
	ev := rec.next(t)
	assert.EqualError(t, ev.Err, "Too many files were dropped at once. Drop fewer at a time.")
	assert.Empty(t, ev.Paths)
}

func TestSourceRefuses(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.refusing = true
	s.serve()
	s.enter("text/uri-list")
	taken, _ := s.drop()
	assert.False(t, taken)
	assert.ErrorContains(t, rec.next(t).Err, "did not hand over their names")
}

func TestSourceNeverAnswers(t *testing.T) {
	s, rec, _ := rig(t, 50*time.Millisecond)
	s.mute = true
	s.serve()
	s.enter("text/uri-list")
	taken, _ := s.drop()
	assert.False(t, taken)
	assert.ErrorContains(t, rec.next(t).Err, "did not hand them over in time")
	s.enter("text/uri-list")
	accepted, _ := s.move(200, 100)
	assert.True(t, accepted, "the next drag is as good as any")
}

func TestSourceDies(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.mute = true
	s.serve()
	s.enter("text/uri-list")
	s.move(200, 100)
	require.Equal(t, desktop.Over, rec.next(t).Kind)
	require.NoError(t, xproto.DestroyWindowChecked(s.conn, s.win).Check())
	assert.Equal(t, desktop.Drag{Kind: desktop.Leave}, rec.next(t))
}

func TestSourceDiesInTheDrop(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.mute = true
	s.serve()
	s.enter("text/uri-list")
	s.send("XdndDrop", 0, 0)
	<-s.asked // gone before it is asked, the server would refuse in its place
	s.conn.Close()
	assert.ErrorContains(t, rec.next(t).Err, "ended the drop before")
}

func TestStrangersAreIgnored(t *testing.T) {
	s, rec, _ := rig(t, answerTimeout)
	s.serve()
	s.send("XdndPosition", 0, 200<<16|100, 0, 0)
	s.send("XdndDrop", 0, 0)
	s.send("XdndLeave")
	s.enter("text/uri-list")
	accepted, _ := s.move(200, 100)
	assert.True(t, accepted)
	assert.Equal(t, desktop.Over, rec.next(t).Kind)
	rec.none(t)
}

func TestCloseUnmarksTheWindow(t *testing.T) {
	s, rec, l := rig(t, answerTimeout)
	s.serve()
	s.enter("text/uri-list")
	s.move(200, 100)
	require.Equal(t, desktop.Over, rec.next(t).Kind)
	require.NoError(t, l.Close())
	require.NoError(t, l.Close())
	assert.Equal(t, desktop.Leave, rec.next(t).Kind, "the highlight goes")
	assert.Zero(t, property(t, s.conn, s.target, "XdndProxy", xproto.AtomWindow))
	assert.Zero(t, property(t, s.conn, s.target, "XdndAware", xproto.AtomAtom))
}

func TestWindowGoesFirst(t *testing.T) {
	display := startX(t)
	conn := connect(t, display)
	win := plainWindow(t, conn)
	l, _ := startListener(t, display, win, answerTimeout)
	require.NoError(t, xproto.DestroyWindowChecked(conn, win).Check())
	select {
	case <-l.done:
	case <-time.After(20 * time.Second):
		t.Fatal("the listener outlived its window")
	}
	require.NoError(t, l.Close())
}

func TestNotSupported(t *testing.T) {
	emit := func(desktop.Drag) { t.Error("no event is expected") }
	t.Setenv("DISPLAY", "")
	_, err := Listen(nil, 1, emit)
	assert.ErrorIs(t, err, desktop.ErrNoDrops, "no X server")
	assert.EqualError(t, err, "Files can't be dropped on the window on this desktop. Open them with the Open button instead.")
	_, err = Listen(nil, 0, emit)
	assert.ErrorIs(t, err, desktop.ErrNoDrops, "not a window of X")
	_, err = listen(1, "/nowhere:0", nil, emit, answerTimeout)
	assert.ErrorIs(t, err, desktop.ErrNoDrops, "no such server")
	assert.NotNil(t, errors.Unwrap(err), "and why")

	t.Setenv("XAUTHORITY", os.DevNull)
	display := startX(t)
	_, err = listen(12345, display, nil, emit, answerTimeout)
	assert.ErrorIs(t, err, desktop.ErrNoDrops, "no such window")
}
