package takehome

import (
	"cmp"
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
)

// Size is a size of annotated clip.
type Size uint8

// The sizes; the zero value is Screen.
const (
	Screen Size = iota // 1280 × 720, the views side by side
	Full               // 1920 × 1080, likewise
	Phone              // 720 × 1280, one above the other
)

var sizeNames = [...]string{"screen", "full", "phone"}

// ParseSize returns the size of a name: "screen", "full" or "phone".
func ParseSize(name string) (Size, bool) {
	i := slices.Index(sizeNames[:], name)
	return Size(max(i, 0)), i >= 0
}

// pixels returns the size in pixels.
func (s Size) pixels() (w, h int) {
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

// panel is one view of an annotated clip.
type panel struct {
	clip   *annotations.Clip
	reader *video.Reader
	place  image.Rectangle // on the clip's picture
	part   image.Rectangle // of the view's picture
}

// moment is what a frame of the annotated clip shows.
type moment struct {
	frames   []int                 // by panel
	position geometry.PositionName // "" in motion
	finding  *annotations.Finding  // that is told here, or nil
	hold     int                   // for how many frames
}

// shows reports whether another moment is seen as this one is.
func (m *moment) shows(other *moment) bool {
	return slices.Equal(m.frames, other.frames) && m.position == other.position && m.finding == other.finding
}

// timeline lists the moments of a swing: it runs through slowly and stands still
// at each key position, longer where there is a finding, once for each.
func timeline(s *annotations.Swing, panels []panel, slow float64) []moment {
	type stop struct {
		at       float64 // on the first panel's clock
		frames   []int
		position geometry.PositionName
	}
	var stops []stop
	for i := range s.Positions {
		st := stop{position: s.Positions[i].Name}
		for k := range panels {
			ref, ok := s.Positions[i].Frame(panels[k].clip.ID)
			if !ok {
				break
			}
			src := panels[k].reader.Source()
			n := min(max(frameNumber(src, ref), 0), src.Frames()-1)
			st.frames = append(st.frames, n)
			if k == 0 {
				st.at = src.Seconds(n)
			}
		}
		if len(st.frames) == len(panels) {
			stops = append(stops, st)
		}
	}
	slices.SortStableFunc(stops, func(a, b stop) int { return cmp.Compare(a.at, b.at) })
	if len(stops) == 0 {
		return nil
	}
	var lock bench.Lock
	for _, st := range stops {
		if len(panels) < 2 {
			break
		}
		k := [bench.NumStages]float64{st.at, panels[1].reader.Source().Seconds(st.frames[1])}
		// Positions in another order in the other clip can't all be kept together.
		if n := len(lock.Knots); n == 0 || k[0] > lock.Knots[n-1][0] && k[1] > lock.Knots[n-1][1] {
			lock.Knots = append(lock.Knots, k)
		}
	}
	first := panels[0].reader.Source()
	moving := func(t float64) moment {
		m := moment{frames: []int{first.FrameAt(t)}, hold: 1}
		if len(panels) > 1 {
			m.frames = append(m.frames, panels[1].reader.Source().FrameAt(lock.Map(0, t)))
		}
		return m
	}
	var out []moment
	add := func(m moment) {
		// In slow motion a frame is shown several times.
		if n := len(out); n > 0 && out[n-1].shows(&m) {
			out[n-1].hold += m.hold
			return
		}
		out = append(out, m)
	}
	step := 1 / (clipRate * slow)
	t := math.Max(stops[0].at-runUp, 0)
	for _, st := range stops {
		for ; t < st.at-step/2; t += step {
			add(moving(t))
		}
		t = st.at + step
		told := false
		for i := range s.Findings {
			if f := &s.Findings[i]; f.Measure != "" && (f.Position == st.position || f.Position == "" && st.position == geometry.Top) {
				add(moment{st.frames, st.position, f, holdFinding * clipRate})
				told = true
			}
		}
		if !told {
			add(moment{st.frames, st.position, nil, holdPlain * clipRate})
		}
	}
	end := math.Min(stops[len(stops)-1].at+runUp, first.Seconds(first.Frames()-1))
	for ; t < end; t += step {
		add(moving(t))
	}
	return out
}

// panels opens the clips of the swing that can be read, face-on first, and
// lays them out beside each other, or one above the other on a phone.
func (b *builder) panels(a *album, size Size) ([]panel, error) {
	s := b.now.swing()
	var out []panel
	for _, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		if c := s.ClipOf(v); c != nil {
			if r := a.reader(c); r != nil {
				out = append(out, panel{clip: c, reader: r})
			}
		}
	}
	if len(out) == 0 {
		why := "the swing has no clip"
		if len(a.notes) > 0 {
			why = a.notes[0]
		}
		return nil, fmt.Errorf("%s can't be made: %s", filepath.Base(b.request.MP4), why)
	}
	w, h := size.pixels()
	room := h - captionHeight(size)
	for i := range out {
		p := &out[i]
		switch {
		case len(out) == 1:
			p.place = image.Rect(0, 0, w, room)
		case size == Phone:
			p.place = image.Rect(0, i*room/2+2*i, w, (i+1)*room/2)
		default:
			p.place = image.Rect(i*w/2+2*i, 0, (i+1)*w/2, room)
		}
		e := noExtent
		for k := range s.Positions {
			ref, ok := s.Positions[k].Frame(p.clip.ID)
			if !ok {
				continue
			}
			for _, spot := range b.now.frame(p.clip.ID, ref, s.Positions[k].Name).Spots {
				if spot.Known {
					e.add(spot.At)
				}
			}
		}
		info := p.reader.Source().Info()
		p.part = e.part(image.Rect(0, 0, info.Width, info.Height), float64(p.place.Dx())/float64(p.place.Dy()))
		// A picture of another shape stands in the middle of its place.
		k := math.Min(float64(p.place.Dx())/float64(p.part.Dx()), float64(p.place.Dy())/float64(p.part.Dy()))
		pw, ph := int(float64(p.part.Dx())*k), int(float64(p.part.Dy())*k)
		at := image.Pt(p.place.Min.X+(p.place.Dx()-pw)/2, p.place.Min.Y+(p.place.Dy()-ph)/2)
		p.place = image.Rectangle{Min: at, Max: at.Add(image.Pt(pw, ph))}
	}
	return out, nil
}
