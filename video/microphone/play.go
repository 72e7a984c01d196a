package microphone

import (
	"encoding/binary"
	"errors"
	"io"
	"sync"

	"github.com/asticode/go-astiav"
)

// playPacket is how many samples are handed to the sound server at once: 20 ms. The server
// holds back as many as it likes, so what was written is heard some hundredths of a
// second later.
const playPacket = Rate / 50

// play plays samples of 2 bytes, little-endian, until they end.
func play(device string, from io.Reader) error {
	var out *astiav.FormatContext
	err := astiav.ErrDemuxerNotFound
	var failed error = err
	for _, d := range devices(device) {
		if out, failed = openSink(d[0], d[1]); failed == nil {
			break
		}
	}
	if failed != nil {
		return errors.New("there is nothing to play sound through: plug headphones or a loudspeaker in")
	}
	defer out.Free()
	p := astiav.AllocPacket()
	defer p.Free()
	buf := make([]byte, 2*playPacket)
	for at := int64(0); ; at += playPacket {
		n, end := io.ReadFull(from, buf)
		if n > 1 {
			if err := p.FromData(buf[:n&^1]); err != nil {
				return err
			}
			p.SetPts(at)
			p.SetDts(at)
			p.SetDuration(int64(n / 2))
			err := out.WriteFrame(p)
			p.Unref()
			if err != nil {
				return errors.New("the sound has stopped: what plays it was pulled out")
			}
		}
		if end != nil {
			return out.WriteTrailer() // after what was handed over has been heard
		}
	}
}

func openSink(system, name string) (*astiav.FormatContext, error) {
	out, err := astiav.AllocOutputFormatContext(nil, system, name)
	if err != nil {
		return nil, err
	}
	s := out.NewStream(nil)
	c := s.CodecParameters()
	c.SetMediaType(astiav.MediaTypeAudio)
	c.SetCodecID(astiav.CodecIDPcmS16Le)
	c.SetSampleFormat(astiav.SampleFormatS16)
	c.SetSampleRate(Rate)
	c.SetChannelLayout(astiav.ChannelLayoutMono)
	s.SetTimeBase(astiav.NewRational(1, Rate))
	options := astiav.NewDictionary()
	defer options.Free()
	if system == "pulse" {
		err = errors.Join(options.Set("name", "Turngauge", 0), options.Set("buffer_duration", "100", 0)) // ms
	}
	if err == nil {
		err = out.WriteHeader(options)
	}
	if err != nil {
		out.Free()
		return nil, err
	}
	return out, nil
}

// Player plays samples. It is used by one goroutine, but for Close.
type Player struct {
	process *process
	once    sync.Once
}

// Play begins to play through the system's usual device. Where there is none, the first
// Write says so.
func Play() (*Player, error) {
	p, err := start(askPlay, "")
	if err != nil {
		return nil, err
	}
	return &Player{process: p}, nil
}

// Write plays samples; it waits while as many are on their way as the server takes. The
// error is a sentence for the coach.
func (p *Player) Write(samples []int16) error {
	data := make([]byte, 2*len(samples))
	for i, v := range samples {
		binary.LittleEndian.PutUint16(data[2*i:], uint16(v))
	}
	if _, err := p.process.in.Write(data); err != nil {
		if what, said, err := p.process.hear(); err == nil && what == saysError {
			return errors.New(string(said))
		}
		return errStopped
	}
	return nil
}

// Close stops at once.
func (p *Player) Close() { p.once.Do(p.process.end) }
