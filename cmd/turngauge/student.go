package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"turngauge/annotations/library"
	"turngauge/ui/profile"
	"turngauge/ui/visit"
)

const studentHelp = `turngauge student NAME [--copy-to FOLDER] [--also FILE]...
turngauge student NAME --consent USES --by WHO [--minor] [--until DAY]
turngauge student NAME --erase [--file FILE]... [--yes]
turngauge student --due

NAME is a name or, where two students have it, the id of one, which the message
about that says.

Says what is held on a student, or does what the student may ask for: a copy of
everything, in a folder that can be read without this program; or that it is
erased. Erasing can't be undone.

  --copy-to FOLDER  write everything into this new folder: lessons, clips, shots,
                    all measures, and what was exported
  --also FILE       with it this clip, too, which lies outside its lesson's folder
                    or is no video that opens; say it once for each
  --consent USES    record what films and lessons may be: any of keep, show, share,
                    with commas between, or none
  --by WHO          who said so: the student or, for a minor, a parent or guardian
  --minor           the student is not of age; then --until is needed
  --until DAY       the last day on which films are kept, as 2027-05-02
  --erase           remove the lessons with all copies, and the student from the
                    library and its backups. Without --yes it only says what would go
  --file FILE       with it this clip or sheet; others stay
  --due             list the students whose day is over
  --library FOLDER  the library in this folder, in place of your own

Exit codes: 0 done; 1 it can't be done; 2 the command line is wrong; 3 there is no
such student; 4 something is left, or nobody is due.
`

// studentFlags is what the command line of student says.
type studentFlags struct {
	copyTo, consent, by, until, folder string
	minor, erase, yes, due             bool
	also, files                        many
}

func student(r *run, c *command) int {
	fs := c.flags()
	var f studentFlags
	fs.StringVar(&f.copyTo, "copy-to", "", "")
	fs.StringVar(&f.consent, "consent", "", "")
	fs.StringVar(&f.by, "by", "", "")
	fs.StringVar(&f.until, "until", "", "")
	fs.StringVar(&f.folder, "library", "", "")
	fs.BoolVar(&f.minor, "minor", false, "")
	fs.BoolVar(&f.erase, "erase", false, "")
	fs.BoolVar(&f.yes, "yes", false, "")
	fs.BoolVar(&f.due, "due", false, "")
	fs.Var(&f.also, "also", "")
	fs.Var(&f.files, "file", "")
	names, code, done := r.parse(c, fs)
	if done {
		return code
	}
	asked := 0
	for _, on := range []bool{f.copyTo != "", f.consent != "", f.erase, f.due} {
		if on {
			asked++
		}
	}
	switch {
	case asked > 1:
		return r.misuse(c, "say one of --copy-to, --consent, --erase and --due")
	case f.due && len(names) > 0, !f.due && len(names) != 1:
		return r.misuse(c, "name one student, or say --due alone")
	}
	l, err := r.openLibrary(f.folder)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	defer func() { _ = l.Close() }()
	if f.due {
		return listDue(r, l)
	}
	key, err := studentOf(r.ctx, l, names[0])
	if err != nil {
		return r.fail(err, exitInput)
	}
	held, err := l.HeldOf(r.ctx, key, profile.Standard().Exports())
	if err != nil {
		return r.fail(err, exitFailed)
	}
	switch {
	case f.copyTo != "":
		return copyStudent(r, l, key, held, &f)
	case f.consent != "":
		return recordConsent(r, c, l, key, &f)
	case f.erase && f.yes:
		return eraseStudent(r, l, key, held, f.files)
	}
	printHeld(r, held, f.erase)
	return exitOK
}

func printHeld(r *run, h library.Held, erase bool) {
	p := func(format string, args ...any) { _, _ = fmt.Fprintf(r.stdout, format+"\n", args...) }
	p("%s: %d lessons; %s.", h.Name, len(h.Lessons), h.Consent.Says())
	for _, kept := range [][2]string{{"contact", h.Card.Contact}, {"handicap", h.Card.Handicap}, {"injuries", h.Card.Injuries}, {"photo", h.Card.Photo}} {
		if kept[1] != "" {
			p("  %-8s  %s", kept[0], oneLine(kept[1]))
		}
	}
	for _, o := range h.Card.Joined {
		p("  joined    %s", oneLine(o.Name))
	}
	for _, e := range h.Lessons {
		where := e.Path
		if !e.Deleted.IsZero() {
			where += " (in the trash)"
		}
		p("  lesson    %s  %s  %s", e.Date, e.Title, where)
	}
	for _, f := range h.Clips {
		p("  clip      %s", f)
	}
	for _, f := range h.Exported {
		p("  exported  %s", f)
	}
	if erase {
		p("With --yes the lessons go, with every copy in the library and its backups. Clips and what was exported go where named with --file. %s", library.BeyondReach)
	}
}

func copyStudent(r *run, l *library.Library, key int64, h library.Held, f *studentFlags) int {
	if err := f.also.resolve(); err != nil {
		return r.fail(err, exitInput)
	}
	x, err := l.HandOver(r.ctx, key, h, f.copyTo, library.ExportOptions{Opens: opensAsVideo, Allowed: f.also})
	if err != nil {
		return r.fail(err, exitFailed)
	}
	r.sayWithheld(x, "If it is the student's")
	_, _ = fmt.Fprintf(r.stdout, "%s: lessons %d, clips %d, exported files %d\n", f.copyTo, x.Lessons, x.Clips, len(h.Exported))
	return exitOK
}

func recordConsent(r *run, c *command, l *library.Library, key int64, f *studentFlags) int {
	agreed := library.Consent{Student: key, Minor: f.minor, By: f.by, Given: time.Now().Format(time.DateOnly), Until: f.until}
	for _, use := range strings.Split(f.consent, ",") {
		switch strings.TrimSpace(use) {
		case "keep":
			agreed.Keep = true
		case "show":
			agreed.Show = true
		case "share":
			agreed.Share = true
		case "none":
		default:
			return r.misuse(c, "there is no use %q here; say keep, show, share or none", use)
		}
	}
	if err := l.SetConsent(r.ctx, agreed); err != nil {
		return r.fail(err, exitFailed)
	}
	_, _ = fmt.Fprintln(r.stdout, agreed.Says())
	return exitOK
}

func eraseStudent(r *run, l *library.Library, key int64, h library.Held, files []string) int {
	for i, f := range files {
		if abs, err := filepath.Abs(f); err == nil {
			files[i] = abs
		}
	}
	dirs := profile.Standard()
	dirs.Forget(h.Name)
	visit.Diary(dirs.Visits()).Forget(h.Lessons)
	out, err := l.EraseStudent(r.ctx, key, h, files, dirs.Data, dirs.State, dirs.Exports())
	for _, f := range out.Removed {
		_, _ = fmt.Fprintf(r.stdout, "removed %s\n", f)
	}
	if err != nil {
		return r.fail(err, exitFailed)
	}
	_, _ = fmt.Fprintf(r.stdout, "%s is erased, with %d lessons. %s\n", h.Name, out.Lessons, library.BeyondReach)
	code := exitOK
	for _, left := range out.Left {
		r.say("left: %s: %s", left.File, left.Why)
		code = exitNothing
	}
	return code
}

func listDue(r *run, l *library.Library) int {
	due, err := l.Due(r.ctx)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	for _, c := range due {
		_, _ = fmt.Fprintf(r.stdout, "%s  %s: %s\n", c.Until, c.Name, c.Says())
	}
	if len(due) == 0 {
		r.say("no student's films are due to be erased")
		return exitNothing
	}
	return exitOK
}
