package demo

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/figure"
)

// A Cast is any golfer in any clothes, to be filmed as those of the demo are, with truth:
// for tests and tables of what is read from the pictures.
type Cast struct {
	// Name begins the names of the files: NAME-lesson.json, NAME-truth.json and the clips.
	// Another Cast in the same folder has another one.
	Name   string
	Golfer golfer.Params
	Wear   figure.Wear
	// SlipM is by how much belt and trousers have slipped over the pelvis at impact, metres
	// at the belt: none until slipLate before it, evenly more from there, and no more
	// after. Buckle and tailbone are marked where they are seen, which is on the belt.
	SlipM float64
	// LeftHanded golfers are right-handed ones in the mirror.
	LeftHanded bool
	// Dark pictures are two stops darker, and noisy.
	Dark bool
	// Beside is where somebody taller stands, metres from the golfer; zero is nobody.
	Beside r3.Vec
	// Rate is frames per second; 0 is the demo's.
	Rate int
	Seed uint64 // of the marks
}

const (
	slipLate = 0.15 // seconds
	// darkNoise is that of a dark picture, steps of 255, one standard deviation.
	darkNoise = 6
)

// slipRadius is where the belt lies about the pelvis' axis, metres, of a slim golfer of 1.72 m.
const slipRadius = 0.127

// slip is by how much the clothes have turned on the pelvis at a time, radians.
func (c *Cast) slip(t float64) float64 {
	return c.SlipM / slipRadius * math.Min(math.Max(1+(t-golfer.ImpactTime)/slipLate, 0), 1)
}

// LessonFile and TruthFile are the names of the files that are made.
func (c *Cast) LessonFile() string { return c.Name + "-lesson.json" }

// TruthFile is the name of the file with what is known of the swing.
func (c *Cast) TruthFile() string { return c.Name + "-truth.json" }

// Film makes the clips of the swing, a lesson in which all is marked, and its truth in dir.
// Where dir holds them already, and whole, it does nothing, whatever else of c has changed:
// who changes a golfer changes the name.
func (c *Cast) Film(ctx context.Context, dir string, o Options, progress func(done, total int)) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("%s can't be made: %w", dir, err)
	}
	s := set{params: c.Golfer, visit: visits[0], prefix: c.Name + "-", marked: c.LessonFile(), truth: c.TruthFile(), seed: c.Seed, cast: c}
	if s.complete(dir, o) {
		return nil
	}
	done, total := 0, 0
	for _, p := range phones() {
		total += s.frames(p, o)
	}
	if err := os.Remove(filepath.Join(dir, c.LessonFile())); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("the old %s in %s can't be replaced: %w", c.LessonFile(), dir, err)
	}
	return s.create(ctx, dir, o, func() {
		done++
		if progress != nil {
			progress(done, total)
		}
	})
}

// dress makes a film that of the cast.
func (c *Cast) dress(f *film) {
	f.wear, f.cast = c.Wear, c
	f.at = func(t float64) golfer.Pose {
		p := f.model.At(t)
		if slip := c.slip(t); slip != 0 {
			sin, cos := math.Sincos(slip)
			for _, pt := range []geometry.Point{geometry.Buckle, geometry.Tailbone} {
				lead, up, front := p.Pelvis.In(p.Points[pt])
				p.Points[pt] = p.Pelvis.At(lead*cos-front*sin, up, lead*sin+front*cos)
			}
		}
		return p
	}
	if c.Rate != 0 {
		f.frames, f.rate = f.frames*c.Rate/rate, c.Rate
	}
}

// student is who the lesson is of.
func (c *Cast) student(l *annotations.Lesson) {
	l.Student.Name = "Cast " + c.Name
	l.Student.StatureM = c.Golfer.Stature
	l.Student.MassKg = c.Golfer.MassKg
	if c.LeftHanded {
		l.Student.Handed = geometry.LeftHanded
	}
}

// finish does to a drawn picture what the golfer's clip has of its own.
func (c *Cast) finish(im *image.RGBA, frame int) {
	w, h := im.Rect.Dx(), im.Rect.Dy()
	if c.LeftHanded {
		for y := range h {
			row := im.Pix[y*im.Stride:]
			for a, b := 0, w-1; a < b; a, b = a+1, b-1 {
				for k := range 4 {
					row[4*a+k], row[4*b+k] = row[4*b+k], row[4*a+k]
				}
			}
		}
	}
	if !c.Dark {
		return
	}
	rnd := rand.New(rand.NewPCG(c.Seed, uint64(frame)))
	for y := range h {
		row := im.Pix[y*im.Stride:][:4*w]
		for i := 0; i < len(row); i += 4 {
			n := darkNoise * rnd.NormFloat64()
			for k := range 3 {
				row[i+k] = uint8(math.Min(math.Max(float64(row[i+k])/3+n, 0), 255))
			}
		}
	}
}

// seen changes what a picture shows: of a left-hander, in the mirror, and under a shirt no
// belt.
func (c *Cast) seen(t *TruthFrame, width int) {
	if c.Wear.Untucked {
		t.Visible[geometry.Buckle.String()], t.Visible[geometry.Tailbone.String()] = false, false
	}
	if !c.LeftHanded {
		return
	}
	for name, p := range t.Pixels {
		t.Pixels[name] = [2]float64{float64(width) - p[0], p[1]}
	}
}

// known is what of a clip is written into the truth: of a left-hander, in the mirror.
func (c *Cast) known(t *TruthClip) {
	if !c.LeftHanded {
		return
	}
	for i := range t.StickEndsPx {
		t.StickEndsPx[i][0] = float64(t.Width) - t.StickEndsPx[i][0]
	}
}
