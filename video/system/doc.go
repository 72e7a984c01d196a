// Package system is what video wants of the operating system beyond what Go and FFmpeg give:
// memory that is cut into pictures and that another process can map, reading and writing
// open files at a place of theirs (system.h), how much memory there is, and names that last.
// Each has a file for each system.
package system

import "C"
