package moving

import (
	"errors"
	"io/fs"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/saver"
)

// put writes a swing into the lesson document at a path under the ID as; "" is for the
// swing's own or, where another swing of that lesson has it, a fresh one. It returns the ID
// that it has there. One that has the ID as is there already. base
// is the lesson where there is no document yet, nil where there must be one. The swing's
// clips are named as seen from the folder of the lesson it comes from. It also returns
// the lesson as it was written. A document that is open in a window is left alone.
func put(path string, base *annotations.Lesson, sw annotations.Swing, folder, as string) (l *annotations.Lesson, id string, err error) {
	l, err = changed(path, base, func(l *annotations.Lesson) (annotations.Edit, bool) {
		switch {
		case as != "":
			sw.ID = as
			if l.Swing(as) != nil {
				return nil, false
			}
		case l.Swing(sw.ID) != nil:
			sw.ID = annotations.NewID()
		}
		clips := make([]annotations.Clip, len(sw.Clips))
		for i, c := range sw.Clips {
			c.File = c.PathIn(folder)
			if filepath.Dir(c.File) == filepath.Dir(path) {
				c.File = filepath.Base(c.File)
			}
			clips[i] = c
		}
		sw.Clips = clips
		return annotations.AddSwing{Swing: sw}, true
	})
	return l, sw.ID, err
}

// takeOut takes a swing out of a lesson document again.
func takeOut(path, swing string) (*annotations.Lesson, error) {
	return changed(path, nil, func(l *annotations.Lesson) (annotations.Edit, bool) {
		return annotations.RemoveSwing{Swing: swing}, l.Swing(swing) != nil
	})
}

// changed changes a document that nobody has open.
func changed(path string, base *annotations.Lesson, edit func(*annotations.Lesson) (annotations.Edit, bool)) (*annotations.Lesson, error) {
	if err := place.Folder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	s, err := saver.Open(path, nil)
	if err != nil {
		return nil, err
	}
	defer func() { _ = s.Close() }()
	l, _, err := annotations.Load(path)
	if errors.Is(err, fs.ErrNotExist) && base != nil {
		l, err = base, nil
	}
	if err != nil {
		return nil, err
	}
	e, ok := edit(l)
	if !ok {
		return l, nil
	}
	editor := annotations.NewEditor(l)
	if err := editor.Apply(e); err != nil {
		return nil, err
	}
	return editor.Lesson(), annotations.Save(path, editor.Lesson())
}
