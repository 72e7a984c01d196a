package video

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"image"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var broken = flag.Int("broken", 8, "how many clips TestNothingLeaks breaks at random places")

// nativeBytes counts the C memory in use where the tests are built with the
// address sanitizer (make leaks), and is nil elsewhere.
var nativeBytes func() int64

// held is what must be the same again after a clip is done with.
type held struct {
	native     int64 // bytes of C memory, 0 where they are not counted
	files      int   // open file descriptors
	goroutines int
}

// settle returns what is held once nothing more is given back.
func settle(t testing.TB) (h held) {
	t.Helper()
	dropScalers()
	endChildren()
	for quiet := 0; quiet < 3; {
		runtime.GC() // frames that were dropped are given back by it
		time.Sleep(2 * time.Millisecond)
		now := held{goroutines: runtime.NumGoroutine()}
		if nativeBytes != nil {
			now.native = nativeBytes()
		}
		if entries, err := os.ReadDir("/proc/self/fd"); err == nil {
			now.files = len(entries)
		}
		quiet++
		if now != h {
			h, quiet = now, 0
		}
	}
	return h
}

// dropScalers closes the scalers that are kept for the next picture.
func dropScalers() {
	scalers.mu.Lock()
	defer scalers.mu.Unlock()
	for _, idle := range scalers.idle {
		idle.s.close()
	}
	scalers.idle = nil
}

// checkLeak does a thing over and over. What it leaves behind grows each time;
// what a new thread of the runtime takes grows once.
func checkLeak(t *testing.T, do func()) {
	t.Helper()
	times, rounds := 1, 4
	if nativeBytes != nil {
		times = 4
	}
	do()
	before := settle(t)
	var grown []string
	for range rounds {
		for range times {
			do()
		}
		after := settle(t)
		if after.native <= before.native && after.files <= before.files && after.goroutines <= before.goroutines {
			return
		}
		grown = append(grown, fmt.Sprintf("%+v", after))
		before = after
	}
	assert.Fail(t, "something is left behind each time", "in each round of %d: %s", times, strings.Join(grown, ", "))
}

// giveUp is a context that is cancelled when it is asked for the nth time.
type giveUp struct {
	context.Context
	n int
}

func (g *giveUp) Err() error {
	if g.n--; g.n < 0 {
		return context.Canceled
	}
	return nil
}

// workThrough does with a clip what the program does: open, show, hear, close.
func workThrough(t *testing.T, path string) {
	_, _ = Fingerprint(path)
	s, err := Open(path)
	if err != nil {
		return
	}
	readSome(t, s)
	readSound(t, path)
	if s, err = Open(path); err != nil { // another may have been put in its place
		return
	}
	r := NewReader(s, ReaderOptions{CacheBytes: 1, Forward: true})
	defer r.Close()
	for n := range min(s.Frames(), 5) {
		f, err := r.Read(context.Background(), n)
		if err != nil {
			continue
		}
		img := image.NewRGBA(image.Rect(0, 0, 33, 20))
		_ = f.Render(img, f.Bounds())
		if n%2 == 0 {
			f.Release() // the others are left to the garbage collector
		}
	}
}

// TestNothingLeaks goes every way through opening, reading and closing a clip,
// those that end in an error and those that are broken off among them, and
// compares what is held before and after. With the address sanitizer C memory is
// counted to the byte.
func TestNothingLeaks(t *testing.T) {
	if nativeBytes != nil {
		decodeInside(t) // where they are counted
	}
	open := func(t testing.TB, path string) *Source {
		s, err := Open(path)
		require.NoError(t, err)
		return s
	}
	t.Run("whole clips", func(t *testing.T) {
		for _, k := range clipKinds {
			t.Run(k.name, func(t *testing.T) {
				path := clip(t, k.name)
				checkLeak(t, func() { workThrough(t, path) })
			})
		}
	})
	t.Run("files that are broken", func(t *testing.T) {
		paths, err := filepath.Glob("testdata/fuzz/FuzzOpen/*")
		require.NoError(t, err)
		require.NotEmpty(t, paths)
		for _, corpus := range paths {
			t.Run(filepath.Base(corpus), func(t *testing.T) {
				path := written(t, "clip.bin", seedBytes(t, corpus))
				checkLeak(t, func() { workThrough(t, path) })
			})
		}
	})
	t.Run("broken at random", func(t *testing.T) {
		rng := rand.New(rand.NewPCG(*seed, 3))
		var whole [][]byte
		for _, name := range []string{"sound first", "H.264 open groups", "HEVC 10 bit", "fragments", "MKV", "MPEG-TS", "WebM, VP9", "AVI, MPEG-4", "MOV, ProRes 4:2:2"} {
			data, err := os.ReadFile(clip(t, name))
			require.NoError(t, err)
			whole = append(whole, data)
		}
		dir := t.TempDir()
		var paths []string
		for n := range *broken {
			data := append([]byte(nil), whole[rng.IntN(len(whole))]...)
			for range rng.IntN(12) {
				data[rng.IntN(len(data))] ^= 1 << rng.IntN(8)
			}
			if rng.IntN(2) == 0 {
				data = data[:rng.IntN(len(data))]
			}
			path := filepath.Join(dir, fmt.Sprint(n))
			require.NoError(t, os.WriteFile(path, data, 0o600))
			paths = append(paths, path)
		}
		checkLeak(t, func() {
			for _, path := range paths {
				workThrough(t, path)
			}
		})
		t.Logf("%d clips broken at random", len(paths))
	})
	t.Run("given up while opening", func(t *testing.T) {
		path := clip(t, "H.264 group of 250") // more packets than are read between two looks
		for n := range 4 {
			checkLeak(t, func() {
				s, err := OpenContext(&giveUp{context.Background(), n}, path)
				if err == nil {
					s.Close()
				}
				sound := clip(t, "sound first")
				_, _ = ReadAudio(&giveUp{context.Background(), n}, sound)
			})
		}
	})
	t.Run("closed while decoding", func(t *testing.T) {
		path := clip(t, "H.264 group of 250")
		rng := rand.New(rand.NewPCG(*seed, 4))
		checkLeak(t, func() {
			r := NewReader(open(t, path), ReaderOptions{CacheBytes: 1 << 20})
			r.Request(rng.IntN(r.Source().Frames()), 1)
			ctx, cancel := context.WithTimeout(context.Background(), time.Duration(rng.IntN(4000))*time.Microsecond)
			defer cancel()
			f, err := r.Read(ctx, rng.IntN(r.Source().Frames()))
			r.Close()
			if err == nil { // outlives its reader
				f.Release()
			}
		})
	})
	t.Run("a mistake in the program while decoding", func(t *testing.T) {
		path := clip(t, "H.264 group of 30")
		checkLeak(t, func() {
			const wanted = 70 // of the group that begins at 60, which is told of on the way
			panicked := false
			var r *Reader
			r = NewReader(open(t, path), ReaderOptions{CacheBytes: 1, OnReady: func() {
				if !panicked && !r.cache.has(wanted) {
					panicked = true
					panic("made for this test")
				}
			}})
			r.Request(wanted, 0)
			require.Eventually(t, func() bool { _, err := r.Frame(wanted); return err != nil }, 20*time.Second, time.Millisecond)
			f, err := r.Read(context.Background(), 10)
			require.NoError(t, err)
			f.Release()
			r.Close()
		})
	})
	t.Run("taken away and replaced while decoding", func(t *testing.T) {
		data, err := os.ReadFile(clip(t, "H.264 group of 30"))
		require.NoError(t, err)
		dir := t.TempDir()
		checkLeak(t, func() {
			path := filepath.Join(dir, "clip.mp4")
			require.NoError(t, os.WriteFile(path, data, 0o600))
			r := NewReader(open(t, path), ReaderOptions{CacheBytes: 1})
			for n, change := range []func() error{
				func() error { return nil },
				func() error { return os.Rename(path, path+".away") },
				func() error { return os.WriteFile(path, data[:len(data)/2], 0o600) },
				func() error { return os.Rename(path+".away", path) },
				func() error { return os.Truncate(path, int64(len(data)/3)) },
			} {
				require.NoError(t, change())
				for _, at := range []int{n, 60 - n} {
					if f, err := r.Read(context.Background(), at); err == nil {
						f.Release()
					}
				}
			}
			r.Close()
		})
	})
}

// seedBytes returns the one []byte of a file in the form that go test -fuzz
// keeps: a line that names the form, and a Go expression.
func seedBytes(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	_, value, ok := strings.Cut(string(b), "\n[]byte(")
	require.True(t, ok, path)
	s, err := strconv.Unquote(strings.TrimSuffix(strings.TrimSpace(value), ")"))
	require.NoError(t, err, path)
	return []byte(s)
}

// TestWriterLeavesNothing ends clips in every way, with a disk that is full from
// the start or later among them.
func TestWriterLeavesNothing(t *testing.T) {
	if nativeBytes != nil {
		encodeInside(t) // where they are counted
	}
	o := WriterOptions{Width: 64, Height: 48, RateNum: 60, AudioRate: 48000, RotationDeg: 90, Comment: "made up"}
	img, tone := image.NewRGBA(image.Rect(0, 0, 64, 48)), make([]float32, 800)
	fill := func(w *Writer, frames int) error {
		for n := range frames {
			img.Pix[n%len(img.Pix)]++
			if err := errors.Join(w.WriteFrame(img), w.WriteAudio(tone)); err != nil {
				return err
			}
		}
		return nil
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "clip.mp4")
	for name, do := range map[string]func(t *testing.T){
		"finished": func(t *testing.T) {
			w, err := Create(path, o)
			require.NoError(t, err)
			require.NoError(t, fill(w, 30))
			require.NoError(t, w.Close())
		},
		"given up": func(t *testing.T) {
			w, err := Create(path, o)
			require.NoError(t, err)
			require.NoError(t, fill(w, 30))
			w.Abort()
		},
		"without pictures": func(t *testing.T) {
			w, err := Create(path, o)
			require.NoError(t, err)
			require.Error(t, w.Close())
		},
		"no folder": func(t *testing.T) {
			_, err := Create(filepath.Join(dir, "none", "clip.mp4"), o)
			require.Error(t, err)
		},
		"a rate no encoder takes": func(t *testing.T) {
			o := o
			o.AudioRate = 7
			_, err := Create(path, o)
			require.Error(t, err)
		},
		"a preset that is none": func(t *testing.T) {
			o := o
			o.Preset = "none"
			_, err := Create(path, o)
			require.Error(t, err)
		},
		"the name is a folder": func(t *testing.T) {
			folder := filepath.Join(dir, "folder.mp4")
			require.NoError(t, os.MkdirAll(filepath.Join(folder, "in it"), 0o755))
			w, err := Create(folder, o)
			require.NoError(t, err)
			require.NoError(t, fill(w, 3))
			require.Error(t, w.Close())
			require.NoFileExists(t, folder+".part")
		},
		"the part can't be made": func(t *testing.T) {
			require.NoError(t, os.MkdirAll(filepath.Join(dir, "stuck.mp4.part", "in it"), 0o755))
			_, err := Create(filepath.Join(dir, "stuck.mp4"), o)
			require.Error(t, err)
		},
		"a full disk": func(t *testing.T) { // every write to /dev/full fails with ENOSPC, full(4)
			full := filepath.Join(t.TempDir(), "full.mp4")
			defer func(before func(string) (*os.File, error)) { claim = before }(claim)
			claim = func(part string) (*os.File, error) {
				if err := os.Symlink("/dev/full", part); err != nil {
					return nil, err
				}
				return os.OpenFile(part, os.O_RDWR, 0)
			}
			w, err := Create(full, o)
			if err != nil {
				return
			}
			err = fill(w, 600)
			if err == nil {
				err = w.Close()
			} else {
				w.Abort()
			}
			require.Error(t, err)
			require.NoFileExists(t, full)
		},
	} {
		t.Run(name, func(t *testing.T) { checkLeak(t, func() { do(t) }) })
	}
}
