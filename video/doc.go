// Package video opens clips, delivers exactly the frame asked for, converts
// it for display, and writes clips.
package video
