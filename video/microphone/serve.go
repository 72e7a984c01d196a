package microphone

// #cgo linux LDFLAGS: -Wl,--as-needed
// #cgo pkg-config: libavdevice libavutil
// #include <stdlib.h>
// #include "native.h"
import "C"

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"io"
	"os"
	"strings"
	"syscall"
	"time"
	"unsafe"

	"github.com/asticode/go-astiav"

	_ "turngauge/video/lazy" // of libavdevice
)

// processName is the program's name while it is the process that talks to devices. It
// does not begin as those of package sandbox do, which are confined.
const processName = "turngauge-microphone"

// What that process is asked for, its first argument; the second is the device.
const (
	askList   = "list"
	askRecord = "record"
	askPlay   = "play"
)

// Messages from it: a byte that says what, the length of the rest in 4 bytes, and the
// rest.
const (
	saysDevices = 'd' // JSON of []Device
	saysBlock   = 'b' // the time in 8 bytes, then samples of 2 bytes, all little-endian
	saysError   = 'e' // a sentence; the last message
)

func init() {
	if len(os.Args) == 3 && os.Args[0] == processName {
		os.Exit(serve(os.Args[1], os.Args[2]))
	}
}

func serve(ask, device string) int {
	astiav.SetLogLevel(astiav.LogLevelQuiet)
	astiav.RegisterAllDevices()
	err := absent
	switch {
	case ask == askList:
		data, _ := json.Marshal(sources()) // of strings: it can't fail
		err = say(saysDevices, data)
	case err != nil:
	case ask == askRecord:
		go endWithParent()
		err = record(device)
	case ask == askPlay:
		err = play(device, os.Stdin)
	}
	if err != nil {
		_ = say(saysError, []byte(err.Error())) // who does not listen has gone
		return 1
	}
	return 0
}

// endWithParent ends this process when the other end of its standard input is closed,
// also while a device gives no sound.
func endWithParent() {
	_, _ = io.Copy(io.Discard, os.Stdin)
	os.Exit(0)
}

func say(what byte, data []byte) error {
	out := make([]byte, 5, 5+len(data))
	out[0] = what
	binary.LittleEndian.PutUint32(out[1:], uint32(len(data)))
	_, err := os.Stdout.Write(append(out, data...))
	return err
}

// sources lists the devices of the first system that has any.
func sources() (all []Device) {
	for _, system := range systems {
		name := C.CString(system)
		var list *C.AVDeviceInfoList
		n := C.tg_sources(name, &list)
		C.free(unsafe.Pointer(name))
		for i := range max(n, 0) {
			d := Device{ID: system + ":" + C.GoString(C.tg_source_id(list, i)), Name: C.GoString(C.tg_source_name(list, i))}
			d.Name, _, _ = strings.Cut(d.Name, "\n")                              // ALSA's go on about channels
			if system == "pulse" || strings.HasPrefix(d.ID, "alsa:sysdefault:") { // the rest of ALSA's are converters, and forms of these
				all = append(all, d)
			}
		}
		C.avdevice_free_list_devices(&list)
		if len(all) > 0 {
			return all
		}
	}
	return nil
}

// devices is where to try in turn for a device by its ID, or for the usual one ("").
func devices(id string) (tries [][2]string) {
	if system, name, ok := strings.Cut(id, ":"); ok {
		return [][2]string{{system, name}}
	}
	for _, system := range systems {
		tries = append(tries, [2]string{system, "default"})
	}
	return tries
}

// record sends blocks until the device or the other process ends.
func record(device string) error {
	in := astiav.AllocFormatContext()
	var err error
	for _, d := range devices(device) {
		if err = openSource(in, d[0], d[1]); err == nil {
			break
		}
		in = astiav.AllocFormatContext() // the one that failed is freed
	}
	if err != nil {
		return explain(err, device)
	}
	defer in.CloseInput()
	p := astiav.AllocPacket()
	defer p.Free()
	for {
		if err := in.ReadFrame(p); err != nil {
			if errors.Is(err, astiav.ErrEagain) {
				time.Sleep(5 * time.Millisecond)
				continue
			}
			return errors.New("the microphone has stopped: it was pulled out, or another program took it")
		}
		data := p.Data()
		out := make([]byte, 8, 8+len(data))
		wall := time.Now().UnixMicro()
		binary.LittleEndian.PutUint64(out, uint64(Now()-time.Duration(wall-p.Pts())*time.Microsecond))
		err := say(saysBlock, append(out, data...))
		p.Unref()
		if err != nil {
			return nil // nobody listens any more
		}
	}
}

func openSource(in *astiav.FormatContext, system, name string) error {
	format := astiav.FindInputFormat(system)
	if format == nil {
		return astiav.ErrDemuxerNotFound
	}
	options := astiav.NewDictionary()
	defer options.Free()
	values := map[string]string{"sample_rate": "48000", "channels": "1"}
	if system == "pulse" {
		values["fragment_size"], values["name"], values["stream_name"] = "1920", "Turngauge", "review" // bytes: 20 ms
	}
	for k, v := range values {
		if err := options.Set(k, v, 0); err != nil {
			return err
		}
	}
	if err := in.OpenInput(name, format, options); err != nil {
		return err
	}
	for _, s := range in.Streams() {
		if c := s.CodecParameters(); c.SampleRate() != Rate || c.ChannelLayout().NbChannels() != 1 || c.CodecID() != astiav.CodecIDPcmS16Le {
			in.CloseInput()
			return errForm
		}
	}
	return nil
}

var errForm = errors.New("the microphone gives sound in another form than one channel of 48,000 samples a second: choose the one that the sound server calls default")

// explain says why a device can't be recorded from. The codes of a sound server that is not
// there are many, and all mean the same to the coach.
func explain(err error, device string) error {
	var code astiav.Error
	switch {
	case errors.Is(err, errForm):
		return err
	case errors.As(err, &code) && code == astiav.Error(-int(syscall.EBUSY)):
		return errors.New("the microphone is taken by another program: close that, or choose another microphone")
	case device == "":
		return errors.New("no microphone can be found: plug one in, or choose one")
	}
	return errors.New("the microphone that was chosen can't be found: plug it in, or choose another")
}
