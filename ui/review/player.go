package review

import (
	"context"
	"image"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"gioui.org/op/paint"

	annotated "turngauge/annotations/review"
	"turngauge/ui/review/film"
	"turngauge/video/microphone"
)

func decibels(v float64) float64 { return 20 * math.Log10(math.Max(v, 1e-6)) }

// screen is the size of the picture that is played back, pixels.
var screen = image.Pt(768, 432)

// player plays a review in the window. Its methods are for the window's goroutine; one of
// its own draws, another plays the voice.
type player struct {
	cancel context.CancelFunc
	wanted chan int // the newest frame that is wanted

	// Set once the review is read.
	frames int
	sound  []float32
	course film.Course
	// recorded is what was recorded, on the clock that course maps.
	recorded *annotated.Recorded
	notes    []string

	picture paint.ImageOp
	shown   bool
	at      float64 // seconds of the film
	playing bool
	from    float64       // where playing began
	begun   time.Duration // on the clock of package microphone
	speaker *speaker
}

// seconds is how long what is played is.
func (p *player) seconds() float64 { return float64(p.frames) / film.Rate }

// play begins to play at a time of the film.
// run runs something on a goroutine of its own.
func (p *player) play(at float64, run func(do func()), fail func(error)) {
	p.stop()
	if at >= p.seconds()-0.1 {
		at = 0
	}
	p.playing, p.from, p.begun = true, at, microphone.Now()
	if from := int(at * annotated.Rate); from < len(p.sound) {
		p.speaker = speak(p.sound[from:], run, fail)
	}
}

// stop stops playing.
func (p *player) stop() {
	p.playing = false
	if p.speaker != nil {
		p.speaker.stop()
		p.speaker = nil
	}
}

// advance moves playing on to now, and reports whether it goes on.
func (p *player) advance() bool {
	if !p.playing {
		return false
	}
	begun := p.begun
	if p.speaker != nil {
		if begun = time.Duration(p.speaker.begun.Load()); begun == 0 && microphone.Now()-p.begun < mostWait {
			return true // the sound is not there yet
		}
		begun = max(begun, p.begun)
	}
	p.at = max(p.from+(microphone.Now()-begun).Seconds(), p.from)
	if p.at >= p.seconds() {
		p.at = p.seconds()
		p.stop()
	}
	p.want()
	return p.playing
}

// mostWait is how long the pictures wait for the sound.
const mostWait = 2 * time.Second

// show goes to a time of the film.
func (p *player) show(at float64) {
	p.stop()
	p.at = min(max(at, 0), p.seconds())
	p.want()
}

// want asks for the picture of now; the newest wish wins.
func (p *player) want() {
	n := min(max(int(p.at*film.Rate), 0), max(p.frames-1, 0))
	select {
	case <-p.wanted:
	default:
	}
	select {
	case p.wanted <- n:
	default:
	}
}

func (p *player) close() {
	p.stop()
	p.cancel()
}

// speaker plays a voice, on a goroutine of its own.
type speaker struct {
	ended chan struct{}
	once  sync.Once
	begun atomic.Int64 // when the first sample is heard, on the clock of package microphone; 0: not yet
}

// ahead is by how much the sound is handed over before it is heard.
const ahead = 150 * time.Millisecond

// held is what the sound server is asked to hold back (package microphone).
const held = 100 * time.Millisecond

// speak plays sound; fail is called, on another goroutine, where that can't be done.
func speak(sound []float32, run func(do func()), fail func(error)) *speaker {
	s := &speaker{ended: make(chan struct{})}
	run(func() {
		out, err := microphone.Play()
		if err != nil {
			fail(err)
			return
		}
		defer out.Close()
		const piece = microphone.Rate / 50
		begun := microphone.Now()
		for at := 0; at < len(sound); at += piece {
			part := sound[at:min(at+piece, len(sound))]
			samples := make([]int16, len(part))
			for i, v := range part {
				samples[i] = int16(min(max(v, -1), 1) * math.MaxInt16)
			}
			if err := out.Write(samples); err != nil {
				select {
				case <-s.ended:
				default:
					fail(err)
				}
				return
			}
			if at == 0 {
				begun = microphone.Now()
				s.begun.Store(int64(begun + held))
			}
			wait := begun + time.Duration(at)*time.Second/microphone.Rate - ahead - microphone.Now()
			select {
			case <-s.ended:
				return
			case <-time.After(max(wait, 0)):
			}
		}
		select { // until it has been heard
		case <-s.ended:
		case <-time.After(ahead + 200*time.Millisecond):
		}
	})
	return s
}

func (s *speaker) stop() { s.once.Do(func() { close(s.ended) }) }
