package bench

import (
	"context"
	"image"
	"math"
	"sort"

	"turngauge/geometry"
	"turngauge/video/jointpath"
	"turngauge/video/pose"
)

// Instants looks for the key positions of a swing that its motion does not tell: those
// at which the shaft or the lead arm is level, between a start, a top and a strike that
// are known. Face-on both lie across the picture. Down the line the level shaft points at
// the camera, and nothing is said of it.
type Instants struct {
	View     geometry.View
	Handed   geometry.Handed
	StatureM float64 // 0 where it is not known
	GolferAt geometry.ImagePt
	// Address, Top and Impact are frames of the clip, as motion and sound tell them, and
	// Doubted are those of them that they tell badly.
	Address, Top, Impact int
	Doubted              map[geometry.PositionName]bool
	// Frames is how many the clip has.
	Frames int
	// Seconds is when a frame is shown, of life's time.
	Seconds func(n int) float64
	// Picture reads a frame in full size.
	Picture func(ctx context.Context, n int) (*image.RGBA, error)
	// Standing is the clip's background, nil where it isn't known.
	Standing *image.RGBA
}

// Instants returns what is known for looking for the instants of the swing on a stage.
// It reports false where start, top or strike are not known, and where the other stage
// shows the swing better.
func (b *Bench) Instants(stage int) (Instants, bool) {
	st := &b.Stages[stage]
	clip := b.Swing().Clip(st.Clip)
	if st.Film == nil || clip == nil || b.lock == LockByTime && st.View != geometry.FaceOn && b.Stages[1-stage].Film != nil {
		return Instants{}, false
	}
	out := Instants{
		View: st.View, Handed: b.Lesson().HandedIn(clip), StatureM: b.Lesson().Student.StatureM,
		GolferAt: clip.GolferAt, Seconds: st.Film.Seconds, Frames: st.Film.Frames(), Doubted: make(map[geometry.PositionName]bool),
	}
	for name, at := range map[geometry.PositionName]*int{
		geometry.Address: &out.Address, geometry.Top: &out.Top, geometry.Impact: &out.Impact,
	} {
		t, ok := b.TickOf(stage, name)
		if !ok {
			return Instants{}, false
		}
		*at = t.Frame
		if t.Unsure {
			out.Doubted[name] = true
		}
	}
	return out, true
}

const (
	// looksUp and looksDown are into how many pictures of a backswing and of a downswing
	// one looks, at most each of them; a few more before the start, and after a strike that
	// is doubted.
	looksUp, looksDown, looksBefore, looksAfter = 28, 26, 4, 12
	beforeStartS, afterStrikeS                  = 0.1, 0.15
	// unsureCrossS is the standard deviation of a crossing beyond which it is to be looked
	// at before it is believed, seconds of life: half a picture at 30 a second; beyond
	// unknownCrossS it is not told.
	unsureCrossS, unknownCrossS = 1 / 60., 0.06
)

// Find looks for club level back, lead arm level and delivery, and anew for start and top,
// and for a strike that is doubted: what shaft and arm tell of them. What can't be told is
// left out. It looks once into some sixty pictures, in order of time, and draws a path
// through what it sees in all of them.
func (s *Instants) Find(ctx context.Context, finder *pose.Finder) ([]Proposal, error) {
	all, err := s.look(ctx, finder)
	if err != nil {
		return nil, err
	}
	s.tellSides(all)
	return s.moments(all), nil
}

// moments returns what the looks tell of the key positions, in no order.
func (s *Instants) moments(all []glance) []Proposal {
	shaft := s.shaftPath(all)
	var found []Proposal
	if start, ok := s.startsBack(shaft); ok {
		s.Address = s.both(geometry.Address, s.Address, start, &found)
	}
	if turn, ok := s.turnsBack(shaft); ok {
		s.Top = s.both(geometry.Top, s.Top, turn, &found)
	}
	if strike, ok := s.strikes(shaft); ok && s.Doubted[geometry.Impact] {
		s.Impact = s.frameAt(strike.Seconds)
		found = append(found, Proposal{geometry.Impact, s.Impact, true})
	}
	tell := func(name geometry.PositionName, from, to int, c jointpath.Crossing, ok bool) {
		if !ok || c.SD > unknownCrossS || c.Seconds < s.Seconds(from) || c.Seconds > s.Seconds(to) {
			return
		}
		found = append(found, Proposal{name, s.frameAt(c.Seconds), c.SD > unsureCrossS || s.View == geometry.DownTheLine})
	}
	c, ok := s.clubLevelBack(shaft)
	tell(geometry.ClubLevelBack, s.Address, s.Top, c, ok)
	c, ok = s.armLevel(all)
	tell(geometry.LeadArmLevel, s.Address, s.Top, c, ok)
	c, ok = s.delivery(shaft)
	tell(geometry.Delivery, s.Top, s.Impact, c, ok)
	return found
}

// look looks at the golfer over the swing.
func (s *Instants) look(ctx context.Context, finder *pose.Finder) ([]glance, error) {
	type part struct{ from, to, looks int }
	parts := []part{
		{s.frameAt(s.Seconds(s.Address) - beforeStartS), s.Address, looksBefore},
		{s.Address, s.Top, looksUp},
		{s.Top, s.Impact, looksDown},
	}
	switch {
	case s.View == geometry.DownTheLine: // the arm alone
		parts = parts[1:2]
	case s.Doubted[geometry.Impact]:
		parts = append(parts, part{s.Impact, s.frameAt(s.Seconds(s.Impact) + afterStrikeS), looksAfter})
	}
	var all []glance
	for _, p := range parts {
		more, err := s.glances(ctx, finder, p.from, p.to, p.looks, all)
		if err != nil {
			return nil, err
		}
		all = more
	}
	return all, nil
}

// frameAt returns the frame that is shown nearest to a moment.
func (s *Instants) frameAt(seconds float64) int {
	n := sort.Search(s.Frames, func(n int) bool { return s.Seconds(n) >= seconds })
	if n == s.Frames || n > 0 && seconds-s.Seconds(n-1) < s.Seconds(n)-seconds {
		n--
	}
	return max(n, 0)
}

const (
	// motionS and motionFrames are how far motion tells start and top: so many seconds and
	// so many frames (on the demo's swings at 30 to 240 a second); three times that what it
	// doubts itself.
	motionS, motionFrames, doubt = 0.01, 2.0, 3
	// disagree is by how many standard deviations what motion and shaft tell may differ
	// before it is to be looked at.
	disagree = 3
)

// both proposes a key position at the mean of what motion tells, a frame, and what the
// shaft tells, each by how surely it does. It returns the frame.
func (s *Instants) both(name geometry.PositionName, frame int, shaft jointpath.Crossing, found *[]Proposal) int {
	at := s.Seconds(frame)
	sd := motionS + motionFrames*math.Abs(s.Seconds(s.Impact)-s.Seconds(s.Top))/float64(max(s.Impact-s.Top, 1))
	if s.Doubted[name] {
		sd *= doubt
	}
	a, b := 1/(sd*sd), 1/(shaft.SD*shaft.SD)
	apart := math.Abs(at-shaft.Seconds) > disagree*math.Hypot(sd, shaft.SD)
	frame = s.frameAt((a*at + b*shaft.Seconds) / (a + b))
	*found = append(*found, Proposal{name, frame, apart || s.Doubted[name] && 1/math.Sqrt(a+b) > unsureCrossS})
	return frame
}
