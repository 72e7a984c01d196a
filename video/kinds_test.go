package video

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestClipKindsAreWhatTheyAreCalled keeps the exactness tests honest: another
// version of ffmpeg might write something tamer under the same options.
func TestClipKindsAreWhatTheyAreCalled(t *testing.T) {
	leading := func(s *Source) bool { // a picture is stored after a key picture and shown before it
		key := 0
		for i, p := range s.packets {
			if p.key {
				key = i
			}
			if p.pts < s.packets[key].pts {
				return true
			}
		}
		return false
	}
	for kind, is := range map[string]func(s *Source, i Info) bool{
		"H.264 group of 30":                   func(_ *Source, i Info) bool { return i.LongestGroup == 30 },
		"H.264 group of 250":                  func(_ *Source, i Info) bool { return i.LongestGroup == 250 },
		"H.264 open groups":                   func(s *Source, _ Info) bool { return leading(s) },
		"HEVC 8 bit open groups":              func(s *Source, i Info) bool { return leading(s) && i.Codec == "hevc" },
		"H.264 all key frames":                func(_ *Source, i Info) bool { return i.KeyFrames == i.Frames },
		"H.264 one frame":                     func(_ *Source, i Info) bool { return i.Frames == 1 },
		"HEVC 10 bit":                         func(_ *Source, i Info) bool { return i.BitDepth == 10 && i.Codec == "hevc" },
		"varying rate":                        func(_ *Source, i Info) bool { return i.VariableRate },
		"negative first time":                 func(_ *Source, i Info) bool { return i.FirstPTS < 0 },
		"negative first time, H.264":          func(_ *Source, i Info) bool { return i.FirstPTS < 0 },
		"negative times before the edit list": func(s *Source, i Info) bool { return s.packets[0].pts < 0 && s.packets[0].frame < 0 },
		"late first time": func(_ *Source, i Info) bool {
			return float64(i.FirstPTS)*float64(i.TimeBase[0]) > 0.4*float64(i.TimeBase[1])
		},
		"edit list inside a group": func(s *Source, i Info) bool { return len(s.packets) > i.Frames },
		"rotated by 90":            func(_ *Source, i Info) bool { return i.RotationDeg == 90 && !i.Mirrored },
		"mirrored":                 func(_ *Source, i Info) bool { return i.Mirrored },
		"odd size":                 func(_ *Source, i Info) bool { return i.Width == 161 && i.Height == 119 },
		"long samples":             func(_ *Source, i Info) bool { return i.SampleAspect == [2]int{4, 3} },
		"BT.601":                   func(_ *Source, i Info) bool { return i.ColourMatrix == "smpte170m" && !i.ColourAssumed },
		"full range":               func(_ *Source, i Info) bool { return i.ColourRange == "full" },
		"sound first":              func(s *Source, i Info) bool { return i.HasAudio && s.streamIndex == 1 },
		"4:4:4":                    func(_ *Source, i Info) bool { return i.PixelFormat == "yuv444p" },
	} {
		s, err := Open(clip(t, kind))
		require.NoError(t, err)
		assert.True(t, is(s, s.Info()), "%s: %+v", kind, s.Info())
		require.NoError(t, s.Close())
	}
}
