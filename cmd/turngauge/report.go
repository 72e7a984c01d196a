//go:build !nowindow

package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/review/film"
	"turngauge/ui/takehome"
)

const reportHelp = `turngauge report LESSON... [--pdf FILE] [--html FILE] [--png FILE]
                 [--paper a4|letter]
                 [--mp4 FILE] [--size screen|full|phone] [--slow TIMES]
                 [--follow] [--before LESSON] [--before-swing ID] [--view VIEW] [--over]
                 [--swing ID] [--earlier LESSON] [--targets RANGES.json]
                 [--decided PERCENT] [--imperial]
                 [--as pdf,html,png,mp4] [--out FOLDER] [--progress]
       turngauge report LESSON --review NAME [--mp4 FILE] [--size screen|full|phone]
                 [--captions] [--denoise] [--most-mb MEGABYTES]
                 [--targets RANGES.json] [--decided PERCENT] [--imperial]

Writes the sheet that a student takes home from a lesson: photographs of the key
positions, the one thing to work on, the golfer from above, what else was found;
and for the coach, on pages of their own, each number with its interval, what has
changed since an earlier lesson and how sure it all is. And a clip of the swing, slowed down, that stands still where there is
something to see. Without --pdf, --html, --png and --mp4, a PDF goes beside the lesson
document.

Of several lessons, or of a folder's, each gets its files beside it, or in the
folder of --out, under its own name, and one line says which. One that fails does
not keep the others from being written.

  --pdf FILE             write a PDF
  --html FILE            write one HTML file that needs no other
  --png FILE             write the first page as a picture, to be sent in a message
  --paper a4|letter      the paper; a4 unless it is said
  --mp4 FILE             write the annotated clip
  --size SIZE            of the clip: screen, 1280 x 720, unless it is said;
                         full, 1920 x 1080; phone, 720 x 1280
  --slow TIMES           how many times slower than life it runs; 4 unless it is
                         said, at most 40
  --follow               draw hips, shoulders and turns all through the clip: the
                         marks are followed from one key position to the next
  --voice FILE           sound that goes along with the clip, such as what you say to
                         it: a WAV file, or the sound of a clip
  --before LESSON        the clip shows a swing of this lesson beside, held together
                         with it at the key positions that are set in both; the
                         sheet compares with that lesson too, unless --earlier
                         names another
  --before-swing ID      which of its swings; else the one of the same kind of club
  --over                 lay that swing over this one, half seen, aligned at feet and ball
  --view VIEW            the view that such a clip shows, face-on or down-the-line;
                         else both, where both swings were filmed so
  --swing ID             the swing; else the first one with findings
  --earlier LESSON       an earlier lesson document to compare with
  --targets RANGES.json  target ranges that go before the program's own, as for
                         "measure"
  --decided PERCENT      how sure a verdict, or the direction of a change, must be to
                         be told; 80 unless it is said
  --imperial             lengths in inches; of shots the flight in yards, speeds in
                         miles an hour
  --progress             measures over the student's lessons so far, of three or
                         more, as the library knows them
  --review NAME          make the film of a narrated review of the lesson instead: its
                         title or ID, or "last" for the newest; beside the lesson
                         unless --mp4 says where
  --captions             write its captions on the pictures too, for players that show
                         no text
  --denoise              make the steady noise behind the voice quieter, such as wind
  --most-mb MEGABYTES    make the film's file no larger, for a message; it is written
                         again, coarser, where it would be
  --as KINDS             what to write of each lesson: pdf, html, png, mp4, or
                         several
                         with commas between; pdf unless it is said
  --out FOLDER           where to write it

Clips that are missing leave the pictures out, and it is said so; without any
there is no annotated clip.

Exit codes: 0 written; 1 a file can't be written; 2 the command line is wrong;
3 a document can't be read or is invalid, or has no such swing; of several lessons
the highest.
`

func report(r *run, c *command) int {
	fs := c.flags()
	pdf, html, png := fs.String("pdf", "", ""), fs.String("html", "", ""), fs.String("png", "", "")
	paper := fs.String("paper", "a4", "")
	mp4, size, slow := fs.String("mp4", "", ""), fs.String("size", "screen", ""), fs.Float64("slow", 4, "")
	swing, earlier := fs.String("swing", "", ""), fs.String("earlier", "", "")
	before, beforeSwing, view := fs.String("before", "", ""), fs.String("before-swing", "", ""), fs.String("view", "", "")
	over := fs.Bool("over", false, "")
	own, decided := fs.String("targets", "", ""), decidedFlag(fs)
	imperial := fs.Bool("imperial", false, "")
	follow, voice := fs.Bool("follow", false, ""), fs.String("voice", "", "")
	as, out := fs.String("as", "", ""), fs.String("out", "", "")
	progress := fs.Bool("progress", false, "")
	narrated, captions := fs.String("review", "", ""), fs.Bool("captions", false, "")
	denoise, most := fs.Bool("denoise", false, ""), fs.Float64("most-mb", 0, "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(files) == 0 {
		return r.misuse(c, "name a lesson document to report on, or a folder of them")
	}
	q := takehome.Request{Path: files[0], Swing: *swing, Imperial: *imperial, Decided: decided.probability(), PDF: *pdf, HTML: *html, Image: *png, MP4: *mp4, Slow: *slow, Follow: *follow, Voice: *voice}
	var ok bool
	if q.Paper, ok = takehome.ParsePaper(*paper); !ok {
		return r.misuse(c, "there is no paper %q here; use a4 or letter", *paper)
	}
	if q.Size, ok = takehome.ParseSize(*size); !ok {
		return r.misuse(c, "there is no size %q here; use screen, full or phone", *size)
	}
	if !decided.ok() {
		return r.misuse(c, "%s", decided)
	}
	if !(q.Slow >= 1 && q.Slow <= 40) {
		return r.misuse(c, "a clip can run 1 to 40 times slower than life, not %g", q.Slow)
	}
	swingBefore := &takehome.Beside{Path: *before, Swing: *beforeSwing, Over: *over}
	switch {
	case *before == "" && (*over || *beforeSwing+*view != ""):
		return r.misuse(c, "--before-swing, --view and --over say what of the lesson before is shown; name that with --before")
	case *view == "":
	case *view == geometry.FaceOn.String():
		swingBefore.View = geometry.FaceOn
	case *view == geometry.DownTheLine.String():
		swingBefore.View = geometry.DownTheLine
	default:
		return r.misuse(c, "there is no view %q here; use face-on or down-the-line", *view)
	}
	q.Targets = annotations.DefaultTargets()
	if *own != "" {
		more, err := readTargets(*own)
		if err != nil {
			return r.fail(err, exitInput)
		}
		q.Targets = append(q.Targets, more...)
	}
	if *narrated != "" {
		if len(files) > 1 || *as+*out+*swing+*earlier+*before+*voice+*pdf+*html+*png != "" || *follow || *progress {
			return r.misuse(c, "--review makes the film of one lesson's review; it goes with --mp4, --size, --captions, --denoise, --most-mb, --targets, --decided and --imperial alone")
		}
		if !(*most == 0 || *most > 0 && *most <= mostMB) {
			return r.misuse(c, "a film can be made to fit up to %g megabytes, not %g", float64(mostMB), *most)
		}
		return r.reviewFilm(c, *narrated, film.Request{
			Path: q.Path, MP4: q.MP4, Size: q.Size, Burn: *captions, Denoise: *denoise, MostMB: *most, Targets: q.Targets, Decided: q.Decided, Imperial: q.Imperial,
		})
	}
	if *captions || *denoise || *most != 0 {
		return r.misuse(c, "--captions, --denoise and --most-mb are for the film of a review; name that with --review")
	}
	if len(files) > 1 || *as != "" || *out != "" || place.IsFolder(files[0]) {
		b := batch{request: q, kinds: *as, folder: *out, progress: *progress}
		if q.PDF != "" || q.HTML != "" || q.Image != "" || q.MP4 != "" {
			return r.misuse(c, "--pdf, --html, --png and --mp4 name one file each; say --as pdf,html,png,mp4 for several lessons, a folder or --out")
		}
		if q.Swing != "" || *earlier != "" || *before != "" {
			return r.misuse(c, "--swing, --earlier and --before are for one lesson; report on it alone")
		}
		return b.report(r, c, files)
	}
	if *before != "" && q.MP4 == "" {
		return r.misuse(c, "--before is for the clip; name that with --mp4, or use --earlier for the sheet")
	}
	if q.PDF == "" && q.HTML == "" && q.Image == "" && q.MP4 == "" {
		q.PDF = beside(q.Path, "", ".pdf")
	}
	named := []string{q.PDF, q.HTML, q.Image, q.MP4}
	for i, f := range named {
		if sameFile(f, q.Path) || sameFile(f, *earlier) || sameFile(f, *before) {
			return r.misuse(c, "%s is a lesson document: name another file to write", f)
		}
		for _, g := range named[:i] {
			if sameFile(f, g) {
				return r.misuse(c, "%s is named for two things", f)
			}
		}
	}
	var err error
	if q.Lesson, err = r.load(q.Path); err != nil {
		return r.fail(err, exitInput)
	}
	if *progress {
		if q.Course, err = r.course(q.Lesson); err != nil {
			return r.fail(err, exitFailed)
		}
	}
	if *earlier != "" {
		q.EarlierPath = *earlier
		if q.Earlier, err = r.load(*earlier); err != nil {
			return r.fail(err, exitInput)
		}
	}
	if *before != "" {
		q.Beside = swingBefore
		if swingBefore.Lesson, err = r.load(*before); err != nil {
			return r.fail(err, exitInput)
		}
		if q.Earlier == nil && swingBefore.Lesson.ID != q.Lesson.ID {
			q.Earlier, q.EarlierPath = swingBefore.Lesson, swingBefore.Path
		}
		if f := overClip(&q, swingBefore.Lesson, swingBefore.Path); f != "" {
			return r.misuse(c, "%s is a clip of the lesson before: name another file to write", f)
		}
	}
	if f := overClip(&q, q.Lesson, q.Path); f != "" {
		return r.misuse(c, "%s is a clip of the lesson: name another file to write", f)
	}
	return r.write(q)
}

// course reads what the library knows of the lessons so far of a lesson's student.
func (r *run) course(lesson *annotations.Lesson) ([][]library.Value, error) {
	l, err := r.openLibrary("")
	if err != nil {
		return nil, err
	}
	defer func() { _ = l.Close() }()
	return l.Course(r.ctx, &lesson.Student, lesson.Date, takehome.MostCourses)
}

// overClip names a file to be written that is a clip of a lesson, or "".
func overClip(q *takehome.Request, l *annotations.Lesson, path string) string {
	for i := range l.Swings {
		for k := range l.Swings[i].Clips {
			f := l.Swings[i].Clips[k].PathIn(filepath.Dir(path))
			for _, g := range []string{q.PDF, q.HTML, q.Image, q.MP4} {
				if sameFile(f, g) {
					return g
				}
			}
		}
	}
	return ""
}

// write writes the sheet and says where it is.
func (r *run) write(q takehome.Request) int {
	notes, err := takehome.Write(r.ctx, q)
	for _, n := range notes {
		r.say("%s", n)
	}
	if err != nil {
		code := exitFailed
		if errors.Is(err, takehome.ErrNoSwing) {
			code = exitInput
		}
		return r.fail(err, code)
	}
	for _, f := range []string{q.PDF, q.HTML, q.MP4} {
		if f != "" {
			_, _ = fmt.Fprintln(r.stdout, f)
		}
	}
	return exitOK
}

// sameFile reports whether two paths lead to one file, there or not.
func sameFile(a, b string) bool {
	if a == "" || b == "" {
		return false
	}
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	if err1 == nil && err2 == nil {
		return os.SameFile(x, y)
	}
	p, err1 := filepath.Abs(a)
	q, err2 := filepath.Abs(b)
	return err1 == nil && err2 == nil && p == q
}
