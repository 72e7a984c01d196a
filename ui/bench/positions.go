package bench

import (
	"fmt"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// SetPosition makes the frame on the active stage a key position, and the
// frame on the other stage too if the clips are locked together.
func (b *Bench) SetPosition(name geometry.PositionName) Note {
	if b.Stages[b.Active].Film == nil {
		return "Open a clip first: drop it on the window or press Ctrl+O."
	}
	stages := []int{b.Active}
	if _, ok := b.Lock(); ok && b.lock == LockByTime {
		stages = append(stages, 1-b.Active)
	}
	return b.setPositions(name, stages)
}

// setPositions makes the frames that some stages show a key position.
func (b *Bench) setPositions(name geometry.PositionName, stages []int) Note {
	moved := 0
	b.editor.Begin("set " + string(name))
	for _, i := range stages {
		st := &b.Stages[i]
		if old, ok := b.Swing().FrameOf(st.Clip, name); ok && old.Index != st.Frame {
			moved += len(b.Swing().MarksAt(st.Clip, name))
		}
		if note := b.setPosition(i, name, st.Frame, false); note != "" {
			b.editor.Cancel()
			return note
		}
	}
	b.editor.End()
	b.Position = name
	b.Refresh()
	b.disarm()
	b.ArmNext()
	if moved > 0 {
		note := Note(fmt.Sprintf("%s moved to another frame; its %s are only proposed now.", Title(name), words.Count(moved, "mark", "marks")))
		if wrong := b.misplaced(name); wrong != "" {
			return note + wrong
		}
		return note + " Ctrl+Z takes the move back."
	}
	return Note(Title(name)+" is set.") + b.misplaced(name)
}

// misplaced says where a key position stands on the wrong side of another one,
// as a sentence after others, or is empty.
func (b *Bench) misplaced(name geometry.PositionName) Note {
	own := slices.Index(geometry.KeyPositions, name)
	for i := range b.Stages {
		st := &b.Stages[i]
		at, ok := b.Swing().FrameOf(st.Clip, name)
		if !ok {
			continue
		}
		for k, other := range geometry.KeyPositions {
			o, ok := b.Swing().FrameOf(st.Clip, other)
			side := ""
			switch {
			case ok && k < own && o.Index >= at.Index:
				side = "after"
			case ok && k > own && o.Index <= at.Index:
				side = "before"
			default:
				continue
			}
			return Note(fmt.Sprintf(" But in the %s clip it is not %s %s: Ctrl+Z takes it back.", st.View, side, InText(other)))
		}
	}
	return ""
}

// InText returns a key position's name as it stands in a sentence.
func InText(name geometry.PositionName) string {
	if name == geometry.Top || name == geometry.Finish {
		return "the " + string(name)
	}
	return string(name)
}

// GoToPosition shows a key position on every stage where it is set or
// proposed.
func (b *Bench) GoToPosition(name geometry.PositionName) Note {
	if !b.Show.GoToPosition(name) {
		return Note(fmt.Sprintf("%s is not set yet: find its frame, then press its number.", Title(name)))
	}
	b.disarm()
	b.ArmNext()
	if b.ProposedAt(name) {
		return Note(fmt.Sprintf("%s is proposed here. Enter takes it; else find its frame and press its number.", Title(name)))
	}
	return ""
}

// ClearPosition takes a key position, and its marks, off both clips.
func (b *Bench) ClearPosition(name geometry.PositionName) Note {
	if b.Swing().Position(name) == nil {
		return Note(Title(name) + " is not set.")
	}
	b.editor.Begin("clear " + string(name))
	for i := range b.Stages {
		if b.Stages[i].Clip == "" {
			continue
		}
		if err := b.editor.Apply(annotations.ClearPosition{
			Swing: b.swing, Clip: b.Stages[i].Clip, Position: name,
		}); err != nil {
			b.editor.Cancel()
			return Note(err.Error())
		}
	}
	b.editor.End()
	b.Refresh()
	b.disarm()
	return Note(Title(name) + " is no longer set. Ctrl+Z brings it back with its marks.")
}

// titles are the headings that are shown in every frame.
var titles = func() map[string]string {
	m := map[string]string{}
	for _, p := range geometry.KeyPositions {
		m[string(p)] = words.Sentence(string(p))
	}
	for _, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		m[v.String()] = words.Sentence(v.String())
	}
	for p := range geometry.Point(geometry.NumPoints) {
		m[p.String()] = words.Sentence(p.String())
	}
	return m
}()

// Title returns a name as a heading: with its first letter in upper case.
func Title[S ~string](name S) string {
	if t, ok := titles[string(name)]; ok {
		return t
	}
	return words.Sentence(string(name))
}
