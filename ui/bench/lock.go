package bench

import (
	"slices"

	"turngauge/geometry"
)

// LockMode is how the two stages move together.
type LockMode uint8

// Lock modes.
const (
	// Unlocked stages move on their own.
	Unlocked LockMode = iota
	// LockByTime keeps one moment on both: the clips are of one swing.
	LockByTime
	// LockByPositions keeps key position beside key position: the clips are of
	// two swings, which are not equally fast.
	LockByPositions
)

// Lock says how the two clips are locked together: which moments of them
// belong together. Between two such moments time runs evenly, before the
// first and after the last one both clips run at their own true speed.
type Lock struct {
	// Knots are moments on the clocks of the first and the second stage,
	// seconds, ascending in both.
	Knots [][NumStages]float64
	// By says in words what the lock rests on.
	By string
}

// Map returns the moment on the other stage's clock that belongs to a moment
// on a stage's clock, seconds.
func (l Lock) Map(stage int, seconds float64) float64 {
	k := l.Knots
	i, found := slices.BinarySearchFunc(k, seconds, func(k [NumStages]float64, t float64) int {
		switch {
		case k[stage] < t:
			return -1
		case k[stage] > t:
			return 1
		}
		return 0
	})
	other := 1 - stage
	switch {
	case found:
		return k[i][other]
	case i == 0:
		return k[0][other] + seconds - k[0][stage]
	case i == len(k):
		return k[i-1][other] + seconds - k[i-1][stage]
	}
	part := (seconds - k[i-1][stage]) / (k[i][stage] - k[i-1][stage])
	return k[i-1][other] + part*(k[i][other]-k[i-1][other])
}

// LockMode returns how the stages are to move together.
func (s *Show) LockMode() LockMode { return s.lock }

// Lock returns how the clips are locked, if they are to be and there is
// something to lock them by. By time that is both clips' impact, as it was set
// or heard, else the first key position set in both; by key positions it is
// every one that is set in both.
func (s *Show) Lock() (Lock, bool) {
	if s.Stages[0].Film == nil || s.Stages[1].Film == nil {
		return Lock{}, false
	}
	switch s.lock {
	case LockByTime:
		return s.timeLock()
	case LockByPositions:
		return s.positionLock()
	}
	return Lock{}, false
}

func (s *Show) timeLock() (Lock, bool) {
	x, xHeard, ok1 := s.impact(0)
	y, yHeard, ok2 := s.impact(1)
	if ok1 && ok2 {
		by := string(geometry.Impact)
		if xHeard || yHeard {
			by = "the sound of the strike"
		}
		return Lock{Knots: [][NumStages]float64{{x, y}}, By: by}, true
	}
	if sw := s.swingOn(0); sw != nil {
		for i := range sw.Positions {
			if k, ok := s.knot(sw.Positions[i].Name); ok {
				return Lock{Knots: [][NumStages]float64{k}, By: string(sw.Positions[i].Name)}, true
			}
		}
	}
	return Lock{}, false
}

// impact returns when the strike is on a stage's clock: where the coach set
// impact, else where it was heard for sure.
func (s *Show) impact(stage int) (seconds float64, heard, ok bool) {
	st := &s.Stages[stage]
	if f, ok := s.frameOf(stage, geometry.Impact); ok {
		return st.Film.Seconds(f), false, true
	}
	return st.Strike, true, st.StrikeHeard && !st.StrikeUnsure
}

// Impact returns when the strike is on a stage's clock, seconds, where it was
// set or heard for sure.
func (s *Show) Impact(stage int) (seconds float64, ok bool) {
	if s.Stages[stage].Film == nil {
		return 0, false
	}
	seconds, _, ok = s.impact(stage)
	return seconds, ok
}

// knot returns the moments of a key position that is set on both stages.
func (s *Show) knot(name geometry.PositionName) (k [NumStages]float64, ok bool) {
	for i := range s.Stages {
		f, ok := s.frameOf(i, name)
		if !ok {
			return k, false
		}
		k[i] = s.Stages[i].Film.Seconds(f)
	}
	return k, true
}

func (s *Show) positionLock() (Lock, bool) {
	sw := s.swingOn(0)
	if sw == nil {
		return Lock{}, false
	}
	l := Lock{By: "key positions"}
	for i := range sw.Positions {
		if k, ok := s.knot(sw.Positions[i].Name); ok {
			l.Knots = append(l.Knots, k)
		}
	}
	slices.SortFunc(l.Knots, func(a, b [NumStages]float64) int {
		if a[0] < b[0] || a[0] == b[0] && a[1] < b[1] {
			return -1
		}
		return 1
	})
	// Positions in another order on one stage can't all be kept together.
	kept := l.Knots[:0]
	for _, k := range l.Knots {
		if n := len(kept); n == 0 || k[0] > kept[n-1][0] && k[1] > kept[n-1][1] {
			kept = append(kept, k)
		}
	}
	l.Knots = kept
	return l, len(kept) > 0
}

// SetLock changes how the stages move together.
func (s *Show) SetLock(m LockMode) Note {
	s.lock = m
	if m == Unlocked {
		return "The clips move on their own now."
	}
	l, ok := s.Lock()
	if !ok {
		return "Nothing to lock the clips by yet: set impact in both clips."
	}
	s.followLock(s.Active)
	if m == LockByPositions {
		return "Two swings: the clips are locked by the key positions set in both."
	}
	return Note("One swing: the clips are locked by " + l.By + ".")
}

// NextLock goes from one lock mode to the next, round and round.
func (s *Show) NextLock() Note { return s.SetLock((s.lock + 1) % (LockByPositions + 1)) }

// followLock shows on the other stage what belongs to what a stage shows.
func (s *Show) followLock(stage int) {
	l, ok := s.Lock()
	if !ok {
		return
	}
	this, other := &s.Stages[stage], &s.Stages[1-stage]
	// A frame chosen by the coach wins over arithmetic: where this frame is a
	// key position, show the other clip's own frame of it.
	if p, ok := s.PositionAt(stage); ok {
		if f, ok := s.frameOf(1-stage, p); ok {
			other.Frame = f
			return
		}
	}
	other.Frame = other.clamp(other.Film.FrameAt(l.Map(stage, this.Film.Seconds(this.Frame))))
}
