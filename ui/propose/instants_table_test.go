package propose

import (
	"cmp"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/demo"
)

var (
	demoFolder  = flag.String("demo-folder", "", "folder of demo --second: how far its key positions are proposed from the truth")
	visitFolder = flag.String("visit-folder", "", "the same of demo --visit")
	onlyVariant = flag.String("variant", "", "one of the variants of their film")
)

// variant is film of a swing as other phones and golfers make it.
type variant struct {
	name   string
	fps    int // 0 as it is; of every so many pictures one is kept
	silent bool
	mirror bool // and a left-hander
	only   geometry.View
	one    bool // only is there alone
}

var variants = []variant{
	{name: "as it is"}, {name: "60 a second", fps: 60}, {name: "30 a second", fps: 30},
	{name: "without sound", silent: true}, {name: "left-handed", mirror: true},
	{name: "face-on alone", only: geometry.FaceOn, one: true}, {name: "down the line alone", only: geometry.DownTheLine, one: true},
	{name: "30, without sound", fps: 30, silent: true},
}

// make writes a clip anew; pictures keep their times.
func (v *variant) make(t *testing.T, from, to string, rate float64) {
	t.Helper()
	if v.fps == 0 && !v.mirror && !v.silent {
		require.NoError(t, os.Symlink(from, to))
		return
	}
	var filters []string
	if v.fps > 0 {
		filters = append(filters, fmt.Sprintf("select='not(mod(n,%d))'", int(math.Round(rate))/v.fps))
	}
	if v.mirror {
		filters = append(filters, "hflip")
	}
	args := []string{"-v", "error", "-i", from}
	if filters == nil {
		args = append(args, "-c:v", "copy")
	} else {
		args = append(args, "-vf", strings.Join(filters, ","), "-vsync", "passthrough", "-c:v", "libx264", "-preset", "ultrafast", "-crf", "18", "-threads", "1")
	}
	if v.silent {
		args = append(args, "-an")
	} else {
		args = append(args, "-c:a", "copy")
	}
	out, err := exec.Command("ffmpeg", append(args, to)...).CombinedOutput()
	require.NoError(t, err, "%s", out)
}

// TestInstantsTable prints how far the key positions are proposed from those of the demo,
// which are known since it draws them, on variants of its film: for each the median and the
// most, milliseconds, and how many are found; at last the processor time of a swing. It is
// for -demo-folder and -visit-folder.
func TestInstantsTable(t *testing.T) {
	type swing struct {
		lesson, id string
		truth      *demo.Truth
	}
	var all []swing
	if *demoFolder != "" {
		for lesson, truth := range map[string]string{demo.LessonFile: demo.TruthFile, "second-lesson.json": "second-truth.json"} {
			tr, err := demo.LoadTruth(filepath.Join(*demoFolder, truth))
			require.NoError(t, err)
			all = append(all, swing{filepath.Join(*demoFolder, lesson), "s1", tr})
		}
	}
	if *visitFolder != "" {
		tr, err := demo.LoadVisitTruth(filepath.Join(*visitFolder, "visit-truth.json"))
		require.NoError(t, err)
		path := filepath.Join(*visitFolder, "visit-lesson-marked.json")
		l, _, err := annotations.Load(path)
		require.NoError(t, err)
		for i := range tr.Swings {
			all = append(all, swing{path, l.Swings[i].ID, &tr.Swings[i]})
		}
	}
	if len(all) == 0 {
		t.Skip("needs -demo-folder or -visit-folder")
	}
	slices.SortFunc(all, func(a, b swing) int { return cmp.Or(strings.Compare(a.lesson, b.lesson), strings.Compare(a.id, b.id)) })
	for _, v := range variants {
		if *onlyVariant != "" && *onlyVariant != v.name {
			continue
		}
		dir := t.TempDir()
		made := map[string]bool{}
		off := map[geometry.PositionName][]float64{}
		clips := 0
		before := processorSeconds()
		for _, s := range all {
			l, _, err := annotations.Load(s.lesson)
			require.NoError(t, err)
			l.Swings = slices.DeleteFunc(l.Swings, func(x annotations.Swing) bool { return x.ID != s.id })
			sw := &l.Swings[0]
			sw.Positions, sw.Marks = nil, nil
			if v.mirror {
				l.Student.Handed = geometry.LeftHanded
			}
			if v.one {
				sw.Clips = slices.DeleteFunc(sw.Clips, func(c annotations.Clip) bool { return c.View != v.only })
			}
			for i := range sw.Clips {
				c := &sw.Clips[i]
				j := slices.IndexFunc(s.truth.Clips, func(x demo.TruthClip) bool { return x.ID == c.ID || x.View == c.View.String() })
				rate := s.truth.Clips[j].FramesPerS
				from, err := filepath.Abs(filepath.Join(filepath.Dir(s.lesson), s.truth.Clips[j].File))
				require.NoError(t, err)
				if to := filepath.Join(dir, s.truth.Clips[j].File); !made[to] {
					v.make(t, from, to, rate)
					made[to] = true
				}
				if v.fps > 0 && c.Part.Last > 0 {
					n := int(math.Round(rate)) / v.fps
					c.Part = annotations.Part{First: (c.Part.First + n - 1) / n, Last: c.Part.Last / n}
				}
			}
			clips += len(sw.Clips)
			if before == 0 {
				before = processorSeconds()
			}
			w, err := newWork(t.Context(), annotations.NewEditor(l), s.id, dir, nil)
			require.NoError(t, err)
			require.NoError(t, w.positions(t.Context()))
			for i := range w.clips {
				if w.clips[i].index == nil {
					continue
				}
				st := &w.b.Stages[i]
				k := slices.IndexFunc(s.truth.Clips, func(x demo.TruthClip) bool { return x.View == st.View.String() })
				var line []string
				for _, name := range geometry.KeyPositions {
					ref, ok := w.b.Swing().FrameOf(st.Clip, name)
					if !ok {
						line = append(line, "-")
						continue
					}
					ms := 1000 * (st.Film.Seconds(ref.Index) - (s.truth.Position(name).Seconds - s.truth.Clips[k].StartSeconds))
					off[name] = append(off[name], ms)
					line = append(line, fmt.Sprintf("%+.0f", ms))
				}
				t.Logf("%s, %s %s, %s: %s", v.name, filepath.Base(s.lesson), s.id, st.View, strings.Join(line, "  "))
			}
			w.close()
		}
		took := processorSeconds() - before
		var cells []string
		for _, name := range geometry.KeyPositions {
			var size []float64
			for _, ms := range off[name] {
				size = append(size, math.Abs(ms))
			}
			slices.Sort(size)
			cell := fmt.Sprintf("0 of %d", clips)
			if n := len(size); n > 0 {
				cell = fmt.Sprintf("%.0f, %.0f, %d of %d", size[n/2], size[n-1], n, clips)
			}
			cells = append(cells, cell)
		}
		t.Logf("TABLE | %s | %s | %.1f s |", v.name, strings.Join(cells, " | "), took/float64(len(all)))
	}
}

// processorSeconds is the processor time of this process so far.
func processorSeconds() float64 {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}
