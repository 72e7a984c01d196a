package tflite

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestRefused: what can't be run is refused with a reason.
func TestRefused(t *testing.T) {
	with := func(name string, change func(*sketch)) []byte {
		s := cases[name]
		change(&s)
		return s.model()
	}
	good := cases["pad"].model()
	for name, c := range map[string]struct {
		model  []byte
		reason string
	}{
		"nothing":         {nil, "does not begin as"},
		"another file":    {bytes.Repeat([]byte("GIF89a"), 40), "does not begin as"},
		"cut off":         {good[:len(good)/2], "damaged"},
		"wrong operator":  {with("add", func(s *sketch) { s.op = 18 }), "operator 18 is none of its operators"},
		"wrong shape":     {with("pad", func(s *sketch) { s.out = []int{1, 5, 5, 2} }), "has the shape [1 5 5 2] instead of [1 5 6 2]"},
		"shape of nought": {with("pad", func(s *sketch) { s.in = []int{1, 0, 3, 2} }), "a tensor of shape"},
		"huge": {with("resize at corners of pixels", func(s *sketch) {
			s.stored = []constant{{[]int{2}, whole(4096, 4096)}}
		}), "a tensor of shape"},
		"negative padding": {with("pad", func(s *sketch) {
			s.stored = []constant{{[]int{4, 2}, whole(0, 0, -1, 2, 3, 0, 0, 0)}}
		}), "padding"},
		"few weights": {with("convolution of points", func(s *sketch) {
			s.stored = []constant{{[]int{7, 1, 1, 9}, []float32{1, 2}}, s.stored[1]}
		}), "2 numbers for the shape"},
		"no step":        {with("max pool 2", func(s *sketch) { s.options = map[int]any{3: 2, 4: 2} }), "in steps of 0"},
		"missing filter": {with("convolution of points", func(s *sketch) { s.stored = nil }), "1 inputs instead of three"},
		"gaps": {with("convolution of points", func(s *sketch) {
			s.options = map[int]any{1: 1, 2: 1, 4: 2, 5: 2}
		}), "filters with gaps"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Load(c.model)
			require.ErrorIs(t, err, ErrModel)
			assert.Contains(t, err.Error(), c.reason)
			assert.False(t, strings.Contains(err.Error(), "runtime error") && name != "cut off", err)
		})
	}
	_, err := Load(good, "score")
	require.ErrorIs(t, err, ErrModel)
}

// TestHalf: some binary16 numbers of IEEE 754-2008.
func TestHalf(t *testing.T) {
	for h, want := range map[uint16]float32{
		0x0000: 0, 0x0001: 0x1p-24, 0x03ff: 0x3ffp-24, 0x0400: 0x1p-14, 0x3c00: 1, 0x3555: 0.333251953125,
		0xc000: -2, 0x7bff: 65504, 0xfbff: -65504, 0x7c00: float32(math.Inf(1)),
	} {
		assert.Equal(t, want, half(h), "%#04x", h)
	}
	assert.True(t, math.IsNaN(float64(half(0x7e00))))
	assert.True(t, math.Signbit(float64(half(0x8000))))
}

// TestShared: runs of one network do not touch each other.
func TestShared(t *testing.T) {
	n := landmarks(t)
	a, b := n.NewRun(), n.NewRun()
	copy(a.Input(), pictured(t, "golfer", n.input.shape))
	copy(b.Input(), pictured(t, "noise", n.input.shape))
	done := make(chan bool)
	go func() { b.Do(); done <- true }()
	a.Do()
	<-done
	alone := n.NewRun()
	copy(alone.Input(), pictured(t, "golfer", n.input.shape))
	alone.Do()
	assert.Equal(t, alone.Output(0), a.Output(0))
	assert.NotEqual(t, a.Output(0), b.Output(0))
}

func landmarks(t testing.TB) *Network {
	b, err := os.ReadFile("../models/pose_landmark_full.tflite")
	require.NoError(t, err)
	n, err := Load(b, "Identity", "Identity_1", "Identity_3")
	require.NoError(t, err)
	return n
}

// FuzzLoad: whatever the bytes are, they are refused with ErrModel, or make a
// network that runs.
func FuzzLoad(f *testing.F) {
	for _, c := range cases {
		f.Add(c.model())
	}
	f.Fuzz(func(t *testing.T, model []byte) {
		if len(model) > 1<<14 {
			return
		}
		n, err := Load(model)
		if err != nil {
			require.ErrorIs(t, err, ErrModel)
			return
		}
		if n.products < 1<<18 && 4*(n.arena+n.scratch) < 1<<20 {
			n.NewRun().Do()
		}
	})
}

// The same network on the same picture takes TensorFlow Lite with XNNPACK, as
// WebAssembly on one thread (testdata/reference.mjs), 35 ms on the machine
// where this takes 37, on one core too.
func BenchmarkLandmarks(b *testing.B) {
	n := landmarks(b)
	r := n.NewRun()
	picture := pictured(b, "golfer", n.input.shape)
	b.ReportAllocs()
	for b.Loop() {
		copy(r.Input(), picture)
		r.Do()
	}
}

func BenchmarkDetection(b *testing.B) {
	model, err := os.ReadFile("../models/pose_detection.tflite")
	require.NoError(b, err)
	n, err := Load(model)
	require.NoError(b, err)
	r := n.NewRun()
	picture := pictured(b, "golfer", n.input.shape)
	for b.Loop() {
		copy(r.Input(), picture)
		r.Do()
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		landmarks(b)
	}
}
