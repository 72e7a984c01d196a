package choose

import (
	"maps"
	"slices"
)

// selection is which entries of a list are chosen. Several files may be; a folder only by itself, to be
// gone into. The zero value has nothing chosen and the cursor nowhere.
type selection struct {
	multiple bool
	cursor   int // entry with the keyboard's attention, -1: none
	anchor   int // where a range began, -1: nowhere
	on       map[int]bool
}

func newSelection(multiple bool) selection {
	return selection{multiple: multiple, cursor: -1, anchor: -1, on: make(map[int]bool)}
}

// only chooses entry i and nothing else; -1 chooses nothing.
func (s *selection) only(i int) {
	clear(s.on)
	s.cursor, s.anchor = i, i
	if i >= 0 {
		s.on[i] = true
	}
}

// toggle adds file i to the chosen or takes it out. Where several can't be chosen, and for a folder, it is
// the same as only.
func (s *selection) toggle(i int, list []Entry) {
	if !s.multiple || list[i].Folder {
		s.only(i)
		return
	}
	s.dropFolders(list)
	if s.on[i] {
		delete(s.on, i)
	} else {
		s.on[i] = true
	}
	s.cursor, s.anchor = i, i
}

// extend chooses the files from where the range began to entry i.
func (s *selection) extend(i int, list []Entry) {
	if !s.multiple || s.anchor < 0 {
		s.only(i)
		return
	}
	clear(s.on)
	for k := min(s.anchor, i); k <= max(s.anchor, i); k++ {
		if !list[k].Folder {
			s.on[k] = true
		}
	}
	s.cursor = i
}

// all chooses every file.
func (s *selection) all(list []Entry) {
	if !s.multiple {
		return
	}
	clear(s.on)
	for i, e := range list {
		if !e.Folder {
			s.on[i] = true
		}
	}
}

func (s *selection) dropFolders(list []Entry) {
	maps.DeleteFunc(s.on, func(i int, _ bool) bool { return list[i].Folder })
}

// chosen returns the chosen entries in the order of the list.
func (s *selection) chosen() []int {
	return slices.Sorted(maps.Keys(s.on))
}

// step returns where the cursor comes to by a number of lines; the first step of a fresh list goes to its
// first entry.
func (s *selection) step(by, n int) int {
	if s.cursor < 0 {
		if by < 0 {
			return n - 1
		}
		return min(by-1, n-1)
	}
	return min(max(s.cursor+by, 0), n-1)
}
