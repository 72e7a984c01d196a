package choose

import (
	"strings"
	"time"
	"unicode"

	"gioui.org/gesture"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/widget"
)

// typing is the beginning of a name the coach types in the list.
type typing struct {
	text string
	at   time.Time
}

// typingPause ends a beginning: what comes later starts a new one.
const typingPause = time.Second

// add takes typed characters and returns the beginning so far.
func (t *typing) add(text string, now time.Time) string {
	if now.Sub(t.at) > typingPause {
		t.text = ""
	}
	t.text += text
	t.at = now
	return t.text
}

// listTag is where the keys of the list go.
func (c *Chooser) listTag() *layout.List { return &c.scroll }

// controls takes up keys, clicks and text.
func (c *Chooser) controls(gtx layout.Context) {
	c.listKeys(gtx)
	c.escape(gtx)
	c.pathField(gtx)
	c.clicks(gtx)
	if c.takeFocus {
		c.takeFocus = false
		gtx.Execute(key.FocusCmd{Tag: c.listTag()})
	}
}

// escape cancels, whatever has the keyboard.
func (c *Chooser) escape(gtx layout.Context) {
	for {
		e, ok := gtx.Event(key.Filter{Name: key.NameEscape})
		if !ok {
			return
		}
		if k, isKey := e.(key.Event); isKey && k.State == key.Press {
			c.finish(nil)
		}
	}
}

// pathField takes a path that was typed or pasted. The down arrow leads from it to the list.
func (c *Chooser) pathField(gtx layout.Context) {
	for {
		e, ok := gtx.Event(key.Filter{Focus: &c.path.Editor, Name: key.NameDownArrow})
		if !ok {
			break
		}
		if k, isKey := e.(key.Event); isKey && k.State == key.Press {
			c.takeFocus = true
		}
	}
	for {
		e, ok := c.path.Update(gtx)
		if !ok {
			return
		}
		switch e := e.(type) {
		case widget.ChangeEvent:
			if c.path.Text() != c.pathSet {
				c.note, c.pathSet = "", "" // being put right
			}
		case widget.SubmitEvent:
			text, from, home := e.Text, c.list.Dir, c.home
			c.resolving = start(c.wake, func() resolved {
				t, err := resolve(text, from, home)
				return resolved{t, err}
			})
		}
	}
}

// clicks takes up the buttons and the rows.
func (c *Chooser) clicks(gtx layout.Context) {
	if c.quit.Clicked(gtx) {
		c.finish(nil)
	}
	switch dir := c.folderTaken(); {
	case !c.open.Clicked(gtx):
	case !c.folder:
		c.accept()
	case dir != "":
		c.finish([]string{dir})
	}
	if c.up.Clicked(gtx) {
		c.parent()
	}
	for i := range c.orders {
		if c.orders[i].Clicked(gtx) && c.order != Order(i) {
			c.order = Order(i)
			c.resort()
		}
	}
	if i, ok := c.filter.Update(gtx); ok && c.everyKind != (i == 1) {
		c.everyKind = i == 1
		c.resort()
	}
	for i := range c.goTo {
		if c.goTo[i].Clicked(gtx) {
			if dir, ok := c.destination(i); ok {
				c.read(dir, "", false)
			}
		}
	}
	first := c.scroll.Position.First
	for i := first; i < min(first+c.scroll.Position.Count, len(c.rows)); i++ {
		for {
			e, ok := c.rows[i].Update(gtx.Source)
			if !ok {
				break
			}
			c.clicked(i, e)
		}
	}
}

// clicked takes one step of a click on entry i.
func (c *Chooser) clicked(i int, e gesture.ClickEvent) {
	switch {
	case e.Kind == gesture.KindPress:
		c.takeFocus = true
		switch {
		case e.Modifiers.Contain(key.ModShortcut):
			c.sel.toggle(i, c.list.Entries)
		case e.Modifiers.Contain(key.ModShift):
			c.sel.extend(i, c.list.Entries)
		default:
			c.sel.only(i)
		}
	case e.Kind == gesture.KindClick && e.NumClicks == 2 && e.Modifiers == 0:
		c.accept()
	}
}

// destination returns the folder of the place, or recent folder, with that index.
func (c *Chooser) destination(i int) (string, bool) {
	if i < len(c.places) {
		return c.places[i].Dir, true
	}
	if i -= len(c.places); i < len(c.Recent) {
		return c.Recent[i], true
	}
	return "", false
}

// listKeys takes up the keys of the list while it has the keyboard.
func (c *Chooser) listKeys(gtx layout.Context) {
	tag := c.listTag()
	move := key.ModShift | key.ModShortcut
	for {
		e, ok := gtx.Event(
			key.FocusFilter{Target: tag},
			key.Filter{Focus: tag, Required: key.ModAlt, Name: key.NameUpArrow},
			key.Filter{Focus: tag, Optional: move, Name: key.NameUpArrow},
			key.Filter{Focus: tag, Optional: move, Name: key.NameDownArrow},
			key.Filter{Focus: tag, Optional: move, Name: key.NamePageUp},
			key.Filter{Focus: tag, Optional: move, Name: key.NamePageDown},
			key.Filter{Focus: tag, Optional: move, Name: key.NameHome},
			key.Filter{Focus: tag, Optional: move, Name: key.NameEnd},
			key.Filter{Focus: tag, Optional: key.ModShortcut, Name: key.NameReturn},
			key.Filter{Focus: tag, Optional: key.ModShortcut, Name: key.NameEnter},
			key.Filter{Focus: tag, Name: key.NameDeleteBackward},
			key.Filter{Focus: tag, Required: key.ModShortcut, Name: key.NameSpace},
			key.Filter{Focus: tag, Required: key.ModShortcut, Name: "A"},
		)
		if !ok {
			return
		}
		switch e := e.(type) {
		case key.EditEvent:
			if strings.HasPrefix(e.Text, "/") { // no name begins so: a path is being written
				c.path.SetText("")
				c.path.Insert(e.Text)
				gtx.Execute(key.FocusCmd{Tag: &c.path.Editor})
				continue
			}
			c.jump(e.Text, gtx.Now)
		case key.Event:
			if e.State == key.Press {
				c.pressed(e)
			}
		}
	}
}

// jump moves to the entry whose name begins with what is typed.
func (c *Chooser) jump(text string, now time.Time) {
	if text == "" || strings.ContainsFunc(text, unicode.IsControl) {
		return
	}
	if i := c.list.jump(c.keys.add(text, now), c.sel.cursor); i >= 0 {
		c.sel.only(i)
		c.reveal = true
	}
}

// pressed takes one key of the list.
func (c *Chooser) pressed(e key.Event) {
	switch e.Name {
	case key.NameReturn, key.NameEnter:
		if dir := c.folderTaken(); c.folder && dir != "" && e.Modifiers.Contain(key.ModShortcut) {
			c.finish([]string{dir})
			return
		}
		c.accept()
		return
	case key.NameDeleteBackward:
		c.parent()
		return
	case "A":
		c.sel.all(c.list.Entries)
		return
	case key.NameSpace:
		if i := c.sel.cursor; i >= 0 {
			c.sel.toggle(i, c.list.Entries)
		}
		return
	}
	if e.Modifiers.Contain(key.ModAlt) {
		c.parent()
		return
	}
	n := len(c.list.Entries)
	if n == 0 {
		return
	}
	to := 0
	page := max(c.viewRows-1, 1)
	switch e.Name {
	case key.NameUpArrow:
		to = c.sel.step(-1, n)
	case key.NameDownArrow:
		to = c.sel.step(+1, n)
	case key.NamePageUp:
		to = c.sel.step(-page, n)
	case key.NamePageDown:
		to = c.sel.step(+page, n)
	case key.NameHome:
		to = 0
	case key.NameEnd:
		to = n - 1
	}
	switch {
	case e.Modifiers.Contain(key.ModShift):
		c.sel.extend(to, c.list.Entries)
	case e.Modifiers.Contain(key.ModShortcut) && c.multiple:
		c.sel.cursor = to // the chosen stay; the shortcut with Space adds this one
	default:
		c.sel.only(to)
	}
	c.reveal = true
}
