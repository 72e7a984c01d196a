package takehome

import (
	"context"
	"image"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/takehome/crop"
	"turngauge/ui/takehome/sight"
)

// stripOrder are the key positions whose photographs stand on the sheet, those that
// tell most first; so many of them are shown.
var stripOrder = []geometry.PositionName{
	geometry.Address, geometry.Top, geometry.Impact, geometry.Finish, geometry.LeadArmLevel, geometry.Delivery, geometry.ClubLevelBack,
}

const mostInStrip = 4

// strip takes photographs of the key positions, in the view that shows best what
// there is to work on, with the lines that matter for it.
func (b *builder) strip(ctx context.Context) error {
	how := sight.Sight{View: geometry.FaceOn}
	how.Lines[explain.HipLine], how.Lines[explain.ShoulderLine] = true, true
	name := "hips and shoulders"
	if f := b.mainFinding(); f != nil && f.Measure != "" {
		how, name = sight.Best(f.Measure), f.Measure
	}
	s := b.now.Swing()
	first, _, ok := how.In(s, geometry.Address)
	if !ok {
		if first = s.ClipOf(how.View); first == nil {
			return nil
		}
	}
	how.View = first.View // all in one view
	var list []geometry.PositionName
	for _, p := range stripOrder {
		if _, ok := s.FrameOf(first.ID, p); ok && len(list) < mostInStrip {
			list = append(list, p)
		}
	}
	slices.SortFunc(list, func(p, q geometry.PositionName) int {
		return slices.Index(geometry.KeyPositions, p) - slices.Index(geometry.KeyPositions, q)
	})
	if b.album.reader(first) == nil || len(list) < 2 {
		return nil
	}
	e := crop.None
	for _, p := range list {
		ref, _ := s.FrameOf(first.ID, p)
		e.Golfer(b.now.frame(first.ID, ref, p))
	}
	part := e.Part(image.Rect(0, 0, first.Width, first.Height), pictureWidth/pictureHeight)
	for _, p := range list {
		x, err := b.album.show(ctx, b.now, how, p, name, &part)
		if err != nil {
			return err
		}
		if x != nil {
			x.Caption = sentence(string(p))
			b.sheet.Strip = append(b.sheet.Strip, *x)
		}
	}
	return nil
}

// mainFinding is the finding that matters most, or nil.
func (b *builder) mainFinding() *annotations.Finding {
	i := b.sheet.main()
	list := b.now.findings()
	if i < 0 || i >= len(list) {
		return nil
	}
	return &list[i]
}

// main is the index of the finding that matters most: of those with a number the one
// farthest outside its range, else the first; -1 where there is none.
func (s *Sheet) main() int {
	best := -1
	for i := range s.Findings {
		f := &s.Findings[i]
		if f.Number != "" && f.Weight > 0 && (best < 0 || f.Weight > s.Findings[best].Weight) {
			best = i
		}
	}
	if best < 0 && len(s.Findings) > 0 {
		return 0
	}
	return best
}
