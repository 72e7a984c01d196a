package demo

import (
	"context"
	"fmt"
	"image"
	"math"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/figure"
	"turngauge/ui/demo/practice"
	"turngauge/ui/demo/render"
	"turngauge/video"
)

const (
	// shutter is how long a picture is exposed, seconds, about its time.
	shutter = 1.0 / 1000
	// blurStep is how far what is fast may move between two instants that
	// are averaged, and bodyStep the same for the body, pixels.
	blurStep, bodyStep = 1.3, 1.4
	mostInstants       = 14
	mostBodies         = 2
)

// film is the making of one clip.
type film struct {
	model  *golfer.Model // who is filmed
	at     func(t float64) golfer.Pose
	phone  phone
	camera geometry.Camera
	stage  *render.Stage
	frames int
	rate   int // frames per second
	// teed reports whether the ball is there at a time; nil if it always is.
	teed func(t float64) bool
	// held reports of a picture that the one before stands for it; nil for none.
	held func(frame int) bool
	// strikes are what the phone hears, on the clip's clock.
	strikes []strike
	wear    figure.Wear
	cast    *Cast // nil for Mara
}

// newFilm sets the stage for a clip that runs from the phone's start to end on
// the swing's clock.
func newFilm(m *golfer.Model, p phone, o Options) *film {
	f := &film{model: m, at: m.At, phone: p, camera: scaled(p.camera, o.shrink()), rate: rate}
	f.frames = frames(p, o)
	f.strikes = []strike{{p.strikeSeconds(), 1}}
	f.stage = render.NewStage(lens(&f.camera), practice.Light(), p.seed, practice.Paint)
	return f
}

// frames returns how many pictures a phone takes.
func frames(p phone, o Options) int { return int(math.Round((o.end() - p.start) * rate)) }

// time returns the time of a picture on the swing's clock.
func (f *film) time(frame int) float64 { return f.phone.start + float64(frame)/float64(f.rate) }

// hand draws pictures of a film; each goroutine has its own.
type hand struct {
	f        *film
	renderer *render.Renderer
	beside   []*render.Mesh // somebody who stands still, nil for nobody
	bodies   [mostBodies]*figure.Body
	tools    [mostBodies][mostInstants]*figure.Tool
}

func (f *film) newHand() *hand {
	h := &hand{f: f, renderer: render.NewRenderer(f.stage)}
	for i := range h.bodies {
		h.bodies[i] = figure.NewBody(f.model, f.wear)
		for k := range h.tools[i] {
			h.tools[i][k] = figure.NewTool(f.model)
		}
	}
	if f.cast != nil && f.cast.Beside != (r3.Vec{}) {
		h.beside = bystander(f.cast.Beside)
	}
	return h
}

// draw draws one picture.
func (h *hand) draw(dst *image.RGBA, frame int) {
	f := h.f
	t := f.time(frame)
	before, after := f.at(t-shutter/2), f.at(t+shutter/2)
	perMetre := f.camera.FocalPx / r3.Norm(f.camera.Position)
	moved := func(points ...geometry.Point) float64 {
		most := 0.0
		for _, p := range points {
			most = max(most, r3.Norm(r3.Sub(after.Points[p], before.Points[p]))*perMetre)
		}
		return most
	}
	bodies := count(moved(geometry.LeadWrist, geometry.TrailWrist, geometry.TrailElbow), bodyStep, mostBodies)
	instants := count(moved(geometry.Clubhead, geometry.Ball), blurStep, mostInstants)
	instants = (instants + bodies - 1) / bodies

	exposures := make([]render.Exposure, bodies)
	for i := range exposures {
		at := t + ((float64(i)+0.5)/float64(bodies)-0.5)*shutter
		p := f.at(at)
		if f.cast != nil {
			h.bodies[i].Slip = f.cast.slip(at)
		}
		exposures[i].Body = h.bodies[i].Update(&p)
		if h.beside != nil {
			exposures[i].Body = append(slices.Clone(exposures[i].Body), h.beside...)
		}
		for k := range instants {
			q := f.at(at + ((float64(k)+0.5)/float64(instants)-0.5)*shutter/float64(bodies))
			tool := h.tools[i][k]
			meshes := tool.Update(&q)
			if f.teed != nil && !f.teed(t) || !f.sees(q.Points[geometry.Ball]) {
				meshes = tool.Club()
			}
			exposures[i].Fast = append(exposures[i].Fast, meshes)
		}
	}
	h.renderer.Draw(dst, frame, exposures, f.feet(t))
	if f.cast != nil {
		f.cast.finish(dst, frame)
	}
}

// count returns in how many steps a movement is divided.
func count(pixels, step float64, most int) int {
	return min(max(int(math.Ceil(pixels/step)), 1), most)
}

// sees reports whether a point is near enough to the picture to be drawn.
func (f *film) sees(p geometry.WorldPt) bool {
	q, err := f.camera.Project(p)
	const margin = 40
	return err == nil && q.X > -margin && q.Y > -margin &&
		q.X < float64(f.camera.Width)+margin && q.Y < float64(f.camera.Height)+margin
}

// feet returns where the golfer takes sky light from the ground.
func (f *film) feet(t float64) []render.Foot {
	p := f.at(t)
	var out []render.Foot
	for _, foot := range [2]golfer.Frame{p.LeadFoot, p.TrailFoot} {
		o := foot.At(0, 0, 0.05)
		// A raised heel lets light in.
		raised := math.Max(0, foot.O.Y-f.model.Lengths.AnkleHeight)
		out = append(out, render.Foot{X: float32(o.X), Z: float32(o.Z), Radius: 0.22, Strength: float32(0.45 * math.Exp(-raised/0.10))})
	}
	return out
}

// write draws and encodes the clip at path, calling step after each picture.
func (f *film) write(ctx context.Context, path string, step func()) (err error) {
	w, err := video.Create(path, video.WriterOptions{
		Width: f.camera.Width, Height: f.camera.Height, RateNum: f.rate, RateDen: 1,
		CRF: 19, Preset: "veryfast", GOP: 24, AudioRate: soundRate, Comment: "Turngauge demo: generated, not filmed",
	})
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			w.Abort()
		}
	}()
	sound := soundtrack(float64(f.frames)/float64(f.rate), f.strikes, f.phone.seed)
	written := 0
	err = f.each(ctx, func(frame int, im *image.RGBA) error {
		if err := w.WriteFrame(im); err != nil {
			return err
		}
		until := min((frame+1)*soundRate/f.rate, len(sound))
		if err := w.WriteAudio(sound[written:until]); err != nil {
			return err
		}
		written = until
		step()
		return nil
	})
	if err != nil {
		return err
	}
	return w.Close()
}

// each draws all pictures on all processors and hands them to use in order.
func (f *film) each(ctx context.Context, use func(frame int, im *image.RGBA) error) error {
	ctx, cancel := context.WithCancel(ctx)
	type job struct {
		frame int
		im    *image.RGBA
	}
	workers := runtime.GOMAXPROCS(0)
	free := make(chan *image.RGBA, 3*workers)
	for range cap(free) {
		free <- image.NewRGBA(image.Rect(0, 0, f.camera.Width, f.camera.Height))
	}
	done := make([]chan *image.RGBA, f.frames)
	for i := range done {
		done[i] = make(chan *image.RGBA, 1)
	}
	jobs := make(chan job)
	var wg sync.WaitGroup
	defer wg.Wait()
	defer cancel()
	wg.Go(func() {
		defer close(jobs)
		for i := range f.frames {
			if f.repeats(i) {
				continue
			}
			select {
			case im := <-free:
				select {
				case jobs <- job{i, im}:
				case <-ctx.Done():
					return
				}
			case <-ctx.Done():
				return
			}
		}
	})
	for range workers {
		wg.Go(func() {
			h := f.newHand()
			for j := range jobs {
				h.draw(j.im, j.frame)
				done[j.frame] <- j.im
			}
		})
	}
	var shown *image.RGBA
	for i := range done {
		if !f.repeats(i) {
			if shown != nil {
				free <- shown
			}
			select {
			case shown = <-done[i]:
			case <-ctx.Done():
				return ctx.Err()
			}
		}
		if err := use(i, shown); err != nil {
			return fmt.Errorf("demo: picture %d: %w", i, err)
		}
	}
	return nil
}

// repeats reports whether a picture is the one before once more.
func (f *film) repeats(frame int) bool { return frame > 0 && f.held != nil && f.held(frame) }
