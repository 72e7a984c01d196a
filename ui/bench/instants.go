package bench

import (
	"cmp"
	"context"
	"image"
	"math"

	"turngauge/geometry"
	"turngauge/video/club"
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
	// Address, Top and Impact are frames of the clip.
	Address, Top, Impact int
	// Seconds is when a frame is shown, of life's time.
	Seconds func(n int) float64
	// Picture reads a frame in full size.
	Picture func(ctx context.Context, n int) (*image.RGBA, error)
	// Standing is the clip's background, nil where it isn't known.
	Standing *image.RGBA

	finder *pose.Finder
	read   map[int]slopes
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
		GolferAt: clip.GolferAt, Seconds: st.Film.Seconds,
	}
	for name, at := range map[geometry.PositionName]*int{
		geometry.Address: &out.Address, geometry.Top: &out.Top, geometry.Impact: &out.Impact,
	} {
		t, ok := b.TickOf(stage, name)
		if !ok {
			return Instants{}, false
		}
		*at = t.Frame
	}
	return out, true
}

// slopes are those of lead arm and shaft in a picture, positive downward from the
// shoulder to the wrist and from the hands to the clubhead, as parts of the golfer's
// height and of the shaft's length; NaN where not seen.
type slopes struct {
	arm, shaft float64
	// searched says that the shaft was looked for.
	searched bool
	box      pose.Region // of the golfer; none where he wasn't found
}

const (
	// coarseLooks is into how many parts a backswing or a downswing is divided to find
	// between which a level is crossed, and fineLooks how many pictures there tell when.
	coarseLooks, fineLooks = 8, 7
	// unsureCrossS is the standard deviation of a crossing beyond which it is to be looked
	// at before it is believed, seconds of life: half a picture at 30 a second.
	unsureCrossS = 1 / 60.
)

// Find looks for club level back, lead arm level and delivery. What can't be told is left
// out. It looks into some thirty pictures, a third of a second each and more.
func (s *Instants) Find(ctx context.Context, finder *pose.Finder) ([]Proposal, error) {
	s.finder, s.read = finder, make(map[int]slopes)
	var found []Proposal
	for _, c := range [...]struct {
		name     geometry.PositionName
		from, to int
		crossed
	}{
		{geometry.ClubLevelBack, s.Address, s.Top, crossed{shaft: true, upward: true}},
		{geometry.LeadArmLevel, s.Address, s.Top, crossed{upward: true}},
		{geometry.Delivery, s.Top, s.Impact, crossed{shaft: true}},
	} {
		if s.View == geometry.DownTheLine && c.shaft {
			continue
		}
		frame, sd, ok, err := s.crossing(ctx, c.from, c.to, c.crossed)
		if err != nil {
			return nil, err
		}
		if ok {
			found = append(found, Proposal{c.name, frame, sd > unsureCrossS || s.View == geometry.DownTheLine})
		}
	}
	return found, nil
}

// crossed is what crosses the level: shaft or lead arm, for the first time upward or for
// the last time downward.
type crossed struct{ shaft, upward bool }

// value reads the slope in a picture.
func (s *Instants) value(ctx context.Context, n int, c crossed) (float64, error) {
	l, err := s.slopes(ctx, n, c.shaft)
	if c.shaft {
		return l.shaft, err
	}
	return l.arm, err
}

// crossing returns the frame between two others nearest to where a slope crosses 0. sd is
// how well a line through the slopes around tells when, seconds.
func (s *Instants) crossing(ctx context.Context, from, to int, c crossed) (frame int, sd float64, ok bool, err error) {
	if to-from < 2 {
		return 0, 0, false, nil
	}
	var at []int
	var values []float64
	for i := range coarseLooks + 1 {
		n := from + (to-from)*i/coarseLooks
		v, err := s.value(ctx, n, c)
		if err != nil {
			return 0, 0, false, err
		}
		if !math.IsNaN(v) && (len(at) == 0 || n > at[len(at)-1]) {
			at, values = append(at, n), append(values, v)
		}
	}
	between := -1
	for i := 1; i < len(at); i++ {
		if c.upward && between < 0 && values[i-1] > 0 && values[i] <= 0 || !c.upward && values[i-1] <= 0 && values[i] > 0 {
			between = i
		}
	}
	if between < 0 {
		return 0, 0, false, nil
	}
	low, high := at[between-1], at[between]
	last := -1
	var seconds, slopes []float64
	for i := range fineLooks {
		n := low + (high-low)*i/(fineLooks-1)
		if n == last {
			continue
		}
		last = n
		v, err := s.value(ctx, n, c)
		if err != nil {
			return 0, 0, false, err
		}
		if !math.IsNaN(v) {
			seconds, slopes = append(seconds, s.Seconds(n)), append(slopes, v)
		}
	}
	if len(seconds) < fineLooks {
		// Some were not seen: the neighbours tell about when, and the line how surely.
		for _, i := range [...]int{between - 2, between + 1} {
			if i >= 0 && i < len(at) {
				seconds, slopes = append(seconds, s.Seconds(at[i])), append(slopes, values[i])
			}
		}
	}
	zero, sd, ok := root(seconds, slopes)
	if !ok || zero < s.Seconds(from) || zero > s.Seconds(to) {
		return 0, 0, false, nil
	}
	frame = from
	for n := from; n <= to; n++ {
		if math.Abs(s.Seconds(n)-zero) < math.Abs(s.Seconds(frame)-zero) {
			frame = n
		}
	}
	return frame, sd, true, nil
}

// slopes reads a picture, once unless the shaft is wanted later.
func (s *Instants) slopes(ctx context.Context, n int, shaft bool) (slopes, error) {
	if l, ok := s.read[n]; ok && (l.searched || !shaft) {
		return l, nil
	}
	im, err := s.Picture(ctx, n)
	if err != nil {
		return slopes{}, err
	}
	l := s.look(im, n, shaft)
	s.read[n] = l
	return l, ctx.Err()
}

func (s *Instants) look(im *image.RGBA, n int, shaft bool) slopes {
	out := slopes{arm: math.NaN(), shaft: math.NaN(), searched: shaft}
	fig, ok := s.figure(im, n)
	if !ok {
		return out
	}
	out.box = fig.Next
	position := geometry.LeadArmLevel
	if n <= s.Address {
		position = geometry.Address
	}
	g := newSighted(&fig, s.View, s.Handed, position)
	wrist, ok1 := g.joint(geometry.LeadWrist)
	shoulder, ok2 := g.joint(geometry.LeadShoulder)
	if ok1 && ok2 {
		out.arm = (wrist.At.Y - shoulder.At.Y) / fig.Size()
	}
	stature := s.StatureM
	if !(stature > 0) {
		stature = usualStatureM
	}
	if h, ok := g.hands(stature); ok && shaft {
		if found, ok := club.Find(im, s.Standing, h); ok {
			out.shaft = (found.ToY - found.FromY) / found.Length
		}
	}
	return out
}

// figure finds the golfer where he was in the nearest picture that has been read, and by
// searching only where he is not seen there.
func (s *Instants) figure(im *image.RGBA, n int) (pose.Figure, bool) {
	nearest := -1
	for k, l := range s.read {
		near := cmp.Or(cmp.Compare(abs(k-n), abs(nearest-n)), cmp.Compare(k, nearest))
		if l.box.Side > 0 && (nearest < 0 || near < 0) {
			nearest = k
		}
	}
	if nearest >= 0 {
		if fig, ok := s.finder.FindFrom(im, s.read[nearest].box); ok {
			return fig, true
		}
	}
	if s.GolferAt == (geometry.ImagePt{}) {
		return s.finder.Find(im)
	}
	return s.finder.FindAt(im, s.GolferAt.X, s.GolferAt.Y)
}

func abs(n int) int { return max(n, -n) }

// root returns where the line of least squares through values crosses 0, and the standard
// deviation that their distances from it leave: the delta method for the ratio of
// intercept and slope, about the mean abscissa. ok is false for fewer than three values
// and for a line that is level within its own error.
func root(x, y []float64) (zero, sd float64, ok bool) {
	n := float64(len(x))
	if len(x) < 3 {
		return 0, 0, false
	}
	mx, my := 0.0, 0.0
	for i := range x {
		mx, my = mx+x[i]/n, my+y[i]/n
	}
	sxx, sxy := 0.0, 0.0
	for i := range x {
		sxx, sxy = sxx+(x[i]-mx)*(x[i]-mx), sxy+(x[i]-mx)*(y[i]-my)
	}
	slope := sxy / sxx
	rest := 0.0
	for i := range x {
		e := y[i] - my - slope*(x[i]-mx)
		rest += e * e
	}
	variance := rest / (n - 2)
	if !(slope*slope > 9*variance/sxx) {
		return 0, 0, false
	}
	shift := -my / slope
	return mx + shift, math.Sqrt(variance/n+shift*shift*variance/sxx) / math.Abs(slope), true
}
