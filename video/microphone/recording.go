package microphone

import (
	"encoding/binary"
	"errors"
	"sync"
	"time"
)

// Recording is a microphone that is listened to.
type Recording struct {
	blocks  chan Block
	process *process
	ended   chan struct{} // closed by Close
	once    sync.Once
	err     error
}

// blocksAhead is how many blocks wait for whoever keeps them: some 5 s, in which a disk
// may be busy.
const blocksAhead = 256

// Record begins to listen to a device by its ID, "" for the system's usual one. It
// returns at once: that there is no microphone is what Blocks ends with.
func Record(device string) (*Recording, error) {
	p, err := start(askRecord, device)
	if err != nil {
		return nil, err
	}
	r := &Recording{blocks: make(chan Block, blocksAhead), process: p, ended: make(chan struct{})}
	go r.listen()
	return r, nil
}

// Blocks is what is heard, in order. It is closed when the microphone gives no more; then
// Err says why. Blocks come for as long as somebody takes them: what is not taken for some
// seconds is lost, and the next block's time says how much.
func (r *Recording) Blocks() <-chan Block { return r.blocks }

// Err is a sentence for the coach, why Blocks is closed; nil after Close. It is to be asked
// for once Blocks is closed.
func (r *Recording) Err() error { return r.err }

// Close ends listening. Blocks is closed then.
func (r *Recording) Close() {
	r.once.Do(func() {
		close(r.ended)
		_ = r.process.cmd.Process.Kill() // may have ended by now
	})
}

func (r *Recording) closed() bool {
	select {
	case <-r.ended:
		return true
	default:
		return false
	}
}

// roughSamples is how long times are rough: FFmpeg smooths them (timefilter.c), and PulseAudio's
// were seen to move by 0.3 s in the first second, and by 0.2 ms from then on.
const roughSamples = 2 * Rate

func (r *Recording) listen() {
	heard := 0
	defer close(r.blocks)
	defer r.process.end()
	for {
		what, data, err := r.process.hear()
		switch {
		case r.closed():
			return
		case err != nil:
			r.err = errStopped
			return
		case what == saysError:
			r.err = errors.New(string(data))
			return
		case what != saysBlock || len(data) < 8 || len(data)%2 != 0:
			continue
		}
		b := Block{At: time.Duration(binary.LittleEndian.Uint64(data)), Samples: make([]int16, (len(data)-8)/2)}
		for i := range b.Samples {
			b.Samples[i] = int16(binary.LittleEndian.Uint16(data[8+2*i:]))
		}
		b.Rough = heard < roughSamples
		heard += len(b.Samples)
		select {
		case r.blocks <- b:
		case <-r.ended:
			return
		default: // nobody takes them
		}
	}
}
