package visit

import (
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/ui/propose"
)

// Labels of swings; those of one label are a series.
const (
	FullSwing     = "full swing"
	PracticeSwing = "practice swing"
)

// wholePart is from which part of a clip on a swing is the whole of it.
const wholePart = 0.8

// Swings returns the rows that are not left out as swings of a lesson whose document
// lies in a folder, and by their IDs and those of their clips what was found of them.
func (v *Visit) Swings(folder, label string, club annotations.Club) ([]annotations.Swing, map[string]map[string]propose.Found) {
	var out []annotations.Swing
	found := map[string]map[string]propose.Found{}
	stands := v.Stands()
	for i := range v.Rows {
		r := &v.Rows[i]
		if r.Leave {
			continue
		}
		s := annotations.Swing{ID: annotations.NewID(), Label: label, Club: club}
		if r.Practice {
			s.Label = PracticeSwing
		}
		known := map[string]propose.Found{}
		for k, shot := range r.Shots {
			if shot.Film == nil {
				continue
			}
			c := shot.clip(folder)
			c.View, c.Stand = views[k], stands[i][k]
			s.Clips = append(s.Clips, c)
			known[c.ID] = propose.Found{Strike: shot.Of().Strike, Positions: shot.Of().Positions}
		}
		found[s.ID] = known
		out = append(out, s)
	}
	return out, found
}

// clip makes a clip of the lesson of a shot.
func (s Shot) clip(folder string) annotations.Clip {
	info := s.Film.Index.Info()
	c := annotations.Clip{
		ID: annotations.NewID(), File: fileFor(folder, s.Film.Path), SHA256: s.Film.SHA256,
		Width: info.Width, Height: info.Height,
		TimeBase: [2]int64{int64(info.TimeBase[0]), int64(info.TimeBase[1])},
	}
	if info.SlowedBy() != 1 {
		c.FilmedFPS = info.FilmedFPS
	}
	w := s.Of()
	if len(s.Film.Swings) > 1 || float64(w.Last-w.First) < wholePart*float64(info.Frames) {
		c.Part = annotations.Part{First: w.First, Last: w.Last}
	}
	return c
}

// fileFor is how a document in a folder names a file: by the way from there if the file
// lies below it, so that both can be moved together.
func fileFor(folder, path string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	if dir, err := filepath.Abs(folder); err == nil {
		if rel, err := filepath.Rel(dir, abs); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
			return filepath.ToSlash(rel)
		}
	}
	return abs
}

// Holds reports whether a lesson, whose document lies at a path, has a clip of a file.
func Holds(l *annotations.Lesson, document, file string) bool {
	there, err := os.Stat(file)
	if err != nil {
		return false
	}
	for i := range l.Swings {
		for k := range l.Swings[i].Clips {
			info, err := os.Stat(l.Swings[i].Clips[k].PathIn(filepath.Dir(document)))
			if err == nil && os.SameFile(info, there) {
				return true
			}
		}
	}
	return false
}
