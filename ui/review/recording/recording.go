// Package recording writes a narrated review while the coach speaks: what the window
// shows, and what the microphone hears, each into its file as it comes.
package recording

import (
	"math"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"turngauge/annotations/review"
	"turngauge/ui/fault"
	"turngauge/video/microphone"
)

// Recorder writes a review. Its methods are for the goroutine of the window, which they
// do not keep waiting for a disk.
type Recorder struct {
	entry  review.Review
	list   string
	voice  string
	device string
	begun  time.Duration // on the clock of package microphone
	ended  time.Duration // since it began; read once stop is closed
	say    func(string)  // what the coach is to know
	events chan func(f *files) error
	stop   chan struct{}
	done   chan struct{}
	once   sync.Once
	level  atomic.Uint64 // bits of the level
	heard  atomic.Bool   // sound comes
	err    error         // of writing; read once done is closed
}

// eventsAhead is how many changes wait while the disk is busy: 10 s of a pointer that moves.
const eventsAhead = 1024

// Begin begins a review of a lesson, by its ID, in the folder of its document, with a microphone by its ID,
// "" for the usual one. say is called, on any goroutine, with a sentence for the coach when
// there is no voice, or there is one again; what is shown is recorded all the same.
func Begin(folder, lesson, id, device string, say func(string)) (*Recorder, error) {
	r := &Recorder{
		entry: review.Review{
			ID: id, Made: time.Now().Format(time.DateOnly),
			List: filepath.Join(review.Folder, id+".jsonl"), Voice: filepath.Join(review.Folder, id+".wav"),
		},
		device: device, begun: microphone.Now(), say: say,
		events: make(chan func(*files) error, eventsAhead), stop: make(chan struct{}), done: make(chan struct{}),
	}
	r.list, r.voice = r.entry.Files(folder)
	log, err := review.Create(r.list, lesson, time.Now())
	if err != nil {
		return nil, err
	}
	go func() {
		defer close(r.done)
		r.err = fault.Guard(func() error { return r.run(&files{log: log, path: r.voice}) })()
	}()
	return r, nil
}

// Entry is the review as the document has it from the beginning on.
func (r *Recorder) Entry() review.Review { return r.entry }

// Elapsed is how long it has been, seconds.
func (r *Recorder) Elapsed() float64 { return (microphone.Now() - r.begun).Seconds() }

// Level is what the microphone heard last, 0 to 1 of full scale, falling slowly. ok is false
// where it hears nothing.
func (r *Recorder) Level() (level float64, ok bool) {
	return math.Float64frombits(r.level.Load()), r.heard.Load()
}

// Show notes what is shown from now on. s is not to be changed any more.
func (r *Recorder) Show(s *review.State) {
	at := microphone.Now() - r.begun
	r.note(func(f *files) error { return f.log.Show(at, s) })
}

// Ticked notes that something of the plan was said.
func (r *Recorder) Ticked(what string) {
	at := microphone.Now() - r.begun
	r.note(func(f *files) error { return f.log.Ticked(at, what) })
}

func (r *Recorder) note(do func(f *files) error) {
	select {
	case r.events <- do:
	case <-r.done:
	}
}

// Failed reports whether writing has ended because of an error, which End returns.
func (r *Recorder) Failed() bool {
	select {
	case <-r.done:
		return true
	default:
		return false
	}
}

// End ends the review and returns its entry. The error is that of writing; what was
// written until then is there.
func (r *Recorder) End() (review.Review, error) {
	r.once.Do(func() {
		r.ended = microphone.Now() - r.begun
		close(r.stop)
	})
	<-r.done
	return r.entry, r.err
}

// files are what is written, on a goroutine of its own.
type files struct {
	log   *review.Log
	path  string
	voice *review.Voice // nil until something was heard
	knot  time.Duration // the time of the last
}

// every is how often what was written goes to the disk, and how often sample and time are
// noted together.
const every = time.Second

// mostSilent is how long a microphone may give nothing, not even silence, once it was heard,
// and mostOpening until it is: on a busy computer that takes seconds.
const (
	mostSilent  = 4 * time.Second
	mostOpening = 10 * time.Second
)

const gone = "the microphone gives none, as when another program has taken it or it is switched off; close that, or switch it on"

// anewAfter is after how long another try is made with a microphone that gave none.
const anewAfter = 3 * time.Second

func (r *Recorder) run(f *files) (err error) {
	ear := r.listen()
	defer func() { ear.close() }()
	var ended time.Duration
	defer func() {
		if ended == 0 { // writing has failed
			ended = microphone.Now() - r.begun
		}
		if e := f.close(ended); err == nil {
			err = e
		}
		r.entry.Seconds = math.Round(ended.Seconds()*1000) / 1000
		if f.voice == nil {
			r.entry.Voice = ""
		}
	}()
	sync := time.NewTicker(every)
	defer sync.Stop()
	var again <-chan time.Time
	fresh, quiet := true, false // the next block is the first of a microphone; it was said that there is none
	last := microphone.Now()    // when it was opened, or heard
	for {
		select {
		case do := <-r.events:
			err = do(f)
		case b, open := <-ear.blocks():
			r.heard.Store(open)
			if open {
				if err = f.hear(b, b.At-r.begun, fresh); quiet {
					r.say("The microphone is heard again.")
				}
				fresh, quiet, last = false, false, microphone.Now()
				r.meter(b.Level())
				break
			}
			if !quiet {
				quiet = true
				err = f.log.Quiet(microphone.Now()-r.begun, ear.why())
				r.say("There is no sound: " + ear.why() + ". What is shown goes on being recorded.")
			}
			ear.close()
			ear, fresh, again = nil, true, time.After(anewAfter)
		case <-again:
			ear, again, last = r.listen(), nil, microphone.Now()
		case <-sync.C:
			err = f.sync()
			patience := mostSilent
			if fresh {
				patience = mostOpening
			}
			if ear != nil && !quiet && microphone.Now()-last > patience && err == nil {
				// A sound server holds a device back, without a word, that another program has
				// to itself. It gives sound again when that lets it go.
				fresh, quiet = true, true
				r.heard.Store(false)
				err = f.log.Quiet(microphone.Now()-r.begun, gone)
				r.say("There is no sound: " + gone + ". What is shown goes on being recorded.")
			}
		case <-r.stop:
			ended = r.ended
			return r.finish(f, ear, fresh)
		}
		if err != nil {
			return err
		}
	}
}

// mostLate is how long is waited for the last word, which is still on its way from the sound
// card when the review ends.
const mostLate = 500 * time.Millisecond

// finish writes what was shown and said until the review ended.
func (r *Recorder) finish(f *files, ear *ear, fresh bool) error {
	for {
		select {
		case do := <-r.events:
			if err := do(f); err != nil {
				return err
			}
			continue
		default:
		}
		break
	}
	if !r.heard.Load() {
		return nil
	}
	for late := time.After(mostLate); ; {
		select {
		case <-late:
			return nil
		case b, open := <-ear.blocks():
			at := b.At - r.begun
			if !open || at >= r.ended {
				return nil
			}
			if err := f.hear(b, at, fresh); err != nil {
				return err
			}
			fresh = false
		}
	}
}

// fall is by how much the meter falls with each block of 20 ms.
const fall = 0.9

func (r *Recorder) meter(level float64) {
	r.level.Store(math.Float64bits(max(level, fall*math.Float64frombits(r.level.Load()))))
}

func (f *files) hear(b microphone.Block, at time.Duration, fresh bool) (err error) {
	if f.voice == nil {
		if f.voice, err = review.CreateVoice(f.path); err != nil {
			return err
		}
	}
	switch at = max(at, 0); {
	case fresh:
		err = f.log.Anew(at, f.voice.Samples())
	case !b.Rough && at-f.knot >= every:
		f.knot = at
		err = f.log.Voice(at, f.voice.Samples())
	}
	if err != nil {
		return err
	}
	return f.voice.Append(b.Samples)
}

func (f *files) sync() error {
	err := f.log.Sync()
	if f.voice != nil && err == nil {
		err = f.voice.Sync()
	}
	return err
}

func (f *files) close(at time.Duration) error {
	err := f.log.Close(at)
	if f.voice != nil {
		if e := f.voice.Close(); err == nil {
			err = e
		}
	}
	return err
}
