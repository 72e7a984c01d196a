package takehome

import (
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/video"
)

// panel is one view of a swing in an annotated clip.
type panel struct {
	side   *side
	clip   *annotations.Clip
	reader *video.Reader
	place  image.Rectangle // on the clip's picture; even numbers
	part   image.Rectangle // of the view's picture
	name   *image.RGBA     // that stands in its corner, or nil
}

// panels opens the views that every side was filmed in and can be read, face-on
// first, and lays them out; the sides of a view stand beside each other.
func (b *builder) panels(sides []*side, size Size) ([]panel, error) {
	var out []panel
	for _, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		if x := b.request.Beside; x != nil && x.View != geometry.ViewUnset && x.View != v {
			continue
		}
		var row []panel
		for _, s := range sides {
			if c := s.Swing().ClipOf(v); c != nil {
				if r := s.album.reader(c); r != nil {
					row = append(row, panel{side: s, clip: c, reader: r})
				}
			}
		}
		if len(row) == len(sides) {
			out = append(out, row...)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s can't be made: %s", filepath.Base(b.request.MP4), b.whyNoPanels(sides))
	}
	w, h := size.pixels()
	arrange(out, image.Rect(0, 0, w, h-captionHeight(size)), len(sides))
	return out, nil
}

// whyNoPanels says why there is nothing to show.
func (b *builder) whyNoPanels(sides []*side) string {
	for _, s := range sides {
		if len(s.album.notes) > 0 {
			return s.album.notes[0]
		}
	}
	if len(sides) > 1 {
		if v := b.request.Beside.View; v != geometry.ViewUnset {
			return fmt.Sprintf("the two swings were not both filmed %s", viewWords(v))
		}
		return "the two swings have no view in common"
	}
	return "the swing has no clip"
}

// extent is what the golfer takes up of the picture in all key positions.
func (p *panel) extent() extent {
	e := noExtent
	s := p.side.Swing()
	for k := range s.Positions {
		ref, ok := s.Positions[k].Frame(p.clip.ID)
		if !ok {
			continue
		}
		for _, spot := range p.side.frame(p.clip.ID, ref, s.Positions[k].Name).Spots {
			if spot.Known {
				e.add(spot.At)
			}
		}
	}
	return e
}

// panelGap is the room between two panels, pixels.
const panelGap = 4

// arrange places panels in a room, in one row or in a row for each view, so that
// the golfer is seen as large as can be; the sides of a view stand beside each
// other, in places alike. Where it helps, the view that is wider gets more room.
func arrange(panels []panel, room image.Rectangle, sides int) {
	extents := make([]extent, len(panels))
	for i := range panels {
		extents[i] = panels[i].extent()
	}
	views := len(panels) / sides
	slender := make([]float64, views) // the golfer's height over the width
	for v := range views {
		of := extents[v*sides : (v+1)*sides]
		w, h := alike(of, panels[v*sides:])
		slender[v] = h / w
	}
	best := -1.0
	try := func(places []image.Rectangle) {
		least := math.Inf(1)
		for i := range panels {
			part := extents[i].within(panels[i].whole(), shapeOf(places[i]))
			// As large as the golfer is, in clips of any size.
			least = math.Min(least, (extents[i].hi.Y-extents[i].lo.Y)*enlargement(part, places[i]))
		}
		if least < 1.05*best { // what is plainer comes first
			return
		}
		best = least
		for i := range panels {
			panels[i].put(extents[i], places[i])
		}
	}
	plain := slices.Repeat([]float64{1}, views)
	broad := make([]float64, views)
	for v := range views {
		broad[v] = 1 / slender[v]
	}
	try(inOneRow(room, plain, sides))
	try(inRows(room, plain, sides))
	try(inOneRow(room, broad, sides))
	try(inRows(room, slender, sides))
	level(panels)
}

// level lets the pictures of one row begin at the same height.
func level(panels []panel) {
	top := panels[0].place.Min.Y
	for i := range panels {
		if panels[i].place.Min.Y >= panels[0].place.Max.Y {
			return // in a row of its own
		}
		top = min(top, panels[i].place.Min.Y)
	}
	for i := range panels {
		p := &panels[i].place
		*p = p.Sub(image.Pt(0, p.Min.Y-top))
	}
}

// alike gives the extents of one view the same size, the largest, each about its
// own middle, and returns it. A picture in which no point is known counts whole.
func alike(extents []extent, panels []panel) (w, h float64) {
	for i := range extents {
		e := &extents[i]
		if e.lo.X > e.hi.X {
			p := panels[i].whole()
			*e = extent{geometry.ImagePt{}, geometry.ImagePt{X: float64(p.Dx()), Y: float64(p.Dy())}}
		}
		w, h = math.Max(w, e.hi.X-e.lo.X), math.Max(h, e.hi.Y-e.lo.Y)
	}
	w, h = math.Max(w, 1), math.Max(h, 1)
	for i := range extents {
		e := &extents[i]
		x, y := (e.lo.X+e.hi.X)/2, (e.lo.Y+e.hi.Y)/2
		*e = extent{geometry.ImagePt{X: x - w/2, Y: y - h/2}, geometry.ImagePt{X: x + w/2, Y: y + h/2}}
	}
	return w, h
}

// inOneRow places the sides of all views in one row; weights share the width
// among the views.
func inOneRow(room image.Rectangle, weights []float64, sides int) []image.Rectangle {
	var all []float64
	for _, w := range weights {
		all = append(all, slices.Repeat([]float64{w}, sides)...)
	}
	var out []image.Rectangle
	for _, x := range shares(room.Dx(), all) {
		out = append(out, image.Rect(x[0], 0, x[1], room.Dy()&^1).Add(room.Min))
	}
	return out
}

// inRows places each view in a row of its own; weights share the height.
func inRows(room image.Rectangle, weights []float64, sides int) []image.Rectangle {
	var out []image.Rectangle
	for _, y := range shares(room.Dy(), weights) {
		for _, x := range shares(room.Dx(), slices.Repeat([]float64{1}, sides)) {
			out = append(out, image.Rect(x[0], y[0], x[1], y[1]).Add(room.Min))
		}
	}
	return out
}

// shares parts a length by weights, at even numbers, with gaps between.
func shares(length int, weights []float64) [][2]int {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	room := float64(length - panelGap*(len(weights)-1))
	var out [][2]int
	from := 0
	for _, w := range weights {
		to := from + int(w/total*room+1e-6)&^1
		out = append(out, [2]int{from, to})
		from = to + panelGap
	}
	return out
}

// put shows the golfer in a place: a picture of another shape stands in the
// middle of it.
func (p *panel) put(e extent, place image.Rectangle) {
	p.part = even(e.within(p.whole(), shapeOf(place)))
	k := enlargement(p.part, place)
	w, h := int(float64(p.part.Dx())*k+0.5)&^1, int(float64(p.part.Dy())*k+0.5)&^1
	at := place.Min.Add(image.Pt((place.Dx()-w)/4*2, (place.Dy()-h)/4*2))
	p.place = image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
}

// within is the part of a picture that holds the box, with room about it, all of
// it: as near to a shape given as width over height as the picture allows.
func (e extent) within(picture image.Rectangle, shape float64) image.Rectangle {
	w, h := e.hi.X-e.lo.X, e.hi.Y-e.lo.Y
	margin := 0.1 * math.Max(w, h) // a head above its middle, a shoe below its ankle
	w, h = w+2*margin, h+2*margin
	if w < shape*h {
		w = shape * h
	} else {
		h = w / shape
	}
	w, h = math.Min(w, float64(picture.Dx())), math.Min(h, float64(picture.Dy()))
	x := math.Max(math.Min((e.lo.X+e.hi.X)/2-w/2, float64(picture.Dx())-w), 0)
	y := math.Max(math.Min((e.lo.Y+e.hi.Y)/2-h/2, float64(picture.Dy())-h), 0)
	at := image.Pt(int(x), int(y))
	return image.Rectangle{Min: at, Max: at.Add(image.Pt(int(w), int(h)))}.Add(picture.Min)
}

func shapeOf(r image.Rectangle) float64 { return float64(r.Dx()) / float64(r.Dy()) }

// enlargement is by how much a part of a picture is enlarged to fit a place.
func enlargement(part, place image.Rectangle) float64 {
	return math.Min(float64(place.Dx())/float64(part.Dx()), float64(place.Dy())/float64(part.Dy()))
}

// even shrinks a rectangle to even numbers, where samples of colour begin.
func even(r image.Rectangle) image.Rectangle {
	at := image.Pt((r.Min.X+1)&^1, (r.Min.Y+1)&^1)
	e := image.Rectangle{Min: at, Max: at.Add(image.Pt((r.Max.X-at.X)&^1, (r.Max.Y-at.Y)&^1))}
	if e.Empty() {
		return r
	}
	return e
}

// whole is the picture of the panel's clip.
func (p *panel) whole() image.Rectangle {
	info := p.reader.Source().Info()
	return image.Rect(0, 0, info.Width, info.Height)
}
