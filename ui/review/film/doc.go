// Package film makes a film of a narrated review: the frames that were shown, from the
// clips themselves, with what was drawn on them, and the voice. It needs no window.
//
// What is drawn follows the rules of the annotated clip: a measure's lines stand where
// marks or the fit know them, and its number never without its 95 % interval. Numbers are
// those of the lesson as it is now, not as it was when it was spoken about: marks may have
// been made better since.
//
// A film has its own time. The list's runs on while the coach says nothing, or what is cut
// out; a Course maps the one to the other.
package film

import (
	"cmp"
	"errors"
	"fmt"
	"image"
	"path/filepath"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/ui/takehome"
	"turngauge/video/texts"
)

// Rate is how many frames a second a film has. A frame shows what was to be seen in the
// middle of its time, so a picture is at most half of one off the voice, 17 ms.
const Rate = 30

// Request says which review is to be made a film.
type Request struct {
	// Lesson is the lesson, and Path where its document lies.
	Lesson *annotations.Lesson
	Path   string
	Review review.Review
	// Results are of swings that are evaluated already; others are evaluated when they are
	// first seen. Nobody else may use their Solutions the while.
	Results  []*annotations.Result
	Targets  annotations.Targets // nil means the program's own
	Decided  float64             // as takehome.Request
	Imperial bool
	// Motion is what the swing that it names was followed to, for curves that were open; of
	// other swings, and without it, Write has them followed.
	Motion *takehome.Motion

	MP4  string // the file to write
	Size takehome.Size
	// Preview is the size of frames that are drawn for a window and not written, pixels,
	// even numbers; the zero value is Size's.
	Preview image.Point
	// Burn writes the captions on the pictures, for players that show no text.
	Burn bool
	// Denoise makes the steady noise behind the voice quieter.
	Denoise bool
	// MostMB is how large the file may be, megabytes (1,000,000 bytes), 0 for any size. What
	// would be larger is written again, coarser.
	MostMB float64
	// Progress is told how much is done; nil for nobody.
	Progress func(done, total int)
}

// ErrEmpty says that nothing was recorded in a review.
var ErrEmpty = errors.New("nothing is recorded in this review")

func (f *Film) title() string {
	return strings.Join(strings.Fields(f.request.Lesson.Student.Name+" "+f.request.Review.Title), " ")
}

// captions are those of the review on the film's own time.
func (f *Film) captions() (out []texts.Text) {
	for _, c := range f.request.Review.Captions {
		for _, s := range f.course.Shown(review.Span{From: c.From, To: c.To}) {
			out = append(out, texts.Text{From: s.From, To: s.To, Text: c.Text})
		}
	}
	slices.SortFunc(out, func(a, b texts.Text) int { return cmp.Compare(a.From, b.From) })
	for i := range max(len(out)-1, 0) { // captions may overlap
		out[i+1].From = max(out[i+1].From, out[i].To)
	}
	return slices.DeleteFunc(out, func(t texts.Text) bool { return t.To-t.From < 0.05 }) // cut out
}

func (f *Film) note(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	for _, n := range f.notes {
		if n == text {
			return
		}
	}
	f.notes = append(f.notes, text)
}

// folderOf is where the files of a lesson lie.
func folderOf(path string) string { return filepath.Dir(path) }
