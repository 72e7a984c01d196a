package demo

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
)

// visit is what differs between the student's lessons.
type visit struct {
	id, title, date string
}

var visits = [3]visit{
	{"01JT8Q5W0MARAFIRSTVISIT000", "First visit", "2026-05-02"},
	{"01JWDH3W0MARASECNDVISIT000", "Second visit", "2026-05-30"},
	{"01K0CQ0W0MARATHRDVISIT0000", "Third visit", "2026-07-04"},
}

const (
	clickSigma = 2.0 // of a coach's mark, pixels at full size
	stickSigma = 1.0
)

// newLesson returns the document of a visit: the clips and the stick's ends
// as a coach would have marked them, no positions and no marks. Clips that swings share
// have one stick.
func newLesson(v visit, truths []*Truth, seed uint64) *annotations.Lesson {
	l := &annotations.Lesson{
		ID: v.id, Title: v.title, Date: v.date, Coach: "Odalys Brandt", Place: "Fjordholm practice ground",
		Student: annotations.Student{
			Name: "Mara Lindqvist", Handed: geometry.RightHanded, StatureM: 1.72, StatureSDM: 0.01,
			MassKg: 66, Sex: geometry.Female,
		},
	}
	rnd := rand.New(rand.NewPCG(seed, 0x737469636b))
	lines := map[string]annotations.GroundLine{}
	for i, t := range truths {
		s := annotations.Swing{
			ID: fmt.Sprintf("s%d", i+1), Label: "7-iron, full swing",
			Club: annotations.Club{Name: "7-iron", LengthM: t.ClubLengthM},
		}
		for _, c := range t.Clips {
			k := float64(width) / float64(c.Width)
			line, known := lines[c.File]
			if !known {
				line = annotations.GroundLine{LengthM: 1.22, Along: geometry.AlongTargetLine}
				for i, e := range c.StickEndsPx {
					line.Ends[i] = jitter(geometry.ImagePt{X: e[0], Y: e[1]}, stickSigma/k, rnd)
				}
				lines[c.File] = line
			}
			view := geometry.FaceOn
			if c.View == geometry.DownTheLine.String() {
				view = geometry.DownTheLine
			}
			s.Clips = append(s.Clips, annotations.Clip{
				ID: c.ID, View: view, File: c.File, SHA256: c.SHA256, Width: c.Width, Height: c.Height,
				TimeBase: c.TimeBase, FocalPx: nominalFocal / k, FocalRelSD: nominalFocalRelSD,
				Part: annotations.Part{First: c.Part[0], Last: c.Part[1]}, GroundLines: []annotations.GroundLine{line},
			})
		}
		l.Swings = append(l.Swings, s)
	}
	return l
}

// jitter returns a mark about p, rounded to a tenth of a pixel.
func jitter(p geometry.ImagePt, sigma float64, rnd *rand.Rand) geometry.ImagePt {
	round := func(v float64) float64 { return float64(int64(v*10+0.5)) / 10 }
	dx, dy := rnd.NormFloat64(), rnd.NormFloat64()
	return geometry.ImagePt{X: round(p.X + sigma*dx), Y: round(p.Y + sigma*dy)}
}

// mark sets the key positions and places every point that can be seen, with
// the noise of a hand at the mouse; the others are said to be hidden.
func mark(s *annotations.Swing, t *Truth, seed uint64) {
	rnd := rand.New(rand.NewPCG(seed, 0x6d61726b))
	for _, p := range t.Positions {
		pos := annotations.Position{Name: p.Name}
		for _, f := range p.Frames {
			pos.Frames = append(pos.Frames, annotations.FrameRef{Clip: f.Clip, Index: f.Index, PTS: f.PTS})
			sigma := clickSigma * float64(s.Clip(f.Clip).Width) / width
			for i := range geometry.Point(geometry.NumPoints) {
				m := annotations.Mark{Clip: f.Clip, Position: p.Name, Point: i, State: geometry.Hidden}
				if at, ok := f.Pixel(i); ok {
					m.State, m.At = geometry.Placed, jitter(at, sigma, rnd)
				}
				s.Marks = append(s.Marks, m)
			}
		}
		if len(pos.Frames) > 0 {
			s.Positions = append(s.Positions, pos)
		}
	}
}

// save writes a document after checking it against the rules. Where another
// document has the name already, a coach may have worked in it: it is kept
// under another name.
func save(path string, l *annotations.Lesson) error {
	b, err := l.Encode()
	if err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	if err := keep(path, b); err != nil {
		return err
	}
	return annotations.Save(path, l)
}

// keep renames the file at path to a free name beside it, unless it is missing
// or holds just b.
func keep(path string, b []byte) error {
	old, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && bytes.Equal(old, b) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("the earlier demo lesson %s can't be read: %w", path, err)
	}
	ext := filepath.Ext(path)
	for i := 1; ; i++ {
		kept := fmt.Sprintf("%s-kept-%d%s", strings.TrimSuffix(path, ext), i, ext)
		if _, err := os.Lstat(kept); errors.Is(err, fs.ErrNotExist) {
			if err := os.Rename(path, kept); err != nil {
				return fmt.Errorf("the earlier demo lesson can't be kept as %s: %w", kept, err)
			}
			return nil
		}
	}
}
