package lazy

import (
	"debug/elf"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/asticode/go-astiav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// needed are the libraries that the dynamic loader loads with this program, by its own
// table.
func needed(t *testing.T) []string {
	f, err := elf.Open("/proc/self/exe")
	require.NoError(t, err)
	defer f.Close()
	libraries, err := f.ImportedLibraries()
	require.NoError(t, err)
	return libraries
}

// mapped reports whether a library is in memory now (proc(5), maps).
func mapped(library string) bool {
	maps, err := os.ReadFile("/proc/self/maps")
	return err == nil && strings.Contains(string(maps), library)
}

// atStart is whether the filters were in memory before anything was called.
var atStart = mapped("libavfilter")

// TestAFilterIsLoadedWhenItIsUsed makes a tone by FFmpeg's filters: nothing of
// libavfilter is in memory before, and what comes is what was asked for.
func TestAFilterIsLoadedWhenItIsUsed(t *testing.T) {
	for _, l := range needed(t) {
		assert.NotContains(t, l, "libavfilter")
		assert.NotContains(t, l, "libavdevice")
	}
	require.False(t, atStart)
	graph := astiav.AllocFilterGraph()
	require.NotNil(t, graph)
	defer graph.Free()
	require.True(t, mapped("libavfilter"))

	sink, err := graph.NewFilterContext(astiav.FindFilterByName("abuffersink"), "out", nil)
	require.NoError(t, err)
	inputs := astiav.AllocFilterInOut()
	defer inputs.Free()
	inputs.SetName("end")
	inputs.SetFilterContext(sink)
	inputs.SetPadIdx(0)
	require.NoError(t, graph.Parse("sine=frequency=1000:sample_rate=48000:duration=0.1[end]", inputs, nil))
	require.NoError(t, graph.Configure())
	samples := 0
	frame := astiav.AllocFrame()
	defer frame.Free()
	for {
		err := sink.BuffersinkGetFrame(frame, astiav.NewBuffersinkFlags())
		if errors.Is(err, astiav.ErrEof) {
			break
		}
		require.NoError(t, err)
		assert.Equal(t, 48000, frame.SampleRate())
		samples += frame.NbSamples()
		frame.Unref()
	}
	assert.Equal(t, 4800, samples)
	assert.Nil(t, astiav.FindFilterByName("no such filter"))
}
