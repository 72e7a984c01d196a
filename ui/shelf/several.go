package shelf

import (
	"slices"

	"gioui.org/io/key"

	"turngauge/annotations/library"
)

// choose chooses the lesson in a row as a list of files does: with Ctrl it is put to the chosen
// ones or taken out, with Shift all from the one chosen before to it are, else it alone.
func (p *panel) choose(row int, held key.Modifiers) {
	k := p.lessons[row].Key
	switch {
	case held.Contain(key.ModShift) && p.chosen() != nil:
		if p.from == 0 {
			p.from = p.lesson
		}
		from := max(slices.IndexFunc(p.lessons, func(e library.Entry) bool { return e.Key == p.from }), 0)
		clear(p.with)
		for _, e := range p.lessons[min(from, row) : max(from, row)+1] {
			p.add(e.Key)
		}
		p.lesson = k
		return
	case held.Contain(key.ModCtrl) && (k == p.lesson || p.with[k]):
		chosen := p.several()
		if len(chosen) == 1 {
			break
		}
		delete(p.with, k)
		if k == p.lesson {
			i := slices.IndexFunc(chosen, func(e library.Entry) bool { return e.Key != k })
			p.lesson = chosen[i].Key
		}
	case held.Contain(key.ModCtrl):
		p.add(p.lesson)
		p.lesson = k
	default:
		p.only(k)
	}
	p.from = p.lesson
}

// only chooses one lesson; 0 none.
func (p *panel) only(k int64) {
	clear(p.with)
	p.lesson, p.from = k, k
}

func (p *panel) add(k int64) {
	if p.with == nil {
		p.with = make(map[int64]bool)
	}
	p.with[k] = true
}

// isChosen reports whether a lesson is one of those chosen.
func (p *panel) isChosen(k int64) bool { return k == p.lesson || p.with[k] }

// several are the chosen lessons, in the order of the list.
func (p *panel) several() (out []library.Entry) {
	for _, e := range p.lessons {
		if p.isChosen(e.Key) {
			out = append(out, e)
		}
	}
	return out
}

func keysOf(lessons []library.Entry) (out []int64) {
	for _, e := range lessons {
		out = append(out, e.Key)
	}
	return out
}
