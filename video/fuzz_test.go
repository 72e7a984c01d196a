package video

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// FuzzOpen feeds container bytes: whatever they are, opening and reading ends
// with a frame or one of the package's errors, in bounded memory and time.
func FuzzOpen(f *testing.F) {
	needFFmpeg(f)
	for _, kind := range []string{"H.264 one frame", "AVI, Motion JPEG", "fragments", "MKV", "MPEG-TS", "WebM, VP8"} {
		data, err := os.ReadFile(clip(f, kind))
		if err != nil {
			f.Fatal(err)
		}
		const most = 8 << 10 // short seeds mutate faster, and are truncated clips
		f.Add(data[:min(len(data), most)])
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "clip.bin")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Open(path)
		if err != nil {
			var file *FileError
			if !errors.As(err, &file) {
				t.Fatalf("not a sentence for the coach: %v", err)
			}
			return
		}
		r := NewReader(s, ReaderOptions{CacheBytes: 8 << 20})
		defer r.Close()
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		for _, n := range []int{0, s.Frames() - 1, s.Frames() / 2} {
			frame, err := r.Read(ctx, n)
			switch {
			case err == nil:
				frame.Release()
			case errors.Is(err, context.DeadlineExceeded):
				t.Fatal("reading hangs")
			case !errors.Is(err, ErrFrameUnavailable) && !errors.Is(err, ErrChanged):
				t.Fatalf("unexpected error: %v", err)
			}
		}
	})
}
