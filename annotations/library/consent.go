package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"turngauge/annotations/words"
)

// Consent is what was agreed on about a student's films and numbers: by whom, when, and
// for what. Nothing in the program depends on it; it is the coach's record.
type Consent struct {
	Student int64
	Name    string // of the student
	// Minor says that the student is not of age, so that somebody else consents.
	Minor bool
	By    string // who gave it
	Given string // the day, as 2026-05-02
	// What it is for: that films and lessons are kept, shown to others in teaching, and
	// shared with others, such as on the net.
	Keep, Show, Share bool
	// Until is the last day on which films are kept, "" for no such day.
	Until string
}

// Errors of [Library.SetConsent] are sentences for the coach.
var errNobody = errors.New("say who gave the consent: the student, or for a minor a parent or guardian by name")

// SetConsent records a consent in the place of the one before.
func (l *Library) SetConsent(ctx context.Context, c Consent) error {
	c.By = strings.TrimSpace(c.By)
	switch {
	case c.By == "":
		return errNobody
	case c.Minor && c.Until == "":
		return errors.New("say until which day the films of a minor are kept")
	}
	for what, day := range map[string]string{"given": c.Given, "until": c.Until} {
		if _, err := time.Parse(time.DateOnly, day); err != nil && (day != "" || what == "given") {
			return fmt.Errorf("the day %q can't be read: write it like 2027-05-02", day)
		}
	}
	return l.change(ctx, "the consent can't be kept", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO consent (student, minor, given_by, given, keep, show, share, until)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
			ON CONFLICT (student) DO UPDATE SET minor = $2, given_by = $3, given = $4, keep = $5, show = $6, share = $7, until = $8`, c.Student, c.Minor, c.By, c.Given, c.Keep, c.Show, c.Share, c.Until)
		return err
	})
}

const consentColumns = `SELECT student.key, student.name, minor, given_by, given, keep, show, share, until
	FROM consent JOIN student ON student.key = consent.student `

func (l *Library) consents(ctx context.Context, where string, args ...any) (out []Consent, err error) {
	err = l.query(ctx, "the consents can't be read", consentColumns+where, args, func(r *sql.Rows) error {
		var c Consent
		err := r.Scan(&c.Student, &c.Name, &c.Minor, &c.By, &c.Given, &c.Keep, &c.Show, &c.Share, &c.Until)
		out = append(out, c)
		return err
	})
	return out, err
}

// ConsentOf returns the consent for a student; ok is false where none was recorded.
func (l *Library) ConsentOf(ctx context.Context, student int64) (c Consent, ok bool, err error) {
	list, err := l.consents(ctx, "WHERE student.key = $1", student)
	if err != nil || len(list) == 0 {
		return c, false, err
	}
	return list[0], true, nil
}

// Due lists the consents whose last day is over, the longest ago first: what is kept of
// those students is to be erased, or the consent given anew.
func (l *Library) Due(ctx context.Context) ([]Consent, error) {
	return l.consents(ctx, "WHERE until <> '' AND until < $1 ORDER BY until, student.name", l.now().Format(time.DateOnly))
}

// Says writes what was agreed on: "Anna Lindqvist gave consent on 2 May 2026: films may
// be kept, shown, not shared; until 2 May 2027".
func (c *Consent) Says() string {
	if c.By == "" {
		return "no consent is recorded"
	}
	var yes, no []string
	for _, x := range []struct {
		on   bool
		word string
	}{{c.Keep, "kept"}, {c.Show, "shown"}, {c.Share, "shared"}} {
		if x.on {
			yes = append(yes, x.word)
		} else {
			no = append(no, x.word)
		}
	}
	out := c.By + " gave consent on " + words.Day(c.Given) + ": films may "
	switch {
	case len(yes) == 0:
		out += "not be kept, shown or shared"
	default:
		out += "be " + strings.Join(yes, ", ")
		if len(no) > 0 {
			out += ", not " + strings.Join(no, " or ")
		}
	}
	if c.Until != "" {
		out += "; until " + words.Day(c.Until)
	}
	if c.Minor {
		out += "; the student is a minor"
	}
	return out
}
