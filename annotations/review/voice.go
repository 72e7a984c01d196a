package review

import (
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"

	"turngauge/annotations/place"
)

// Rate is how many samples a second a voice has. It has one channel of 16 bits.
const Rate = 48000

// mostVoice bounds a voice: six hours.
const mostVoice = mostSeconds*Rate*2 + headBytes

// headBytes is the length of the head of a WAVE file with plain samples (Multimedia
// Programming Interface and Data Specifications 1.0, IBM and Microsoft 1991, chapter 3).
const headBytes = 44

// head returns the head before so many bytes of samples; of a file that is still growing,
// unknown, as FFmpeg writes where it can't go back.
const unknownLength = 0xffffffff

func head(bytes uint32) []byte {
	riff := bytes
	if bytes != unknownLength {
		riff += headBytes - 8
	}
	b := append(make([]byte, 0, headBytes), "RIFF"...)
	b = binary.LittleEndian.AppendUint32(b, riff)
	b = append(b, "WAVEfmt "...)
	b = binary.LittleEndian.AppendUint32(b, 16)     // bytes of what follows
	b = binary.LittleEndian.AppendUint16(b, 1)      // plain samples
	b = binary.LittleEndian.AppendUint16(b, 1)      // channels
	b = binary.LittleEndian.AppendUint32(b, Rate)   // samples a second
	b = binary.LittleEndian.AppendUint32(b, Rate*2) // bytes a second
	b = binary.LittleEndian.AppendUint16(b, 2)      // bytes of a sample of all channels
	b = binary.LittleEndian.AppendUint16(b, 16)     // bits of a sample
	b = append(b, "data"...)
	return binary.LittleEndian.AppendUint32(b, bytes)
}

// Voice is a WAV file that is being written. Every program reads it, also one that was
// broken off. One goroutine.
type Voice struct {
	f       *os.File
	samples int64
	buf     []byte
}

// CreateVoice begins a file. Its folder is made.
func CreateVoice(path string) (*Voice, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, err
	}
	v := &Voice{f: f}
	_, err = f.Write(head(unknownLength))
	return v, err
}

// Samples is how many were appended.
func (v *Voice) Samples() int64 { return v.samples }

// Append writes samples at the end.
func (v *Voice) Append(samples []int16) error {
	v.buf = v.buf[:0]
	for _, s := range samples {
		v.buf = binary.LittleEndian.AppendUint16(v.buf, uint16(s))
	}
	n, err := v.f.Write(v.buf)
	v.samples += int64(n / 2)
	return err
}

// Sync brings what was written to the disk.
func (v *Voice) Sync() error { return v.f.Sync() }

// Close ends the file.
func (v *Voice) Close() error {
	err := v.f.Sync() // the samples, before the head says how many there are
	_, short := v.f.WriteAt(head(uint32(v.samples*2)), 0)
	return errors.Join(err, short, place.Finish(v.f))
}

// ErrNoVoice says that a file is not a voice as this program records it.
var ErrNoVoice = errors.New("it is no WAV file of one channel of 48,000 samples of 16 bits a second")

// ReadVoice reads a voice, also one that was broken off.
func ReadVoice(path string) ([]int16, error) {
	data, err := place.Read(path, mostVoice)
	if err != nil {
		return nil, err
	}
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "WAVE" {
		return nil, ErrNoVoice
	}
	plain := false
	for at := 12; at+8 <= len(data); {
		name, size := string(data[at:at+4]), int(binary.LittleEndian.Uint32(data[at+4:]))
		body := data[at+8 : min(at+8+size, len(data))]
		switch {
		case name == "fmt " && len(body) >= 16:
			u16 := func(i int) uint16 { return binary.LittleEndian.Uint16(body[i:]) }
			plain = u16(0) == 1 && u16(2) == 1 && binary.LittleEndian.Uint32(body[4:]) == Rate && u16(14) == 16
		case name == "data" && plain:
			out := make([]int16, len(body)/2)
			for i := range out {
				out[i] = int16(binary.LittleEndian.Uint16(body[2*i:]))
			}
			return out, nil
		}
		at += 8 + size + size%2
	}
	return nil, ErrNoVoice
}
