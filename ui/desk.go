package ui

import (
	"context"
	"fmt"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/fault"
	"turngauge/ui/session"
	"turngauge/video"
	"turngauge/video/sound"
)

// desk is an open lesson: its editor and saver, the swing on the bench, the
// opened clips and what was measured.
type desk struct {
	*session.Session
	saver *annotations.Saver
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
	if !a.versions.Ask(path) {
		a.loadLesson(path)
	}
}

// loadLesson puts the document at a path on the desk.
func (a *App) loadLesson(path string) {
	l, warnings, err := annotations.Load(path)
	if err != nil {
		a.notices.Alert(err.Error())
		return
	}
	a.startDesk(path, l)
	for _, w := range warnings {
		a.notices.Tell(bench.Note(w))
	}
}

// restoreLesson opens a lesson that came from elsewhere than its path, and saves it
// there as soon as that can be written.
func (a *App) restoreLesson(path string, l *annotations.Lesson) {
	a.startDesk(path, l)
	if a.desk != nil {
		a.desk.saver.Save(l)
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
		a.work.Post(func() { a.notices.Alert(err.Error()) })
	})
	if err != nil {
		a.notices.Alert(err.Error())
		return
	}
	ctx, stop := context.WithCancel(context.Background())
	a.plan.made = false
	d := &desk{Session: &session.Session{Path: path}, saver: saver, ctx: ctx, stop: stop}
	d.Bench, d.swing = bench.New(annotations.NewEditor(l), l.Swings[0].ID), l.Swings[0].ID
	d.fitter = newFitter(&a.work.Mailbox, func(f fitted) { a.fitDone(d, f) }, func(adv advised) { a.adviceDone(d, adv) },
		func(f *fault.Error) { a.work.Faulty("Measuring", f, nil) })
	a.desk = d
	a.dirs.Remember(path, l)
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
		a.notices.Alert(err.Error())
	}
	a.libraryCloses(d)
}

// followLesson brings the desk into line with a lesson that undo or redo has
// changed: another swing may be on the bench, and clips come and go.
func (a *App) followLesson() {
	d := a.desk
	if id := d.Bench.Swing().ID; id != d.swing {
		a.showSwing(id)
		return
	}
	for i := range d.clips {
		if d.Bench.Stages[i].Clip != d.clips[i] {
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
	d.Bench, d.swing = bench.New(d.Bench.Editor(), id), id
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
	l := a.desk.Bench.Lesson()
	i := l.SwingIndex(a.desk.Bench.Swing().ID)
	a.showSwing(l.Swings[(i+1)%len(l.Swings)].ID)
}

// changed sends a lesson that has changed to be saved and solved.
func (a *App) changed() {
	d := a.desk
	e := d.Bench.Editor()
	if e.Revision() == d.revision && d.asked {
		return
	}
	if e.Revision() != d.revision {
		d.saver.Save(e.Lesson())
		a.shelf.Touch(d.Path, e.Lesson(), false, false)
	}
	d.revision, d.asked = e.Revision(), true
	r := fitRequest{lesson: e.Lesson(), swing: d.Bench.Swing().ID, revision: d.revision, imperial: a.settings.Imperial, targets: a.targets, rules: a.rules}
	if d.other != nil {
		r.previous = d.other.result
	}
	d.fitter.request(r)
}

// fitDone takes a result of the fit.
func (a *App) fitDone(d *desk, f fitted) {
	if a.desk != d {
		return
	}
	d.result = f
	d.Bench.SetAdvice(f.advice)
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
	for i := range d.Bench.Stages {
		st := &d.Bench.Stages[i]
		if d.films[i] != nil && st.Film == nil {
			d.films[i].close()
			d.films[i], d.waves[i] = nil, nil
		}
		d.errors[i], d.clips[i] = "", st.Clip
		if st.Clip == "" || st.Film != nil {
			continue
		}
		c := d.Bench.Swing().Clip(st.Clip)
		if c.File == "" {
			d.errors[i] = "This clip has no file. Drop the file on the window to show it."
			continue
		}
		clip, path, filmed := st.Clip, c.PathIn(filepath.Dir(d.Path)), c.FilmedFPS
		a.work.Go("Opening "+path, func() { a.openFilm(d, i, clip, path, filmed) }, nil)
	}
}

// openFilm opens one file, filmed at a rate as in annotations.Clip, on its own
// goroutine and hands it to the stage.
func (a *App) openFilm(d *desk, stage int, clip, path string, filmed float64) {
	src, err := video.OpenContext(d.ctx, path)
	if err != nil {
		a.work.Post(func() {
			if a.desk == d {
				d.errors[stage] = err.Error()
			}
		})
		return
	}
	src.SetFilmed(filmed)
	f := a.newFilm(src)
	a.work.Post(func() {
		st := &d.Bench.Stages[stage]
		if a.desk != d || st.Clip != clip || st.Film != nil {
			f.close()
			return
		}
		if c := d.Bench.Swing().Clip(clip); c.Width != f.info.Width || c.Height != f.info.Height {
			d.errors[stage] = fmt.Sprintf("%s is %d × %d, but the lesson was marked on a clip of %d × %d. Find the clip that belongs to it.",
				filepath.Base(path), f.info.Width, f.info.Height, c.Width, c.Height)
			f.close()
			return
		}
		d.films[stage] = f
		d.Bench.OpenFilm(stage, f)
		for _, w := range f.info.Warnings {
			a.notices.Tell(bench.Note(w))
		}
		if filmed == 0 && f.info.SlowedBy() != 1 {
			a.notices.Tell("In this lesson the clip's times count as they are played, so tempo and speeds are not those of life.")
		}
		a.work.Go("Listening for the strike", func() { a.listen(d, stage, f, path) }, nil)
	})
}

// newFilm makes the film of an opened clip.
func (a *App) newFilm(src *video.Source) *film {
	f := &film{source: src, info: src.Info(), wanted: -1, closed: make(chan struct{})}
	f.reader = video.NewReader(src, video.ReaderOptions{Budget: a.budget, OnReady: a.work.Wake})
	a.work.Go("Watching "+f.info.Path, func() { a.watch(f) }, nil)
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
	a.work.Post(func() {
		if a.desk != d || d.films[stage] != f {
			return
		}
		d.waves[stage] = wave
		if len(strikes) == 0 {
			return
		}
		unsure := strikes[0].Confidence < sound.Sure
		d.Bench.HearStrike(stage, f.source.Life(strikes[0].Seconds+snd.Start), unsure)
		if unsure {
			a.notices.Tell(bench.Note(fmt.Sprintf("The strike can't be told for sure in the %s clip's sound: look at the hollow 6 on its time rail, drag it to impact or press Enter on it.", d.Bench.Stages[stage].View)))
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
