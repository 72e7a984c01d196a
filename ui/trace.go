package ui

import (
	"encoding/json"
	"image"
	"io"
	"runtime"

	"turngauge/annotations"
	"turngauge/ui/bench"
)

// tracer tells a test that drives the real window what it shows.
type tracer struct {
	out     io.Writer
	started bool
	regions map[string][4]int
	last    string
	stages  image.Point // where the stages lie
}

// begin starts a frame.
func (t *tracer) begin() {
	t.started = true
	if t.out != nil {
		t.regions = make(map[string][4]int)
	}
}

// region notes where on the window something is.
func (t *tracer) region(name string, r image.Rectangle) {
	if t.out != nil {
		t.regions[name] = [4]int{r.Min.X, r.Min.Y, r.Max.X, r.Max.Y}
	}
}

// traceLine is what a test reads.
type traceLine struct {
	Regions  map[string][4]int `json:"regions"`
	Stages   []traceStage      `json:"stages,omitempty"`
	Lesson   string            `json:"lesson,omitempty"`
	Position string            `json:"position,omitempty"`
	Armed    string            `json:"armed,omitempty"`
	Active   int               `json:"active"`
	Selected string            `json:"selected,omitempty"`
	Revision uint64            `json:"revision,omitempty"` // of the lesson
	Measured uint64            `json:"measured,omitempty"` // the revision the numbers belong to
	// Settled says that the numbers are those of the marks alone, however the hand
	// came to them.
	Settled  bool           `json:"settled,omitempty"`
	Measures []traceMeasure `json:"measures,omitempty"`
	Notice   string         `json:"notice,omitempty"`
	Alert    string         `json:"alert,omitempty"`
	Modal    bool           `json:"modal,omitempty"`
	// Comparing says that the stages show two swings.
	Comparing bool `json:"comparing,omitempty"`
	// Explaining says that lines and drawings take the place of the marks.
	Explaining bool `json:"explaining,omitempty"`
	Drawings   int  `json:"drawings,omitempty"` // of the swing
	Typing     bool `json:"typing,omitempty"`   // a drawing's text has the keyboard
	// Heard says that a review is recorded and the microphone heard, Review how long the one
	// is that can be played, seconds.
	Heard      bool    `json:"heard,omitempty"`
	Review     float64 `json:"review,omitempty"`
	Goroutines int     `json:"goroutines"` // of the program
}

type traceStage struct {
	Clip   string     `json:"clip"`
	Frame  int        `json:"frame"`
	Shown  int        `json:"shown"` // -1 where no picture is there
	Centre [2]float64 `json:"centre"`
	Scale  float64    `json:"scale"`
}

type traceMeasure struct {
	Name     string  `json:"name"`
	Position string  `json:"position"`
	Value    float64 `json:"value"`
	Low      float64 `json:"low95"`
	High     float64 `json:"high95"`
}

// flush writes what is shown now, if that has changed.
func (t *tracer) flush(a *App) {
	if t.out == nil {
		return
	}
	l := traceLine{Regions: t.regions, Notice: a.notices.Passing(), Modal: a.modal(), Goroutines: runtime.NumGoroutine(), Heard: a.review.Heard(), Review: a.review.Card().Seconds()}
	if len(a.notices.Alerts()) > 0 {
		l.Alert = a.notices.Alerts()[0]
	}
	if d := a.desk; d != nil {
		b := d.Bench
		l.Lesson, l.Position, l.Active = d.Path, string(d.Show().Position), d.Show().Active
		if p, ok := b.Armed(); ok {
			l.Armed = p.String()
		}
		if s, ok := b.Selected(); ok {
			l.Selected = s.Point.String()
		}
		l.Revision, l.Measured = b.Editor().Revision(), d.Result.Revision
		l.Settled = len(d.Result.Measures) > 0 && !d.Result.Summary.Warm
		show := d.Show()
		for i := range show.Stages {
			l.Stages = append(l.Stages, traceOf(&show.Stages[i], a.stage.Frame(i)))
		}
		l.Comparing = d.Comparing != nil
		l.Explaining, l.Drawings = a.explain.On(), len(b.Swing().Drawings)
		if l.Explaining {
			l.Armed, l.Typing = "", a.explain.HoldsKeys()
			if k := a.explain.Tool(); k != annotations.DrawingUnset {
				l.Armed = k.String()
			}
		}
		for _, m := range d.Result.Measures {
			l.Measures = append(l.Measures, traceMeasure{m.Name, string(m.Position), m.Value, m.Low95, m.High95})
		}
	}
	line, err := json.Marshal(l)
	if err != nil || string(line) == t.last {
		return
	}
	t.last = string(line)
	// A test that no longer reads is no reason to stop.
	_, _ = t.out.Write(append(line, '\n'))
}

func traceOf(st *bench.Stage, shown int) traceStage {
	return traceStage{
		Clip: st.Clip, Frame: st.Frame, Shown: shown, Scale: st.Port.Scale,
		Centre: [2]float64{st.Port.Centre.X, st.Port.Centre.Y},
	}
}
