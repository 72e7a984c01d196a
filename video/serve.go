package video

import (
	"context"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"turngauge/video/sandbox"
)

// decoderName is the program's name while it decodes.
var decoderName = sandbox.Name("decoder")

// decoderLimits are what the process that decodes a clip may take. A clip of 8K takes
// some hundred megabytes beside the pictures that are kept, its sound up to 500.
var decoderLimits = sandbox.Limits{OwnBytes: 3 << 30, FileBytes: 512 << 20, Files: 128}

func init() { sandbox.Serve(decoderName, decoderLimits, serveClips) }

// clipServer reads one clip for all who read it. It has nothing but the open file.
type clipServer struct {
	mu    sync.Mutex
	known *Index // once somebody has needed it
}

// serveClips takes what a process is told for: with each message two open files, a link
// to whoever wants to read the clip, and the clip, whose name is the text.
func serveClips(control *sandbox.Link) {
	var server clipServer
	for {
		var name string
		_, files, err := control.Receive(&name)
		if err != nil || len(files) != 2 {
			sandbox.CloseAll(files)
			return
		}
		l, err := sandbox.NewLink(files[0])
		if err != nil {
			files[1].Close()
			continue
		}
		go server.serve(l, clipFile{files[1], name})
	}
}

// visit is one who reads the clip.
type visit struct {
	server *clipServer
	link   *sandbox.Link
	file   clipFile
	ctx    context.Context // ends with the link
	s      *stream
	let    func() // ends the watch over s

	last     *kept // the picture of the last answer, nil where there is none or it isn't stored
	held     map[int]*slot
	ids      int
	progress time.Time // when it was last told of
}

// kept is a picture in shared memory, and the number by which it is called.
type kept struct {
	id   int
	slot *slot
}

func (c *clipServer) serve(l *sandbox.Link, f clipFile) {
	ctx, cancel := context.WithCancel(context.Background())
	v := &visit{server: c, link: l, file: f, ctx: ctx, held: map[int]*slot{}}
	defer v.end()
	calls := make(chan call)
	go func() { // so that hanging up is noticed during a call
		defer close(calls)
		defer cancel()
		for {
			var c call
			_, files, err := l.Receive(&c)
			sandbox.CloseAll(files)
			if err != nil {
				return
			}
			select {
			case calls <- c:
			case <-ctx.Done():
				return
			}
		}
	}()
	defer cancel()
	defer l.Close()
	for c := range calls {
		a, data, files := v.answer(c)
		err := l.Send(a, data, files...)
		sandbox.CloseAll(files)
		if err != nil {
			return
		}
	}
}

func (v *visit) end() {
	if v.last != nil {
		v.last.slot.release()
	}
	for _, s := range v.held {
		s.release()
	}
	if v.s != nil {
		v.let()
		v.s.close()
	}
	v.file.Close()
}

// open has reading s end when the link does.
func (v *visit) open(s *stream) {
	v.s = s
	done := make(chan struct{})
	stop := context.AfterFunc(v.ctx, func() {
		s.interrupt()
		close(done)
	})
	v.let = func() {
		if !stop() {
			<-done
		}
	}
}

// answer does what is asked for. A mistake in the program, which panics, costs no more
// than what was asked for, by a new decoder.
func (v *visit) answer(c call) (a answer, data []byte, files []*os.File) {
	defer func() {
		if p := recover(); p != nil {
			v.drop()
			a, data = answer{Failed: &failure{-1, fmt.Sprintf("it met a mistake in the program (%v)", p)}}, nil
		}
	}()
	v.settle(c)
	var err error
	switch c.Do {
	case callIndex:
		a.Found, data, err = v.index()
	case callSeek:
		err = v.seek(c)
	case callNext:
		a.Picture, err = v.next(c.SkipTill)
	case callKeep:
		a.Stored, err = v.keep()
	case callFree:
	case callSound:
		a.Sound, data, err = v.sound(c)
	default:
		err = fmt.Errorf("there is no call %q", c.Do)
	}
	if err != nil {
		a = answer{Failed: failureOf(err)}
	}
	if d := v.decoder(); d != nil {
		a.At, a.Bad = where{d.at.start, d.at.next, d.at.last}, d.bad
		for _, s := range []*stored{a.Stored, a.stored()} {
			if s == nil {
				continue
			}
			if f := d.pool.takeArena(s.Arena); f != nil {
				files = append(files, f)
			}
		}
	}
	return a, data, files
}

func (v *visit) decoder() *decoder {
	if v.s == nil {
		return nil
	}
	return v.s.dec
}

// settle does with earlier pictures as the call says.
func (v *visit) settle(c call) {
	if v.last != nil && c.Do != callKeep {
		if c.Hold {
			v.held[v.last.id] = v.last.slot
		} else {
			v.last.slot.release()
		}
		v.last = nil
	}
	for _, id := range c.Free {
		if s := v.held[id]; s != nil {
			delete(v.held, id)
			s.release()
		}
	}
}

// drop frees the decoder after a panic, to be made anew. A panic is raised in Go,
// between two calls of FFmpeg, so what C holds is whole. Pictures outlive it.
func (v *visit) drop() {
	if v.s != nil {
		v.s.dropDecoder()
	}
}

// more tells, once in a while, that a long call is being worked on.
func (v *visit) more() {
	const often = time.Second
	if now := time.Now(); now.Sub(v.progress) > often {
		v.progress = now
		_ = v.link.Send(answer{More: true}, nil) // whether it can be sent, the answer tells
	}
}

// index reads the clip from end to end.
func (v *visit) index() (*found, []byte, error) {
	s, raw, err := openStream(v.ctx, v.file, v.more)
	if err != nil {
		return nil, nil, err
	}
	v.open(s)
	v.server.mu.Lock()
	v.server.known = s.Index
	v.server.mu.Unlock()
	o := s.layout.orient
	return &found{
		Info: s.info, Stream: s.streamIndex, Orient: [4]int{o.XX, o.XY, o.YX, o.YY},
		Matrix: s.layout.matrix, Full: s.layout.full, Retimed: s.retimed,
	}, writePackets(raw), nil
}

// known returns the clip's index, reading it where nobody has before.
func (v *visit) known() (*Index, error) {
	v.server.mu.Lock()
	defer v.server.mu.Unlock()
	if v.server.known == nil {
		s, _, err := openStream(v.ctx, v.file, v.more)
		if err != nil {
			return nil, err
		}
		s.close()
		v.server.known = s.Index
	}
	return v.server.known, nil
}

// run returns the decoder, which is made where there is none.
func (v *visit) run() (*decoder, error) {
	if v.s == nil {
		x, err := v.known()
		if err != nil {
			return nil, err
		}
		s, err := openAgain(v.file, x)
		if err != nil {
			return nil, err
		}
		v.open(s)
	}
	if v.s.dec == nil {
		d, err := newDecoder(v.s)
		if err != nil {
			return nil, err
		}
		v.s.dec = d
	}
	return v.s.dec, nil
}

func (v *visit) seek(c call) error {
	d, err := v.run()
	if err != nil {
		return err
	}
	if c.Key < 0 || c.Key >= len(v.s.packets) {
		return fmt.Errorf("there is no packet %d", c.Key)
	}
	for _, k := range c.FalseKeys {
		v.s.falseKeys[k] = true
	}
	return d.seek(c.Key)
}

func (v *visit) next(skipTill int64) (*decoded, error) {
	d, err := v.run()
	if err != nil {
		return nil, err
	}
	d.skipTill = skipTill
	n, err := d.next()
	if err == io.EOF {
		return nil, nil
	}
	p := &decoded{Frame: n, Key: d.frame.KeyFrame(), Damaged: frameDamaged(d.frame)}
	if s := holdPicture(d.codec, d.frame, v.s.layout); s != nil {
		v.last = &kept{v.ids, s}
		p.Stored = v.place(s)
	}
	return p, err
}

// keep converts the last picture.
func (v *visit) keep() (*stored, error) {
	d := v.decoder()
	if d == nil {
		return nil, fmt.Errorf("there is no picture to be kept")
	}
	s, err := d.convertPicture()
	if err != nil {
		return nil, err
	}
	v.held[v.ids] = s
	return v.place(s), nil
}

// place says where a picture lies, under the next number.
func (v *visit) place(s *slot) *stored {
	arena, at := s.place()
	p := &stored{
		ID: v.ids, Arena: arena, At: at, Bytes: s.bytes, First: s.first,
		Luma: s.lumaStride, Chroma: s.chromaStride, U: int64(s.u), V: int64(s.v),
	}
	v.ids++
	return p
}

func (v *visit) sound(c call) (*heard, []byte, error) {
	x, err := v.known()
	if err != nil {
		return nil, nil, err
	}
	p := soundPieces{c.Seconds, c.Overlap, nil}
	if c.Seconds > 0 {
		p.use = func(a *Audio) error {
			return v.link.Send(answer{More: true, Sound: &heard{a.Rate, a.Start, a.Cut}}, writeSamples(a.Samples))
		}
	}
	a, err := decodeSound(v.ctx, v.file, x, p, v.more)
	if err != nil || a == nil {
		return nil, nil, err
	}
	return &heard{a.Rate, a.Start, a.Cut}, writeSamples(a.Samples), nil
}
