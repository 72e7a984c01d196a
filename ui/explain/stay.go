package explain

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/ui/bench"
)

// Stroke returns the stroke of what is drawn next, or of the drawing in hand.
func (b *Board) Stroke() annotations.Stroke {
	if d, _, ok := b.Held(); ok {
		return d.Stroke
	}
	return b.stroke
}

// NextStroke takes the next stroke, for the drawing in hand as well.
func (b *Board) NextStroke() bench.Note {
	b.stroke = (b.Stroke() + 1) % (annotations.DottedStroke + 1)
	return b.change(func(d *annotations.Drawing) { d.Stroke = b.stroke })
}

// change changes the drawing in hand, as a step of undo of its own; nothing where there is
// none.
func (b *Board) change(do func(*annotations.Drawing)) bench.Note {
	if b.noting {
		do(&b.note)
		return ""
	}
	d, _, ok := b.Held()
	if !ok {
		return ""
	}
	to := *d
	do(&to)
	b.end()
	return b.set(to, true, styling)
}

// NextStay has the drawing in hand stay longer: on its frame, as far as the next key
// position, over the whole clip.
func (b *Board) NextStay() bench.Note {
	d, _, ok := b.Held()
	if !ok {
		return "Click a drawing first; then this has it stay over other frames."
	}
	stretch := b.toNext(d)
	var to annotations.Stay
	switch {
	case !d.Stay.Whole && !d.Stay.Stretch() && stretch.Stretch():
		to = stretch
	case !d.Stay.Whole:
		to.Whole = true
	}
	return b.stay(d, to)
}

// stay sets how long a drawing stays, and says it.
func (b *Board) stay(d *annotations.Drawing, to annotations.Stay) bench.Note {
	if b.noting { // it is not written down yet
		b.note.Stay = to
	} else {
		b.end()
		next := *d
		next.Stay = to
		if note := b.set(next, true, styling); note != "" {
			return note
		}
	}
	return bench.Note("The " + d.Kind.String() + " stays " + StayWords(to) + ".")
}

// StayWords says how long a drawing stays.
func StayWords(s annotations.Stay) string {
	switch {
	case s.Whole:
		return "over the whole clip"
	case s.Stretch():
		return fmt.Sprintf("from frame %d to %d", s.From+1, s.To+1)
	}
	return "on its frame"
}

// toNext is from a drawing's frame to the next key position of its clip, or to the clip's
// end.
func (b *Board) toNext(d *annotations.Drawing) annotations.Stay {
	s := annotations.Stay{From: d.Frame.Index}
	st, ok := b.stageOf(d.Frame.Clip)
	if !ok {
		return annotations.Stay{}
	}
	s.To = b.show().Stages[st].Frames() - 1
	for _, t := range b.show().Ticks(st) {
		if !t.Proposed && t.Frame > s.From {
			s.To = t.Frame
			break
		}
	}
	if !s.Stretch() {
		return annotations.Stay{}
	}
	return s
}

// StayToHere has the drawing in hand, or the one that was last, stay from its frame to the
// one shown, which may lie before it.
func (b *Board) StayToHere() bench.Note {
	id := b.held
	if id == "" {
		id = b.last
	}
	d := b.bench.Swing().Drawing(id)
	if d == nil {
		return "Draw something or click a drawing first; then go on to the frame to which it is to stay."
	}
	st, ok := b.stageOf(d.Frame.Clip)
	if !ok {
		return "The clip that it is drawn on is not on a stage."
	}
	here := b.show().Stages[st].Frame
	if here == d.Frame.Index {
		return "That is its own frame: go on to the one to which it is to stay."
	}
	note := b.stay(d, annotations.Stay{From: min(here, d.Frame.Index), To: max(here, d.Frame.Index)})
	b.held, b.handle = d.ID, Whole
	return note
}
