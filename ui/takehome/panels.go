package takehome

import (
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/compare/laid"
	"turngauge/ui/takehome/crop"
	"turngauge/ui/takehome/over"
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
	// under is a panel that is seen through the one after it only, and over what lies
	// over this one.
	under bool
	over  *over.Layer
}

// layOver arranges two swings with the other one's pictures laid over this one's, where
// that is asked for and can be.
func (b *builder) layOver(all []panel, room image.Rectangle) bool {
	if b.request.Beside == nil || !b.request.Beside.Over {
		return false
	}
	var mine []panel
	for i := 1; i < len(all); i += 2 {
		mine = append(mine, all[i])
	}
	arrange(mine, room, 1)
	for i := range mine {
		p, x := &mine[i], &all[2*i]
		layer, why := over.New(p.laid(), x.laid(), x.reader, p.part)
		if why != "" {
			b.note("The clip shows the two swings beside each other. %s", why)
			return false
		}
		p.over, x.under, x.place, x.part = layer, true, p.place, p.part
	}
	for i := range mine {
		all[2*i+1] = mine[i]
	}
	return true
}

// laid is the panel's swing as it is aligned with another.
func (p *panel) laid() *laid.Side {
	return &laid.Side{Lesson: p.side.Lesson, Swing: p.side.Swing().ID, Clip: p.clip.ID, Seen: p.side.seenAt(p.clip.ID, geometry.Address)}
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
	w, h := size.Pixels()
	room := image.Rect(0, 0, w, h-captionHeight(size))
	if !b.layOver(out, room) {
		arrange(out, room, len(sides))
	}
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
func (p *panel) extent() crop.Box {
	e := crop.None
	s := p.side.Swing()
	for k := range s.Positions {
		ref, ok := s.Positions[k].Frame(p.clip.ID)
		if !ok {
			continue
		}
		for _, spot := range p.side.frame(p.clip.ID, ref, s.Positions[k].Name).Spots {
			if spot.Known {
				e.Add(spot.At)
			}
		}
	}
	return e
}

// arrange places panels in a room, in one row or in a row for each view, so that
// the golfer is seen as large as can be; the sides of a view stand beside each
// other. All have one size.
func arrange(panels []panel, room image.Rectangle, sides int) {
	extents := make([]crop.Box, len(panels))
	for i := range panels {
		extents[i] = panels[i].extent()
		if extents[i].Lo.X > extents[i].Hi.X { // no point is known
			extents[i] = crop.Of(panels[i].whole())
		}
	}
	views := len(panels) / sides
	for v := range views {
		crop.Alike(extents[v*sides : (v+1)*sides])
	}
	best, widest := -1.0, 0
	try := func(places []image.Rectangle) {
		least := math.Inf(1)
		for i := range panels {
			part := extents[i].Within(panels[i].whole(), crop.Shape(places[i]))
			// As large as the golfer is, in clips of any size.
			least = math.Min(least, (extents[i].Hi.Y-extents[i].Lo.Y)*crop.Enlargement(part, places[i]))
		}
		// What is plainer comes first, and what leaves less of the room empty.
		if least < 1.05*best && !(least >= 0.99*best && places[0].Dx() > widest) {
			return
		}
		best, widest = least, places[0].Dx()
		for i := range panels {
			panels[i].put(extents[i], places[i])
		}
	}
	// Views of one size and shape, without a gap about them, where the pictures have
	// that.
	plain := slices.Repeat([]float64{1}, views)
	for _, places := range [][]image.Rectangle{crop.Row(room, plain, sides), crop.Rows(room, plain, sides)} {
		shaped := func(shape float64) {
			if same := crop.Gathered(places, room, shape); fills(extents, panels, same) {
				try(same)
			}
		}
		for shape := crop.LeastShape; shape <= crop.MostShape; shape *= 1.03 {
			shaped(shape)
		}
		shaped(crop.Shape(places[0])) // nothing left empty
	}
	if best < 0 {
		try(crop.Row(room, plain, sides))
		try(crop.Rows(room, plain, sides))
	}
}

// fills reports whether every panel's picture has a part of its place's shape that holds
// the golfer.
func fills(extents []crop.Box, panels []panel, places []image.Rectangle) bool {
	for i := range panels {
		part := extents[i].Within(panels[i].whole(), crop.Shape(places[i]))
		if math.Abs(crop.Shape(part)/crop.Shape(places[i])-1) > 0.01 {
			return false
		}
	}
	return true
}

// put shows the golfer in a place: a picture of another shape stands in the
// middle of it.
func (p *panel) put(e crop.Box, place image.Rectangle) {
	p.part = crop.Even(e.Within(p.whole(), crop.Shape(place)))
	if math.Abs(crop.Shape(p.part)/crop.Shape(place)-1) < 0.02 { // what is rounded is not seen
		p.place = place
		return
	}
	k := crop.Enlargement(p.part, place)
	w, h := int(float64(p.part.Dx())*k+0.5)&^1, int(float64(p.part.Dy())*k+0.5)&^1
	at := place.Min.Add(image.Pt((place.Dx()-w)/4*2, (place.Dy()-h)/4*2))
	p.place = image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
}

// whole is the picture of the panel's clip.
func (p *panel) whole() image.Rectangle {
	info := p.reader.Source().Info()
	return image.Rect(0, 0, info.Width, info.Height)
}
