package intake

import (
	"fmt"
	"path/filepath"
	"slices"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Speeds is the card that asks how fast the clips of the swing on the bench play: at
// what rate each was filmed, that it plays at life's speed, or that its speed changes on
// the way.
type Speeds struct {
	kit.Openable
	host kit.Host
	card kit.Modal
	rows []speedRow
	done kit.Finish
}

// speedRow is a clip and the answers to its question, the likely one first.
type speedRow struct {
	clip    string
	choice  draw.Segmented
	answers []speedAnswer
}

// speedAnswer is what Clip.FilmedFPS and Clip.Speed become.
type speedAnswer struct {
	fps   float64
	speed annotations.Speed
}

func (a speedAnswer) String() string {
	switch {
	case a.fps > 0:
		return fmt.Sprintf("filmed at %.4g", a.fps)
	case a.speed == annotations.VariedSpeed:
		return "it changes"
	}
	return "life's speed"
}

// NewSpeeds returns the card of a window, closed.
func NewSpeeds(h kit.Host) *Speeds { return &Speeds{host: h} }

// Commands open the card.
func (r *Speeds) Commands() []kit.Command {
	return []kit.Command{{
		ID: "speed", Group: "Lesson", After: "open", Help: "Say how fast the clips play: at life's speed, or in slow motion",
		Keys: kit.WithMod(key.ModShift, "W"), Do: r.Open,
	}}
}

// Open opens the card on the clips of the swing on the bench.
func (r *Speeds) Open() {
	s := r.host.Session()
	if s == nil {
		return
	}
	clips := s.Bench.Swing().Clips
	if len(clips) == 0 {
		r.host.Tell("Add a clip first: press Ctrl+O.")
		return
	}
	r.Shown, r.rows = true, make([]speedRow, len(clips))
	for i := range clips {
		r.rows[i] = speedRow{clip: clips[i].ID, answers: answersFor(&clips[i], s.LikelyFPS(&clips[i]))}
	}
}

// answersFor are the answers for a clip that was probably filmed at a rate, 0 where
// nothing says so.
func answersFor(c *annotations.Clip, likely float64) []speedAnswer {
	var out []speedAnswer
	add := func(a speedAnswer) {
		if !slices.Contains(out, a) {
			out = append(out, a)
		}
	}
	if likely > 0 {
		add(speedAnswer{fps: likely})
	}
	add(speedAnswer{speed: annotations.LifesSpeed})
	for _, fps := range filmedRates {
		add(speedAnswer{fps: fps})
	}
	if c.FilmedFPS > 0 {
		add(speedAnswer{fps: c.FilmedFPS})
	}
	add(speedAnswer{speed: annotations.VariedSpeed})
	return out
}

// LessonClosed closes the card.
func (r *Speeds) LessonClosed() { r.Shown, r.rows = false, nil }

// Update makes an answer an edit.
func (r *Speeds) Update(gtx layout.Context) {
	s := r.host.Session()
	for i := range r.rows {
		row := &r.rows[i]
		if k, ok := row.choice.Update(gtx); ok && k < len(row.answers) {
			a := row.answers[k]
			if err := s.Edit(annotations.SetSpeed{Swing: s.Bench.Swing().ID, Clip: row.clip, FilmedFPS: a.fps, Speed: a.speed}); err != nil {
				r.host.Alert(err.Error())
			}
		}
	}
	if r.done.Update(gtx, r.host) {
		r.Shown = false
	}
}

// Layout draws the card.
func (r *Speeds) Layout(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), r.host.Session()
	return r.card.Layout(gtx, th, "How fast were these clips filmed?", 620, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(16)}
		for i := range r.rows {
			row := &r.rows[i]
			c := s.Bench.Swing().Clip(row.clip)
			if c == nil {
				continue
			}
			col.Add(func(gtx layout.Context) layout.Dimensions {
				inner := kit.Column{Gtx: gtx, Gap: gtx.Dp(5)}
				name := c.View.String()
				if c.File != "" {
					name += ", " + filepath.Base(c.File)
				}
				inner.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Label(gtx, draw.Body, font.Medium, th.Text, name)
				})
				likely := s.LikelyFPS(c)
				if likely == 0 && (speedAnswer{c.FilmedFPS, c.Speed}) == (speedAnswer{}) {
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, "Nothing looks like slow motion: it is taken as life's speed until you say otherwise.")
					})
				}
				if likely > 0 {
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Paragraph(gtx, draw.Small, font.Normal, th.Outside, fmt.Sprintf(
							"It looks like slow motion, probably filmed at %.4g frames a second: as it plays, its swing takes longer than a golfer's. Until you say so, no tempo and no speeds are told.", likely))
					})
				}
				on, words := -1, make([]string, len(row.answers))
				for k, a := range row.answers {
					words[k] = a.String()
					if a == (speedAnswer{c.FilmedFPS, c.Speed}) {
						on = k
					}
				}
				inner.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Segmented(gtx, &row.choice, "Speed of the "+c.View.String()+" clip", on, words...)
				})
				return inner.Done()
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return r.done.Layout(gtx, th)
		})
		return col.Done()
	})
}
