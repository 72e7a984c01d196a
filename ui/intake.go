package ui

import (
	"fmt"
	"image"
	"path/filepath"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/shots"
	"turngauge/video"
)

// intake asks what each new clip is before it becomes part of the lesson.
type intake struct {
	open        bool
	clips       []*newClip
	add, cancel draw.Button
}

// newClip is a file that is being taken in.
type newClip struct {
	path   string
	info   video.Info
	sha256 string
	ready  bool
	err    string
	view   geometry.View
	leave  bool // not to be taken in
	choice draw.Segmented
}

// viewChoices are the answers to "which view is this?".
var viewChoices = []string{"face-on", "down-the-line", "leave out"}

// openPaths opens what was dropped, chosen or named on the command line: a
// lesson, or clips for the lesson on the desk or a new one.
func (a *App) openPaths(paths []string) {
	var clips []string
	for _, p := range paths {
		if isFolder(p) {
			a.takeFolder(p)
			continue
		}
		if strings.EqualFold(filepath.Ext(p), ".json") {
			a.openLesson(p)
			continue
		}
		switch {
		case strings.EqualFold(filepath.Ext(p), ".zip") && a.shelf.Started():
			a.library.Import([]string{p})
		case !shots.IsTable(p):
			clips = append(clips, p)
		case a.desk == nil:
			a.notices.Alert(filepath.Base(p) + " is a table of shots: open the lesson it belongs to, then drop it again.")
		default:
			a.shots.ReadTable(p)
		}
	}
	switch {
	case len(clips) == 0:
	case a.desk == nil:
		a.student.begin(clips)
	default:
		a.takeIn(clips)
	}
}

// takeIn looks at clips, in the background, and asks which view each is.
func (a *App) takeIn(paths []string) {
	if !a.intake.open {
		a.intake = intake{open: true}
	}
	for _, p := range paths {
		if abs, err := filepath.Abs(p); err == nil {
			p = abs
		}
		c := &newClip{path: p, view: a.guessView(p)}
		a.intake.clips = append(a.intake.clips, c)
		a.work.Go("Looking at "+p, func() {
			info, err := video.Probe(c.path)
			var sum string
			if err == nil {
				sum, err = video.Fingerprint(c.path)
			}
			a.work.Post(func() {
				if err != nil {
					c.err, c.leave = err.Error(), true
					return
				}
				c.info, c.sha256, c.ready = info, sum, true
			})
		}, func() { c.err, c.leave = "This clip can't be looked at.", true })
	}
}

// guessView guesses the view from a file's name, else takes the first one that
// nothing has been chosen for.
func (a *App) guessView(path string) geometry.View {
	name := strings.ToLower(filepath.Base(path))
	for _, w := range []string{"face", "front"} {
		if strings.Contains(name, w) {
			return geometry.FaceOn
		}
	}
	for _, w := range []string{"line", "behind", "rear"} {
		if strings.Contains(name, w) {
			return geometry.DownTheLine
		}
	}
	for _, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		taken := a.desk != nil && a.desk.Bench.Swing().ClipOf(v) != nil
		for _, c := range a.intake.clips {
			taken = taken || c.view == v && !c.leave
		}
		if !taken {
			return v
		}
	}
	return geometry.FaceOn
}

func (a *App) updateIntake(gtx layout.Context) {
	in := &a.intake
	for _, c := range in.clips {
		if i, ok := c.choice.Update(gtx); ok {
			c.leave = i == 2
			if !c.leave {
				c.view = []geometry.View{geometry.FaceOn, geometry.DownTheLine}[i]
			}
		}
	}
	if in.cancel.Clicked(gtx) {
		in.open = false
	}
	if (in.add.Clicked(gtx) || kit.EnterPressed(gtx)) && in.problem() == "" {
		a.addClips()
	}
}

// problem says why the clips can't be added as they stand, or "".
func (in *intake) problem() string {
	views := make(map[geometry.View]int)
	adding := 0
	for _, c := range in.clips {
		if c.leave {
			continue
		}
		if !c.ready {
			return "Looking at the clips …"
		}
		adding++
		views[c.view]++
	}
	switch {
	case adding == 0:
		return "No clip is left to add."
	case views[geometry.FaceOn] > 1 || views[geometry.DownTheLine] > 1:
		return "Two clips are given the same view. A swing has one of each: leave one out, and add it to a swing of its own."
	}
	return ""
}

// addClips makes the clips part of the swing on the bench. A view that the
// swing already has begins another swing, so that nothing is replaced.
func (a *App) addClips() {
	in, b := &a.intake, a.desk.Bench
	taken := false
	for _, c := range in.clips {
		taken = taken || !c.leave && b.Swing().ClipOf(c.view) != nil
	}
	swing := b.Swing().ID
	e := b.Editor()
	e.Begin("add clips")
	apply := func(edit annotations.Edit) {
		if err := e.Apply(edit); err != nil {
			a.notices.Alert(err.Error())
		}
	}
	if taken {
		n := len(b.Lesson().Swings) + 1
		swing = annotations.NewID()
		apply(annotations.AddSwing{Swing: annotations.Swing{
			ID: swing, Label: fmt.Sprintf("Swing %d", n), Club: b.Swing().Club,
		}})
	}
	for _, c := range in.clips {
		if c.leave {
			continue
		}
		apply(annotations.AddClip{Swing: swing, Clip: annotations.Clip{
			ID: annotations.NewID(), View: c.view, File: c.path, SHA256: c.sha256,
			Width: c.info.Width, Height: c.info.Height,
			TimeBase: [2]int64{int64(c.info.TimeBase[0]), int64(c.info.TimeBase[1])},
		}})
	}
	e.End()
	in.open = false
	if taken {
		a.showSwing(swing)
		return
	}
	b.Refresh()
	a.openFilms()
}

// describe says in one line what a clip is.
func describe(in *video.Info) string {
	parts := []string{
		fmt.Sprintf("%d × %d", in.Width, in.Height),
		fmt.Sprintf("%.4g frames a second", in.RateFPS),
		fmt.Sprintf("%.1f s", in.Duration.Seconds()),
	}
	if in.RotationDeg != 0 {
		parts = append(parts, "turned upright")
	}
	if !in.HasAudio {
		parts = append(parts, "no sound")
	}
	return strings.Join(parts, ", ")
}

func (a *App) layoutIntake(gtx layout.Context) {
	th, in := a.theme, &a.intake
	title := "Which view is this clip?"
	if len(in.clips) > 1 {
		title = "Which views are these clips?"
	}
	a.card.Layout(gtx, a.theme, title, 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(16)}
		for _, c := range in.clips {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				inner := kit.Column{Gtx: gtx, Gap: gtx.Dp(5)}
				inner.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Label(gtx, draw.Body, font.Medium, th.Text, filepath.Base(c.path))
				})
				switch {
				case c.err != "":
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Paragraph(gtx, draw.Small, font.Normal, th.Danger, c.err)
					})
					return inner.Done()
				case !c.ready:
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Label(gtx, draw.Small, font.Normal, th.Dim, "Looking at it …")
					})
				default:
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Label(gtx, draw.Small, font.Normal, th.Dim, describe(&c.info))
					})
					for _, w := range c.info.Warnings {
						inner.Add(func(gtx layout.Context) layout.Dimensions {
							return th.Paragraph(gtx, draw.Small, font.Normal, th.Outside, w)
						})
					}
				}
				on := 0
				switch {
				case c.leave:
					on = 2
				case c.view == geometry.DownTheLine:
					on = 1
				}
				inner.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Segmented(gtx, &c.choice, filepath.Base(c.path), on, viewChoices...)
				})
				return inner.Done()
			})
		}
		problem := in.problem()
		col.Add(func(gtx layout.Context) layout.Dimensions {
			size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(18))
			if problem != "" {
				th.TextAt(gtx, f32.Point{}, 0, 0, draw.Small, font.Normal, th.Dim, problem)
			}
			return layout.Dimensions{Size: size}
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &in.cancel, draw.ButtonStyle{Label: "Cancel"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &in.add, draw.ButtonStyle{Label: "Add to the lesson", Kind: draw.Primary, Disabled: problem != ""})
				})
		})
		return col.Done()
	})
}
