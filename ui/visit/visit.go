package visit

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
	"turngauge/video/take"
)

// views are those of the stages.
var views = [bench.NumStages]geometry.View{geometry.FaceOn, geometry.DownTheLine}

// Visit is what was found in the files of one.
type Visit struct {
	Films []*Film
	Rows  []Row
	// Notes are sentences for the coach: what was left aside, and what he should look at.
	Notes []string

	before [bench.NumStages]stands // of the lesson's earlier swings
}

// Row is a swing of the visit.
type Row struct {
	Shots [bench.NumStages]Shot // by view: face-on, down-the-line
	// Practice says that no strike is heard in it.
	Practice bool
	// Leave says that it is not to be taken into the lesson.
	Leave bool
}

// Shot is a swing in a film; Film is nil for none.
type Shot struct {
	Film  *Film
	Swing int // index of Film.Swings
}

// Of returns what was found of the swing in its film.
func (s Shot) Of() *take.Swing { return &s.Film.Swings[s.Swing] }

// Clips lists the files of a folder that may be clips, by name, without those in folders
// in it. The error is that of reading the folder.
func Clips(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("the folder can't be read: %w", err)
	}
	var out []string
	for _, e := range entries {
		if e.Type().IsRegular() && IsClip(e.Name()) {
			out = append(out, filepath.Join(folder, e.Name()))
		}
	}
	return out, nil
}

// IsClip reports whether a file has the name of a clip.
func IsClip(name string) bool {
	return slices.Contains([]string{".mp4", ".mov", ".m4v", ".avi", ".mkv", ".webm", ".3gp"}, strings.ToLower(filepath.Ext(name)))
}

// Look finds the swings in files and which of them belong together. A file that can't be
// read, or in which nobody swings, is left aside and noted. The error is ctx's.
func Look(ctx context.Context, paths []string, o Options) (*Visit, error) {
	v := &Visit{}
	films, faults := make([]*Film, len(paths)), make([]error, len(paths))
	parts := make([]float64, len(paths))
	var mu sync.Mutex
	g, inner := errgroup.WithContext(ctx)
	g.SetLimit(2) // a film keeps about one processor busy
	for i, path := range paths {
		own := o
		own.Progress = func(part float64) {
			mu.Lock()
			defer mu.Unlock()
			parts[i] = part
			if o.Progress != nil {
				sum := 0.0
				for _, p := range parts {
					sum += p / float64(len(parts))
				}
				o.Progress(sum)
			}
		}
		g.Go(func() error {
			films[i], faults[i] = lookAt(inner, path, own)
			own.Progress(1)
			return inner.Err()
		})
	}
	if err := g.Wait(); err != nil {
		return nil, cmp.Or(ctx.Err(), err)
	}
	for i, f := range films {
		var file *video.FileError
		switch {
		case errors.As(faults[i], &file):
			v.note("%v", faults[i])
		case faults[i] != nil:
			v.note("%s can't be used: %v", filepath.Base(paths[i]), faults[i])
		case len(f.Swings) == 0:
			v.note("%s is left aside: no swing with a strike is found in it.", f.Name())
		default:
			v.Films = append(v.Films, f)
		}
	}
	v.settleViews()
	v.pair()
	return v, nil
}

func (v *Visit) note(format string, args ...any) {
	v.Notes = append(v.Notes, fmt.Sprintf(format, args...))
}

// settleViews gives each film a view. Two films alone are from two sides: the less clear
// one then is the other view.
func (v *Visit) settleViews() {
	if len(v.Films) == 2 && v.Films[0].View == v.Films[1].View {
		a, b := v.Films[0], v.Films[1]
		if a.ViewSure && !b.ViewSure {
			a, b = b, a
		}
		if !a.ViewSure {
			a.View = other(b.View)
		}
	}
	for _, f := range v.Films {
		if f.View == geometry.ViewUnset {
			f.View = geometry.FaceOn
		}
		if !f.ViewSure {
			v.note("%s is taken for %s, which its picture does not show for sure: look at it.", f.Name(), f.View)
		}
	}
}

func other(v geometry.View) geometry.View {
	if v == geometry.DownTheLine {
		return geometry.FaceOn
	}
	return geometry.DownTheLine
}

// order sorts films by when they were recorded, where the files say so, else by name.
func order(a, b *Film) int {
	ra, rb := a.Index.Info().Recorded, b.Index.Info().Recorded
	if !ra.IsZero() && !rb.IsZero() && !ra.Equal(rb) {
		return ra.Compare(rb)
	}
	return strings.Compare(a.Path, b.Path)
}

// apart says by how many seconds a strike of one film is recorded before the same strike
// of another by their files' own times, and whether they say so. A phone's time is that
// of the beginning or of the end of a film: the nearer counts.
func apart(a, b *Film, offset float64) (seconds float64, ok bool) {
	ia, ib := a.Index.Info(), b.Index.Info()
	if ia.Recorded.IsZero() || ib.Recorded.IsZero() {
		return 0, false
	}
	began := ia.Recorded.Sub(ib.Recorded).Seconds()
	ended := began - ia.Duration.Seconds() + ib.Duration.Seconds()
	return math.Min(math.Abs(began-offset), math.Abs(ended-offset)), true
}
