package video

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/asticode/go-astiav"
)

const (
	// decodeThreads: a third thread gains nothing on the machines measured.
	decodeThreads = 2
	// mostErrors in a row end a run: the rest of the file is noise.
	mostErrors = 1000
)

// decoder turns packets into pictures. It is part of a stream and used by the
// one goroutine that uses that.
type decoder struct {
	s     *stream
	pool  slotPool
	codec *astiav.CodecContext
	frame *astiav.Frame // the picture last handed out

	at       position
	pending  bool // the stream's packet holds one read while seeking
	draining bool // the end of the file was sent

	// skipTill is the presentation time before which pictures that no other
	// refers to need not be decoded, noPTS for none.
	skipTill int64

	convert      *scaler // for pictures of another format or size
	convertShape pictureShape

	bad int // packets that could not be read or decoded
}

func newDecoder(s *stream) (*decoder, error) {
	pool, err := newSlotPool(os.Getpagesize())
	if err != nil {
		return nil, err
	}
	d := &decoder{s: s, pool: pool, skipTill: noPTS}
	found := astiav.FindDecoder(s.codec)
	d.codec = astiav.AllocCodecContext(found)
	d.frame = astiav.AllocFrame()
	if d.codec == nil || d.frame == nil {
		d.close()
		return nil, fileError(s.file.name, ErrUnreadable, "can't be decoded: out of memory.")
	}
	options := astiav.NewDictionary()
	defer options.Free()
	err = s.params.ToCodecContext(d.codec)
	if err == nil {
		err = options.Set("max_pixels", fmt.Sprint(maxPixels), 0)
	}
	d.pool.serve(d.codec)
	d.codec.SetThreadCount(decodeThreads)
	d.codec.SetThreadType(astiav.ThreadTypeFrame)
	if err == nil {
		err = d.codec.Open(found, options)
	}
	if err != nil {
		d.close()
		return nil, fileError(s.file.name, ErrUnsupported, "can't be decoded: %v. Export the clip as H.264 and choose that.", err)
	}
	return d, nil
}

func (d *decoder) close() {
	if d.convert != nil {
		d.convert.close()
	}
	if d.frame != nil {
		d.frame.Free()
	}
	if d.codec != nil {
		d.codec.Free()
	}
	if d.pool.c != nil {
		d.pool.close()
	}
}

// dropDecoder frees the decoder after a panic, to be made anew. A panic is
// raised in Go, between two calls of FFmpeg, so what C holds is whole.
func (s *stream) dropDecoder() {
	s.packet.Unref()
	if s.dec != nil {
		s.dec.close()
		s.dec = nil
	}
}

// next decodes the next shown picture of the run and returns its number. At
// the end of the run it returns io.EOF, after which only seek helps.
func (d *decoder) next() (int, error) {
	for failures := 0; failures < mostErrors; {
		err := d.codec.ReceiveFrame(d.frame)
		switch {
		case err == nil:
			if n := d.accept(); n >= 0 {
				return n, nil
			}
		case errors.Is(err, astiav.ErrEagain):
			if !d.feed() {
				failures = mostErrors
			}
		case errors.Is(err, astiav.ErrEof):
			d.at.known = false
			return -1, io.EOF
		default:
			d.bad++
			failures++
		}
	}
	d.at.known = false
	return -1, io.EOF
}

// accept identifies the decoded picture by its packet, whose place in the
// index travels through the decoder as its time stamp. It returns -1 for
// pictures that are not to be shown, and for those that lead the run's key
// picture, which may refer to pictures before it.
func (d *decoder) accept() int {
	i, x := d.frame.Pts(), d.s.Index
	if i < 0 || i >= int64(len(x.packets)) {
		return -1
	}
	p := x.packets[i]
	if p.frame < 0 || p.pts < x.packets[d.at.start].pts {
		return -1
	}
	d.at.last = max(d.at.last, int(p.frame))
	return int(p.frame)
}

// feed sends the next packet of the stream, or the end of the file, to the
// decoder. It returns false when nothing is left to send.
func (d *decoder) feed() bool {
	packet := d.s.packet
	for !d.draining {
		i, err := d.read()
		if err != nil {
			d.draining = true
			return d.codec.SendPacket(nil) == nil
		}
		if i < d.at.start && i >= 0 {
			packet.Unref() // the demuxer landed before the key packet
			continue
		}
		packet.SetPts(int64(i))
		packet.SetDts(int64(i))
		skipUnreferenced(d.codec, i >= 0 && d.skipTill != noPTS && d.s.packets[i].pts < d.skipTill)
		err = d.codec.SendPacket(packet)
		packet.Unref()
		if err == nil {
			return true
		}
		d.bad++
	}
	return false
}

// read fetches the next packet of the stream into the stream's packet and
// returns its place in the index, -1 when it is not there.
func (d *decoder) read() (int, error) {
	if d.pending {
		d.pending = false
		return d.at.next - 1, nil
	}
	for failures := 0; ; {
		r, err := readPacket(d.s.in.Load().format, d.s.packet, d.s.codec)
		switch {
		case errors.Is(err, astiav.ErrEof):
			return -1, io.EOF
		case err != nil:
			d.bad++
			if failures++; failures > mostErrors {
				return -1, io.EOF
			}
			continue
		case r.stream != d.s.streamIndex:
			d.s.packet.Unref()
			continue
		}
		i := d.s.find(r.pts, r.dts, r.pos, d.at.next)
		if i >= 0 {
			d.at.next = i + 1
		}
		return i, nil
	}
}

// seek starts a run at a key packet. Demuxers land where they like, so the
// first packet read says where that was; if it is past the key packet, or not
// in the index, earlier places are tried, at last the file is opened anew.
func (d *decoder) seek(key int) error {
	d.reset()
	packets := d.s.packets
	target := packets[key]
	stamps := []int64{target.pts, target.dts}
	for k, back := key, 1; k > 0; back *= 2 {
		for range back {
			k = d.s.keyBefore(k, k-1, d.s.falseKeys)
		}
		stamps = append(stamps, packets[k].pts)
	}
	stamps = append(stamps, min(packets[0].dts, packets[0].pts, 0))
	backward := astiav.NewSeekFlags(astiav.SeekFlagBackward)
	for _, stamp := range stamps {
		if stamp == noPTS || d.s.in.Load().format.SeekFrame(d.s.streamIndex, stamp, backward) != nil {
			continue
		}
		if d.landed(key) {
			return nil
		}
	}
	if err := d.s.reopen(); err != nil {
		return err
	}
	if d.landed(key) {
		return nil
	}
	return fileError(d.s.file.name, ErrUnreadable, "can't be read at packet %d. Copy the clip again.", key)
}

func (d *decoder) reset() {
	if d.pending {
		d.s.packet.Unref()
		d.pending = false
	}
	flushCodec(d.codec)
	d.draining = false
	d.at = position{}
}

// landed reads the first packet after a seek and keeps it if the run can start from there.
func (d *decoder) landed(key int) bool {
	d.at.next = key
	i, err := d.read()
	if err != nil {
		return false
	}
	if i < 0 || i > key {
		d.s.packet.Unref()
		return false
	}
	d.pending = true
	d.at = position{known: true, start: key, next: i + 1, last: -1}
	return true
}

// convertPicture returns the picture last handed out as the layout has it, for one that
// can't be held as it is (holdPicture).
func (d *decoder) convertPicture() (*slot, error) {
	s, err := d.pool.take(d.s.layout)
	if err != nil {
		return nil, err
	}
	if copyPicture(d.frame, s) {
		return s, nil
	}
	if err := d.scaleInto(s); err != nil {
		s.release()
		return nil, err
	}
	return s, nil
}

// scaleInto stores a picture of another format or size in a slot.
func (d *decoder) scaleInto(s *slot) error {
	l := d.s.layout
	src := pictureShape{d.frame.Width(), d.frame.Height(), d.frame.PixelFormat(), l.matrix, l.full}
	if d.convert == nil || d.convertShape != src {
		if d.convert != nil {
			d.convert.close()
			d.convert = nil
		}
		c, err := newScaler(src, l.shape(), scaleBilinear, chromaDefault, chromaDefault)
		if err != nil {
			return err
		}
		d.convert, d.convertShape = c, src
	}
	return d.convert.scalePicture(d.frame, s)
}
