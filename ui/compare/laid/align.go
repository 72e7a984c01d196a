// Package laid lays a picture of one swing over that of another, aligned at feet and ball.
package laid

import (
	"fmt"
	"math"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/explain"
)

// grounded are what two pictures are aligned by: what stands on the ground at
// address.
var grounded = [...]geometry.Point{
	geometry.LeadAnkle, geometry.TrailAnkle, geometry.LeadHeel, geometry.TrailHeel, geometry.LeadToe, geometry.TrailToe, geometry.Ball,
}

// usualClickSDPx is the standard deviation of one coordinate of a mark where a
// lesson does not tell the coach's own, pixels.
const usualClickSDPx = 2.5

// sharpEnough is the largest standard deviation of the scale at which one swing is
// laid over another: of a golfer who fills the picture the head then comes to lie
// within its own height, nineteen times of twenty.
const sharpEnough = 0.06

// Side is one of two swings that are aligned, in a clip.
type Side struct {
	Lesson *annotations.Lesson
	Swing  string // its ID
	Clip   string // and that of the clip
	// Seen is what the fit expects to see in the clip at address.
	Seen explain.Seen
}

// spots are where the points are seen at address: marked, or else fitted. ok is
// false where there is no address in the clip.
func (s *Side) spots() (spots [geometry.NumPoints]explain.Spot, ok bool) {
	f, ok := s.Lesson.Swing(s.Swing).FrameOf(s.Clip, geometry.Address)
	if !ok {
		return spots, false
	}
	return explain.NewFrame(s.Lesson, s.Swing, s.Clip, f.Index, s.Seen, nil).Spots, true
}

func (s *Side) handed() geometry.Handed {
	return s.Lesson.HandedIn(s.Lesson.Swing(s.Swing).Clip(s.Clip))
}

// Aligned is how the other swing's picture lies over this one's.
type Aligned struct {
	geometry.Alignment // from the other's upright pixels to this one's
	// Points are what they were aligned by.
	Points []geometry.Point
	// ApartM is Alignment.RMSPx on the golfer, metres, or 0 where the size of the
	// golfer in the picture is not known.
	ApartM float64
}

// Align aligns another swing's picture with this one's by what is known of feet
// and ball in both at address. why says in a sentence what is wanting where that
// can't be done.
func Align(this, other *Side) (a Aligned, why string) {
	mine, ok1 := this.spots()
	theirs, ok2 := other.spots()
	if !ok1 || !ok2 {
		return Aligned{}, "To lay one swing over the other, set address in both."
	}
	var pairs []geometry.Paired
	var wanting []string
	for _, p := range grounded {
		if !mine[p].Known || !theirs[p].Known {
			wanting = append(wanting, p.String())
			continue
		}
		a.Points = append(a.Points, p)
		pairs = append(pairs, geometry.Paired{From: theirs[p].At, To: mine[p].At})
	}
	al, ok := geometry.Align(pairs, this.handed() != other.handed())
	click := math.Max(clickSD(this.Lesson), clickSD(other.Lesson))
	if !ok || al.ScaleSD*click > sharpEnough {
		return Aligned{}, fmt.Sprintf("To lay one swing over the other, mark feet and ball at address in both: the %s can be.", strings.Join(wanting, ", "))
	}
	a.Alignment = al
	if up := this.Seen.Up; this.Seen.HasUp {
		a.ApartM = al.RMSPx * explain.UpM / math.Hypot(up.X, up.Y)
	}
	return a, ""
}

func clickSD(l *annotations.Lesson) float64 {
	if l.ClickSDPx > 0 {
		return l.ClickSDPx
	}
	return usualClickSDPx
}

// Words says by what the pictures are aligned and how well these agree.
func (a *Aligned) Words(imperial bool) string {
	feet, ball := false, false
	for _, p := range a.Points {
		ball = ball || p == geometry.Ball
		feet = feet || p != geometry.Ball
	}
	by := "feet and ball"
	switch {
	case !ball:
		by = "the feet"
	case !feet:
		by = "the ball"
	}
	apart := fmt.Sprintf("%.0f pixels", math.Ceil(a.RMSPx))
	switch {
	case a.ApartM > 0 && imperial:
		apart = fmt.Sprintf("%.1f in", a.ApartM/0.0254)
	case a.ApartM > 0:
		apart = fmt.Sprintf("%.1f cm", 100*a.ApartM)
	}
	text := fmt.Sprintf("Aligned at %s of address, which then lie %s apart.", by, apart)
	if a.Mirrored {
		text += " The other picture is mirrored: one swings left-handed."
	}
	return text
}
