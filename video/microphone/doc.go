// Package microphone records sound from a microphone, and plays sound back, through
// FFmpeg's devices: PulseAudio, which PipeWire serves too, and ALSA where there is
// neither.
//
// # Another process
//
// What talks to the devices runs in a process of its own (serve.go): a sound server that
// hangs, or a library that ends its process, costs the sound and nothing else. That
// process is not confined as those are that decode (package sandbox), because it must
// reach the sound server; it is given nothing that comes from a file of a stranger, only
// the name of a device and samples of this program.
//
// # Clocks
//
// Times are those of CLOCK_MONOTONIC, which all processes share; Now reads it. FFmpeg
// stamps each packet with the wall clock less what the device has held back (libavdevice,
// pulse_audio_dec.c, alsa_dec.c), so a Block says when its first sample was at the
// microphone, not when it came here. The clock of a sound card drifts against the
// computer's by up to some hundred parts in a million: whoever keeps samples keeps their
// times beside them.
package microphone

import "time"

// Rate is how many samples a second are recorded and played, of one channel.
const Rate = 48000

// Block is some hundredths of a second of sound.
type Block struct {
	At      time.Duration // when the first sample was at the microphone; see Now
	Samples []int16       // of one channel, Rate a second
	// Rough says that At may be some tenths of a second off: a sound server finds out what
	// it holds back in the first second.
	Rough bool
}

// Level is the largest sample of the block, 0 to 1 of full scale.
func (b Block) Level() float64 {
	most := 0
	for _, v := range b.Samples {
		most = max(most, int(v), -int(v))
	}
	return float64(most) / (1 << 15)
}

// Device is a microphone, or what a sound server offers as one.
type Device struct {
	ID   string // for Record: the system and the device's own name, "pulse:alsa_input.usb-1"
	Name string // for the coach
}
