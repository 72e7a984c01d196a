package main

import (
	"fmt"
	"strings"
	"text/tabwriter"
	"time"

	"turngauge/video"
)

const probeHelp = `turngauge probe CLIP... [--json]

Says what the program sees in a clip: size, rate, length, rotation, colours,
sound, and whatever is unusual about it.

  --json    print JSON instead, one object for each clip

Exit codes: 0 all is well; 2 the command line is wrong; 3 a clip can't be read.
`

func probe(r *run, c *command) int {
	fs := c.flags()
	asJSON := fs.Bool("json", false, "")
	clips, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(clips) == 0 {
		return r.misuse(c, "name a clip to look at")
	}
	code = exitOK
	for i, path := range clips {
		info, err := video.Probe(path)
		if err != nil {
			code = max(code, r.fail(err, exitInput))
			continue
		}
		if *asJSON {
			err = writeJSON(r, info)
		} else {
			if i > 0 {
				_, _ = fmt.Fprintln(r.stdout)
			}
			_, err = fmt.Fprint(r.stdout, describe(info))
		}
		if err != nil {
			return r.fail(err, exitFailed)
		}
	}
	return code
}

// describe puts what is known of a clip into lines for people.
func describe(i video.Info) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", i.Path)
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	row := func(name, format string, args ...any) {
		_, _ = fmt.Fprintf(t, "  %s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	row("picture", "%d x %d pixels, upright", i.Width, i.Height)
	if i.RotationDeg != 0 || i.Mirrored || i.StoredWidth != i.Width || i.StoredHeight != i.Height {
		stored := fmt.Sprintf("%d x %d", i.StoredWidth, i.StoredHeight)
		if i.SampleAspect[0] != i.SampleAspect[1] {
			stored += fmt.Sprintf(", samples %d:%d", i.SampleAspect[0], i.SampleAspect[1])
		}
		if i.Mirrored {
			stored += ", mirrored"
		}
		if i.RotationDeg != 0 {
			stored += fmt.Sprintf(", turned %d degrees clockwise", i.RotationDeg)
		}
		row("stored as", "%s", stored)
	}
	rate := "even"
	if i.VariableRate {
		rate = "varying"
	}
	if i.RateFPS > 0 {
		row("frames", "%d, %.3f a second, %s", i.Frames, i.RateFPS, rate)
	} else {
		row("frames", "%d", i.Frames)
	}
	row("length", "%.3f s", i.Duration.Round(time.Millisecond).Seconds())
	row("time base", "%d/%d s, first frame at %d", i.TimeBase[0], i.TimeBase[1], i.FirstPTS)
	row("key frames", "%d, at most %d frames apart", i.KeyFrames, i.LongestGroup)
	row("file", "%s, %s, %.1f MB", i.Container, i.Codec, float64(i.SizeBytes)/1e6)
	scan := ""
	if i.Interlaced {
		scan = ", interlaced"
	}
	row("pixels", "%s, %d bits%s", i.PixelFormat, i.BitDepth, scan)
	colour := i.ColourMatrix
	if i.ColourAssumed {
		colour += " (assumed: the file does not say)"
	}
	colour += ", " + i.ColourRange + " range"
	for _, declared := range []string{i.ColourTransfer, i.ColourPrimaries} {
		if declared != "" {
			colour += ", " + declared
		}
	}
	if i.HDR {
		colour += ", high dynamic range"
	}
	row("colours", "%s", colour)
	if i.HasAudio {
		row("sound", "%s, %d a second, %d channels", i.AudioCodec, i.AudioRate, i.AudioChannels)
	} else {
		row("sound", "none")
	}
	_ = t.Flush() // a strings.Builder takes everything
	for _, w := range i.Warnings {
		fmt.Fprintf(&b, "  note: %s\n", w)
	}
	return b.String()
}
