package choose

import (
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/layout"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/faultfs"
	"turngauge/ui/draw"
)

// folder makes the folder most tests look into: two folders, four clips, a note.
func folder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	faultfs.SetBase(t, "HOME", filepath.Join(dir, "home"))
	faultfs.SetBase(t, "XDG_CONFIG_HOME", filepath.Join(dir, "none"))
	write(t, dir, "home/Videos/", "bay/", "bay/inside 1.mp4", "range/",
		"Mara 9.mp4", "Mara 10.mp4", "putt.MOV", "wedge.mkv", "notes.txt")
	return dir
}

func TestPanelChoosesOneFile(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.frame()
	assert.False(t, r.c.Visible())
	r.c.Open("Add a clip", false, dir)
	r.settle()
	assert.True(t, r.c.Visible())
	assert.Equal(t, []string{"bay/", "home/", "range/", "Mara 9.mp4", "Mara 10.mp4", "putt.MOV", "wedge.mkv"}, names(r.c.list))
	for _, label := range []string{"Path", "Parent folder", "Open", "Cancel", "Clips", "All files", "Go to Home", "Go to Videos", "Sort by name", "Mara 9.mp4"} {
		_, ok := r.node(label)
		assert.True(t, ok, "%q can be found by its label", label)
	}
	row, _ := r.node("Mara 9.mp4")
	assert.Contains(t, row.Description, "10 B, ")

	r.click("Mara 9.mp4", 1, 0)
	assert.Equal(t, []string{"Mara 9.mp4"}, r.selected())
	r.click("putt.MOV", 1, key.ModShortcut)
	assert.Equal(t, []string{"putt.MOV"}, r.selected(), "one only")
	assert.Zero(t, r.done)
	r.click("Open", 1, 0)
	assert.Equal(t, 1, r.done)
	assert.Equal(t, []string{filepath.Join(dir, "putt.MOV")}, r.paths)
	assert.False(t, r.c.Visible())
	assert.Equal(t, []string{dir}, r.c.Recent)
	r.settle()
	assert.Equal(t, 1, r.done, "it is over once")
}

func TestPanelChoosesSeveral(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add clips", true, dir)
	r.settle()
	r.click("wedge.mkv", 1, 0)
	r.click("Mara 9.mp4", 1, key.ModShortcut)
	assert.Equal(t, []string{"Mara 9.mp4", "wedge.mkv"}, r.selected())
	r.click("putt.MOV", 1, key.ModShift)
	assert.Equal(t, []string{"Mara 9.mp4", "Mara 10.mp4", "putt.MOV"}, r.selected())
	r.press("A", key.ModShortcut)
	assert.Len(t, r.selected(), 4)
	r.press(key.NameReturn, 0)
	assert.Equal(t, []string{
		filepath.Join(dir, "Mara 9.mp4"), filepath.Join(dir, "Mara 10.mp4"), filepath.Join(dir, "putt.MOV"), filepath.Join(dir, "wedge.mkv"),
	}, r.paths, "in the order of the list")
}

func TestDoubleClickOpens(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add clips", true, dir)
	r.settle()
	r.click("bay", 2, 0)
	assert.Equal(t, filepath.Join(dir, "bay"), r.c.list.Dir)
	assert.Equal(t, filepath.Join(dir, "bay"), r.c.path.Text())
	r.click("inside 1.mp4", 2, 0)
	assert.Equal(t, []string{filepath.Join(dir, "bay", "inside 1.mp4")}, r.paths)
}

func TestKeyboardAlone(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add clips", true, dir)
	r.settle()
	r.press(key.NameDownArrow, 0)
	assert.Equal(t, []string{"bay"}, r.selected(), "the list has the keyboard at once")
	r.press(key.NameReturn, 0)
	assert.Equal(t, filepath.Join(dir, "bay"), r.c.list.Dir)
	r.press(key.NameDeleteBackward, 0)
	assert.Equal(t, dir, r.c.list.Dir)
	assert.Equal(t, []string{"bay"}, r.selected(), "back where it came from")
	r.press(key.NameEnd, 0)
	assert.Equal(t, []string{"wedge.mkv"}, r.selected())
	r.press(key.NameUpArrow, key.ModShift)
	assert.Equal(t, []string{"putt.MOV", "wedge.mkv"}, r.selected())
	r.press(key.NameUpArrow, key.ModShortcut)
	r.press(key.NameUpArrow, key.ModShortcut)
	r.press(key.NameSpace, key.ModShortcut)
	assert.Equal(t, []string{"Mara 9.mp4", "putt.MOV", "wedge.mkv"}, r.selected())
	r.press(key.NameHome, 0)
	r.typeText("p")
	assert.Equal(t, []string{"putt.MOV"}, r.selected(), "typing jumps")
	r.now = r.now.Add(2 * typingPause)
	r.typeText("mara")
	r.typeText(" 1")
	assert.Equal(t, []string{"Mara 10.mp4"}, r.selected())
	r.press(key.NameUpArrow, key.ModAlt)
	assert.Equal(t, filepath.Dir(dir), r.c.list.Dir)
	assert.Zero(t, r.done)
	r.press(key.NameEscape, 0)
	assert.Equal(t, 1, r.done)
	assert.Empty(t, r.paths)
	assert.False(t, r.c.Visible())
}

func TestAPathIsWrittenWithoutAClick(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add a clip", false, dir)
	r.settle()
	r.press(key.NameDownArrow, 0) // the list has the keyboard
	r.typeText("/")
	r.router.Queue(key.EditEvent{Range: key.Range{Start: 1, End: 1}, Text: "nowhere"}) // behind the slash, as X11 says it
	r.settle()
	assert.Equal(t, "/nowhere", r.c.path.Text())
}

func TestTypedPath(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add a clip", false, dir)
	r.settle()
	enter := func(path string) {
		t.Helper()
		r.click("Path", 1, 0)
		r.c.path.SetText("")
		r.typeText(path)
		assert.Equal(t, path, r.c.path.Text(), "letters go to the field, not to the list")
		r.press(key.NameReturn, 0)
	}
	enter(filepath.Join(dir, "nowhere"))
	assert.Equal(t, "There is no file or folder “"+filepath.Join(dir, "nowhere")+"”.", r.c.note)
	_, told := r.node(r.c.note)
	assert.True(t, told, "and it can be read")
	assert.Equal(t, dir, r.c.list.Dir)
	assert.Equal(t, filepath.Join(dir, "nowhere"), r.c.path.Text(), "what was typed stays, to be put right")
	enter(filepath.Join(dir, "bay"))
	assert.Equal(t, filepath.Join(dir, "bay"), r.c.list.Dir)
	r.press(key.NameDownArrow, 0)
	assert.Equal(t, []string{"inside 1.mp4"}, r.selected(), "the list has the keyboard after a folder was typed")
	enter("../notes.txt")
	assert.Equal(t, []string{filepath.Join(dir, "notes.txt")}, r.paths, "a file that is named is taken, whatever its kind")
}

func TestDownArrowLeadsFromThePathToTheList(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add a clip", false, dir)
	r.settle()
	r.click("Path", 1, 0)
	r.press(key.NameDownArrow, 0)
	r.press(key.NameDownArrow, 0)
	assert.Equal(t, []string{"bay"}, r.selected())
}

func TestEscapeCancelsFromThePath(t *testing.T) {
	r := newRig(t, Clips)
	r.c.Open("Add a clip", false, folder(t))
	r.settle()
	r.click("Path", 1, 0)
	r.press(key.NameEscape, 0)
	assert.Equal(t, 1, r.done)
}

func TestPlacesFilterAndOrder(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Recent = []string{filepath.Join(dir, "bay")}
	r.c.Open("Add a clip", false, dir)
	r.settle()
	r.click("All files", 1, 0)
	assert.Contains(t, names(r.c.list), "notes.txt")
	r.click("Clips", 1, 0)
	assert.NotContains(t, names(r.c.list), "notes.txt")
	r.click("Mara 9.mp4", 1, 0)
	r.click("Largest first", 1, 0)
	assert.Equal(t, "Mara 10.mp4", names(r.c.list)[3])
	assert.Equal(t, []string{"Mara 9.mp4"}, r.selected(), "what was chosen stays chosen")
	r.click("Go to Videos", 1, 0)
	assert.Equal(t, filepath.Join(dir, "home", "Videos"), r.c.list.Dir)
	r.click("Go to bay", 1, 0)
	assert.Equal(t, filepath.Join(dir, "bay"), r.c.list.Dir)
	r.click("Parent folder", 1, 0)
	assert.Equal(t, dir, r.c.list.Dir)
}

func TestFolderThatIsGone(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Recent = []string{filepath.Join(dir, "card")}
	r.c.Open("Add a clip", false, filepath.Join(dir, "card", "DCIM"))
	r.settle()
	assert.Equal(t, dir, r.c.list.Dir, "the nearest folder above that is there")
	r.click("Go to card", 1, 0)
	assert.Contains(t, r.c.note, "There is no folder “"+filepath.Join(dir, "card")+"”.")
	assert.Equal(t, dir, r.c.list.Dir)
	r.click("bay", 2, 0)
	assert.Empty(t, r.c.note, "the sentence goes with the next step")
}

func TestStartsWhereFilesWereChosenLast(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add a clip", false, "")
	r.settle()
	assert.Equal(t, filepath.Join(dir, "home"), r.c.list.Dir)
	r.press(key.NameEscape, 0)
	r.c.Recent = []string{filepath.Join(dir, "bay")}
	r.c.Open("Add a clip", false, "")
	r.settle()
	assert.Equal(t, filepath.Join(dir, "bay"), r.c.list.Dir)
}

func TestLongListScrollsToTheCursor(t *testing.T) {
	dir := t.TempDir()
	for i := range 300 {
		write(t, dir, fmt.Sprintf("clip %d.mp4", i))
	}
	r := newRig(t, Clips)
	r.c.Open("Add clips", true, dir)
	r.settle()
	_, ok := r.node("clip 299.mp4")
	assert.False(t, ok, "only what is in view is laid out")
	r.press(key.NameEnd, 0)
	row, ok := r.node("clip 299.mp4")
	require.True(t, ok)
	list, ok := r.node("Files")
	require.True(t, ok)
	assert.True(t, row.Bounds.In(list.Bounds), "%v in %v", row.Bounds, list.Bounds)
	r.press(key.NamePageUp, 0)
	assert.Less(t, r.c.sel.cursor, 299-5)
	row, ok = r.node(r.c.list.Entries[r.c.sel.cursor].Name)
	require.True(t, ok)
	assert.True(t, row.Bounds.In(list.Bounds), "%v in %v", row.Bounds, list.Bounds)
	r.press(key.NameHome, 0)
	row, ok = r.node("clip 0.mp4")
	require.True(t, ok)
	assert.True(t, row.Bounds.In(list.Bounds), "%v in %v", row.Bounds, list.Bounds)
}

func TestNothingBehindThePanelIsClicked(t *testing.T) {
	r := newRig(t, Clips)
	r.frame()
	r.clickAt(f32.Pt(5, 5), 1, 0)
	assert.Equal(t, 1, r.hits, "without the panel it is")
	r.c.Open("Add a clip", false, folder(t))
	r.settle()
	r.clickAt(f32.Pt(5, 5), 1, 0)
	r.clickAt(f32.Pt(500, 62), 1, 0)
	r.click("Mara 9.mp4", 1, 0)
	assert.Equal(t, 1, r.hits)
}

// TestSlowFolder reads a folder that does not answer until the test lets it.
func TestSlowFolder(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Open("Add a clip", false, dir)
	r.settle()
	stuck := make(chan struct{})
	r.c.reading = start(r.c.wake, func() reading { <-stuck; return reading{list: Listing{Dir: "/stuck"}} })
	r.frame()
	const told = "Reading the folder. This takes a while."
	_, ok := r.node(told)
	assert.False(t, ok, "not said at once")
	r.now = r.now.Add(patience)
	r.frame()
	_, ok = r.node(told)
	assert.True(t, ok)
	r.click("Go to Videos", 1, 0)
	assert.Equal(t, filepath.Join(dir, "home", "Videos"), r.c.list.Dir, "one can go elsewhere meanwhile")
	close(stuck)
	<-r.awake
	r.settle()
	assert.Equal(t, filepath.Join(dir, "home", "Videos"), r.c.list.Dir, "what comes late is not shown")
	_, ok = r.node(told)
	assert.False(t, ok)
}

func TestSmallWindow(t *testing.T) {
	for _, size := range []image.Point{{0, 0}, {40, 40}, {200, 120}, {420, 300}, {3000, 2000}} {
		r := newRig(t, Clips)
		r.size = size
		r.c.Open("Add a clip", false, folder(t))
		r.settle()
		r.press(key.NameDownArrow, 0)
		r.press(key.NamePageDown, 0)
		r.press(key.NameEscape, 0)
		assert.Equal(t, 1, r.done, "%v", size)
	}
}

// TestAllOfThePath: Ctrl+A in the path field marks its text, not the files.
func TestAllOfThePath(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "wedge.mkv"), []byte("x"), 0o600))
	r := newRig(t, Clips)
	r.c.Open("Add clips", true, dir)
	r.settle()
	r.click("Path", 1, 0)
	r.press("A", key.ModShortcut)
	assert.Empty(t, r.selected())
	assert.Equal(t, dir, r.c.path.SelectedText())
}

// painted keeps what it was asked to draw.
type painted map[string]image.Point

func (p painted) Layout(_ layout.Context, _ *draw.Theme, path, version string, size image.Point) layout.Dimensions {
	p[path+" "+version] = size
	return layout.Dimensions{Size: size}
}

// TestRowsShowWhatIsInFiles: clips are drawn, folders and other files are not, and a
// folder without clips has the lower rows.
func TestRowsShowWhatIsInFiles(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"face-on.mp4", "notes.txt", "bay/swing.mp4"} {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o600))
	}
	r, p := newRig(t), painted{}
	r.c.Thumbnails = p
	r.c.Open("Open", true, dir)
	r.settle()
	r.frame()
	require.Len(t, p, 1)
	for of, size := range p {
		assert.Contains(t, of, filepath.Join(dir, "face-on.mp4"))
		assert.Greater(t, size.Y, int(rowHeight))
	}
	require.NoError(t, os.Remove(filepath.Join(dir, "face-on.mp4")))
	r.c.resort()
	r.settle()
	assert.False(t, r.c.tall)
}

// Where a folder is asked for, files are not shown, Enter goes into folders, and the chosen one or
// the one shown is taken.
func TestPanelChoosesAFolder(t *testing.T) {
	dir := folder(t)
	r := newRig(t, Clips)
	r.c.Desktop = &fakeDesktop{}
	r.c.OpenFolder("Where to", dir)
	r.settle()
	assert.Equal(t, []string{"bay/", "home/", "range/"}, names(r.c.list))
	assert.Equal(t, filepath.Base(dir)+", with 5 files", r.c.status())
	r.click("bay", 1, 0)
	assert.Equal(t, "bay", r.c.status())
	r.click("Take this folder", 1, 0)
	assert.Equal(t, []string{filepath.Join(dir, "bay")}, r.paths)
	assert.Equal(t, []string{filepath.Join(dir, "bay")}, r.c.Recent)

	r.c.OpenFolder("Where to", dir)
	r.settle()
	r.press(key.NameDownArrow, 0)
	r.press(key.NameDownArrow, 0)
	r.press(key.NameReturn, 0)
	r.settle()
	assert.Equal(t, filepath.Join(dir, "home"), r.c.list.Dir, "gone into")
	r.press(key.NameReturn, key.ModShortcut)
	assert.Equal(t, []string{filepath.Join(dir, "home")}, r.paths)

	r.c.OpenFolder("Where to", dir)
	r.settle()
	r.c.resolving = start(r.c.wake, func() resolved { return resolved{typed: typed{file: filepath.Join(dir, "notes.txt")}} })
	r.settle()
	assert.Contains(t, r.c.note, "is a file. Choose a folder.")
	assert.True(t, r.c.Visible())
	r.press(key.NameEscape, 0)
	assert.Empty(t, r.paths)

	r.c.Open("Add a clip", false, dir)
	assert.False(t, r.c.folder, "files are asked for again")
}
