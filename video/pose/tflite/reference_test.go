package tflite

import (
	"encoding/json"
	"flag"
	"image"
	_ "image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

var write = flag.String("write", "", "folder to write models and inputs to, for testdata/reference.mjs")

// cases are models of one operator each, named after what is special in them.
// Padding "same" over an even side, steps of two and windows of even width are
// where implementations differ.
var cases = map[string]sketch{
	"add": {op: opAdd, in: []int{1, 2, 3, 4}, out: []int{1, 2, 3, 4}, twice: true, optionsN: 11},
	"add relu": {op: opAdd, in: []int{1, 2, 3, 4}, out: []int{1, 2, 3, 4}, twice: true, optionsN: 11,
		options: map[int]any{0: byte(relu)}},
	"convolution same, step 2": {op: opConv, in: []int{1, 6, 7, 3}, out: []int{1, 3, 4, 5}, optionsN: 1,
		stored:  []constant{filled(1, 5, 3, 3, 3), filled(2, 5)},
		options: map[int]any{0: byte(same), 1: 2, 2: 2, 3: byte(relu6)}},
	"convolution valid, steps 1 and 2": {op: opConv, in: []int{1, 6, 8, 3}, out: []int{1, 4, 3, 5}, optionsN: 1,
		stored:  []constant{filled(3, 5, 3, 3, 3), filled(4, 5)},
		options: map[int]any{0: byte(valid), 1: 2, 2: 1, 3: byte(linear)}},
	"convolution of even width": {op: opConv, in: []int{1, 5, 5, 2}, out: []int{1, 5, 5, 3}, optionsN: 1,
		stored:  []constant{filled(5, 3, 2, 4, 2), filled(6, 3)},
		options: map[int]any{0: byte(same), 1: 1, 2: 1, 3: byte(relu)}},
	"convolution of points": {op: opConv, in: []int{1, 4, 5, 9}, out: []int{1, 4, 5, 7}, optionsN: 1,
		stored:  []constant{filled(7, 7, 1, 1, 9), filled(8, 7)},
		options: map[int]any{0: byte(same), 1: 1, 2: 1, 3: byte(linear)}},
	"depthwise 3 same": {op: opDepthwiseConv, in: []int{1, 5, 6, 4}, out: []int{1, 5, 6, 4}, optionsN: 2,
		stored:  []constant{filled(9, 1, 3, 3, 4), filled(10, 4)},
		options: map[int]any{0: byte(same), 1: 1, 2: 1, 3: 1, 4: byte(relu6)}},
	"depthwise 5 same, step 2": {op: opDepthwiseConv, in: []int{1, 8, 7, 4}, out: []int{1, 4, 4, 4}, optionsN: 2,
		stored:  []constant{filled(11, 1, 5, 5, 4), filled(12, 4)},
		options: map[int]any{0: byte(same), 1: 2, 2: 2, 3: 1, 4: byte(linear)}},
	"depthwise 3 valid, step 2": {op: opDepthwiseConv, in: []int{1, 9, 8, 5}, out: []int{1, 4, 3, 5}, optionsN: 2,
		stored:  []constant{filled(13, 1, 3, 3, 5), filled(14, 5)},
		options: map[int]any{0: byte(valid), 1: 2, 2: 2, 3: 1, 4: byte(linear)}},
	"depth to space": {op: opDepthToSpace, in: []int{1, 2, 3, 12}, out: []int{1, 4, 6, 3}, optionsN: 94,
		options: map[int]any{0: 2}},
	"logistic": {op: opLogistic, in: []int{1, 2, 3, 4}, out: []int{1, 2, 3, 4}},
	"max pool 2": {op: opMaxPool, in: []int{1, 4, 6, 3}, out: []int{1, 2, 3, 3}, optionsN: 5,
		options: map[int]any{0: byte(valid), 1: 2, 2: 2, 3: 2, 4: 2}},
	"max pool 3 same": {op: opMaxPool, in: []int{1, 5, 5, 3}, out: []int{1, 3, 3, 3}, optionsN: 5,
		options: map[int]any{0: byte(same), 1: 2, 2: 2, 3: 3, 4: 3}},
	"pad": {op: opPad, in: []int{1, 2, 3, 2}, out: []int{1, 5, 6, 2}, optionsN: 22,
		stored: []constant{{[]int{4, 2}, whole(0, 0, 1, 2, 3, 0, 0, 0)}}},
	"reshape": {op: opReshape, in: []int{1, 2, 3, 4}, out: []int{1, 6, 4}, optionsN: 17,
		stored: []constant{{[]int{3}, whole(1, 6, 4)}}},
	"resize at corners of pixels": {op: opResizeBilinear, in: []int{1, 3, 4, 2}, out: []int{1, 6, 8, 2}, optionsN: 15,
		stored: []constant{{[]int{2}, whole(6, 8)}}},
	"resize corner to corner": {op: opResizeBilinear, in: []int{1, 3, 4, 2}, out: []int{1, 7, 5, 2}, optionsN: 15,
		stored: []constant{{[]int{2}, whole(7, 5)}}, options: map[int]any{2: byte(1)}},
	"resize at centres of pixels": {op: opResizeBilinear, in: []int{1, 3, 4, 2}, out: []int{1, 6, 7, 2}, optionsN: 15,
		stored: []constant{{[]int{2}, whole(6, 7)}}, options: map[int]any{3: byte(1)}},
	"concatenation": {op: opConcatenation, in: []int{1, 2, 3, 4}, out: []int{1, 2, 6, 4}, twice: true, optionsN: 10,
		options: map[int]any{0: 2}},
	"sparse half floats": {op: opConv, in: []int{1, 3, 3, 8}, out: []int{1, 3, 3, 4}, optionsN: 1, sparse: true,
		stored:  []constant{holes(filled(15, 4, 1, 1, 8)), filled(16, 4)},
		options: map[int]any{0: byte(same), 1: 1, 2: 1}},
}

// holes takes most numbers away.
func holes(c constant) constant {
	v := c.v.([]float32)
	for i := range v {
		if i%5 != 0 && i%3 != 1 {
			v[i] = 0
		}
	}
	return c
}

func caseInput(s sketch) []float32 {
	v := filled(99, s.in...).v.([]float32)
	for i := range v {
		v[i] *= 4
	}
	return v
}

// whole models, each on a rendered golfer and on noise.
var wholes = map[string]struct{ file, input string }{
	"landmarks of the golfer": {"../models/pose_landmark_full.tflite", "golfer"},
	"landmarks of noise":      {"../models/pose_landmark_full.tflite", "noise"},
	"detection of the golfer": {"../models/pose_detection.tflite", "golfer"},
	"detection of noise":      {"../models/pose_detection.tflite", "noise"},
}

// pictured fills a network's input with the golfer, as far as it fits, or noise.
func pictured(t testing.TB, input string, shape []int) []float32 {
	v := make([]float32, 0, shape[1]*shape[2]*3)
	if input == "noise" {
		r := rand.New(rand.NewPCG(5, 6))
		for range cap(v) {
			v = append(v, float32(r.IntN(256))/255)
		}
		return v
	}
	f, err := os.Open("testdata/golfer.png")
	require.NoError(t, err)
	defer f.Close()
	m, _, err := image.Decode(f)
	require.NoError(t, err)
	for y := range shape[1] {
		for x := range shape[2] {
			r, g, b, _ := m.At(x, y).RGBA()
			v = append(v, float32(r>>8)/255, float32(g>>8)/255, float32(b>>8)/255)
		}
	}
	return v
}

type kept struct {
	Step   int
	Values []float64
}

// TestReference compares what each operator and both whole networks give with
// what the format's own runtime gave: @tensorflow/tfjs-tflite 0.0.1-alpha.10,
// which is TensorFlow Lite with XNNPACK as WebAssembly, in Chromium. The script
// is testdata/reference.mjs.
func TestReference(t *testing.T) {
	if *write != "" {
		writeCases(t, *write)
		return
	}
	b, err := os.ReadFile("testdata/reference.json")
	require.NoError(t, err)
	var want map[string]map[string]kept
	require.NoError(t, json.Unmarshal(b, &want))
	require.Len(t, want, len(cases)+len(wholes))
	for name, c := range cases {
		t.Run(name, func(t *testing.T) { compare(t, c.model(), caseInput(c), want[name], 1e-5) })
	}
	for name, w := range wholes {
		t.Run(name, func(t *testing.T) {
			model, err := os.ReadFile(w.file)
			require.NoError(t, err)
			n, err := Load(model)
			require.NoError(t, err)
			// Through a hundred layers: products are added in another order, and rounded once.
			compare(t, model, pictured(t, w.input, n.input.shape), want[name], 2e-4)
		})
	}
}

// compare runs a model and compares each output within a part of the greatest
// number there.
func compare(t *testing.T, model []byte, input []float32, want map[string]kept, within float64) {
	require.NotEmpty(t, want)
	for name, k := range want {
		n, err := Load(model, name)
		require.NoError(t, err)
		r := n.NewRun()
		require.Len(t, r.Input(), len(input))
		copy(r.Input(), input)
		r.Do()
		got := r.Output(0)
		require.Equal(t, (len(got)+k.Step-1)/k.Step, len(k.Values), name)
		most, worst := 0.0, 0.0
		for i, v := range k.Values {
			most = max(most, math.Abs(v))
			worst = max(worst, math.Abs(v-float64(got[i*k.Step])))
		}
		t.Logf("%s: %d numbers up to %.3g, at most %.2g apart", name, len(k.Values), most, worst)
		require.LessOrEqual(t, worst, within*max(most, 1), name)
	}
}

func writeCases(t *testing.T, dir string) {
	put := func(name string, model []byte, input []float32) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".tflite"), model, 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".bin"), floatBytes(input), 0o644))
	}
	for name, c := range cases {
		put(name, c.model(), caseInput(c))
	}
	for name, w := range wholes {
		model, err := os.ReadFile(w.file)
		require.NoError(t, err)
		n, err := Load(model)
		require.NoError(t, err)
		put(name, model, pictured(t, w.input, n.input.shape))
	}
}
