package library

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/shots"
	"turngauge/annotations/words"
)

// HandOver writes everything held on a student into a new folder, for the student to
// read and keep: of each lesson its document, what it says in plain text, its shots as a
// table and its clips; all measures over all lessons as a table; the files that were
// exported; and a page that says what is what. Clips that the coach must be asked about
// are in the answer's Withheld, as of an export.
func (l *Library) HandOver(ctx context.Context, student int64, h Held, folder string, o ExportOptions) (Exported, error) {
	const what = "what is held on the student can't be written"
	keys := make([]int64, len(h.Lessons))
	for i, e := range h.Lessons {
		keys[i] = e.Key
	}
	o.Clips = true
	x, _, err := l.plan(ctx, keys, o)
	if err != nil {
		return x.out, sentence(what, err)
	}
	if err := place.Folder(filepath.Dir(folder)); err != nil {
		return x.out, sentence(what, err)
	}
	if err := os.Mkdir(folder, 0o700); err != nil {
		return x.out, sentence(what, err)
	}
	w := handover{ctx: ctx, folder: folder}
	for _, p := range x.texts {
		lesson, _, err := annotations.Decode(p.data)
		if err != nil {
			return x.out, sentence(what, err)
		}
		dir := filepath.Dir(filepath.FromSlash(p.name))
		w.put(filepath.FromSlash(p.name), p.data)
		w.put(filepath.Join(dir, "lesson.txt"), []byte(readable(lesson)))
		if len(lesson.Shots) > 0 {
			w.put(filepath.Join(dir, "shots.csv"), shotTable(lesson.Shots))
		}
	}
	for _, p := range x.clips {
		w.film(filepath.FromSlash(p.name), &x, p)
	}
	for _, f := range h.Exported {
		w.copy(filepath.Join("exported", filepath.Base(f)), f)
	}
	if h.Card.Photo != "" {
		w.copy("photo.jpg", h.Card.Photo)
	}
	table, err := l.measureTable(ctx, student)
	if err != nil {
		return x.out, err
	}
	w.put("measures.csv", table)
	w.put("README.txt", []byte(aboutOf(h, x.out)))
	return x.out, sentence(what, w.err)
}

// handover writes files under a folder, until one can't be written.
type handover struct {
	ctx    context.Context
	folder string
	err    error
}

func (w *handover) write(name string, put func(path string) error) {
	if w.err == nil {
		w.err = w.ctx.Err()
	}
	path := filepath.Join(w.folder, name)
	if w.err == nil {
		w.err = place.Folder(filepath.Dir(path))
	}
	if w.err == nil {
		w.err = put(place.FreeName(path))
	}
}

func (w *handover) put(name string, data []byte) {
	w.write(name, func(path string) error { return place.New(path, bytes.NewReader(data)) })
}

func (w *handover) copy(name, from string) {
	w.write(name, func(path string) error {
		f, err := place.Open(from)
		if err != nil {
			return err
		}
		defer func() { _ = f.Close() }()
		return place.New(path, f)
	})
}

func (w *handover) film(name string, x *exporter, p part) {
	w.write(name, func(path string) error {
		r, out := io.Pipe()
		go func() { out.CloseWithError(x.copyClip(out, p)) }()
		err := place.New(path, r)
		_ = r.CloseWithError(err)
		return err
	})
}

// aboutOf says what lies in the folder.
func aboutOf(h Held, x Exported) string {
	var b strings.Builder
	fmt.Fprintf(&b, "What is held on %s\n\n", h.Name)
	fmt.Fprintf(&b, "%s, with %s. Consent: %s.\n\n", words.Sentence(words.Count(x.Lessons, "lesson", "lessons")), words.Count(x.Clips, "clip", "clips"), h.Consent.Says())
	for _, kept := range [][2]string{{"Contact", h.Card.Contact}, {"Handicap", h.Card.Handicap}, {"Injuries", h.Card.Injuries}} {
		if kept[1] != "" {
			fmt.Fprintf(&b, "%s: %s\n\n", kept[0], kept[1])
		}
	}
	b.WriteString("In each lesson's folder: lesson.txt to read; lesson.json, the same for programs, with every mark; shots.csv, the readings of each ball; and the clips.\n")
	b.WriteString("measures.csv: every number measured, over all lessons, with its 95 % interval and the range it was judged by.\n")
	b.WriteString("exported: sheets, pictures and clips that were made of the lessons.\n\n")
	b.WriteString("Numbers come from marks on film and are as sure as their intervals say. This is not a medical device; with pain or an injury, see a professional.\n")
	for _, n := range x.Notes {
		fmt.Fprintf(&b, "\n%s.", n)
	}
	for _, f := range x.Withheld {
		fmt.Fprintf(&b, "\n%s is not in it: it %s.", f.File, f.Why)
	}
	return strings.TrimRight(b.String(), "\n") + "\n"
}

// readable is a lesson as plain text.
func readable(l *annotations.Lesson) string {
	var b strings.Builder
	line := func(what, text string) {
		if text = strings.TrimSpace(text); text != "" {
			fmt.Fprintf(&b, "%s: %s\n", what, text)
		}
	}
	line("Student", l.Student.Name)
	line("Handicap", l.Student.Handicap)
	line("Injuries", l.Student.Injuries)
	line("Lesson", l.Title)
	line("Date", words.Day(l.Date))
	line("Coach", l.Coach)
	line("Place", l.Place)
	line("Notes", l.Notes)
	line("Question", l.Question)
	for i := range l.Swings {
		s := &l.Swings[i]
		b.WriteByte('\n')
		line("Swing", Joined(s.Label, s.Club.Name))
		for _, c := range s.Clips {
			line("Clip, "+c.View.String(), c.File)
		}
		fmt.Fprintf(&b, "Key positions set: %d, points marked: %d\n", len(s.Positions), len(s.Marks))
		for _, f := range s.Findings {
			line("Finding", f.Text)
		}
		for _, d := range s.Drawings {
			line("Note on a picture", d.Text)
		}
	}
	p := &l.Prescription
	b.WriteByte('\n')
	for _, s := range p.SetUp {
		line("Set-up", s)
	}
	line("Feel", p.Feel)
	line("Drill", p.Drill)
	line("Film next", p.FilmNext)
	return b.String()
}

// shotTable is a table of shots, with the units of the readings in its head.
func shotTable(list shots.List) []byte {
	head := []string{"block", "club"}
	for _, r := range shots.Readings {
		head = append(head, string(r.Name)+", "+r.Unit)
	}
	rows := [][]string{head}
	for i := range list {
		s := &list[i]
		row := []string{words.Cell(s.Block), words.Cell(s.Club)}
		for _, r := range shots.Readings {
			text := ""
			if v, ok := s.Values[r.Name]; ok {
				text = number(v)
			}
			row = append(row, text)
		}
		rows = append(rows, row)
	}
	return table(rows)
}

// measureTable is a table of all that was measured of a student.
func (l *Library) measureTable(ctx context.Context, student int64) ([]byte, error) {
	rows := [][]string{{"date", "lesson", "club", "measure", "position", "unit", "value", "low95", "high95", "target_low", "target_high", "verdict"}}
	end := func(v float64) string {
		if math.IsInf(v, 0) {
			return ""
		}
		return number(v)
	}
	err := l.query(ctx, "the measures can't be read", "SELECT "+valueColumns+"WHERE lesson.student = $1 ORDER BY lesson.date, lesson.recorded, swing.ordinal, n.text, p.text",
		[]any{student}, func(r *sql.Rows) error {
			v, err := scanValue(r)
			low, high := "", ""
			if v.Target != nil {
				low, high = end(v.Target.Low), end(v.Target.High)
			}
			rows = append(rows, []string{v.Date, words.Cell(v.Title), words.Cell(v.Club), v.Name, string(v.Position), string(v.Unit),
				number(v.Value), number(v.Low95), number(v.High95), low, high, string(v.Verdict)})
			return err
		})
	return table(rows), err
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// table writes CSV (RFC 4180, with line feeds).
func table(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.WriteAll(rows) // a buffer takes everything
	return b.Bytes()
}
