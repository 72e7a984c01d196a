// Package boxes reads what boxes of MP4 and QuickTime files (ISO/IEC 14496-12, 4.2) say of
// speed and FFmpeg does not pass on. Files may be broken or hostile: what can't be a box
// ends the reading, nothing is an error.
package boxes

import (
	"encoding/binary"
	"io"
)

// box is one box: its name, and where its content lies in the file, bytes.
type box struct {
	name       string
	start, end int64
}

// mostBoxes bounds how many boxes are looked at on one level of a broken file.
const mostBoxes = 4096

// boxesIn lists the boxes between two places of a file; it stops at the first that
// can't be one.
func boxesIn(f io.ReaderAt, start, end int64) (all []box) {
	for at := start; at+8 <= end && len(all) < mostBoxes; {
		var head [16]byte
		if _, err := f.ReadAt(head[:8], at); err != nil {
			return all
		}
		size, content := int64(binary.BigEndian.Uint32(head[:])), at+8
		switch size {
		case 0: // to the end
			size = end - at
		case 1: // a long one
			if _, err := f.ReadAt(head[8:], content); err != nil {
				return all
			}
			size, content = int64(binary.BigEndian.Uint64(head[8:])), at+16
		}
		if size < content-at || size > end-at {
			return all
		}
		all = append(all, box{string(head[4:8]), content, at + size})
		at += size
	}
	return all
}

// boxAt returns the first box along a path of names, or false.
func boxAt(f io.ReaderAt, in box, path ...string) (box, bool) {
	for _, name := range path {
		found := false
		for _, b := range boxesIn(f, in.start, in.end) {
			if b.name == name {
				in, found = b, true
				break
			}
		}
		if !found {
			return box{}, false
		}
	}
	return in, true
}

// SpeedMarks is what a file says of the speed of its own playback.
type SpeedMarks struct {
	// Edits is true where the edit list of the pictures (ISO/IEC 14496-12, 8.6.6)
	// plays a part at another rate than 1.
	Edits bool
	// Player is true where a trailer behind the boxes tells the phone's own player
	// which parts to slow down. The times of the frames are then those of life.
	Player bool
}

// SpeedMarksOf reads those of a file of so many bytes.
func SpeedMarksOf(f io.ReaderAt, size int64) (m SpeedMarks) {
	const mark = "SEFT" // the last bytes of such a trailer (AndroidX media test assets, sample_sef_slow_motion.mp4)
	var tail [len(mark)]byte
	if _, err := f.ReadAt(tail[:], size-int64(len(mark))); err == nil {
		m.Player = string(tail[:]) == mark
	}
	movie, ok := boxAt(f, box{end: size}, "moov")
	if !ok {
		return m
	}
	for _, track := range boxesIn(f, movie.start, movie.end) {
		if track.name == "trak" && handlerOf(f, track) == "vide" {
			if edits, ok := boxAt(f, track, "edts", "elst"); ok {
				m.Edits = m.Edits || retimed(f, edits)
			}
		}
	}
	return m
}

// handlerOf returns the kind of a track, "vide" for pictures.
func handlerOf(f io.ReaderAt, track box) string {
	h, ok := boxAt(f, track, "mdia", "hdlr")
	var kind [4]byte
	const before = 8 // version, flags and a reserved number
	if !ok || h.start+before+4 > h.end {
		return ""
	}
	if _, err := f.ReadAt(kind[:], h.start+before); err != nil {
		return ""
	}
	return string(kind[:])
}

// retimed reports whether an edit list plays a part at a rate that is neither 1 nor
// 0, which holds one picture.
func retimed(f io.ReaderAt, list box) bool {
	const mostBytes = 1 << 16
	data := make([]byte, min(list.end-list.start, mostBytes))
	if _, err := f.ReadAt(data, list.start); err != nil || len(data) < 8 {
		return false
	}
	width := 4 // bytes of a duration and of a time
	if data[0] == 1 {
		width = 8
	}
	for entries := data[8:]; len(entries) >= 2*width+4; entries = entries[2*width+4:] {
		time, rate := entries[width:2*width], entries[2*width:]
		empty := int8(time[0]) < 0 // nothing is shown
		if whole, part := int16(binary.BigEndian.Uint16(rate)), binary.BigEndian.Uint16(rate[2:]); !empty && (whole != 1 || part != 0) && (whole != 0 || part != 0) {
			return true
		}
	}
	return false
}
