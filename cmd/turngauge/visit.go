package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/ui/profile"
	"turngauge/ui/propose"
	"turngauge/ui/visit"
)

const visitHelp = `turngauge visit FOLDER|CLIP... --student NAME [--handed left] [--stature CM]
                [--club NAME] [--label TEXT] [--like LESSON] [--practice] [--watch]
                [--out LESSON] [--json | --csv]

Takes in what was filmed in a visit: finds the swings in clips and in long takes, by
their strikes and the golfer's motion before them, and which of them are one swing
seen from two sides; proposes key positions and marks; writes the lesson document;
and measures. Neighbours' strikes are told from the student's. Nothing is cut,
copied or moved. What was stopped goes on where it was, and clips that have come
since are added to what is there.

  --student NAME  whose visit it is. Hand, height and club of a student who is in your
                  library are known; of two of one name, say the id
  --handed left   of a left-hander
  --stature CM    the student's height in shoes
  --club NAME     the club of all swings, such as 7-iron
  --label TEXT    what was tried; without it "full swing". Swings of one label and
                  club are a series
  --like LESSON   take student and club from a lesson document
  --practice      swings without a ball too, labelled "practice swing"; all of the
                  takes is looked through for them
  --watch         go on with the clips that come into the folder, as soon as they no
                  longer grow, until Ctrl+C
  --out LESSON    where to write; without it visit-DATE.json beside the first clip
  --json, --csv   print the measures as measure does

Exit codes: as of measure; 3 also where a clip can't be read, 4 where no swing is
found.
`

// visitFlags are what visit was told.
type visitFlags struct {
	student, handed, club, label, like, out string
	stature                                 float64
	practice, json, csv, watch              bool
}

func takeVisit(r *run, c *command) int {
	fs := c.flags()
	var f visitFlags
	fs.StringVar(&f.student, "student", "", "")
	fs.StringVar(&f.handed, "handed", "", "")
	fs.Float64Var(&f.stature, "stature", 0, "")
	fs.StringVar(&f.club, "club", "", "")
	fs.StringVar(&f.label, "label", visit.FullSwing, "")
	fs.StringVar(&f.like, "like", "", "")
	fs.StringVar(&f.out, "out", "", "")
	fs.BoolVar(&f.practice, "practice", false, "")
	fs.BoolVar(&f.watch, "watch", false, "")
	fs.BoolVar(&f.json, "json", false, "")
	fs.BoolVar(&f.csv, "csv", false, "")
	named, code, done := r.parse(c, fs)
	if done {
		return code
	}
	switch {
	case len(named) == 0:
		return r.misuse(c, "name the folder with the clips, or the clips")
	case f.student == "" && f.like == "":
		return r.misuse(c, "say whose visit it is, with --student")
	case f.handed != "" && f.handed != "left" && f.handed != "right":
		return r.misuse(c, "--handed is left or right, not %q", f.handed)
	case f.stature != 0 && !(f.stature >= 80 && f.stature <= 260):
		return r.misuse(c, "--stature is in centimetres, from 80 to 260, not %g", f.stature)
	case f.watch && (len(named) != 1 || !place.IsFolder(named[0])):
		return r.misuse(c, "--watch takes one folder")
	case f.json && f.csv:
		return r.misuse(c, "say one of --json and --csv")
	}
	clips, err := clipsOf(named)
	switch {
	case err != nil:
		return r.fail(err, exitInput)
	case len(clips) == 0 && !f.watch:
		r.say("%s holds no clip: name a folder that does", named[0])
		return exitInput
	}
	if f.out == "" {
		folder, day := named[0], time.Now().Format(time.DateOnly)
		if len(clips) > 0 {
			folder, day = filepath.Dir(clips[0]), filmedOn(clips[0])
		}
		f.out = filepath.Join(folder, "visit-"+day+".json")
	}
	code = exitOK
	if len(clips) > 0 {
		code = visitOnce(r, clips, &f)
	}
	if !f.watch {
		return code
	}
	watcher := visit.NewWatcher(named[0], clips)
	r.say("watching %s; Ctrl+C ends", watcher.Folder())
	watcher.Run(r.ctx, func(clips []string) { visitOnce(r, clips, &f) }, func(err error) { r.say("%v", err) })
	return r.fail(r.ctx.Err(), exitCanceled)
}

// visitOnce takes in clips, and measures.
func visitOnce(r *run, clips []string, f *visitFlags) int {
	if code := takeIn(r, clips, f); code != exitOK {
		return code
	}
	var out printer = &tables{run: r}
	switch {
	case f.json:
		out = &objects{run: r}
	case f.csv:
		out = &csvRows{w: csv.NewWriter(r.stdout)}
	}
	if err := out.begin(); err != nil {
		return r.fail(fmt.Errorf("the measures can't be written: %w", err), exitFailed)
	}
	return measureAll(r, []string{f.out}, how{targets: annotations.DefaultTargets()}, 1, out)
}

// clipsOf lists the clips that are named, and those in folders that are.
func clipsOf(named []string) ([]string, error) {
	var out []string
	for _, path := range named {
		if !place.IsFolder(path) {
			out = append(out, path)
			continue
		}
		in, err := visit.Clips(path)
		if err != nil {
			return nil, err
		}
		out = append(out, in...)
	}
	return out, nil
}

// filmedOn is the day of a clip's file.
func filmedOn(path string) string {
	at := time.Now()
	if info, err := os.Stat(path); err == nil {
		at = info.ModTime()
	}
	return at.Format(time.DateOnly)
}

// takeIn writes the lesson document of a visit, or goes on with one that is there.
func takeIn(r *run, clips []string, f *visitFlags) int {
	l := annotations.NewLesson()
	if exists(f.out) {
		var err error
		if l, err = r.load(f.out); err != nil {
			return r.fail(err, exitInput)
		}
		r.say("going on with %s", f.out)
		clips = slices.DeleteFunc(clips, func(path string) bool { return visit.Holds(l, f.out, path) })
	} else {
		l.Title, l.Date = "Visit", filmedOn(clips[0])
	}
	club, err := f.about(r, l)
	if err != nil {
		return r.fail(err, exitInput)
	}
	p := &proposer{run: r}
	if err := p.begin(f.out, l); err != nil {
		return r.fail(err, exitInput)
	}
	err = func() error {
		found, err := p.find(clips, f, club)
		if err != nil {
			return err
		}
		return p.all(r.ctx, found)
	}()
	if e := p.end(); err == nil {
		err = e
	}
	switch {
	case err != nil:
		return r.fail(err, exitInput)
	case len(p.editor.Lesson().Swings) == 0:
		_ = os.Remove(f.out) // it holds nothing
		r.say("no swing is found in what was named")
		return exitNothing
	}
	r.say("the lesson is %s", f.out)
	return exitOK
}

// find finds the swings in clips, adds them to the lesson and saves it. It returns what
// is known of each.
func (p *proposer) find(clips []string, f *visitFlags, club annotations.Club) (map[string]map[string]propose.Found, error) {
	if len(clips) == 0 {
		return keptFinds().Known(p.editor.Lesson()), nil
	}
	began := time.Now()
	bar := &progressBar{w: p.run.stderr, live: isTerminal(p.run.stderr), doing: "finding the swings"}
	v, err := visit.Look(p.run.ctx, clips, visit.Options{
		Practice: f.practice, Kept: keptFinds(),
		Progress: func(part float64) { bar.show(int(1000*part), 1000) },
	})
	bar.end()
	if err != nil {
		return nil, err
	}
	for _, n := range v.Notes {
		p.run.say("%s", n)
	}
	v.After(p.editor.Lesson(), keptFinds())
	for _, s := range v.Standing() {
		p.run.say("%s", s)
	}
	swings, found := v.Swings(filepath.Dir(p.path), f.label, club)
	p.editor.Begin("add the swings of a visit")
	for _, s := range swings {
		if err := p.editor.Apply(annotations.AddSwing{Swing: s}); err != nil {
			p.editor.Cancel()
			return nil, err
		}
	}
	p.editor.End()
	if len(swings) == 0 {
		return nil, nil
	}
	both := 0
	for _, s := range swings {
		if len(s.Clips) == len(v.Rows[0].Shots) {
			both++
		}
	}
	took := time.Since(began).Seconds()
	for id, known := range keptFinds().Known(p.editor.Lesson()) {
		if found[id] == nil { // of a swing that was taken in before
			found[id] = known
		}
	}
	p.saver.Save(p.editor.Lesson())
	if err := p.saver.Flush(); err != nil {
		return nil, err
	}
	p.run.say("%s found in %.1f s, %d of them from both sides", words.Count(len(swings), "swing", "swings"), took, both)
	return found, nil
}

// keptFinds is where what was found in clips is kept.
func keptFinds() visit.Kept { return visit.Kept(profile.Standard().Swings()) }
