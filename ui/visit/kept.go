package visit

import (
	"bytes"
	"encoding/json"
	"image"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/propose"
	"turngauge/video/sound"
	"turngauge/video/take"
)

// Kept is a folder in which what was found in files is kept, so that a program that was
// stopped in the middle goes on where it was, and a file is looked through once. All in it
// may be lost. The zero value keeps nothing.
type Kept string

// keptVersion is raised when the same file would be found to hold something else.
const keptVersion = 1

// keptFor is how long what was found is kept, from when it was used last.
const keptFor = 60 * 24 * time.Hour

// finds are what was found in a file.
type finds struct {
	Version  int
	Frames   int
	Strikes  []sound.Strike
	Swings   []take.Swing
	View     geometry.View
	ViewSure bool
	Pictures [][]byte // PNG; nil for one that was not made
}

func (k Kept) file(sha256 string, practice bool) string {
	name := sha256
	if practice {
		name += "-practice"
	}
	return filepath.Join(string(k), name+".json")
}

func (k Kept) load(sha256 string, practice bool) *finds {
	if k == "" || sha256 == "" {
		return nil
	}
	path := k.file(sha256, practice)
	data, err := os.ReadFile(path)
	var f finds
	if err != nil || json.Unmarshal(data, &f) != nil || f.Version != keptVersion || len(f.Pictures) != len(f.Swings) {
		return nil
	}
	now := time.Now()
	_ = os.Chtimes(path, now, now)
	return &f
}

// fill takes what was found in a film before, and reports whether it was all there.
func (k Kept) fill(f *Film, o Options) bool {
	kept := k.load(f.SHA256, o.Practice)
	if kept == nil || kept.Frames != f.Index.Frames() {
		return false
	}
	pictures := make([]*image.RGBA, len(kept.Swings))
	for i, data := range kept.Pictures {
		if data == nil && o.Pictures {
			return false
		}
		if im, err := png.Decode(bytes.NewReader(data)); err == nil {
			pictures[i] = image.NewRGBA(im.Bounds())
			draw.Draw(pictures[i], im.Bounds(), im, im.Bounds().Min, draw.Src)
		}
	}
	f.Strikes, f.Swings, f.View, f.ViewSure, f.Pictures = kept.Strikes, kept.Swings, kept.View, kept.ViewSure, pictures
	return true
}

// keep writes what was found in a film. That it can't is no fault: it is found anew.
func (k Kept) keep(f *Film, o Options) {
	if k == "" || place.Folder(string(k)) != nil {
		return
	}
	x := finds{Version: keptVersion, Frames: f.Index.Frames(), Strikes: f.Strikes, Swings: f.Swings, View: f.View, ViewSure: f.ViewSure,
		Pictures: make([][]byte, len(f.Swings))}
	for i, p := range f.Pictures {
		var b bytes.Buffer
		if p != nil && png.Encode(&b, p) == nil {
			x.Pictures[i] = b.Bytes()
		}
	}
	if data, err := json.Marshal(&x); err == nil {
		_ = place.Bytes(k.file(f.SHA256, o.Practice), data)
	}
	k.prune()
}

// prune drops what was not used for long.
func (k Kept) prune() {
	entries, _ := os.ReadDir(string(k))
	for _, e := range entries {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > keptFor {
			_ = os.Remove(filepath.Join(string(k), e.Name()))
		}
	}
}

// swing returns what is kept of a swing by one of its clips, nil for nothing.
func (k Kept) swing(c *annotations.Clip) *take.Swing {
	for _, practice := range []bool{false, true} {
		f := k.load(c.SHA256, practice)
		if f == nil {
			continue
		}
		for i := range f.Swings {
			s := &f.Swings[i]
			if c.Part.First == s.First && c.Part.Last == s.Last || c.Part == (annotations.Part{}) && len(f.Swings) == 1 {
				return s
			}
		}
	}
	return nil
}

// Known returns what is kept of those swings of a lesson that have no mark yet, by their
// IDs and those of their clips, to go on with proposing.
func (k Kept) Known(l *annotations.Lesson) map[string]map[string]propose.Found {
	out := map[string]map[string]propose.Found{}
	for i := range l.Swings {
		s := &l.Swings[i]
		if !propose.Wants(s) {
			continue
		}
		known := map[string]propose.Found{}
		for j := range s.Clips {
			if w := k.swing(&s.Clips[j]); w != nil {
				known[s.Clips[j].ID] = propose.Found{Strike: w.Strike, Positions: w.Positions}
			}
		}
		if len(known) > 0 {
			out[s.ID] = known
		}
	}
	return out
}
