package voice

import (
	"encoding/binary"
	"errors"
	"math"
)

// The formats of samples in a WAVE file (Multimedia Programming Interface and Data
// Specifications 1.0, IBM and Microsoft 1991, chapter 3; floats and the extensible form by
// the WAVEFORMATEXTENSIBLE of Microsoft's documentation, from memory).
const (
	wavPCM        = 1
	wavFloat      = 3
	wavExtensible = 0xfffe
)

var errWave = errors.New("it is no WAV file with plain samples")

// readWave returns the samples of a WAVE file, the mean of its channels.
func readWave(data []byte) (rate int, samples []float32, err error) {
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "WAVE" {
		return 0, nil, errWave
	}
	var format, channels, bits int
	for at := 12; at+8 <= len(data); {
		kind, size := string(data[at:at+4]), int(binary.LittleEndian.Uint32(data[at+4:]))
		body := data[at+8 : min(max(at+8+size, at+8), len(data))]
		switch {
		case kind == "fmt " && len(body) >= 16:
			format, channels = int(binary.LittleEndian.Uint16(body)), int(binary.LittleEndian.Uint16(body[2:]))
			rate, bits = int(binary.LittleEndian.Uint32(body[4:])), int(binary.LittleEndian.Uint16(body[14:]))
			if format == wavExtensible && len(body) >= 26 {
				format = int(binary.LittleEndian.Uint16(body[24:]))
			}
		case kind == "data":
			samples, err = decodeWave(body, format, channels, bits)
			if rate < 4000 || rate > 400000 {
				err = errWave
			}
			return rate, samples, err
		}
		at += 8 + size + size%2
	}
	return 0, nil, errWave
}

func decodeWave(body []byte, format, channels, bits int) ([]float32, error) {
	width := bits / 8
	if channels < 1 || channels > 32 || bits%8 != 0 || (format != wavPCM || width < 1 || width > 4) && (format != wavFloat || width != 4) {
		return nil, errWave
	}
	sample := func(b []byte) float64 {
		switch {
		case format == wavFloat:
			return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
		case width == 1: // of one byte they have no sign
			return (float64(b[0]) - 128) / 128
		}
		v := int32(0)
		for i := range width {
			v |= int32(b[i]) << (8 * (4 - width + i))
		}
		return float64(v) / (1 << 31)
	}
	out := make([]float32, 0, len(body)/width/channels)
	for at := 0; at+width*channels <= len(body); at += width * channels {
		sum := 0.0
		for c := range channels {
			sum += sample(body[at+c*width : at+(c+1)*width])
		}
		out = append(out, float32(math.Max(math.Min(sum/float64(channels), 1), -1)))
	}
	return out, nil
}
