package takehome

import (
	"context"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/video"
)

const shrink = 4 // the test's clips are a quarter of those that were marked

// fixture returns the marked lesson of testdata with small clips of its own, in
// a folder of the test: frame n of them is grey of level grey(n), the one down
// the line tinted.
func fixture(t testing.TB) (l *annotations.Lesson, path string) {
	t.Helper()
	l, _, err := annotations.Load(filepath.Join("..", "..", "testdata", "lessons", "marked.json"))
	require.NoError(t, err)
	dir := t.TempDir()
	l.ClickSDPx = 2.5 / shrink // pixels are as much larger
	l.Place = "Fjordholm practice ground"
	s := &l.Swings[0]
	for i := range s.Clips {
		c := &s.Clips[i]
		c.Width, c.Height, c.SHA256 = c.Width/shrink, c.Height/shrink, ""
		c.File = c.ID + ".mp4"
		for k := range c.GroundLines {
			for e := range c.GroundLines[k].Ends {
				shrunk(&c.GroundLines[k].Ends[e])
			}
		}
		film(t, filepath.Join(dir, c.File), c.Width, c.Height, c.View == geometry.DownTheLine)
	}
	for i := range s.Marks {
		shrunk(&s.Marks[i].At)
	}
	for i := range s.Positions {
		for k := range s.Positions[i].Frames {
			f := &s.Positions[i].Frames[k]
			f.Index, f.PTS, f.PTSUnknown = f.Index/10, 0, true
		}
	}
	return l, filepath.Join(dir, "lesson.json")
}

func shrunk(p *geometry.ImagePt) { p.X, p.Y = p.X/shrink, p.Y/shrink }

func grey(n int) uint8 { return uint8(40 + 3*n) }

// filmFrames is how many frames there are in a clip.
const filmFrames = 58

func film(t testing.TB, path string, w, h int, tinted bool) {
	t.Helper()
	out, err := video.Create(path, video.WriterOptions{Width: w, Height: h, RateNum: 24, GOP: 12, CRF: 8, Preset: "ultrafast"})
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for n := range filmFrames {
		g := grey(n)
		c := color.RGBA{g, g, g, 255}
		if tinted {
			c.B += 40
		}
		for i := 0; i < len(img.Pix); i += 4 {
			img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = c.R, c.G, c.B, c.A
		}
		require.NoError(t, out.WriteFrame(img))
	}
	require.NoError(t, out.Close())
}

// found gives the lesson findings and a prescription: numbers that no other part
// of the sheet holds.
func found(l *annotations.Lesson) *annotations.Lesson {
	l.Swings[0].Findings = []annotations.Finding{
		{ID: "f1", Rule: "pelvis turn short", Text: "At the top your hips have turned 31° (25 to 37) away from the target; we look for 40 to 60°.",
			Measure: "pelvis turn", Position: geometry.Top, Value: 31.2, Low95: 25.3, High95: 37.1, Unit: geometry.Degrees, Verdict: geometry.Below},
		{ID: "f2", Text: "At address your trail hip sits 9 cm (4 to 13) behind the line of the leg.",
			Measure: "trail hip offset from the ankle-knee line", Position: geometry.Address, Value: 8.6, Low95: 4.1, High95: 13.1, Unit: geometry.Centimetres, Verdict: geometry.Above},
		{ID: "f3", Text: "The grip is as it should be: keep it."},
	}
	l.Prescription = annotations.Prescription{
		SetUp: []string{"Stand taller from the ankles.", "Turn the lead foot in a little."},
		Feel:  "Feel the trail hip go back behind you.", Drill: "Half swings with the trail heel against a wall.",
		FilmNext: "Both views again with the 7-iron.",
	}
	return l
}

// manyFound gives the lesson so many findings, of what is measured in it: the
// number is taken from another place in the order, so that verdicts differ.
func manyFound(t testing.TB, l *annotations.Lesson, n int) *annotations.Lesson {
	t.Helper()
	found(l)
	m, err := new(Request).measure(context.Background(), l, 0)
	require.NoError(t, err)
	s := &l.Swings[0]
	for i := range m.numbers {
		x := &m.numbers[i]
		if _, taken := s.FindingOf(x.Name, x.Position); taken || len(s.Findings) == n || x.Position == "" {
			continue
		}
		s.Findings = append(s.Findings, annotations.Finding{
			ID: annotations.NewID(), Measure: x.Name, Position: x.Position, Unit: x.Unit, Verdict: x.Verdict,
			Value: x.Value, Low95: x.Low95, High95: x.High95,
			Text: sentence(at(x.Position)) + " your " + x.Name + " is " + words.Told(x.Unit, false).Value(x.Value) + ": that is where we begin the next time.",
		})
	}
	require.Len(t, s.Findings, n)
	return l
}

// oneView keeps one clip of the swing.
func oneView(l *annotations.Lesson, view geometry.View) *annotations.Lesson {
	s := &l.Swings[0]
	keep := s.ClipOf(view).ID
	var clips []annotations.Clip
	for _, c := range s.Clips {
		if c.ID == keep {
			clips = append(clips, c)
		}
	}
	s.Clips = clips
	var marks []annotations.Mark
	for _, m := range s.Marks {
		if m.Clip == keep {
			marks = append(marks, m)
		}
	}
	s.Marks = marks
	for i := range s.Positions {
		var frames []annotations.FrameRef
		for _, f := range s.Positions[i].Frames {
			if f.Clip == keep {
				frames = append(frames, f)
			}
		}
		s.Positions[i].Frames = frames
	}
	return l
}

// leftHanded turns the swing into its mirror image; the clips are of one grey
// and stay.
func leftHanded(l *annotations.Lesson) *annotations.Lesson {
	l.Student.Handed = geometry.LeftHanded
	s := &l.Swings[0]
	for i := range s.Marks {
		if s.Marks[i].State != geometry.Hidden {
			s.Marks[i].At.X = float64(s.Clip(s.Marks[i].Clip).Width) - s.Marks[i].At.X
		}
	}
	for i := range s.Clips {
		c := &s.Clips[i]
		for k := range c.GroundLines {
			for e := range c.GroundLines[k].Ends {
				c.GroundLines[k].Ends[e].X = float64(c.Width) - c.GroundLines[k].Ends[e].X
			}
		}
	}
	return l
}

// earlier is the same swing at another lesson, the lead toe marked elsewhere.
func earlier(l *annotations.Lesson) *annotations.Lesson {
	e := l.Clone()
	e.ID, e.Date = annotations.NewID(), "2026-04-04"
	for i := range e.Swings[0].Marks {
		if m := &e.Swings[0].Marks[i]; m.Point == geometry.LeadToe && m.Clip == e.Swings[0].ClipOf(geometry.FaceOn).ID {
			m.At.X += 6
		}
	}
	return e
}

func build(t *testing.T, r Request) *Sheet {
	t.Helper()
	s, err := Build(context.Background(), &r)
	require.NoError(t, err)
	return s
}

// keep keeps a file to be looked at, where TURNGAUGE_PICTURES names a folder.
func keep(t *testing.T, name string, data []byte) {
	t.Helper()
	if dir := os.Getenv("TURNGAUGE_PICTURES"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "takehome-"+name), data, 0o644))
	}
}

// flat is a text with single spaces: what a reader makes of line breaks.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }
