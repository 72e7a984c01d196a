package video

import (
	"encoding/binary"
	"errors"
	"math"

	"github.com/asticode/go-astiav"
)

// What the process that shows a clip and the one that decodes it say to each other.
// Each clip that is read has a link of its own, on which calls are answered in turn.

// What a call can be for.
const (
	callIndex = "index" // read the clip from end to end: answer.Found, and the packets as data
	callSeek  = "seek"  // begin a run at the key packet Key: answer.At
	callNext  = "next"  // decode the next picture: answer.Picture, and At
	callKeep  = "keep"  // put the last picture into shared memory: answer.Stored
	callFree  = "free"  // nothing but Free
	callSound = "sound" // decode the sound: answer.Sound, and the samples as data, or an answer for each piece
)

// call is a request.
type call struct {
	Do        string `json:"do"`
	Key       int    `json:"key,omitempty"`
	FalseKeys []int  `json:"false_keys,omitempty"` // newly found
	SkipTill  int64  `json:"skip_till,omitempty"`  // see decoder.skipTill
	Hold      bool   `json:"hold,omitempty"`       // the picture of the last answer stays
	Free      []int  `json:"free,omitempty"`       // pictures that are no longer needed

	// See Index.EachSound; 0 for all of the sound at once.
	Seconds float64 `json:"seconds,omitempty"`
	Overlap float64 `json:"overlap,omitempty"`
}

// answer is what comes of a call, or that it is still being worked on (More), with
// what there is to be had by then.
type answer struct {
	More    bool     `json:"more,omitempty"`
	Failed  *failure `json:"failed,omitempty"`
	Found   *found   `json:"found,omitempty"`
	Picture *decoded `json:"picture,omitempty"`
	Stored  *stored  `json:"stored,omitempty"`
	At      where    `json:"at"`
	Bad     int      `json:"bad,omitempty"` // packets so far that could not be read or decoded
	Sound   *heard   `json:"sound,omitempty"`
}

// failure is an error of the other process.
type failure struct {
	Kind int    `json:"kind"` // in kinds, -1 where it is no *FileError
	Text string `json:"text"`
}

// found is what an Index is made of, beside its packets.
type found struct {
	Info    Info              `json:"info"`
	Stream  int               `json:"stream"` // of the pictures
	Orient  [4]int            `json:"orient"`
	Matrix  astiav.ColorSpace `json:"matrix"`
	Full    bool              `json:"full"`
	Retimed bool              `json:"retimed"`
}

// decoded is a picture that was decoded; without a frame the run has ended.
type decoded struct {
	Frame   int     `json:"frame"`
	Key     bool    `json:"key,omitempty"`
	Damaged bool    `json:"damaged,omitempty"`
	Stored  *stored `json:"stored,omitempty"` // nil where it must be converted first (callKeep)
}

// stored is where the picture of an answer lies, nil where it has none in shared memory.
func (a *answer) stored() *stored {
	if a.Picture == nil {
		return nil
	}
	return a.Picture.Stored
}

// stored is where a picture lies in shared memory. An arena that was not named before
// comes along as an open file.
type stored struct {
	ID     int   `json:"id"`
	Arena  int   `json:"arena"`
	At     int64 `json:"at"`    // bytes into the arena
	Bytes  int64 `json:"bytes"` // memory taken
	First  int64 `json:"first"` // first luma sample, bytes from At
	Luma   int   `json:"luma"`  // strides
	Chroma int   `json:"chroma"`
	U      int64 `json:"u"` // from the first luma sample
	V      int64 `json:"v"`
}

// where is a position.
type where struct {
	Start int `json:"start"`
	Next  int `json:"next"`
	Last  int `json:"last"`
}

// heard is sound, beside its samples.
type heard struct {
	Rate  int     `json:"rate"`
	Start float64 `json:"start"`
	Cut   bool    `json:"cut"`
}

// kinds are the kinds of *FileError that cross from one process to the other.
var kinds = []error{ErrMissing, ErrUnreadable, ErrNotVideo, ErrNoVideoStream, ErrTruncated, ErrUnsupported, ErrChanged, ErrNoAudio}

func failureOf(err error) *failure {
	var file *FileError
	if !errors.As(err, &file) {
		return &failure{-1, err.Error()}
	}
	for n, kind := range kinds {
		if errors.Is(file.Kind, kind) {
			return &failure{n, file.Text}
		}
	}
	return &failure{-1, file.Text}
}

// of is the error as one of the file at path.
func (f *failure) of(path string) error {
	if f.Kind < 0 || f.Kind >= len(kinds) {
		return errors.New(f.Text)
	}
	return &FileError{Path: path, Kind: kinds[f.Kind], Text: f.Text}
}

// packetBytes is the length of a packet among data: four numbers and flags.
const packetBytes = 4*8 + 1

const (
	packetKey = 1 << iota
	packetHidden
	packetCorrupt
)

func writePackets(raw []rawPacket) []byte {
	out := make([]byte, 0, packetBytes*len(raw))
	for _, r := range raw {
		for _, v := range [4]int64{r.pts, r.dts, r.pos, r.duration} {
			out = binary.LittleEndian.AppendUint64(out, uint64(v))
		}
		flags := byte(0)
		if r.key {
			flags |= packetKey
		}
		if r.hidden {
			flags |= packetHidden
		}
		if r.corrupt {
			flags |= packetCorrupt
		}
		out = append(out, flags)
	}
	return out
}

func readPacketsOf(data []byte) []rawPacket {
	raw := make([]rawPacket, 0, len(data)/packetBytes)
	for ; len(data) >= packetBytes; data = data[packetBytes:] {
		at := func(n int) int64 { return int64(binary.LittleEndian.Uint64(data[8*n:])) }
		flags := data[packetBytes-1]
		raw = append(raw, rawPacket{
			pts: at(0), dts: at(1), pos: at(2), duration: at(3),
			key: flags&packetKey != 0, hidden: flags&packetHidden != 0, corrupt: flags&packetCorrupt != 0,
		})
	}
	return raw
}

func writeSamples(samples []float32) []byte {
	out := make([]byte, 0, 4*len(samples))
	for _, s := range samples {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(s))
	}
	return out
}

func readSamples(data []byte) []float32 {
	out := make([]float32, len(data)/4)
	for i := range out {
		out[i] = math.Float32frombits(binary.LittleEndian.Uint32(data[4*i:]))
	}
	return out
}
