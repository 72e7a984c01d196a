// Package video opens clips, delivers exactly the frame asked for, converts it
// for display, reads the sound, and writes clips. FFmpeg does the decoding.
//
// # Another process
//
// What reads a file that may come from a stranger runs in a process of its own, one for
// each clip (child.go), confined by package sandbox: FFmpeg's demuxers and decoders see
// an open file, and nothing else of the computer. This side (Source, Reader, run)
// keeps the index and decides what is decoded; that side (clipServer, stream,
// decoder) does it. They talk as protocol.go says. Pictures lie in memory that both map,
// and what the other side says of them is checked before they are looked at. When it
// dies, of a mistake in FFmpeg or by a file made for that, the Reader starts another and
// goes on; a file that ends it twice in a row at the same frame, or at opening, or at
// its sound, is refused. Clips are written in such a process too (encoderchild.go), by the
// open file; one that dies costs the clip it was writing. Every program that links this
// package can be those processes.
//
// # Frames and time
//
// A frame's number is its rank by presentation time among the pictures the
// file shows; pictures that are decoded but never shown (before an edit list's
// start, for instance) have no number. Times come from the file's own ticks,
// never from n divided by a rate, so clips of varying rate are exact. Second 0
// is the first shown frame. Only where a clip is known to play at another speed
// than life (Index.Filmed) are its frames taken to be evenly spaced, as the camera
// took them.
//
// An Index holds what reading every packet found out. It is made when a clip is
// first opened and shared by all who read the clip meanwhile: opening it again
// takes a hundredth of the time. A file that has changed has an Index of its own.
//
// # Pixels
//
// All coordinates are upright pixels: rotation, mirroring and the shape of the
// samples have been applied once, and the centre of the first pixel is
// (0.5, 0.5). Frames are kept as decoded (8-bit YUV 4:2:0; deeper or richer
// formats are reduced when they enter the cache) and converted to RGBA only
// for display, with the colour matrix and range the file declares. A file that
// declares no matrix is taken as BT.709 from 720 lines on and BT.601 below.
// High dynamic range is not tone-mapped: such clips look flat, and Info says so.
//
// # Ownership and goroutines
//
// A Source owns one open file and its link to the process that decodes it, and is used
// by one goroutine at a time; its Index may be read from any. A
// Reader takes a Source over, decodes on its own goroutine, and all its methods
// may be called from any goroutine. Close whichever you hold, once: closing a
// Reader closes its Source.
//
// A Frame stays what it is for as long as somebody holds it. Release gives its
// memory back at once; a frame that is dropped without Release is given back
// by the garbage collector. The memory of frames lives outside the Go heap and
// is bounded by a Budget, which several readers can share. Decoders, in the other
// process, write 8-bit 4:2:0 pictures straight into it, so that keeping one costs no copy.
package video
