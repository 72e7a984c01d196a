package choose

import (
	"image"
	"os"
	"path/filepath"
	"slices"
	"time"

	"gioui.org/gesture"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/widget"

	"turngauge/ui/draw"
)

// Chooser asks for files, or for a folder. Make it with New; it must not be copied.
type Chooser struct {
	// Desktop is the desktop's own dialog, or nil to use the panel always.
	Desktop Desktop
	// Recent holds the folders files were last chosen from, latest first; the panel offers them. The
	// chooser puts those it is used for in front.
	Recent []string
	// Thumbnails draws what is in a file, where that is a clip, a lesson or a picture; nil
	// draws signs.
	Thumbnails Thumbnails

	wake  func()
	kinds []Kind

	title    string
	multiple bool
	folder   bool // a folder is asked for
	shown    bool
	result   []string
	done     bool

	asking    *future[answer]
	moot      bool // the asking was ended by the panel; what the desktop's dialog says does not count any more
	reading   *future[reading]
	resolving *future[resolved]
	looking   *future[[]Place]

	everyKind bool
	order     Order
	list      Listing
	sel       selection
	note      string // a sentence about what went wrong last
	home      string
	places    []Place

	keys    typing
	waiting time.Time // since when a folder is being read; zero: none is
	now     time.Time // of the last Update
	panel
}

// Thumbnails draws small pictures of files; see thumbnail.Pictures. version tells apart what
// a file held at different times.
type Thumbnails interface {
	Layout(gtx layout.Context, th *draw.Theme, path, version string, size image.Point) layout.Dimensions
}

// panel is the state of the controls.
type panel struct {
	path           draw.Field
	pathSet        string // what the program last put there
	up, open, quit draw.Button
	orders         [3]draw.Button
	filter         draw.Segmented
	rows           []gesture.Click // one an entry
	scroll         layout.List
	bar            widget.Scrollbar
	goTo           []*widget.Clickable // one a place, then one a recent folder
	side           layout.List
	takeFocus      bool
	reveal         bool // scroll to the cursor
	viewRows       int  // whole rows in view at the last frame
	tall           bool // the rows have small pictures
}

// reading is a folder that was read.
type reading struct {
	list  Listing
	err   error
	keep  string // entry to put the cursor on
	typed bool   // the coach asked for it by its path
	first bool   // for a panel that has just come out
}

// resolved is a path that was typed and looked up.
type resolved struct {
	typed
	err error
}

// New returns a chooser for files of the given kinds; with none, for any file. wake is called from another
// goroutine when an Update would find something new: pass the window's Invalidate.
func New(wake func(), kinds ...Kind) *Chooser {
	c := &Chooser{wake: wake, kinds: kinds}
	c.path.Submit = true
	c.path.SingleLine = true
	c.scroll.Axis = layout.Vertical
	c.side.Axis = layout.Vertical
	return c
}

// Look says which kinds of file the next Open looks for.
func (c *Chooser) Look(kinds ...Kind) {
	if !c.shown {
		c.kinds = kinds
	}
}

// Open asks for one file or several, in the desktop's dialog or in the panel, where title is shown and
// the folder startDir is looked into (empty: where files were chosen last, or the home folder). It returns
// at once; Update tells the outcome. Opening a panel that is out already does nothing.
func (c *Chooser) Open(title string, multiple bool, startDir string) {
	if c.shown {
		return
	}
	c.title, c.multiple, c.folder = title, multiple, false
	if c.Desktop != nil && c.asking == nil {
		d, exts := c.Desktop, extensions(c.kinds)
		c.asking = start(c.wake, func() answer {
			a := ask(d, multiple, exts)
			if a.startHere == "" {
				a.startHere = startDir
			}
			return a
		})
		return
	}
	// Asked again while the desktop's dialog is out: it may be hidden, or stuck.
	c.show(startDir)
}

// OpenFolder asks for a folder, in the panel, for not every desktop's dialog can. The outcome is one
// path or none; otherwise it is as Open.
func (c *Chooser) OpenFolder(title, startDir string) {
	if c.shown {
		return
	}
	c.kinds = nil
	c.title, c.multiple, c.folder = title, false, true
	c.show(startDir)
}

// Visible reports whether the panel is out. Nothing else in the window should take keys or clicks then.
func (c *Chooser) Visible() bool { return c.shown }

// Update takes up what happened since the last frame. done is true once when the asking is over; paths
// are then the chosen files, absolute, or none if the coach thought better of it. Call it every frame,
// before Layout and before others ask for keys.
func (c *Chooser) Update(gtx layout.Context) (paths []string, done bool) {
	c.receive()
	if c.shown {
		c.controls(gtx)
	}
	c.wait(gtx)
	if !c.done {
		return nil, false
	}
	paths = c.result
	c.result, c.done, c.shown = nil, false, false
	if len(paths) > 0 {
		dir := paths[0]
		if !c.folder {
			dir = filepath.Dir(dir)
		}
		c.Recent = remember(c.Recent, dir)
	}
	return paths, true
}

// patience is how long a folder is read before the panel says that it takes a while.
const patience = 250 * time.Millisecond

// wait keeps track of how long a folder is being read.
func (c *Chooser) wait(gtx layout.Context) {
	c.now = gtx.Now
	switch {
	case c.reading == nil:
		c.waiting = time.Time{}
		return
	case c.waiting.IsZero():
		c.waiting = gtx.Now
	}
	if due := c.waiting.Add(patience); gtx.Now.Before(due) {
		gtx.Execute(op.InvalidateCmd{At: due})
	}
}

// slow reports whether a folder takes long to read.
func (c *Chooser) slow() bool {
	return !c.waiting.IsZero() && c.now.Sub(c.waiting) >= patience
}

// finish ends the asking.
func (c *Chooser) finish(paths []string) {
	c.result, c.done = paths, true
	c.moot = c.asking != nil
	c.reading, c.resolving, c.looking = nil, nil, nil
}

// show brings the panel out.
func (c *Chooser) show(dir string) {
	c.shown, c.takeFocus, c.note = true, true, ""
	c.everyKind = len(c.kinds) == 0
	c.list, c.rows = Listing{}, nil
	c.sel = newSelection(c.multiple)
	home, err := os.UserHomeDir()
	if err != nil {
		home = ""
	}
	c.home = home
	if dir == "" && len(c.Recent) > 0 {
		dir = c.Recent[0]
	}
	if dir == "" {
		dir = home
	}
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	c.setPath(dir)
	c.looking = start(c.wake, func() []Place { return findPlaces(home) })
	kinds, order := c.filterKinds(), c.order
	c.reading = start(c.wake, func() reading {
		l, err := readFolder(nearest(dir), kinds, order)
		return reading{list: l, err: err, first: true}
	})
}

// read goes to a folder, with the cursor on the entry named keep.
func (c *Chooser) read(dir, keep string, typed bool) {
	kinds, order := c.filterKinds(), c.order
	c.reading = start(c.wake, func() reading {
		l, err := readFolder(dir, kinds, order)
		return reading{list: l, err: err, keep: keep, typed: typed}
	})
}

// filterKinds returns the kinds shown, none meaning all.
func (c *Chooser) filterKinds() []Kind {
	switch {
	case c.folder:
		return []Kind{{}} // no file
	case c.everyKind:
		return nil
	}
	return c.kinds
}

// receive takes up what other goroutines have found.
func (c *Chooser) receive() {
	if a, ok := c.asking.take(); ok {
		moot := c.moot
		c.asking, c.moot = nil, false
		switch {
		case moot:
		case len(a.paths) > 0:
			c.finish(a.paths)
		case c.shown:
			// The panel came out meanwhile and stays.
		case a.declined:
			c.finish(nil)
		default:
			c.show(a.startHere)
			c.note = a.note
		}
	}
	if p, ok := c.looking.take(); ok {
		c.looking, c.places = nil, p
	}
	if r, ok := c.resolving.take(); ok {
		c.resolving = nil
		switch {
		case r.err != nil:
			c.note = r.err.Error()
		case r.file != "" && c.folder:
			c.note = "“" + r.file + "” is a file. Choose a folder."
		case r.file != "":
			c.finish([]string{r.file})
		default:
			c.read(r.dir, "", true)
		}
	}
	if r, ok := c.reading.take(); ok {
		c.reading = nil
		c.arrive(r)
	}
}

// arrive shows a folder that was read, or says why it can't be.
func (c *Chooser) arrive(r reading) {
	if r.err != nil {
		c.note = r.err.Error()
		if !r.typed && c.list.Dir != "" {
			c.setPath(c.list.Dir)
		}
		return
	}
	if r.list.Dir != c.list.Dir && !r.first {
		c.note = ""
	}
	c.list = r.list
	c.tall = c.Thumbnails != nil && slices.ContainsFunc(r.list.Entries, func(e Entry) bool { return !e.Folder && matches(pictured, e.Name) })
	c.rows = make([]gesture.Click, len(r.list.Entries))
	c.sel = newSelection(c.multiple)
	c.scroll.Position = layout.Position{}
	c.keys = typing{}
	if i := c.list.index(r.keep); i >= 0 {
		c.sel.only(i)
		c.reveal = true
	}
	c.setPath(r.list.Dir)
	if r.typed {
		c.takeFocus = true
	}
}

// setPath puts a path into the field.
func (c *Chooser) setPath(p string) {
	c.pathSet = p
	c.path.SetText(p)
}

// parent goes one folder up and puts the cursor on the one it came from.
func (c *Chooser) parent() {
	if up := filepath.Dir(c.list.Dir); c.list.Dir != "" && up != c.list.Dir {
		c.read(up, filepath.Base(c.list.Dir), false)
	}
}

// accept opens what is chosen: goes into a folder, or ends with the files.
func (c *Chooser) accept() {
	var paths []string
	for _, i := range c.sel.chosen() {
		e := c.list.Entries[i]
		p := filepath.Join(c.list.Dir, e.Name)
		if e.Folder {
			c.read(p, "", false)
			return
		}
		paths = append(paths, p)
	}
	if len(paths) > 0 {
		c.finish(paths)
	}
}

// resort reads the folder again by another order or with another filter, the cursor where it was.
func (c *Chooser) resort() {
	if c.list.Dir == "" {
		return
	}
	keep := ""
	if i := c.sel.cursor; i >= 0 {
		keep = c.list.Entries[i].Name
	}
	c.read(c.list.Dir, keep, false)
}

// folderTaken is the folder that is taken where one is asked for: the chosen one, else the one shown;
// "" while none is.
func (c *Chooser) folderTaken() string {
	for _, i := range c.sel.chosen() {
		return filepath.Join(c.list.Dir, c.list.Entries[i].Name)
	}
	return c.list.Dir
}
