package review

import (
	"cmp"
	"context"
	"image"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/paint"

	"turngauge/annotations"
	"turngauge/annotations/place"
	annotated "turngauge/annotations/review"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/review/film"
	"turngauge/ui/takehome"
	"turngauge/video/microphone"
)

// Card is the card of the lesson's reviews: they are played, mended and made films there.
type Card struct {
	room *Room
	making
	cardState
}

// cardState is what the card forgets when it closes.
type cardState struct {
	kit.Openable
	card   kit.Modal
	finish kit.Finish

	chosen string // ID of the review
	rows   []draw.Button
	of     annotated.Review // that is played
	player *player
	opened int // counts players, to tell their pictures apart

	title, caption             draw.Field
	titleOf                    string // the review whose title stands in the field
	play, begin, drop, undo    draw.Button
	cutFrom, cutTo, pauses     draw.Button
	line                       timeline
	from                       float64 // where a cut is to begin, on the list's clock; below 0 for none
	devices                    []microphone.Device
	microphone, size           draw.Segmented
	write, stopWriting, uncuts draw.Button
	uncaption                  draw.Button
}

// making is the film that is being written; it goes on while the card is closed.
type making struct {
	cancel context.CancelFunc
	busy   bool
	done   int // of 100
	up     bool
}

// Commands: what opens the card is the room's.
func (c *Card) Commands() []kit.Command { return nil }

// LessonClosed closes the card, and ends a film that is being written.
func (c *Card) LessonClosed() {
	c.close()
	if c.cancel != nil {
		c.cancel()
	}
}

func (c *Card) close() {
	if c.player != nil {
		c.player.close()
	}
	n := c.opened
	c.cardState = cardState{opened: n}
}

// Escape closes the card.
func (c *Card) Escape() bool {
	was := c.Shown
	c.close()
	return was
}

// NoticesOver reports whether the card is open: it tells of what was done on it.
func (c *Card) NoticesOver() bool { return c.Shown }

func (c *Card) open() {
	c.close()
	c.Shown, c.from = true, -1
	if all := c.list(); len(all) > 0 {
		c.chosen = all[len(all)-1].ID
	}
	n := c.opened
	c.room.host.Go("Looking for microphones", func() {
		found, err := microphone.Devices(context.Background())
		c.room.host.Post(func() {
			if err == nil && c.Shown && c.opened >= n {
				c.devices = found
			}
		})
	}, nil)
}

func (c *Card) list() annotated.List { return c.room.host.Session().Bench.Lesson().Reviews }

// load opens the review that is chosen, if it is not the one that is played as it is now.
func (c *Card) load() {
	r, ok := c.list().Find(c.chosen)
	if !ok {
		if c.player != nil {
			c.player.close()
			c.player, c.of = nil, annotated.Review{}
		}
		return
	}
	if c.player != nil && same(r, c.of) {
		return
	}
	at := 0.0
	if c.player != nil {
		if c.of.ID == r.ID {
			at = c.player.course.List(c.player.at) // where it was, after a cut as well
		}
		c.player.close()
	}
	c.opened++
	n, s := c.opened, c.room.host.Session()
	ctx, cancel := context.WithCancel(s.Context())
	p := &player{cancel: cancel, wanted: make(chan int, 1)}
	c.player, c.of = p, r
	q := c.request(r)
	q.Preview = screen
	post := func(do func()) {
		c.room.host.Post(func() {
			if c.opened == n && c.player == p {
				do()
			}
		})
	}
	c.room.host.Go("Opening the review", func() {
		f, err := film.Open(ctx, q)
		if err != nil {
			if ctx.Err() == nil {
				post(func() { p.notes = []string{bench.Title(err.Error()) + "."} })
			}
			return
		}
		defer f.Close()
		post(func() {
			p.frames, p.sound, p.course, p.notes = f.Frames(), f.Sound(), f.Course(), slices.Clone(f.Notes())
			p.at = p.course.Film(at)
			c.line.hear(p.sound, p.seconds())
			p.want()
		})
		// Two pictures in turn: one is shown while the other is drawn.
		pictures := [2]*image.RGBA{image.NewRGBA(image.Rectangle{Max: screen}), image.NewRGBA(image.Rectangle{Max: screen})}
		painters := [2]*film.Painter{f.Painter(pictures[0]), f.Painter(pictures[1])}
		for k := 0; ; k = 1 - k {
			var frame int
			select {
			case frame = <-p.wanted:
			case <-ctx.Done():
				return
			}
			if painters[k].Draw(ctx, frame) != nil {
				continue
			}
			picture, notes := paint.NewImageOp(pictures[k]), slices.Clone(f.Notes())
			shown := make(chan struct{})
			post(func() {
				p.picture, p.shown, p.notes = picture, true, notes
				close(shown)
			})
			select {
			case <-shown:
			case <-ctx.Done():
				return
			}
		}
	}, cancel)
}

// same reports whether nothing was mended between two states of a review.
func same(a, b annotated.Review) bool {
	return a.ID == b.ID && a.LongestPause == b.LongestPause && a.Seconds == b.Seconds && slices.Equal(a.Cuts, b.Cuts) && slices.Equal(a.Captions, b.Captions)
}

func (c *Card) request(r annotated.Review) film.Request {
	s, terms := c.room.host.Session(), c.room.doors.Terms()
	l := s.Bench.Lesson()
	return film.Request{
		Lesson: l, Path: s.Path, Review: r, Results: s.Settled(l),
		Targets: terms.Targets, Decided: terms.Decided, Imperial: terms.Imperial,
	}
}

// longestPause is what the button leaves of pauses, seconds. Common practice, no source.
const longestPause = 0.6

// Update takes up what was done on the card.
func (c *Card) Update(gtx layout.Context) {
	h := c.room.host
	all := c.list()
	for len(c.rows) < len(all) {
		c.rows = append(c.rows, draw.Button{})
	}
	for i := range all {
		if c.rows[i].Clicked(gtx) {
			c.chosen, c.from = all[i].ID, -1
		}
	}
	if c.begin.Clicked(gtx) {
		c.close()
		c.room.begin()
		kit.ReleaseKeys(gtx, h)
		return
	}
	if i, ok := c.microphone.Update(gtx); ok {
		h.Settings().Microphone = ""
		if i > 0 && i <= len(c.devices) {
			h.Settings().Microphone = c.devices[i-1].ID
		}
		h.KeepSettings()
	}
	if i, ok := c.size.Update(gtx); ok {
		c.up = i == 1
	}
	if c.undo.Clicked(gtx) {
		h.Run("undo")
	}
	c.load()
	if c.player != nil {
		c.mend(gtx)
	}
	if c.stopWriting.Clicked(gtx) && c.cancel != nil {
		c.cancel()
	}
	if c.finish.Update(gtx, h) {
		c.close()
	}
}

// mend plays, cuts and writes the review that is chosen.
func (c *Card) mend(gtx layout.Context) {
	p, h := c.player, c.room.host
	toggle := c.play.Clicked(gtx)
	for {
		ev, ok := gtx.Event(key.Filter{Name: key.NameSpace})
		if !ok {
			break
		}
		writing := gtx.Focused(&c.title.Editor) || gtx.Focused(&c.caption.Editor)
		if e, ok := ev.(key.Event); ok && e.State == key.Press && !writing {
			toggle = true
		}
	}
	if toggle && p.frames > 0 {
		if p.playing {
			p.stop()
		} else {
			p.play(p.at, func(do func()) { h.Go("Playing the voice", do, nil) }, func(err error) {
				h.Post(func() { h.Tell(bench.Note(bench.Title(err.Error()) + ".")) })
			})
		}
	}
	if part, ok := c.line.update(gtx); ok && p.frames > 0 {
		p.show(part * p.seconds())
	}
	if p.advance() {
		gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(time.Second / film.Rate)})
	}
	r := c.of
	c.writeTexts(gtx, r)
	if c.cutFrom.Clicked(gtx) && p.frames > 0 {
		c.from = p.course.List(p.at)
	}
	if c.cutTo.Clicked(gtx) && c.from >= 0 {
		if to := p.course.List(p.at); to-c.from > 0.05 {
			r.Cuts = merged(append(slices.Clone(r.Cuts), annotated.Span{From: c.from, To: to}))
			c.room.edit(r, "cut a passage of the review")
		} else {
			h.Tell("Go on to where the passage ends, behind where it begins.")
		}
		c.from = -1
	}
	if c.pauses.Clicked(gtx) {
		r.LongestPause = longestPause - r.LongestPause
		if r.LongestPause < 0.01 {
			r.LongestPause = 0
		}
		c.room.edit(r, "shorten the pauses of the review")
	}
	if c.uncuts.Clicked(gtx) && len(r.Cuts) > 0 {
		r.Cuts = nil
		c.room.edit(r, "bring back what was cut of the review")
	}
	if c.drop.Clicked(gtx) {
		l := h.Session().Bench.Lesson()
		kit.Edit(h, annotations.SetReviews{Reviews: l.Reviews.Without(r.ID), What: "take a review out"})
		h.Tell("The review is taken out of the lesson. " + bench.Note(h.Shortcut("undo")) + " brings it back.")
		if rest := c.list(); len(rest) > 0 {
			c.chosen = rest[len(rest)-1].ID
		}
	}
	if c.write.Clicked(gtx) {
		c.make(r)
	}
}

// A caption stands as long as it takes to be read, seconds: the least, and for each letter
// (common practice for subtitles, no source: 17 letters a second).
const (
	captionLeast  = 1.5
	captionLetter = 1 / 17.0
)

// writeTexts takes up the title of the review, and a caption for the moment that is shown.
func (c *Card) writeTexts(gtx layout.Context, r annotated.Review) {
	if c.titleOf != r.ID {
		c.titleOf = r.ID
		c.title.SingleLine, c.caption.SingleLine, c.caption.Submit = true, true, true
		c.title.SetText(r.Title)
	}
	if c.title.Edited(gtx) {
		r.Title = strings.TrimSpace(c.title.Text())
		c.of.Title = r.Title
		l := c.room.host.Session().Bench.Lesson()
		kit.Edit(c.room.host, annotations.SetReviews{Reviews: l.Reviews.With(r), What: "name the review", Gesture: uint64(c.opened)})
	}
	if c.caption.Entered(gtx) && c.player.frames > 0 {
		if text := strings.TrimSpace(c.caption.Text()); text != "" {
			from := c.player.course.List(c.player.at)
			to := from + max(captionLeast, captionLetter*float64(len([]rune(text))))
			r.Captions = captioned(r.Captions, annotated.Caption{From: from, To: to, Text: text})
			c.caption.SetText("")
			c.room.edit(r, "write a caption of the review")
		}
	}
	if c.uncaption.Clicked(gtx) && len(r.Captions) > 0 {
		r.Captions = nil
		c.room.edit(r, "take out the captions of the review")
	}
}

// captioned puts a caption among others, which make room for it.
func captioned(all []annotated.Caption, add annotated.Caption) (out []annotated.Caption) {
	for _, o := range all {
		switch {
		case o.From < add.From:
			o.To = min(o.To, add.From)
		default:
			o.From = max(o.From, add.To)
		}
		if o.To-o.From > 0.1 { // shorter than can be seen
			out = append(out, o)
		}
	}
	out = append(out, add)
	slices.SortFunc(out, func(a, b annotated.Caption) int { return cmp.Compare(a.From, b.From) })
	return out
}

// merged puts cuts in order and joins those that overlap.
func merged(cuts []annotated.Span) (out []annotated.Span) {
	slices.SortFunc(cuts, func(a, b annotated.Span) int { return cmp.Compare(a.From, b.From) })
	for _, s := range cuts {
		if n := len(out); n > 0 && s.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, s.To)
			continue
		}
		out = append(out, s)
	}
	return out
}

// make writes the film of a review beside the lesson. Nothing that is there is replaced.
func (c *Card) make(r annotated.Review) {
	if c.busy {
		return
	}
	h := c.room.host
	s := h.Session()
	l := s.Bench.Lesson()
	q := c.request(r)
	q.Burn = len(r.Captions) > 0
	if c.up {
		q.Size = takehome.Phone
	}
	q.MP4 = place.FreeName(filepath.Join(filepath.Dir(s.Path), kit.FileName(l.Student.Name, l.Date, "review")+".mp4"))
	ctx, cancel := context.WithCancel(s.Context())
	c.making = making{cancel: cancel, busy: true, up: c.up}
	q.Progress = func(done, total int) {
		h.Post(func() { c.done = 100 * done / total })
	}
	h.Go("Making the film", func() {
		notes, err := film.Write(ctx, q)
		stopped := ctx.Err() != nil
		cancel()
		h.Post(func() {
			c.busy = false
			switch {
			case stopped:
				h.Tell("The film was not written.")
			case err != nil:
				h.Alert(bench.Title(strings.TrimSuffix(err.Error(), ".")) + ".")
			default:
				h.Tell(bench.Note(strings.Join(append([]string{"The film is beside the lesson: " + filepath.Base(q.MP4) + "."}, notes...), " ")))
			}
		})
	}, func() { cancel(); c.busy = false })
}
