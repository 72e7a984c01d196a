package review

import (
	"cmp"
	"errors"
	"io/fs"
	"math"
	"slices"
)

// Telling is a review as it is told: what was recorded, takes with it, as it was mended.
// Cuts and shortened pauses are not done yet; package film does them, which has a time of its
// own.
type Telling struct {
	// Recorded is what was recorded, that of takes behind it, on the review's clock. It has no
	// knots: Voice is on that clock.
	*Recorded
	// Voice is the voice, Rate samples a second from the clock's 0 on, 1 full scale; none where
	// there is no voice at all.
	Voice []float32
	// Order is what is told of the clock, one after the other.
	Order []Span
	// Notes are sentences for the coach: what of the mending can't be done.
	Notes []string
}

// farthest is how far the clock of a take lies behind what was there before, seconds, at most:
// more would be memory for nothing.
const farthest = 60

// Tell reads a review whose document lies in a folder. The error is a sentence for the coach.
func Tell(folder string, r *Review) (*Telling, error) {
	list, voice := r.Files(folder)
	rec, err := ReadList(list)
	if err != nil {
		return nil, unreadable("what was shown in the review", err)
	}
	if len(rec.Steps) > 0 {
		rec.Steps[0].At = 0 // the window was shown already when it began
	}
	t := &Telling{Recorded: rec, Order: []Span{{0, rec.Seconds}}}
	if t.Voice, err = heard(voice, rec); err != nil {
		return nil, unreadable("the voice of the review", err)
	}
	rec.Knots = nil
	for k := range r.Takes {
		t.anew(folder, &r.Takes[k])
	}
	for _, s := range r.Silenced {
		silence(t.Voice, s)
	}
	for _, m := range r.Moved {
		rec.Steps = moved(rec.Steps, m)
	}
	return t, nil
}

// heard is a voice on its list's clock.
func heard(path string, rec *Recorded) ([]float32, error) {
	if path == "" {
		return nil, nil
	}
	samples, err := ReadVoice(path)
	if len(samples) == 0 || errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return Align(samples, rec.Knots, rec.Seconds), nil
}

func unreadable(what string, err error) error {
	if p := new(fs.PathError); errors.As(err, &p) {
		err = p.Err
	}
	return errors.New(what + " can't be read: " + err.Error())
}

// End is where the clock ends, seconds: a next take begins behind it.
func (t *Telling) End() float64 { return t.Seconds }

// anew puts a take in.
func (t *Telling) anew(folder string, take *Take) {
	of := Review{List: take.List, Voice: take.Voice}
	list, voice := of.Files(folder)
	rec, err := ReadList(list)
	var sound []float32
	if err == nil {
		sound, err = heard(voice, rec)
	}
	place := -1
	if len(take.Instead) > 0 {
		at := take.Instead[0].From
		place = slices.IndexFunc(t.Order, func(s Span) bool { return s.From-1e-3 <= at && at < s.To })
	}
	if err != nil || place < 0 || len(rec.Steps) == 0 || take.Clock < t.Seconds || take.Clock > t.Seconds+farthest || take.Clock+rec.Seconds > mostSeconds {
		t.Notes = append(t.Notes, "A passage that was said anew can't be shown, so the one before it is.")
		return
	}
	rec.Steps[0].At = 0 // before it is what the take begins with
	for _, s := range rec.Steps {
		t.Steps = append(t.Steps, Step{take.Clock + s.At, s.State})
	}
	for _, s := range rec.Ticked {
		t.Ticked = append(t.Ticked, Said{take.Clock + s.At, s.Text})
	}
	for _, s := range rec.Quiet {
		t.Quiet = append(t.Quiet, Said{take.Clock + s.At, s.Text})
	}
	t.Seconds = take.Clock + rec.Seconds
	if len(sound) > 0 || len(t.Voice) > 0 {
		t.Voice = append(t.Voice, make([]float32, max(int(math.Round(t.Seconds*Rate))-len(t.Voice), 0))...)
		copy(t.Voice[min(int(math.Round(take.Clock*Rate)), len(t.Voice)):], sound)
	}
	first := take.Instead[0].From
	var before, after []Span
	if s := t.Order[place]; first-s.From >= 1e-3 {
		before = []Span{{s.From, first}}
	}
	after = append([]Span{{first, t.Order[place].To}}, t.Order[place+1:]...)
	before = append(slices.Clone(t.Order[:place]), before...)
	t.Order = slices.Concat(Without(before, take.Instead), []Span{{take.Clock, t.Seconds}}, Without(after, take.Instead))
}

// fade is how long the voice fades where it is silenced, seconds, so that no step is heard.
const fade = 0.008

func silence(voice []float32, s Span) {
	from, to := int(math.Round(s.From*Rate)), int(math.Round(s.To*Rate))
	n := int(math.Round(fade * Rate))
	n = max(min(n, (to-from)/2), 1)
	for i := max(from, 0); i < min(to, len(voice)); i++ {
		voice[i] *= float32(max(1-float64(min(i-from, to-1-i))/float64(n), 0))
	}
}

func byFrom(a, b Span) int { return cmp.Compare(a.From, b.From) }
