package recording

import "turngauge/video/microphone"

// ear is a microphone that is listened to, or the sentence why there is none. A nil one
// hears nothing.
type ear struct {
	recording *microphone.Recording
	failed    error
}

func (r *Recorder) listen() *ear {
	rec, err := microphone.Record(r.device)
	return &ear{rec, err}
}

var closed = func() chan microphone.Block {
	c := make(chan microphone.Block)
	close(c)
	return c
}()

func (e *ear) blocks() <-chan microphone.Block {
	switch {
	case e == nil:
		return nil
	case e.failed != nil:
		return closed
	}
	return e.recording.Blocks()
}

// why is the sentence why blocks are closed.
func (e *ear) why() string {
	err := e.failed
	if err == nil {
		err = e.recording.Err()
	}
	if err == nil {
		return "the microphone was let go"
	}
	return err.Error()
}

func (e *ear) close() {
	if e != nil && e.recording != nil {
		e.recording.Close()
	}
}
