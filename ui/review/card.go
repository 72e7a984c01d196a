package review

import (
	"context"
	"image"
	"path/filepath"
	"slices"
	"strings"

	"gioui.org/layout"
	"gioui.org/op/paint"

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
	tall   int // of the picture at most, pixels
	finish kit.Finish

	chosen string // ID of the review
	rows   []draw.Button
	of     annotated.Review // that is played
	player *player
	opened int     // counts players, to tell their pictures apart
	starts float64 // where the next one begins, on the review's clock

	mending
	title, caption    draw.Field
	titleOf           string // the review whose title stands in the field
	captionOf         string // the caption that was put into the field
	play, begin, drop draw.Button
	line              timeline
	devices           []microphone.Device
	microphone        draw.Segmented
	wished
	write, stopWriting draw.Button
	uncaption          draw.Button
}

// making is the film that is being written; it goes on while the card is closed.
type making struct {
	cancel context.CancelFunc
	busy   bool
	done   int // of 100
	wishes
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
	c.Shown = true
	c.forget()
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

// openAt opens the card at a time of a review's clock.
func (c *Card) openAt(id string, at float64) {
	c.open()
	if _, ok := c.list().Find(id); ok {
		c.chosen, c.starts = id, at
	}
}

// Seconds is how long the review is that can be played, 0 where none can.
func (c *Card) Seconds() float64 {
	if c.player == nil || !c.player.shown {
		return 0
	}
	return c.player.seconds()
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
	at := c.starts
	c.starts = 0
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
	old := c.player
	kept := old != nil && sameTime(r, c.of)
	if kept { // mending goes on meanwhile
		p.frames, p.sound, p.course, p.recorded, p.picture, p.shown, p.at = old.frames, old.sound, old.course, old.recorded, old.picture, old.shown, old.at
	}
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
			p.frames, p.sound, p.course, p.recorded, p.notes = f.Frames(), f.Sound(), f.Course(), f.Recorded(), slices.Clone(f.Notes())
			if !kept {
				p.at = p.course.Film(at)
			}
			c.line.hear(p.sound)
			c.marks, c.drawings = marks(q.Lesson, p.recorded, p.course), p.recorded.Appearances()
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
	return a.ID == b.ID && a.LongestPause == b.LongestPause && a.Seconds == b.Seconds && slices.Equal(a.Cuts, b.Cuts) && slices.Equal(a.Captions, b.Captions) &&
		slices.Equal(a.Silenced, b.Silenced) && slices.Equal(a.Moved, b.Moved) &&
		slices.EqualFunc(a.Takes, b.Takes, func(x, y annotated.Take) bool { return x.List == y.List && x.Seconds == y.Seconds })
}

// sameTime reports whether the films of two states of a review have the same time.
func sameTime(a, b annotated.Review) bool {
	b.Captions, b.Silenced, b.Moved = a.Captions, a.Silenced, a.Moved
	return same(a, b)
}

func (c *Card) request(r annotated.Review) film.Request {
	s, terms := c.room.host.Session(), c.room.doors.Terms()
	l := s.Bench.Lesson()
	q := film.Request{
		Lesson: l, Path: s.Path, Review: r, Results: s.Settled(l),
		Targets: terms.Targets, Decided: terms.Decided, Imperial: terms.Imperial,
	}
	if k, current := s.Bench.Curves(); current && k.Fit != nil {
		q.Motion = &takehome.Motion{Swing: s.Bench.Swing().ID, Followed: k.Followed, Fit: k.Fit}
	}
	return q
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
			c.chosen = all[i].ID
			c.forget()
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
	c.wished.update(gtx, &c.wishes)
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

// make writes the film of a review beside the lesson. Nothing that is there is replaced.
func (c *Card) make(r annotated.Review) {
	if c.busy {
		return
	}
	h := c.room.host
	s := h.Session()
	l := s.Bench.Lesson()
	q := c.request(r)
	c.ask(&q)
	q.MP4 = place.FreeName(filepath.Join(filepath.Dir(s.Path), kit.FileName(l.Student.Name, l.Date, "review")+".mp4"))
	ctx, cancel := context.WithCancel(s.Context())
	c.making = making{cancel: cancel, busy: true, wishes: c.wishes}
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
				if h.Session() == s {
					if made, ok := s.Bench.Lesson().Reviews.Find(r.ID); ok {
						made.Film = filepath.Base(q.MP4)
						c.room.edit(made, "make a film of the review")
					}
				}
				h.Tell(bench.Note(strings.Join(append([]string{"The film is beside the lesson: " + filepath.Base(q.MP4) + "."}, notes...), " ")))
			}
		})
	}, func() { cancel(); c.busy = false })
}
