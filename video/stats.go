package video

import "fmt"

// Stats count what a reader has done.
type Stats struct {
	Decoded    int // pictures decoded
	Seeks      int // runs started
	BadPackets int // packets that could not be read or decoded
	Damaged    int // pictures the decoder had to guess parts of
	Restarts   int // how often the process that decodes had to be started again
}

// Restarted says in a sentence for the coach that the process that decodes had to be
// started again, "" where it had not.
func (s Stats) Restarted() string {
	switch {
	case s.Restarts == 0:
		return ""
	case s.Restarts == 1:
		return "The part of the program that decodes this clip stopped and was started again; the last picture stays on show until the next one comes. Nothing of the lesson is lost."
	}
	return fmt.Sprintf("The part of the program that decodes this clip stopped and was started again, %d times by now. Nothing of the lesson is lost; if it goes on, copy the clip from the phone again.", s.Restarts)
}

// Trouble says in a sentence for the coach what could not be decoded so far,
// "" when all is well.
func (s Stats) Trouble() string {
	switch {
	case s.BadPackets > 0:
		return fmt.Sprintf("The clip has damaged parts (%d) that could not be decoded and had to be left out; the frames around them may show errors. Copy the clip from the phone again if marks must be made there.", s.BadPackets)
	case s.Damaged > 0:
		return fmt.Sprintf("Some pictures came out of the file damaged (%d) and may show errors. Copy the clip from the phone again if marks must be made there.", s.Damaged)
	}
	return s.Restarted()
}
