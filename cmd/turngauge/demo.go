package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations"
	"turngauge/ui/demo"
	"turngauge/ui/profile"
)

const demoHelp = `turngauge demo [DIR] [--second | --visit] [--open]

Makes the demo lesson: two clips of an invented golfer's swing, filmed by two
virtual phones, and the truth about them. It goes to DIR, or without DIR to
turngauge/demo in your data folder. What is there already is not made twice.

  --second  make the golfer's second visit, four weeks later, as well
  --visit   make a visit instead: each phone films five swings and a practice
            swing in one take, beside other golfers; the truth says what the
            student's means are and how far the swings spread about them
  --open    open it in the window afterwards
`

func makeDemo(r *run, c *command) int {
	fs := c.flags()
	open := fs.Bool("open", false, "")
	second, visit := fs.Bool("second", false, ""), fs.Bool("visit", false, "")
	rest, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(rest) > 1 {
		return r.misuse(c, "name one folder for the demo lesson, not %d", len(rest))
	}
	if *second && *visit {
		return r.misuse(c, "say one of --second and --visit")
	}
	dir := profile.DemoDir()
	if len(rest) == 1 {
		dir = rest[0]
	}
	bar := &progressBar{w: r.stderr, live: isTerminal(r.stderr), doing: "making the demo lesson"}
	path, err := demo.CreateWith(r.ctx, dir, demo.Options{Second: *second, Visit: *visit}, bar.show)
	bar.end()
	if err != nil {
		return r.fail(fmt.Errorf("the demo lesson can't be made in %s: %w", dir, err), exitFailed)
	}
	_, _ = fmt.Fprint(r.stdout, nextSteps(path))
	if *open {
		r.args = []string{path}
		return window(r)
	}
	return exitOK
}

// nextSteps says what to do with the demo lesson at path.
func nextSteps(path string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "The demo lesson is %s\n\n  turngauge %s\n", path, shellWord(path))
	b.WriteString("    opens it in the window. Set address (key 1) and the top (key 4) in each clip,\n" +
		"    mark both hips and both shoulders there, and read the turn.\n")
	if all := filepath.Join(filepath.Dir(path), demo.MarkedFile); exists(all) {
		fmt.Fprintf(&b, "\n  turngauge measure %s\n    measures the same swing with its points marked.\n", shellWord(all))
	}
	if second := filepath.Join(filepath.Dir(path), demo.SecondMarkedFile); exists(second) {
		fmt.Fprintf(&b, "\n  turngauge %s\n    opens her second visit; V puts the first one beside it.\n", shellWord(second))
	}
	b.WriteString("\n" + annotations.Cautions + "\n")
	return b.String()
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// shellWord quotes a path for a command line where it needs it.
func shellWord(path string) string {
	if strings.ContainsAny(path, " \t'\"\\$&;|<>()*?[]#~`!{}") {
		return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	return path
}

// progressBar shows progress on one line of a terminal, or as a line every
// tenth where the output goes elsewhere.
type progressBar struct {
	w     io.Writer
	live  bool
	doing string
	shown int // last percentage shown, or tenth
}

const barWidth = 40

func (p *progressBar) show(done, total int) {
	if total <= 0 {
		return
	}
	percent := 100 * done / total
	if !p.live {
		if tenth := percent / 10; tenth > p.shown {
			p.shown = tenth
			_, _ = fmt.Fprintf(p.w, "%s: %d %%\n", p.doing, 10*tenth)
		}
		return
	}
	if percent > p.shown {
		p.shown = percent
		full := barWidth * done / total
		_, _ = fmt.Fprintf(p.w, "\r%s [%s%s] %3d %%", p.doing, strings.Repeat("=", full), strings.Repeat(" ", barWidth-full), percent)
	}
}

// end leaves the bar's line.
func (p *progressBar) end() {
	if p.live && p.shown > 0 {
		_, _ = fmt.Fprintln(p.w)
	}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
