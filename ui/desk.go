package ui

import (
	"context"
	"fmt"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/fault"
	"turngauge/video"
	"turngauge/video/sound"
)

// desk is an open lesson: its editor and saver, the swing on the bench, the
// opened clips and what was measured.
type desk struct {
	path  string // of the lesson document
	saver *annotations.Saver
	bench *bench.Bench
	swing string // the ID of the one on the bench
	reels
	clips [bench.NumStages]string // IDs of those that films were opened for

	fitter   *fitter
	result   fitted
	revision uint64 // of the lesson last sent to the fitter and the saver
	asked    bool   // whether any was

	proposals [bench.NumStages]proposal

	other     *other            // the swing compared with, or nil
	comparing *bench.Comparison // while its pictures are beside the bench's

	follow following // the marks being proposed
	sights sights    // what was seen in pictures

	strip stripState
	ctx   context.Context
	stop  context.CancelFunc
}

// openLesson puts a lesson document on the desk, or asks which version of it.
func (a *App) openLesson(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	if !a.askSpare(path) {
		a.loadLesson(path)
	}
}

// loadLesson puts the document at a path on the desk.
func (a *App) loadLesson(path string) {
	l, warnings, err := annotations.Load(path)
	if err != nil {
		a.alert(err.Error())
		return
	}
	a.startDesk(path, l)
	for _, w := range warnings {
		a.tell(bench.Note(w))
	}
}

// startDesk begins work on a lesson.
func (a *App) startDesk(path string, l *annotations.Lesson) {
	a.closeLesson()
	if len(l.Swings) == 0 {
		l = l.Clone()
		l.Swings = append(l.Swings, annotations.Swing{ID: annotations.NewID(), Label: "Swing 1"})
	}
	saver, err := annotations.OpenSaver(path, func(err error) {
		a.box.post(func() { a.alert(err.Error()) })
	})
	if err != nil {
		a.alert(err.Error())
		return
	}
	ctx, stop := context.WithCancel(context.Background())
	a.plan.made = false
	d := &desk{path: path, saver: saver, ctx: ctx, stop: stop}
	d.bench, d.swing = bench.New(annotations.NewEditor(l), l.Swings[0].ID), l.Swings[0].ID
	d.fitter = newFitter(&a.box, func(f fitted) { a.fitDone(d, f) }, func(adv advised) { a.adviceDone(d, adv) },
		func(f *fault.Error) { a.faulty("Measuring", f, nil) })
	a.desk = d
	a.places.remember(path, l)
	a.libraryOpens(d)
	a.openFilms()
	a.lookBack(d)
	a.changed()
}

// closeLesson saves and puts the lesson away.
func (a *App) closeLesson() {
	d := a.desk
	if d == nil {
		return
	}
	a.desk = nil
	a.putAway()
	d.stop()
	d.fitter.close()
	for _, f := range d.films {
		if f != nil {
			f.close()
		}
	}
	if d.other != nil {
		d.other.close()
	}
	if err := d.saver.Close(); err != nil {
		a.alert(err.Error())
	}
	a.libraryCloses(d)
	a.home.refresh(a)
}

// putAway closes what was open for the lesson that is being closed.
func (a *App) putAway() {
	a.points.open, a.repeats.open, a.tour.on, a.intake.open = false, false, false, false
	a.compare, a.shots = compareCard{}, shotsCard{}
	a.sheet.Changes = false
	// A clip, a sheet or a still on its way is left, or finished, on its own.
	a.findings = findingsPanel{}
	x := &a.explain
	x.on, x.typing, x.save.open = false, false, false
	x.of, x.board = nil, nil
	x.layouts, x.frames = [bench.NumStages]*explain.Layout{}, [bench.NumStages]keptFrame{}
	for i := range a.stages {
		a.stages[i].held = false
	}
}

// followLesson brings the desk into line with a lesson that undo or redo has
// changed: another swing may be on the bench, and clips come and go.
func (a *App) followLesson() {
	d := a.desk
	if id := d.bench.Swing().ID; id != d.swing {
		a.showSwing(id)
		return
	}
	for i := range d.clips {
		if d.bench.Stages[i].Clip != d.clips[i] {
			a.openFilms()
			return
		}
	}
}

// showSwing puts another swing of the lesson on the bench.
func (a *App) showSwing(id string) {
	d := a.desk
	d.comparing = nil
	if d.follow.cancel != nil {
		d.follow.cancel() // its marks are of the swing before
	}
	d.bench, d.swing = bench.New(d.bench.Editor(), id), id
	d.strip = stripState{}
	for i := range d.proposals {
		if cancel := d.proposals[i].cancel; cancel != nil {
			cancel()
		}
		d.proposals[i] = proposal{}
	}
	d.result = fitted{}
	d.asked = false
	for i, f := range d.films {
		if f != nil {
			f.close()
		}
		d.films[i], d.waves[i] = nil, nil
	}
	a.openFilms()
	a.changed()
}

// nextSwing puts the lesson's next swing on the bench, round and round.
func (a *App) nextSwing() {
	l := a.desk.bench.Lesson()
	i := l.SwingIndex(a.desk.bench.Swing().ID)
	a.showSwing(l.Swings[(i+1)%len(l.Swings)].ID)
}

// changed sends a lesson that has changed to be saved and solved.
func (a *App) changed() {
	d := a.desk
	e := d.bench.Editor()
	if e.Revision() == d.revision && d.asked {
		return
	}
	if e.Revision() != d.revision {
		d.saver.Save(e.Lesson())
		if a.keeper != nil {
			a.keeper.touch(d.path, e.Lesson(), false, false)
		}
	}
	d.revision, d.asked = e.Revision(), true
	r := fitRequest{lesson: e.Lesson(), swing: d.bench.Swing().ID, revision: d.revision, imperial: a.settings.Imperial, targets: a.targets, rules: a.rules}
	if d.other != nil {
		r.previous = d.other.measures
	}
	d.fitter.request(r)
}

// fitDone takes a result of the fit.
func (a *App) fitDone(d *desk, f fitted) {
	if a.desk != d {
		return
	}
	d.result = f
	d.bench.SetAdvice(f.advice)
}

// suspects returns the marks of the last fit that don't agree with the others.
func (d *desk) suspects() []suspect { return d.result.suspects }

// clipFolder returns the folder of the lesson's first clip, to look for more.
func (d *desk) clipFolder() string {
	for i := range d.films {
		if d.films[i] != nil {
			return filepath.Dir(d.films[i].info.Path)
		}
	}
	return ""
}

// openFilms opens, in the background, the files of clips that are on a stage
// and not open yet, and closes those whose clip has gone.
func (a *App) openFilms() {
	d := a.desk
	for i := range d.bench.Stages {
		st := &d.bench.Stages[i]
		if d.films[i] != nil && st.Film == nil {
			d.films[i].close()
			d.films[i], d.waves[i] = nil, nil
		}
		d.errors[i], d.clips[i] = "", st.Clip
		if st.Clip == "" || st.Film != nil {
			continue
		}
		c := d.bench.Swing().Clip(st.Clip)
		if c.File == "" {
			d.errors[i] = "This clip has no file. Drop the file on the window to show it."
			continue
		}
		clip, path := st.Clip, c.PathIn(filepath.Dir(d.path))
		a.work("Opening "+path, func() { a.openFilm(d, i, clip, path) }, nil)
	}
}

// openFilm opens one file on its own goroutine and hands it to the stage.
func (a *App) openFilm(d *desk, stage int, clip, path string) {
	src, err := video.OpenContext(d.ctx, path)
	if err != nil {
		a.box.post(func() {
			if a.desk == d {
				d.errors[stage] = err.Error()
			}
		})
		return
	}
	f := a.newFilm(src)
	a.box.post(func() {
		st := &d.bench.Stages[stage]
		if a.desk != d || st.Clip != clip || st.Film != nil {
			f.close()
			return
		}
		if c := d.bench.Swing().Clip(clip); c.Width != f.info.Width || c.Height != f.info.Height {
			d.errors[stage] = fmt.Sprintf("%s is %d × %d, but the lesson was marked on a clip of %d × %d. Find the clip that belongs to it.",
				filepath.Base(path), f.info.Width, f.info.Height, c.Width, c.Height)
			f.close()
			return
		}
		d.films[stage] = f
		d.bench.OpenFilm(stage, f)
		for _, w := range f.info.Warnings {
			a.tell(bench.Note(w))
		}
		a.work("Listening for the strike", func() { a.listen(d, stage, f, path) }, nil)
	})
}

// newFilm makes the film of an opened clip.
func (a *App) newFilm(src *video.Source) *film {
	f := &film{source: src, info: src.Info(), wanted: -1, closed: make(chan struct{})}
	f.reader = video.NewReader(src, video.ReaderOptions{Budget: a.budget, OnReady: a.box.wake})
	a.work("Watching "+f.info.Path, func() { a.watch(f) }, nil)
	return f
}

// wavePoints is how finely the sound level is kept along a clip.
const wavePoints = 2000

// listen finds the strike in a clip's sound.
func (a *App) listen(d *desk, stage int, f *film, path string) {
	if !f.info.HasAudio {
		return
	}
	snd, err := video.ReadAudio(d.ctx, path)
	if err != nil || len(snd.Samples) == 0 {
		return
	}
	wave := sound.Envelope(alongClip(snd, f.info.Duration.Seconds()), wavePoints)
	strikes := sound.FindStrikes(snd.Samples, snd.Rate)
	a.box.post(func() {
		if a.desk != d || d.films[stage] != f {
			return
		}
		d.waves[stage] = wave
		if len(strikes) == 0 {
			return
		}
		unsure := strikes[0].Confidence < sound.Sure
		d.bench.HearStrike(stage, strikes[0].Seconds+snd.Start, unsure)
		if unsure {
			a.tell(bench.Note(fmt.Sprintf("The strike can't be told for sure in the %s clip's sound: look at the hollow 6 on its time rail, drag it to impact or press Enter on it.", d.bench.Stages[stage].View)))
		}
	})
}

// alongClip returns the sound from the first to the last shown frame, with
// silence where there is none.
func alongClip(snd *video.Audio, seconds float64) []float32 {
	n := int(seconds * float64(snd.Rate))
	from := int(-snd.Start * float64(snd.Rate))
	if n <= 0 || from >= len(snd.Samples) {
		return nil
	}
	out := make([]float32, n)
	if from < 0 {
		if -from < n {
			copy(out[-from:], snd.Samples)
		}
		return out
	}
	copy(out, snd.Samples[from:])
	return out
}
