package bench

import (
	"fmt"
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Proposal is a frame that sound or motion suggests as a key position.
type Proposal struct {
	Name   geometry.PositionName
	Frame  int
	Unsure bool
}

// sameInstantS is how far apart the proposals of two clips of one swing may
// lie, seconds, and still be taken for two readings of one moment.
const sameInstantS = 0.04

// HearStrike tells a stage when the strike was heard in its clip, and proposes
// its frame as impact. An unsure one is shown, but nothing is built on it.
func (b *Bench) HearStrike(stage int, seconds float64, unsure bool) {
	st := &b.Stages[stage]
	if st.Film == nil {
		return
	}
	st.Strike, st.StrikeHeard, st.StrikeUnsure = seconds, true, unsure
	st.propose(Proposal{geometry.Impact, st.Film.FrameAt(seconds), unsure})
	b.followLock(b.Active)
}

// Propose tells a stage which frames motion suggests as key positions. Where
// the clips are of one swing, two readings of one moment become one.
func (b *Bench) Propose(stage int, proposals []Proposal) {
	for _, p := range proposals {
		b.Stages[stage].propose(p)
	}
	if b.lock != LockByTime {
		return
	}
	x, y := &b.Stages[0], &b.Stages[1]
	strike0, _, ok0 := b.impact(0)
	strike1, _, ok1 := b.impact(1)
	if !ok0 || !ok1 {
		return
	}
	for i := range x.proposed {
		p := &x.proposed[i]
		j := slices.IndexFunc(y.proposed, func(q Proposal) bool { return q.Name == p.Name })
		if j < 0 || p.Name == geometry.Impact {
			continue
		}
		q := &y.proposed[j]
		t, u := x.Film.Seconds(p.Frame)-strike0, y.Film.Seconds(q.Frame)-strike1
		if math.Abs(t-u) > sameInstantS {
			p.Unsure, q.Unsure = true, true
			continue
		}
		mean := (t + u) / 2
		p.Frame, q.Frame = x.Film.FrameAt(strike0+mean), y.Film.FrameAt(strike1+mean)
	}
}

// Borrow proposes on a stage what is set or proposed on the other one of the same
// swing, at the same moments, where the stage has no proposal of its own: its clip may
// have too few frames a second to tell the top by. It reports whether anything was.
func (b *Bench) Borrow(stage int) bool {
	strike, _, ok := b.impact(stage)
	other, _, okOther := b.impact(1 - stage)
	if b.lock != LockByTime || !ok || !okOther || b.Stages[0].Film == nil || b.Stages[1].Film == nil {
		return false
	}
	st, from := &b.Stages[stage], b.Stages[1-stage].Film
	borrowed := false
	for _, t := range b.Ticks(1 - stage) {
		if _, has := b.TickOf(stage, t.Name); has {
			continue
		}
		seconds := strike + from.Seconds(t.Frame) - other
		if first, last := st.Ends(); seconds < st.Film.Seconds(first) || seconds > st.Film.Seconds(last) {
			continue
		}
		st.propose(Proposal{t.Name, st.Film.FrameAt(seconds), true})
		borrowed = true
	}
	return borrowed
}

// ProposeSeen tells a stage which frames the pictures themselves show as key positions, in
// place of those that motion suggests. Where the clips are of one swing they are proposed
// on the other stage at the same moments. What is set stays.
func (b *Bench) ProposeSeen(stage int, proposals []Proposal) {
	st, other := &b.Stages[stage], 1-stage
	strike, _, ok := b.impact(stage)
	otherStrike, _, okOther := b.impact(other)
	for _, p := range proposals {
		if t, has := b.TickOf(stage, p.Name); has && !t.Proposed {
			continue
		}
		st.propose(p)
		if t, has := b.TickOf(other, p.Name); b.lock != LockByTime || !ok || !okOther || has && !t.Proposed {
			continue
		}
		film := b.Stages[other].Film
		first, last := b.Stages[other].Ends()
		if at := otherStrike + st.Film.Seconds(p.Frame) - strike; film != nil && at >= film.Seconds(first) && at <= film.Seconds(last) {
			b.Stages[other].propose(Proposal{p.Name, film.FrameAt(at), p.Unsure})
		}
	}
	b.Borrow(other)
}

func (s *Stage) propose(p Proposal) {
	if i := slices.IndexFunc(s.proposed, func(q Proposal) bool { return q.Name == p.Name }); i >= 0 {
		s.proposed[i] = p
		return
	}
	s.proposed = append(s.proposed, p)
}

// Proposals returns how many key positions are proposed and not taken yet.
func (b *Bench) Proposals() int {
	n := 0
	for _, name := range geometry.KeyPositions {
		if b.ProposedAt(name) {
			n++
		}
	}
	return n
}

// ProposedAt reports whether a key position is proposed on a stage and not set
// there.
func (b *Bench) ProposedAt(name geometry.PositionName) bool {
	for i := range b.Stages {
		if t, ok := b.TickOf(i, name); ok && t.Proposed {
			return true
		}
	}
	return false
}

// AcceptPositions sets every key position that is proposed.
func (b *Bench) AcceptPositions() Note {
	n := b.Proposals()
	if n == 0 {
		return "No key position is proposed now."
	}
	if note := b.take(func(Tick) bool { return true }); note != "" {
		return note
	}
	return Note(fmt.Sprintf("%s set. Look at each with Page Up and Page Down; dragging its number on the time rail moves it.", words.Count(n, "key position", "key positions")))
}

// acceptPosition sets the proposed key position that the active stage shows,
// on both stages, and reports whether there was one.
func (b *Bench) acceptPosition() (Note, bool) {
	for _, t := range b.Ticks(b.Active) {
		if t.Proposed && t.Frame == b.Stages[b.Active].Frame {
			if note := b.take(func(u Tick) bool { return u.Name == t.Name }); note != "" {
				return note, true
			}
			b.Position = t.Name
			b.ArmNext()
			return Note(Title(t.Name) + " is set."), true
		}
	}
	return "", false
}

// take sets the proposed key positions that which chooses, as one step.
func (b *Bench) take(which func(Tick) bool) Note {
	b.editor.Begin("take proposed key positions")
	for i := range b.Stages {
		for _, t := range b.Ticks(i) {
			if !t.Proposed || !which(t) {
				continue
			}
			if note := b.setPosition(i, t.Name, t.Frame, true); note != "" {
				b.editor.Cancel()
				return note
			}
		}
	}
	b.editor.End()
	b.Refresh()
	return ""
}

// setPosition makes a frame of a stage a key position, one that was proposed or one
// that the coach sets himself.
func (b *Bench) setPosition(stage int, name geometry.PositionName, frame int, proposed bool) Note {
	st := &b.Stages[stage]
	err := b.editor.Apply(annotations.SetPosition{
		Swing: b.swing, Clip: st.Clip, Position: name, Index: frame, PTS: st.Film.PTS(frame), Proposed: proposed,
	})
	if err != nil {
		return Note(err.Error())
	}
	return ""
}

// tickDrag is a key position's tick being dragged along its clip.
type tickDrag struct {
	on    bool
	stage int
	name  geometry.PositionName
	frame int
}

// DragTick moves the tick of a key position of one clip in the hand; nothing
// is changed until DropTick.
func (b *Bench) DragTick(stage int, name geometry.PositionName, frame int) {
	if b.Stages[stage].Film == nil {
		return
	}
	b.tickDrag = tickDrag{true, stage, name, b.Stages[stage].clamp(frame)}
	b.Stages[stage].Frame = b.tickDrag.frame
	b.Position = name
	b.letGoOfFrame()
}

// DropTick sets the key position where the hand let it go, in that clip only.
func (b *Bench) DropTick() Note {
	d := b.tickDrag
	b.tickDrag = tickDrag{}
	if !d.on || b.Stages[d.stage].Film == nil {
		return ""
	}
	return b.setPositions(d.name, []int{d.stage})
}

// CancelTick leaves a dragged key position where it was.
func (b *Bench) CancelTick() { b.tickDrag = tickDrag{} }
