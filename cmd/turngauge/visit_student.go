package main

import (
	"fmt"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/profile"
)

// about puts what was said of the student into a lesson, and returns the club.
func (f *visitFlags) about(r *run, l *annotations.Lesson) (annotations.Club, error) {
	club := annotations.Club{}
	if n := len(l.Swings); n > 0 {
		club = l.Swings[n-1].Club
	}
	other, err := f.earlier(r, len(l.Swings) > 0)
	if err != nil {
		return club, err
	}
	if other != nil {
		l.Student, l.Coach, l.Place = other.Student, other.Coach, other.Place
		if n := len(other.Swings); n > 0 {
			club = annotations.Club{Name: other.Swings[n-1].Club.Name, LengthM: other.Swings[n-1].Club.LengthM}
		}
	}
	if f.student != "" && l.Student.ID != f.student { // which is how one of two is named
		l.Student.Name = f.student
	}
	switch f.handed {
	case "left":
		l.Student.Handed = geometry.LeftHanded
	case "right":
		l.Student.Handed = geometry.RightHanded
	}
	if f.stature > 0 {
		l.Student.StatureM = f.stature / 100
	}
	if f.club != "" && f.club != club.Name {
		club = annotations.Club{Name: f.club}
	}
	return club, nil
}

// earlier returns a lesson from which student and club are taken: the one that --like
// names, or, for a visit that is begun, the last of the student in the library; nil for
// none.
func (f *visitFlags) earlier(r *run, begun bool) (*annotations.Lesson, error) {
	if f.like != "" {
		l, _, err := annotations.Load(f.like)
		return l, err
	}
	if folder := profile.LibraryFolder(); begun || !place.IsFolder(folder) {
		return nil, nil
	}
	lib, err := r.openLibrary("")
	if err != nil {
		return nil, err
	}
	defer func() { _ = lib.Close() }()
	called, err := lib.Called(r.ctx, f.student)
	if err != nil || len(called) == 0 {
		return nil, err
	}
	key, err := studentOf(r.ctx, lib, f.student)
	if err != nil {
		return nil, err // there are two of the name
	}
	list, err := lib.Lessons(r.ctx, library.Query{Student: key, Limit: 1})
	if err != nil || len(list) == 0 {
		return nil, err
	}
	l, _, err := lib.Document(r.ctx, list[0].Key)
	if err != nil {
		return nil, err
	}
	if card, err := lib.Card(r.ctx, key); err == nil {
		card.Of(&l.Student)
	}
	known := []string{"right-handed"}
	if l.Student.Handed == geometry.LeftHanded {
		known[0] = "left-handed"
	}
	if m := l.Student.StatureM; m > 0 {
		known = append(known, fmt.Sprintf("%.0f cm", 100*m))
	}
	if n := len(l.Swings); n > 0 && l.Swings[n-1].Club.Name != "" {
		known = append(known, l.Swings[n-1].Club.Name)
	}
	r.say("%s is in the library: %s", l.Student.Name, strings.Join(known, ", "))
	return l, nil
}
