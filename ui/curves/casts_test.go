package curves

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo"
	"turngauge/ui/demo/figure"
)

var (
	accuracy     = flag.Bool("accuracy", false, "make the tables of what the clothes tell")
	filmsIn      = flag.String("films", "", "folder in which golfers that were filmed for the tables are kept")
	onlyFilm     = flag.Bool("film", false, "film the golfers and nothing else")
	accuracyRows = flag.String("accuracy-rows", "", "only the golfers whose names have one of these, with commas between")
	handsOf      = flag.Int("accuracy-hands", 5, "hands that mark each golfer")
)

// cast is one golfer of the tables.
type cast struct {
	demo.Cast
	group   string // of the table's rows
	blind   bool   // the down-the-line clip is left out
	onFilms string // of another's name, "" for films of its own
}

// person is a golfer with a body and a swing of her own.
func person(stature, girth, pelvis, torso, lead, trail float64) golfer.Params {
	p := golfer.MaraFirstVisit()
	p.Stature, p.Size, p.Girth, p.MassKg = stature, stature/1.72, girth, 22.3*stature*stature*girth*girth
	p.PelvisTurnTopDegrees, p.TorsoTurnTopDegrees = pelvis, torso
	p.LeadFlareDegrees, p.TrailFlareDegrees = lead, trail
	p.Ball.Z += 0.45 * (stature - 1.72)
	p.Club.Length += 0.25 * (stature - 1.72)
	p.StanceWidth *= stature / 1.72
	return p
}

// casts are the golfers of the tables. Sizes, turns and flares are ours, spread over what
// adults have; no two swings are alike.
func casts() []cast {
	first, second := golfer.MaraFirstVisit(), golfer.MaraSecondVisit()
	people := []struct {
		name string
		demo.Cast
	}{
		{"mara", demo.Cast{Golfer: first}},
		{"second", demo.Cast{Golfer: second}},
		{"skirt", demo.Cast{Golfer: person(1.60, 1, 34, 80, 12, 4), Wear: figure.Wear{Legs: figure.Skirt}}},
		{"tall", demo.Cast{Golfer: person(1.84, 1.12, 44, 90, 22, 12)}},
		{"shorts", demo.Cast{Golfer: person(1.76, 1.08, 50, 92, 28, 10), Wear: figure.Wear{Legs: figure.Shorts}}},
		{"left", demo.Cast{Golfer: person(1.78, 1.05, 40, 84, 18, 6), LeftHanded: true}},
		{"heavy", demo.Cast{Golfer: person(1.74, 1.28, 32, 74, 25, 15)}},
		{"left-skirt", demo.Cast{Golfer: person(1.66, 1.04, 46, 88, 8, 0), Wear: figure.Wear{Legs: figure.Skirt}, LeftHanded: true}},
		{"small", demo.Cast{Golfer: person(1.58, 1.10, 37, 79, 15, 9), Wear: figure.Wear{Legs: figure.Shorts}}},
		{"long", demo.Cast{Golfer: person(1.80, 1, 52, 94, 5, 18)}},
	}
	const slipping = 5 // of whom clothes slip
	var out []cast
	add := func(c cast, name, group string) {
		c.Name, c.group, c.Seed = name, group, uint64(len(out)+1)
		if demoVisit := name == "mara-0" || name == "second-0"; c.Rate == 0 && !demoVisit && c.onFilms == "" {
			c.Rate = 120
		}
		out = append(out, c)
	}
	for _, mm := range []float64{0, 6, 3} {
		for i, p := range people {
			if mm > 0 && i >= slipping {
				break
			}
			c := cast{Cast: p.Cast}
			c.SlipM = mm / 1000
			add(c, fmt.Sprintf("%s-%.0f", p.name, mm), fmt.Sprintf("slip %.0f mm", mm))
		}
	}
	bad := func(name string, change func(c *cast)) {
		for _, p := range people[:2] {
			c := cast{Cast: p.Cast}
			change(&c)
			add(c, p.name+"-"+name, name)
		}
	}
	bad("plain", func(c *cast) { c.Wear.Plain = true })
	bad("untucked", func(c *cast) { c.Wear.Untucked = true })
	bad("dark", func(c *cast) { c.Dark = true })
	bad("bystander", func(c *cast) { c.Beside = r3.Vec{X: 0.55, Z: -0.75} })
	bad("60 a second", func(c *cast) { c.Rate = 60 })
	for _, p := range people[:2] {
		add(cast{Cast: p.Cast, blind: true, onFilms: p.name + "-0"}, p.name+"-one view", "one view")
	}
	return out
}

// Filmed as in the demo but for half its size, not beyond what is looked at, and but for the
// demo's two visits with half as many frames: an eighth of the work. A mark's error in the picture
// is half, too.
var smaller = demo.Options{Shrink: 2, EndSeconds: golfer.ImpactTime + 0.17}

// chosen says whether the flags ask for a golfer.
func (c *cast) chosen() bool {
	if *accuracyRows == "" {
		return true
	}
	for _, r := range strings.Split(*accuracyRows, ",") {
		if strings.Contains(c.Name, r) || c.group == r {
			return true
		}
	}
	return false
}

// films is the folder that golfers are kept in once they were filmed.
func films(t *testing.T) string {
	t.Helper()
	if *filmsIn != "" {
		return *filmsIn
	}
	dir, err := os.UserCacheDir()
	require.NoError(t, err)
	return filepath.Join(dir, "turngauge-filmed-golfers")
}

// shoot films a golfer, unless that was done before.
func (c *cast) shoot(t *testing.T) (*annotations.Lesson, *demo.Truth) {
	t.Helper()
	dir := films(t)
	of := c.Cast
	if c.onFilms != "" {
		of.Name = c.onFilms
	}
	require.NoError(t, of.Film(t.Context(), dir, smaller, nil))
	l, _, err := annotations.Load(filepath.Join(dir, of.LessonFile()))
	require.NoError(t, err)
	truth, err := demo.LoadTruth(filepath.Join(dir, of.TruthFile()))
	require.NoError(t, err)
	return l, truth
}

// marked is the golfer's lesson as another hand marks it, off by 2 px of a picture of 1080.
func (c *cast) marked(t *testing.T, hand int) (*annotations.Lesson, *demo.Truth, *annotations.Result) {
	t.Helper()
	l, truth := c.shoot(t)
	s := &l.Swings[0]
	if c.blind {
		s.Clips = s.Clips[:1]
	}
	rnd := rand.New(rand.NewPCG(uint64(hand+1), 77))
	var marks []annotations.Mark
	for _, m := range s.Marks {
		if s.Clip(m.Clip) == nil {
			continue
		}
		at, ok := truth.Position(m.Position).Frame(m.Clip).Pixel(m.Point)
		if m.State == geometry.Placed && ok {
			sigma := 2 / float64(smaller.Shrink)
			m.At = geometry.ImagePt{X: at.X + sigma*rnd.NormFloat64(), Y: at.Y + sigma*rnd.NormFloat64()}
		}
		marks = append(marks, m)
	}
	s.Marks = marks
	for i := range s.Positions {
		var keep []annotations.FrameRef
		for _, f := range s.Positions[i].Frames {
			if s.Clip(f.Clip) != nil {
				keep = append(keep, f)
			}
		}
		s.Positions[i].Frames = keep
	}
	r, err := annotations.Evaluate(context.Background(), l, 0, annotations.Options{MarksAlone: true})
	require.NoError(t, err)
	return l, truth, r
}

// TestFilmGolfers films what the tables need ahead of them.
func TestFilmGolfers(t *testing.T) {
	if !*onlyFilm {
		t.Skip("films thirty golfers: run with -film")
	}
	for _, c := range casts() {
		if c.chosen() && c.onFilms == "" {
			c.shoot(t)
			t.Log(c.Name)
		}
	}
}
