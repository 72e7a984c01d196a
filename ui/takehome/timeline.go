package takehome

import (
	"cmp"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/ui/bench"
)

// Size is a size of annotated clip.
type Size uint8

// The sizes; the zero value is Screen.
const (
	Screen Size = iota // 1280 × 720
	Full               // 1920 × 1080
	Phone              // 720 × 1280, for a phone held upright
)

var sizeNames = [...]string{"screen", "full", "phone"}

// ParseSize returns the size of a name: "screen", "full" or "phone".
func ParseSize(name string) (Size, bool) {
	i := slices.Index(sizeNames[:], name)
	return Size(max(i, 0)), i >= 0
}

// Pixels returns the size in pixels.
func (s Size) Pixels() (w, h int) {
	switch s {
	case Full:
		return 1920, 1080
	case Phone:
		return 720, 1280
	}
	return 1280, 720
}

// The times of an annotated clip.
const (
	clipRate    = 30  // frames a second
	usualSlow   = 4.0 // times slower than life
	runUp       = 0.4 // seconds of life before the first position and after the last
	holdFinding = 4.0 // seconds for which a finding stands still
	holdPlain   = 0.8 // and a position without one
	holdEnd     = 4.0 // and the words at the end
)

// The times of a clip that shows two swings beside each other: there is more to
// read.
const (
	holdCompared = 5.0
	holdBoth     = 1.5
)

// moment is what a frame of the annotated clip shows.
type moment struct {
	frames   []int                 // by panel
	position geometry.PositionName // "" in motion
	tale     *tale                 // that is told here, or nil
	hold     int                   // for how many frames
}

// shows reports whether another moment is seen as this one is.
func (m *moment) shows(other *moment) bool {
	return slices.Equal(m.frames, other.frames) && m.position == other.position && m.tale == other.tale
}

// stop is a key position that is set in every panel's clip.
type stop struct {
	frames   []int
	seconds  []float64             // on each panel's own clock
	position geometry.PositionName // "" for the frame of a finding that is none
	told     []*tale
}

// stops lists them, in the order of the last panel's swing.
func stops(panels []panel) []stop {
	if len(panels) == 0 {
		return nil
	}
	last := &panels[len(panels)-1]
	var out []stop
	for _, pos := range last.side.Swing().Positions {
		st := stop{position: pos.Name}
		for k := range panels {
			p := &panels[k]
			ref, ok := p.side.Swing().FrameOf(p.clip.ID, pos.Name)
			if !ok {
				break
			}
			src := p.reader.Source()
			n := min(max(frameNumber(src, ref), 0), src.Frames()-1)
			st.frames = append(st.frames, n)
			st.seconds = append(st.seconds, src.Seconds(n))
		}
		if len(st.frames) == len(panels) {
			out = append(out, st)
		}
	}
	return out
}

// timeline lists the moments of the swings: they run through slowly and stand
// still at each key position, longer where there is something to tell. The
// panel named by base keeps the time: the others run as it does from one key
// position to the next.
func timeline(panels []panel, base int, tales func(geometry.PositionName) []*tale, framed []*tale, slow float64) []moment {
	stops := stops(panels)
	if len(stops) == 0 {
		return nil
	}
	slices.SortStableFunc(stops, func(a, b stop) int { return cmp.Compare(a.seconds[base], b.seconds[base]) })
	locks := make([]bench.Lock, len(panels))
	for k := range panels {
		for _, st := range stops {
			knot := [bench.NumStages]float64{st.seconds[base], st.seconds[k]}
			// Positions in another order in the other clip can't all be kept together.
			if n := len(locks[k].Knots); n == 0 || knot[0] > locks[k].Knots[n-1][0] && knot[1] > locks[k].Knots[n-1][1] {
				locks[k].Knots = append(locks[k].Knots, knot)
			}
		}
	}
	moving := func(t float64) moment {
		m := moment{hold: 1}
		for k := range panels {
			at := t
			if k != base {
				at = locks[k].Map(0, t)
			}
			m.frames = append(m.frames, panels[k].reader.Source().FrameAt(at))
		}
		return m
	}
	for i := range stops {
		stops[i].told = tales(stops[i].position)
	}
	for _, x := range framed {
		stops = halt(stops, panels, base, x, locks, moving)
	}
	slices.SortStableFunc(stops, func(a, b stop) int { return cmp.Compare(a.seconds[base], b.seconds[base]) })
	var out []moment
	add := func(m moment) {
		// In slow motion a frame is shown several times.
		if n := len(out); n > 0 && out[n-1].shows(&m) {
			out[n-1].hold += m.hold
			return
		}
		out = append(out, m)
	}
	telling, plain := holdFinding, holdPlain
	if panels[0].side != panels[len(panels)-1].side {
		telling, plain = holdCompared, holdBoth
	}
	step := 1 / (clipRate * slow)
	t := math.Max(stops[0].seconds[base]-runUp, 0)
	for _, st := range stops {
		at := st.seconds[base]
		for ; t < at-step/2; t += step {
			add(moving(t))
		}
		t = at + step
		for _, x := range st.told {
			hold := telling
			if x.measure == "" {
				hold = (telling + plain) / 2
			}
			add(moment{st.frames, st.position, x, int(hold * clipRate)})
		}
		if len(st.told) == 0 {
			add(moment{st.frames, st.position, nil, int(plain * clipRate)})
		}
	}
	source := panels[base].reader.Source()
	end := math.Min(stops[len(stops)-1].seconds[base]+runUp, source.Seconds(source.Frames()-1))
	for ; t < end; t += step {
		add(moving(t))
	}
	return out
}
