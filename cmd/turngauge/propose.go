package main

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/annotations/teach"
	"turngauge/annotations/words"
	"turngauge/ui/propose"
)

const proposeHelp = `turngauge propose [--teach] LESSON...

Proposes key positions and marks for every swing of a lesson that has no mark yet:
address, top and impact from the strike and the motion in its clips, which must be
there, and at each the joints, club and ball that are seen in the pictures. They
stand as proposed, for the coach to take or to correct in the window, and count
in what is measured by how sure they are. The document is saved after each swing:
what was stopped goes on where it was. Marks that were moved by hand in other swings
of the lesson say where the same ones are put.

  --teach   have them move also the proposed marks that are there already and that
            nobody has touched

Exit codes: 0 proposed, or nothing was left to propose; 3 a document or a clip
can't be read; 4 nothing could be proposed.
`

func proposeMarks(r *run, c *command) int {
	fs := c.flags()
	again := fs.Bool("teach", false, "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(files) == 0 {
		return r.misuse(c, "name a lesson document")
	}
	files, code = lessonsOf(r, files)
	for _, path := range files {
		if r.ctx.Err() != nil {
			return r.fail(r.ctx.Err(), exitCanceled)
		}
		code = max(code, proposeLesson(r, path, *again))
	}
	return code
}

// proposeLesson proposes what a lesson's swings have not; again has corrections by hand move
// what was proposed before.
func proposeLesson(r *run, path string, again bool) int {
	l, err := r.load(path)
	if err != nil {
		return r.fail(err, exitInput)
	}
	p := &proposer{run: r}
	if err := p.begin(path, l); err != nil {
		return r.fail(err, exitInput)
	}
	err = p.all(r.ctx, keptFinds().Known(l))
	taught := 0
	if err == nil && again {
		taught, err = p.teach(r.ctx)
	}
	if e := p.end(); err == nil {
		err = e
	}
	switch {
	case err != nil:
		return r.fail(err, exitInput)
	case taught > 0:
	case p.wanted == 0:
		r.say("%s: every swing has marks already", path)
	case p.marks == 0:
		r.say("%s: nothing could be proposed", path)
		return exitNothing
	}
	return exitOK
}

// proposer works on the swings of one document, which no other program can write
// meanwhile.
type proposer struct {
	run    *run
	path   string
	editor *annotations.Editor
	saver  *saver.Saver

	wanted, marks int
}

func (p *proposer) begin(path string, l *annotations.Lesson) (err error) {
	p.path, p.editor = path, annotations.NewEditor(l)
	p.saver, err = saver.Open(path, func(error) {}) // what can't be saved, Flush says
	return err
}

func (p *proposer) end() error { return p.saver.Close() }

// teach has the corrections in the document move proposed marks of other swings, looks there
// for what was marked on clothes, saves it, and returns how many marks are others.
func (p *proposer) teach(ctx context.Context) (int, error) {
	o := teach.For(p.editor.Lesson())
	switch {
	case o.Empty() && o.Moved == 0:
		p.run.say("%s: no proposed mark was moved by hand, so there is nothing to teach", p.path)
		return 0, nil
	case o.Empty():
		p.run.say("%s: what was moved by hand is taught already", p.path)
		return 0, nil
	}
	moved, err := teach.Apply(p.editor, nil)
	if err != nil {
		return 0, err
	}
	placed := 0
	for _, s := range p.editor.Lesson().Swings {
		found, err := propose.Cloth(ctx, p.editor.Lesson(), s.ID, filepath.Dir(p.path))
		if err != nil {
			return 0, err
		}
		for _, m := range found {
			if err := p.editor.Apply(annotations.SetMark{Swing: s.ID, Mark: m}); err != nil {
				return 0, err
			}
		}
		placed += len(found)
	}
	p.saver.Save(p.editor.Lesson())
	if err := p.saver.Flush(); err != nil {
		return 0, fmt.Errorf("what was taught can't be saved: %w", err)
	}
	if moved > 0 {
		p.run.say("%s moved by hand taught %s: %s", words.Count(o.Moved, "mark", "marks"),
			words.Count(o.Swings, "other swing", "other swings"), words.Count(moved, "proposed mark", "proposed marks"))
	}
	if len(o.Wants) > 0 {
		p.run.say("of %s on belt and shirt %d found in other swings", words.Count(len(o.Wants), "point", "points"), placed)
	}
	return moved + placed, nil
}

// all proposes for every swing that has no marks, and saves after each. found is what is
// known of swings by their IDs.
func (p *proposer) all(ctx context.Context, found map[string]map[string]propose.Found) error {
	swings := p.editor.Lesson().Swings
	for i := range swings {
		s := &swings[i]
		if !propose.Wants(s) {
			continue
		}
		p.wanted++
		began := time.Now()
		done, err := propose.Swing(ctx, p.editor, s.ID, filepath.Dir(p.path), found[s.ID])
		if err != nil {
			return err
		}
		p.marks += done.Marks
		for _, n := range done.Notes {
			p.run.say("swing %d: %s", i+1, n)
		}
		p.saver.Save(p.editor.Lesson())
		if err := p.saver.Flush(); err != nil {
			return fmt.Errorf("what was proposed can't be saved: %w", err)
		}
		p.run.say("swing %d of %d: %s and %s proposed in %.1f s", i+1, len(swings),
			words.Count(done.Positions, "key position", "key positions"), words.Count(done.Marks, "mark", "marks"), time.Since(began).Seconds())
	}
	return nil
}
