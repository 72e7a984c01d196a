package film

import (
	"context"
	"image"
	"iter"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/geometry/motion"
	"turngauge/ui/compare/laid"
	"turngauge/ui/curves"
	"turngauge/video"
	"turngauge/video/loudness"
)

// What a voice is brought to: -16 LUFS is what phones and their earphones are made for
// (AES TD1004, from memory). AAC adds to true peaks, up to 0.6 dB on a voice where we
// measured, so the limiter works lower than the peak that a player is to find.
const (
	voiceLoudness = -16.0
	voicePeak     = -1.5 // dBTP
	codecAdds     = 1.5  // dB
)

// Film is a review that can be drawn. One goroutine.
type Film struct {
	request  Request
	recorded *review.Recorded
	course   Course
	size     image.Point
	said     []float32 // the voice of the course; none where there is none
	sound    []float32 // the same at its loudness, 1 full scale
	sides    map[review.Other]*side
	pairs    map[pair]*laid.Aligned // clips that lie over each other; nil where they can't
	ahead    bool                   // frames are read ahead in the order in which they are shown
	notes    []string
}

// side is a swing that is shown.
type side struct {
	*measured
	folder  string
	readers map[string]*video.Reader // by clip; nil where it can't be read

	motion     *motion.Curves // nil where it was not followed
	followed   *curves.Followed
	unfollowed bool // it can't be
}

// Open reads a review's list and voice. The error says what is wrong with them.
func Open(ctx context.Context, r Request) (*Film, error) {
	f, err := open(ctx, r)
	if err != nil {
		return nil, err
	}
	if r.Preview != (image.Point{}) {
		f.sound = plain(f.said)
		return f, f.heard(true, nil)
	}
	if err := f.heard(f.hear()); err != nil {
		return nil, err
	}
	return f, nil
}

// open is Open without the sound.
func open(ctx context.Context, r Request) (*Film, error) {
	told, err := review.Tell(folderOf(r.Path), &r.Review)
	if err != nil {
		return nil, err
	}
	rec := told.Recorded
	if len(rec.Steps) == 0 {
		return nil, ErrEmpty
	}
	f := &Film{request: r, recorded: rec, sides: map[review.Other]*side{}, pairs: map[pair]*laid.Aligned{}, notes: told.Notes}
	if f.size = r.Preview; f.size == (image.Point{}) {
		f.size.X, f.size.Y = r.Size.Pixels()
	}
	f.course = course(told, &r.Review)
	if len(f.course) == 0 {
		return nil, ErrEmpty
	}
	f.said = f.course.sound(told.Voice)
	return f, ctx.Err()
}

// hear makes the sound of the voice, which takes seconds; learnt is false where its noise was
// to be taken from it and can't be.
func (f *Film) hear() (learnt bool, err error) {
	learnt = true
	if f.request.Denoise && len(f.said) > 0 {
		if f.said, learnt, err = loudness.Denoise(f.said); err != nil {
			return learnt, err
		}
	}
	return learnt, f.normalize(codecAdds)
}

// heard notes what came of hear.
func (f *Film) heard(learnt bool, err error) error {
	if !learnt {
		f.note("The noise behind the voice stays as it is: there is no quiet half second in the review to learn it from.")
	}
	if err == nil && len(f.sound) == 0 {
		f.note("The film has no sound: the review was recorded without a microphone.")
	}
	return err
}

// normalize brings the voice to its loudness, where the codec will add so much to its peaks,
// dB.
func (f *Film) normalize(added float64) (err error) {
	f.sound, err = loudness.Normalize(f.said, voiceLoudness, voicePeak-added)
	return err
}

// Close closes the clips.
func (f *Film) Close() {
	for _, s := range f.sides {
		if s == nil {
			continue
		}
		for _, r := range s.readers {
			if r != nil {
				_ = r.Close()
			}
		}
	}
}

// Frames is how many frames the film has.
func (f *Film) Frames() int { return max(int(f.course.Seconds()*Rate), 1) }

// Course is what is left of the review's time.
func (f *Film) Course() Course { return f.course }

// Recorded is what was recorded, as it was mended, on the clock that Course maps. It is not
// to be changed.
func (f *Film) Recorded() *review.Recorded { return f.recorded }

// Notes are sentences for the coach: what is missing, and why, as far as it was drawn.
func (f *Film) Notes() []string { return f.notes }

// Painter draws frames of the film on an image, as large as the film, whose corner is at
// (0, 0). One goroutine, the film's.
type Painter struct{ e *easel }

// Painter returns one for an image.
func (f *Film) Painter(img *image.RGBA) *Painter { return &Painter{f.easel(onImage{img})} }

// Draw draws a frame. The only error is that of ctx, or of memory.
func (p *Painter) Draw(ctx context.Context, n int) error { return p.e.draw(ctx, n) }

// Sound is the film's, Rate of package review samples a second; none where there is no
// voice.
func (f *Film) Sound() []float32 { return f.sound }

// side returns a swing with what is known of it, nil where it can't be found: then a note
// says so. The only error is that of ctx.
func (f *Film) side(ctx context.Context, of review.Other) (*side, error) {
	if s, known := f.sides[of]; known {
		return s, nil
	}
	f.sides[of] = nil
	l, path := f.request.Lesson, f.request.Path
	if of.Lesson != "" {
		var err error
		if l, _, err = annotations.Load(of.Lesson); err != nil {
			f.note("A swing that was compared with can't be shown: its lesson can't be read.")
			return nil, nil
		}
		path = of.Lesson
	}
	index := l.SwingIndex(of.Swing)
	if index < 0 {
		f.note("A swing that was shown is no longer in the lesson, so it is left out.")
		return nil, nil
	}
	m, err := f.measure(ctx, l, index)
	if err != nil {
		delete(f.sides, of)
		return nil, err
	}
	s := &side{measured: m, folder: folderOf(path), readers: map[string]*video.Reader{}}
	if k := f.request.Motion; k != nil && k.Swing == of.Swing && of.Lesson == "" {
		s.motion, s.followed = k.Fit, k.Followed
	}
	f.sides[of] = s
	return s, nil
}

// reader opens a clip, nil where it can't be read: then a note says so.
func (f *Film) reader(s *side, c *annotations.Clip) *video.Reader {
	if r, known := s.readers[c.ID]; known {
		return r
	}
	s.readers[c.ID] = nil
	source, err := video.Open(c.PathIn(s.folder))
	if err != nil {
		f.note("The %s clip can't be read, so it is missing from the film.", c.View)
		return nil
	}
	if info := source.Info(); info.Width != c.Width || info.Height != c.Height {
		_ = source.Close()
		f.note("The %s clip is not the one that was marked, so it is missing from the film.", c.View)
		return nil
	}
	source.SetFilmed(c.FilmedFPS)
	s.readers[c.ID] = video.NewReader(source, video.ReaderOptions{CacheBytes: 96 << 20, Asked: f.ahead})
	return s.readers[c.ID]
}

// changes are the states that the film shows, one after the other; nil where it shows nothing.
func (f *Film) changes() iter.Seq[*review.State] {
	return func(yield func(*review.State) bool) {
		var last *review.State
		for n := range f.Frames() {
			s := f.shown(n)
			if (n == 0 || s != last) && !yield(s) {
				return
			}
			last = s
		}
	}
}

// shown returns what a frame of the film shows; nil for nothing.
func (f *Film) shown(n int) *review.State {
	return f.recorded.At(f.course.List((float64(n) + 0.5) / Rate))
}

// swingOf is the swing of a view.
func swingOf(s *review.State, v *review.View) review.Other {
	if v.Other && s.Other != nil {
		return *s.Other
	}
	return review.Other{Swing: s.Swing}
}

// positionOf is the key position that a view shows, "" for none.
func positionOf(s *side, v *review.View) string {
	i := slices.IndexFunc(s.Swing().Positions, func(p annotations.Position) bool {
		ref, ok := p.Frame(v.Clip)
		return ok && ref.Index == v.Frame
	})
	if i < 0 {
		return ""
	}
	return string(s.Swing().Positions[i].Name)
}
