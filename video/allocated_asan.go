//go:build asan

package video

// #include <stddef.h>
// size_t __sanitizer_get_current_allocated_bytes(void);
import "C"

// allocated returns the bytes of C memory that were asked for and not given
// back, as the address sanitizer counts them: to the byte, FFmpeg's included.
func allocated() int64 { return int64(C.__sanitizer_get_current_allocated_bytes()) }
