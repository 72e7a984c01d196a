package annotations

// Edit is one change to a lesson, as a value. The edits of this package are
// all there are.
type Edit interface {
	// Label says what the edit does, for an undo menu: "place lead hip".
	Label() string
	// apply returns a lesson with the change made, sharing with l what did
	// not change, or l itself where there is nothing to change. The error is
	// a sentence for the coach.
	apply(l *Lesson) (*Lesson, error)
}

// merger is an Edit that can be one step of undo with the edits before it.
type merger interface {
	// mergeKey is the same for edits of one gesture on one thing; nil never
	// merges. It must be comparable.
	mergeKey() any
}

// undoLimit is the number of steps kept. A step holds only what it changed:
// for a mark about 30 kB in a swing with everything marked.
const undoLimit = 1000

// Editor owns a lesson and changes it by edits that can be undone. It is for
// one goroutine; the lessons it hands out may go to any.
type Editor struct {
	now      *Lesson
	revision uint64
	undo     []step
	redo     []step
	groups   []group
	mergeKey any // of the edit on top of undo; nil where nothing may merge into it
}

type step struct {
	label         string
	before, after *Lesson
}

type group struct {
	label  string
	before *Lesson
	redo   []step // as it was, for Cancel
}

// NewEditor returns an editor of l, which must be valid and must not be
// changed by the caller any more.
func NewEditor(l *Lesson) *Editor { return &Editor{now: l} }

// Lesson returns the lesson as it stands. It is constant: an edit makes
// another one. Nothing in it may be changed.
func (e *Editor) Lesson() *Lesson { return e.now }

// Revision returns a number that grows with every change, undo and redo
// included.
func (e *Editor) Revision() uint64 { return e.revision }

// Apply makes an edit. On error, a sentence for the coach or Faults, nothing
// has changed. An edit that changes nothing is no step of undo.
func (e *Editor) Apply(edit Edit) error {
	next, err := edit.apply(e.now)
	if err != nil || next == e.now {
		return err
	}
	if err := next.Validate(); err != nil {
		return err
	}
	var key any
	if m, ok := edit.(merger); ok {
		key = m.mergeKey()
	}
	if len(e.groups) == 0 {
		if n := len(e.undo); n > 0 && key != nil && key == e.mergeKey {
			e.undo[n-1].after = next
		} else {
			e.push(step{edit.Label(), e.now, next})
		}
		e.mergeKey = key
	}
	e.redo = nil
	e.set(next)
	return nil
}

func (e *Editor) set(l *Lesson) {
	e.now = l
	e.revision++
}

func (e *Editor) push(s step) {
	if len(e.undo) == undoLimit {
		e.undo = append(e.undo[:0], e.undo[1:]...)
	}
	e.undo = append(e.undo, s)
}

// Begin starts a group: the edits up to the matching End are one step of undo
// named label. Groups may be nested; the outermost names the step.
func (e *Editor) Begin(label string) {
	e.groups = append(e.groups, group{label, e.now, e.redo})
}

// End ends the group started last. Without one it does nothing.
func (e *Editor) End() {
	n := len(e.groups)
	if n == 0 {
		return
	}
	g := e.groups[n-1]
	e.groups = e.groups[:n-1]
	if n == 1 && g.before != e.now {
		e.push(step{g.label, g.before, e.now})
		e.mergeKey = nil
	}
}

// Cancel ends the group started last and takes its edits back.
func (e *Editor) Cancel() {
	n := len(e.groups)
	if n == 0 {
		return
	}
	if g := e.groups[n-1]; g.before != e.now {
		e.redo = g.redo
		e.set(g.before.learned(e.now))
	}
	e.groups = e.groups[:n-1]
}

// Undo takes the last step back and returns its label. Open groups are ended
// first. ok is false where there is nothing to undo.
func (e *Editor) Undo() (label string, ok bool) {
	e.settle()
	n := len(e.undo)
	if n == 0 {
		return "", false
	}
	s := e.undo[n-1]
	e.undo = e.undo[:n-1]
	e.redo = append(e.redo, s)
	e.set(s.before.learned(e.now))
	return s.label, true
}

// Redo makes the step undone last again and returns its label. Open groups
// are ended first.
func (e *Editor) Redo() (label string, ok bool) {
	e.settle()
	n := len(e.redo)
	if n == 0 {
		return "", false
	}
	s := e.redo[n-1]
	e.redo = e.redo[:n-1]
	e.undo = append(e.undo, s)
	e.set(s.after.learned(e.now))
	return s.label, true
}

func (e *Editor) settle() {
	for len(e.groups) > 0 {
		e.End()
	}
	e.mergeKey = nil
}

// CanUndo returns the label of the step that Undo would take back.
func (e *Editor) CanUndo() (label string, ok bool) {
	if n := len(e.groups); n > 0 && e.groups[0].before != e.now {
		return e.groups[0].label, true
	}
	if n := len(e.undo); n > 0 {
		return e.undo[n-1].label, true
	}
	return "", false
}

// CanRedo returns the label of the step that Redo would make again.
func (e *Editor) CanRedo() (label string, ok bool) {
	if n := len(e.redo); n > 0 {
		return e.redo[n-1].label, true
	}
	return "", false
}
