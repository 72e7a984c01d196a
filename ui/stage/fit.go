package stage

import (
	"math"

	"turngauge/ui/bench"
)

// fit keeps the golfer, or the whole picture, in a stage as long as the coach has
// not moved the picture himself: the window, the clip or what is known of the
// golfer may have changed.
func (room *Room) fit(i int) {
	v, st := &room.views[i], &room.host.Session().Show().Stages[i]
	if st.Port.Scale == 0 { // the clip is new on the stage
		v.whole = false
	} else if st.Port != v.auto {
		v.auto = bench.Viewport{}
		return
	}
	st.Port = room.fitted(i, v.whole)
	v.auto = st.Port
}

// fitted is the viewport that shows the golfer, where he is known, or the whole
// picture.
func (room *Room) fitted(i int, whole bool) bench.Viewport {
	s := room.host.Session().Show()
	st, size := &s.Stages[i], room.views[i].stageSize()
	part, ok := s.Golfer(i)
	if whole || !ok {
		return bench.Fit(st.Picture, size)
	}
	return bench.Around(part, st.Picture, size)
}

// golferOrWhole shows the golfer on both stages, or the whole pictures where that
// is shown already.
func (room *Room) golferOrWhole() {
	stages := room.host.Session().Show().Stages
	whole := true
	for i := range stages {
		whole = whole && (room.host.Session().Film(i) == nil || stages[i].Port == room.fitted(i, false))
	}
	for i := range stages {
		v := &room.views[i]
		if v.stageSize() == (bench.Size{}) || stages[i].Picture == (bench.Size{}) {
			continue
		}
		v.whole = whole
		v.auto = room.fitted(i, whole)
		room.host.Session().Show().Stages[i].Port = v.auto
	}
}

// widest is the shape, width to height, beyond which a wider picture needs no
// wider stage: a golfer and the club at their widest.
const widest = 1.2

// need is how wide a stage's picture wants to be, in parts of its height.
func (room *Room) need(i int) float32 {
	p := room.host.Session().Show().Stages[i].Picture
	if p.W <= 0 || p.H <= 0 {
		return widest
	}
	return float32(math.Min(p.W/p.H, widest))
}

// share is the part of the width that the first stage takes: as its picture needs
// beside the other's, times the odds that the coach has dragged the edge between
// them to.
func (room *Room) share() float32 {
	own := room.host.Settings().StageShare
	first, second := room.need(0)*own, room.need(1)*(1-own)
	return first / (first + second)
}

// drag keeps the odds with which share is the one given.
func (room *Room) drag(share float32) {
	first, second := share/room.need(0), (1-share)/room.need(1)
	room.host.Settings().StageShare = min(max(first/(first+second), 0.2), 0.8)
}

// lone returns the stage that has the swing's only clip: the other one would be
// empty, so it takes all the room.
func (room *Room) lone() (stage int, ok bool) {
	s := room.host.Session()
	if s.Comparing != nil {
		return 0, false
	}
	for i := range s.Bench.Stages {
		if s.Bench.Stages[i].Clip != "" && s.Bench.Stages[1-i].Clip == "" {
			return i, true
		}
	}
	return 0, false
}
