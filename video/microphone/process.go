package microphone

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"time"
)

// mostMessage is more than a message holds: a minute of sound.
const mostMessage = 60 * Rate * 2

// process is the one that talks to devices.
type process struct {
	cmd *exec.Cmd
	in  io.WriteCloser
	out io.ReadCloser
}

func start(ask, device string) (*process, error) {
	program, err := ownProgram()
	if err != nil {
		return nil, err
	}
	p := &process{cmd: exec.Command(program)}
	p.cmd.Args = []string{processName, ask, device}
	p.cmd.Dir = "/"
	if p.in, err = p.cmd.StdinPipe(); err != nil {
		return nil, err
	}
	if p.out, err = p.cmd.StdoutPipe(); err != nil {
		return nil, err
	}
	if err := p.cmd.Start(); err != nil {
		return nil, errors.New("the part of the program that records sound can't be started. Try again")
	}
	return p, nil
}

// hear reads the next message.
func (p *process) hear() (what byte, data []byte, err error) {
	var head [5]byte
	if _, err := io.ReadFull(p.out, head[:]); err != nil {
		return 0, nil, err
	}
	n := binary.LittleEndian.Uint32(head[1:])
	if n > mostMessage {
		return 0, nil, errStopped
	}
	data = make([]byte, n)
	_, err = io.ReadFull(p.out, data)
	return head[0], data, err
}

var errStopped = errors.New("the part of the program that records sound stopped. Try again")

// end ends the process, whatever it is at.
func (p *process) end() {
	p.in.Close()
	_ = p.cmd.Process.Kill() // may have ended by now
	_ = p.cmd.Wait()         // how it ended says nothing more
}

// listTime is how long a sound server may take to tell of its devices.
const listTime = 5 * time.Second

// Devices lists the microphones. None is no error: Record says what to do then.
func Devices(ctx context.Context) ([]Device, error) {
	p, err := start(askList, "")
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, listTime)
	defer cancel()
	stop := context.AfterFunc(ctx, func() { _ = p.cmd.Process.Signal(os.Kill) })
	defer stop()
	defer p.end()
	what, data, err := p.hear()
	if ctx.Err() != nil {
		return nil, errors.New("the sound server does not answer: restart it, or the computer")
	}
	if err != nil || what != saysDevices {
		return nil, errStopped
	}
	var all []Device
	if json.Unmarshal(data, &all) != nil {
		return nil, errStopped
	}
	return all, nil
}
