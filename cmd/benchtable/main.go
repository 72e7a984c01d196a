// Benchtable reads what "go test -bench" prints and writes one table: each
// promise of speed, what was measured beside it in the same run, and where that
// falls short.
//
//	{ go test -run '^$' -bench . ./...; cmd/benchtable/outside.sh; } | go run ./cmd/benchtable
//
// What outside.sh prints are times of other libraries on the same problem, in the
// same form.
package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"text/tabwriter"
)

// promise is one speed that the program is to have.
type promise struct {
	what      string
	benchmark string // its name without the number of processors, after the package
	metric    string
	goal      float64
	unit      string // the metric is divided by scale and shown in it
	scale     float64
	atLeast   bool   // the goal is a least, as for a ratio of speeds; else a most
	beside    string // what it is measured beside
	outside   string // another library's benchmark: the metric is then how often faster ours is
}

const ms = 1e6 // nanoseconds

var promises = []promise{
	{"frame index of an 8 s clip of 240 frames a second", "video.BenchmarkIndex", "ns/op", 50, "ms", ms, false, "a wait nobody notices", ""},
	{"open that clip once more, for another reader", "video.BenchmarkOpenSecond", "ns/op", 5, "ms", ms, false, "less than decoding one frame", ""},
	{"open a clip and show its first picture", "video.BenchmarkOpenToFirstPicture", "ns/op", 200, "ms", ms, false, "a wait that is hardly noticed", ""},
	{"the same", "video.BenchmarkOpenToFirstPicture", "speed/ffmpeg", 1, "×", 1, true, "ffmpeg decoding one frame", ""},
	{"decode 1080p to shown pixels, in order", "video.BenchmarkSequential/1920x1080", "speed/ffmpeg", 0.9, "×", 1, true, "ffmpeg decoding without converting", ""},
	{"the same", "video.BenchmarkSequential/1920x1080", "speed/ffmpeg-rgba", 0.9, "×", 1, true, "ffmpeg converting as well", ""},
	{"step to a frame that is decoded", "video.BenchmarkStepCached", "ns/op", 4, "ms", ms, false, "a quarter of a screen frame at 60 Hz", ""},
	{"step back over key frames, the longest of all", "video.BenchmarkStepBack", "p100-ms", 16.7, "ms", 1, false, "a screen frame at 60 Hz", ""},
	{"seek anywhere, 95 of 100", "video.BenchmarkSeek", "p95/bare-decode", 1.2, "×", 1, false, "the bare decoding it needs", ""},
	{"fit a swing, cold", "geometry/fit.BenchmarkSolveCold", "ns/op", 150, "ms", ms, false, "a hand that waits", ""},
	{"the same", "geometry/fit.BenchmarkSolveCold", "ns/op", 1, "×", 1, true, "SciPy's least_squares on the greater part of it", "outside.BenchmarkSciPyFit"},
	{"fit a swing from one view, cold", "geometry/fit.BenchmarkSolveColdFaceOn", "ns/op", 150, "ms", ms, false, "a hand that waits", ""},
	{"fit after a mark has moved", "geometry/fit.BenchmarkSolveWarm", "ns/op", 30, "ms", ms, false, "a hand that drags", ""},
	{"fit of a swing's motion through time", "geometry/motion.BenchmarkFit", "ns/op", 2000, "ms", ms, false, "while the coach looks on", ""},
	{"find the joints in a picture", "video/pose/tflite.BenchmarkLandmarks", "ns/op", 400, "ms", ms, false, "tfjs-tflite, on another day: about 35 ms", ""},
	{"follow 24 points by a frame", "video/track.BenchmarkFlow/24_points", "best-cpu-ms", 4, "ms", 1, false, "playing at 240 frames a second", ""},
	{"the same", "video/track.BenchmarkFlow/24_points", "best-cpu-ms", 1.5, "×", 1, true, "OpenCV on one core", "outside.BenchmarkOpenCVFlow/24_points"},
	{"follow 500 points by a frame", "video/track.BenchmarkFlow/500_points", "best-cpu-ms", 1.5, "×", 1, true, "OpenCV on one core", "outside.BenchmarkOpenCVFlow/500_points"},
	{"a frame of the window while a mark is dragged", "ui.BenchmarkFrameDragging", "ms/frame", 4, "ms", 1, false, "a quarter of a screen frame at 60 Hz", ""},
	{"write the annotated clip", "ui/takehome.BenchmarkClip", "speed/ffmpeg", 0.8, "×", 1, true, "ffmpeg encoding the same frames", ""},
	{"the same, processor time", "ui/takehome.BenchmarkClip", "cpu-speed/ffmpeg", 0.8, "×", 1, true, "ffmpeg encoding the same frames", ""},
	{"make the film of a review", "ui/review/film.BenchmarkFilm/wide", "speed/ffmpeg", 0.83, "×", 1, true, "ffmpeg encoding the same frames", ""},
	{"open a library of 5,000 lessons", "annotations/library.BenchmarkLibrary/open_and_list_the_last", "ns/op", 300, "ms", ms, false, "a start nobody waits for", ""},
	{"search it", "annotations/library.BenchmarkLibrary/search_l", "ns/op", 50, "ms", ms, false, "a key typed", ""},
}

func main() {
	if err := run(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "benchtable:", err)
		os.Exit(1)
	}
}

func run(in io.Reader, out io.Writer) error {
	measured, failed, err := read(in)
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "promise\tgoal\tmeasured\t\tbeside")
	for _, p := range promises {
		fmt.Fprintln(w, p.row(measured[p.benchmark], measured[p.outside]))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if len(failed) > 0 {
		return fmt.Errorf("failed: %s", strings.Join(failed, ", "))
	}
	return nil
}

// row is the promise's line of the table, its cells parted by tabs, made of what
// its benchmark measured and what another library's did.
func (p *promise) row(metrics, others map[string]float64) string {
	sign := "≤"
	if p.atLeast {
		sign = "≥"
	}
	goal := fmt.Sprintf("%s %s %s", sign, figure(p.goal), p.unit)
	v, ok := metrics[p.metric]
	if p.outside != "" && ok {
		var theirs float64
		theirs, ok = others[p.metric]
		v = theirs / v
	}
	if !ok {
		return strings.Join([]string{p.what, goal, "-", "not measured", p.beside}, "\t")
	}
	v /= p.scale
	verdict := "met"
	if short := p.short(v); short > 0 {
		verdict = fmt.Sprintf("short by %.0f %%", math.Ceil(100*short))
	}
	return strings.Join([]string{p.what, goal, figure(v) + " " + p.unit, verdict, p.beside}, "\t")
}

// short is how far a value misses the goal, as a part of it; 0 or less where it
// does not.
func (p *promise) short(v float64) float64 {
	if p.atLeast {
		return 1 - v/p.goal
	}
	return v/p.goal - 1
}

func figure(v float64) string { return strconv.FormatFloat(v, 'g', 3, 64) }

// read returns the metrics of every benchmark, by its package within the module
// and its name without the number of processors, and the packages that failed.
func read(in io.Reader) (measured map[string]map[string]float64, failed []string, err error) {
	measured = make(map[string]map[string]float64)
	pkg := ""
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		f := strings.Fields(lines.Text())
		switch {
		case len(f) == 2 && f[0] == "pkg:":
			pkg = strings.TrimPrefix(f[1], "turngauge/")
		case len(f) > 1 && f[0] == "FAIL":
			failed = append(failed, f[1])
		case len(f) >= 4 && strings.HasPrefix(f[0], "Benchmark"):
			name := f[0]
			if i := strings.LastIndexByte(name, '-'); i > 0 {
				if _, err := strconv.Atoi(name[i+1:]); err == nil {
					name = name[:i]
				}
			}
			m := make(map[string]float64)
			for i := 2; i+1 < len(f); i += 2 {
				v, err := strconv.ParseFloat(f[i], 64)
				if err != nil {
					return nil, nil, fmt.Errorf("%q is no line of a benchmark", lines.Text())
				}
				m[f[i+1]] = v
			}
			measured[pkg+"."+name] = m
		}
	}
	return measured, failed, lines.Err()
}
