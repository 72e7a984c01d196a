package video

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestRequestIsAlwaysToldWhenItsFrameIsThere asks for frames that a worker is
// just having decoded: the one that waits must be woken, whoever the frame was
// decoded for.
func TestRequestIsAlwaysToldWhenItsFrameIsThere(t *testing.T) {
	s, err := Open(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	ready := make(chan struct{}, 1)
	r := NewReader(s, ReaderOptions{CacheBytes: 1, OnReady: func() {
		select {
		case ready <- struct{}{}:
		default:
		}
	}})
	defer r.Close()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	n := s.Frames()
	at := make(chan int, 1)
	go func() {
		for i := 0; ctx.Err() == nil; i = (i + 1) % n {
			select {
			case at <- i:
			default:
			}
			if f, err := r.Read(ctx, i); err == nil {
				f.Release()
			}
		}
	}()
	rng := rand.New(rand.NewPCG(1, 2))
	for k := range 10000 {
		want := (<-at + rng.IntN(2)) % n
		select {
		case <-ready:
		default:
		}
		r.Request(want, 1)
		for deadline := time.After(time.Minute); ; {
			f, err := r.Frame(want)
			require.NoError(t, err)
			if f != nil {
				f.Release()
				break
			}
			select {
			case <-ready:
			case <-deadline:
				t.Fatalf("request %d: frame %d is there, but nobody was told", k, want)
			}
		}
	}
}
