package takehome

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
)

// Request says what to write about whom.
type Request struct {
	// Lesson is the lesson, and Path where its document lies or would lie: its
	// clips are looked for from there.
	Lesson *annotations.Lesson
	Path   string
	// Swing is the ID of the swing; "" takes the first one with findings, else
	// the first one with marks.
	Swing string
	// Earlier is a lesson to compare with, or nil.
	Earlier *annotations.Lesson
	// EarlierPath is where the earlier lesson's document lies; "" leaves its pictures
	// out.
	EarlierPath string
	// Academy stands at the head of the sheet.
	Academy Academy
	// Course holds measures over the student's lessons, as library.Course gives
	// them; none leaves that part out.
	Course [][]library.Value
	// Targets are the target ranges; nil means the program's own.
	Targets annotations.Targets
	// Results are of swings that are evaluated already, by their lesson and
	// index; others are evaluated now. Nobody else may use their Solutions the
	// while.
	Results []*annotations.Result
	// Decided is the probability from which on verdicts and changes are told; 0
	// takes geometry.Decided.
	Decided  float64
	Imperial bool // lengths in inches, flights in yards, speeds in miles an hour

	// PDF and HTML are the files to write; "" for none. A file that is there is
	// replaced, once the new one is complete.
	PDF, HTML string
	// Image is the first page as a picture, a PNG, to be sent in a message; "" for none.
	Image string
	Paper Paper
	// MP4 is the annotated clip to write, "" for none, in a size and so many
	// times slower than life; 0 means 4.
	MP4  string
	Size Size
	Slow float64
	// Voice is a file of sound, or a clip, whose sound goes along with the annotated clip;
	// "" leaves it silent. The words at the end stand as long as it lasts.
	Voice string
	// Beside is a swing to show beside this one in the clip, or nil.
	Beside *Beside
	// Motion is what is drawn in the clip between the key positions, of the swing
	// it names. Where there is none, Follow has the swing followed through its
	// clips first, which takes about as long again as the clip does.
	Motion *Motion
	Follow bool

	// Progress is told how much is done; nil for nobody. It is called from the
	// goroutine that writes.
	Progress func(done, total int)
}

// ErrNoSwing says that a lesson has no swing to write about, or not the one
// asked for.
var ErrNoSwing = errors.New("no such swing")

// Write makes the files of a request. It takes some seconds, may be called from
// any goroutine, and stops when ctx ends. The notes are sentences for the coach:
// what was left out, and why. The error is that of ctx, ErrNoSwing, or says
// which file can't be written; the files are complete or not there.
func Write(ctx context.Context, r Request) (notes []string, err error) {
	b, err := gather(ctx, &r)
	if err != nil {
		return nil, err
	}
	s := b.sheet
	if r.PDF != "" {
		data, lacking, err := s.PDF(r.Paper)
		if err != nil {
			return s.Notes, fmt.Errorf("the PDF can't be made: %w", err)
		}
		if lacking != "" {
			s.Notes = append(s.Notes, fmt.Sprintf("No font of this computer has %s: boxes stand for them in the PDF. The HTML sheet shows them wherever its reader has such a font.", lacking))
		}
		if err := ctx.Err(); err != nil {
			return s.Notes, err
		}
		if err := replace(r.PDF, data); err != nil {
			return s.Notes, err
		}
	}
	if r.Image != "" {
		data, err := s.Image(r.Paper)
		if err != nil {
			return s.Notes, fmt.Errorf("the picture of the sheet can't be made: %w", err)
		}
		if err := replace(r.Image, data); err != nil {
			return s.Notes, err
		}
	}
	if r.HTML != "" {
		data, err := s.HTML(r.Paper)
		if err != nil {
			return s.Notes, fmt.Errorf("the HTML sheet can't be made: %w", err)
		}
		if err := ctx.Err(); err != nil {
			return s.Notes, err
		}
		if err := replace(r.HTML, data); err != nil {
			return s.Notes, err
		}
	}
	if r.MP4 != "" {
		if err := b.clip(ctx); err != nil {
			return s.Notes, err
		}
	}
	r.step(r.steps())
	return s.Notes, nil
}

func (r *Request) targets() annotations.Targets {
	if r.Targets == nil {
		return annotations.DefaultTargets()
	}
	return r.Targets
}

// steps is how many steps of progress there are: the fit, each finding, the
// writing, and each hundredth of a clip and of following it.
func (r *Request) steps() int {
	n := 2
	if r.MP4 != "" {
		n += 100
	}
	n += 100 * r.follows()
	if i, err := r.swingIndex(); err == nil {
		n += len(r.Lesson.Swings[i].Findings)
	}
	return n
}

func (r *Request) step(done int) {
	if r.Progress != nil {
		r.Progress(done, r.steps())
	}
}

// swingIndex finds the swing that is meant.
func (r *Request) swingIndex() (int, error) {
	if len(r.Lesson.Swings) == 0 {
		return 0, fmt.Errorf("%w: the lesson has none yet, take in a clip first", ErrNoSwing)
	}
	if r.Swing != "" {
		if i := r.Lesson.SwingIndex(r.Swing); i >= 0 {
			return i, nil
		}
		return 0, fmt.Errorf("%w as %q: the lesson has %s", ErrNoSwing, r.Swing, swingNames(r.Lesson))
	}
	marked := 0
	for i := len(r.Lesson.Swings) - 1; i >= 0; i-- {
		if len(r.Lesson.Swings[i].Marks) > 0 {
			marked = i
		}
	}
	for i := range r.Lesson.Swings {
		if len(r.Lesson.Swings[i].Findings) > 0 {
			return i, nil
		}
	}
	return marked, nil
}

func swingNames(l *annotations.Lesson) string {
	var names []string
	for i := range l.Swings {
		names = append(names, fmt.Sprintf("%q", l.Swings[i].ID))
	}
	return listed(names)
}

// replace puts a file for the student in the place of another, or in none: what is read is
// always whole.
func replace(path string, data []byte) error {
	if err := place.Shared(path, bytes.NewReader(data)); err != nil {
		return fmt.Errorf("%s can't be written: %w", path, cause(err))
	}
	return nil
}

// cause is an error without the name of the temporary file in it.
func cause(err error) error {
	if p := new(os.PathError); errors.As(err, &p) {
		return p.Err
	}
	if l := new(os.LinkError); errors.As(err, &l) {
		return l.Err
	}
	return err
}
