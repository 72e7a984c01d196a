package video

import (
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/asticode/go-astiav"

	"turngauge/video/orient"
	"turngauge/video/sandbox"
)

// encoderName is the program's name while it encodes. What it may take is what the
// process that decodes may; the clip may be of any length.
var encoderName = sandbox.Name("encoder")

func init() {
	sandbox.Serve(encoderName, sandbox.Limits{OwnBytes: decoderLimits.OwnBytes, Files: decoderLimits.Files}, serveEncoder)
}

// What the process that encodes is told, in turn, each answered by a sentence that is
// empty where all is well.
const (
	encodeStart   = "start"   // with the file to be written and the memory of pictures
	encodePicture = "picture" // that lies in place Place of that memory
	encodeSound   = "sound"   // samples, as data
	encodeFinish  = "finish"
)

type encodeCall struct {
	Do      string        `json:"do"`
	Path    string        `json:"path,omitempty"`
	Options WriterOptions `json:"options"`
	Place   int           `json:"place,omitempty"`
}

// picturePlaces is how many pictures lie in memory: one is filled while the others wait
// or are encoded, so that neither a picture that takes long to draw nor one that takes
// long to encode keeps the other side waiting.
const picturePlaces = 6

// placesOf lays pictures out one behind the other.
func placesOf(memory []byte, o WriterOptions) (all [picturePlaces]*slot) {
	l := newLayout(o.Width, o.Height, orient.Identity, [2]int{1, 1})
	for i := range all {
		all[i] = &slot{
			pix: memory[i*l.size : (i+1)*l.size], width: l.width, height: l.height,
			lumaStride: l.lumaStride, chromaStride: l.chromaStride, u: l.u, v: l.v,
		}
	}
	return all
}

func placesBytes(o WriterOptions) int {
	return picturePlaces * newLayout(o.Width, o.Height, orient.Identity, [2]int{1, 1}).size
}

// serveEncoder writes one clip.
func serveEncoder(l *sandbox.Link) {
	var e *encoding
	var places [picturePlaces]*slot
	var out *os.File
	defer func() {
		if e != nil {
			e.close()
		}
		if out != nil {
			out.Close()
		}
	}()
	for {
		var c encodeCall
		data, files, err := l.Receive(&c)
		if err != nil {
			sandbox.CloseAll(files)
			return
		}
		switch {
		case c.Do == encodeStart && e == nil && len(files) == 2:
			var m *sandbox.Memory
			if m, err = sandbox.MapMemory(files[1], int64(placesBytes(c.Options))); err != nil {
				break
			}
			defer m.Leave()
			out, places = files[0], placesOf(m.Bytes(), c.Options)
			files = files[1:]
			e, err = openEncoding(c.Path, c.Options, out)
		case e == nil:
			err = errAnswer
		case c.Do == encodePicture && c.Place >= 0 && c.Place < picturePlaces:
			err = e.write(places[c.Place])
		case c.Do == encodeSound:
			err = e.writeAudio(readSamples(data))
		case c.Do == encodeFinish:
			err = e.finish()
		}
		sandbox.CloseAll(files)
		said := ""
		if err != nil {
			said = err.Error()
		}
		if l.Send(said, nil) != nil {
			return
		}
	}
}

type encoderProcess interface {
	Send(text any, data []byte, files ...*os.File) error
	Receive(text any) (data []byte, files []*os.File, err error)
	Expect(until time.Time) error
	Kill()
}

// encoder is this end of the process that encodes a clip. One goroutine at a time.
type encoder struct {
	path       string
	process    encoderProcess
	memory     *sandbox.Memory
	places     [picturePlaces]*slot
	next       int // place of the next picture
	unanswered int // calls; they are answered in turn
}

// startEncoder starts the process. Tests that count this process's memory have it in here.
var startEncoder = func() (encoderProcess, error) {
	p, err := sandbox.Start(encoderName)
	if err != nil {
		return nil, err
	}
	var state sandbox.State
	_ = p.Expect(time.Now().Add(startTime))
	if _, _, err := p.Receive(&state); err != nil {
		p.Kill()
		return nil, err
	}
	return p, nil
}

// startEncoding has a clip written into an open file.
func startEncoding(path string, o WriterOptions, f *os.File) (*encoder, error) {
	memory, shared, err := sandbox.MakeMemory(placesBytes(o))
	if err != nil {
		return nil, writingFailed(path, "reserve memory for pictures", err)
	}
	defer shared.Close()
	e := &encoder{path: path, memory: memory, places: placesOf(memory.Bytes(), o)}
	if e.process, err = startEncoder(); err != nil {
		memory.Leave()
		return nil, writingFailed(path, "start the part of the program that writes clips", err)
	}
	if err := errors.Join(e.tell(encodeCall{Do: encodeStart, Path: path, Options: o}, nil, f, shared), e.settle(0, silence)); err != nil {
		e.end()
		return nil, err
	}
	return e, nil
}

// finishTime is how long the end of a clip may take: its index is moved to the front.
const finishTime = 10 * time.Minute

// tell tells the next thing, without waiting for what was told before.
func (e *encoder) tell(c encodeCall, data []byte, files ...*os.File) error {
	if err := e.settle(picturePlaces-1, silence); err != nil {
		return err
	}
	if e.process.Send(c, data, files...) != nil {
		return e.died()
	}
	e.unanswered++
	return nil
}

// settle waits until at most so many calls are unanswered, each within a time. Below
// picturePlaces of them the next picture's place is free: as many pictures have been told
// since it was used.
func (e *encoder) settle(most int, within time.Duration) error {
	for e.unanswered > most {
		e.unanswered--
		var said string
		_ = e.process.Expect(time.Now().Add(within))
		_, files, err := e.process.Receive(&said)
		sandbox.CloseAll(files)
		switch {
		case err != nil:
			return e.died()
		case said != "":
			return errors.New(said)
		}
	}
	return nil
}

func (e *encoder) died() error {
	return fmt.Errorf("video: %q was not written: the part of the program that writes clips stopped. Try again", e.path)
}

// write has a picture encoded while the next ones are made.
func (e *encoder) write(f *astiav.Frame) error {
	if err := e.settle(picturePlaces-1, silence); err != nil {
		return err
	}
	if !copyPicture(f, e.places[e.next]) {
		return errAnswer
	}
	place := e.next
	e.next = (e.next + 1) % picturePlaces
	return e.tell(encodeCall{Do: encodePicture, Place: place}, nil)
}

func (e *encoder) writeAudio(samples []float32) error {
	return e.tell(encodeCall{Do: encodeSound}, writeSamples(samples))
}

func (e *encoder) finish() error {
	if err := e.settle(0, silence); err != nil {
		return err
	}
	if err := e.tell(encodeCall{Do: encodeFinish}, nil); err != nil {
		return err
	}
	return e.settle(0, finishTime)
}

// end ends the process, whatever it is at.
func (e *encoder) end() {
	e.process.Kill()
	e.memory.Leave()
}
