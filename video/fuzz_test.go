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
// testdata/fuzz/FuzzOpen holds the corpus, which every run of the tests goes
// through: a few pictures of ffmpeg's testsrc2 in each kind of file, and the
// same with single fields made absurd, as their names say.
func FuzzOpen(f *testing.F) {
	decodeInside(f) // so that a fault of FFmpeg ends the test
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
		readSome(t, s)
		readSound(t, path)
	})
}

// readSome reads three frames and closes s.
func readSome(t *testing.T, s *Source) {
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
}

func readSound(t *testing.T, path string) {
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	_, err := ReadAudio(ctx, path)
	var file *FileError
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		t.Fatal("reading the sound hangs")
	case err != nil && !errors.As(err, &file):
		t.Fatalf("not a sentence for the coach: %v", err)
	}
}
