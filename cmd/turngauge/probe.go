package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"text/tabwriter"
	"time"

	"turngauge/video"
	"turngauge/video/sound"
)

const probeHelp = `turngauge probe CLIP... [--decode] [--json]

Says what the program sees in a clip: size, rate, length, rotation, colours,
sound, the strikes heard in it, and whatever is unusual about it.

  --decode  decode every frame too, and count those that can't be
  --json    print JSON instead, one object for each clip

Exit codes: 0 all is well; 2 the command line is wrong; 3 a clip can't be read.
`

func probe(r *run, c *command) int {
	fs := c.flags()
	asJSON := fs.Bool("json", false, "")
	decode := fs.Bool("decode", false, "")
	clips, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(clips) == 0 {
		return r.misuse(c, "name a clip to look at")
	}
	code = exitOK
	for i, path := range clips {
		info, err := look(r.ctx, path, *decode)
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

// probed is all that can be told of a clip.
type probed struct {
	video.Info
	Fingerprint string   `json:"sha256"`
	Strikes     []strike `json:"strikes"` // the most convincing first
	Decoded     *decoded `json:"decoded,omitempty"`

	// Unconfined is what the process that decodes the clip could not be kept from, ""
	// where it is fully confined.
	Unconfined string `json:"unconfined,omitempty"`
}

// strike is a sound like that of a club on a ball.
type strike struct {
	Seconds    float64 `json:"seconds"` // from the first frame
	Frame      int     `json:"frame"`   // on show then
	LevelDB    float64 `json:"level_db"`
	Confidence float64 `json:"confidence"`
	Sure       bool    `json:"sure"`
}

// decoded is what came of decoding every frame.
type decoded struct {
	Refused    []int `json:"refused_frames"`
	BadPackets int   `json:"bad_packets"`
	Damaged    int   `json:"damaged_pictures"`
}

// look finds out all about a clip; trouble with its sound or its frames is a
// warning.
func look(ctx context.Context, path string, decode bool) (p probed, err error) {
	src, err := video.OpenContext(ctx, path)
	if err != nil {
		return p, err
	}
	r := video.NewReader(src, video.ReaderOptions{})
	defer r.Close()
	p = probed{Info: src.Info(), Strikes: []strike{}}
	confined, err := video.Confined()
	if err != nil {
		return p, err
	}
	p.Unconfined = confined.Lacks()
	if p.Fingerprint, err = video.Fingerprint(path); err != nil {
		return p, err
	}
	if p.HasAudio {
		if err := p.listen(ctx, src); err != nil {
			p.Warnings = append(p.Warnings, err.Error())
		}
	}
	if decode {
		err = p.decode(ctx, r)
	}
	return p, err
}

func (p *probed) listen(ctx context.Context, src *video.Source) error {
	audio, err := video.ReadAudio(ctx, p.Path)
	if err != nil {
		return err
	}
	for _, s := range sound.FindStrikes(audio.Samples, audio.Rate) {
		at := audio.Start + s.Seconds
		p.Strikes = append(p.Strikes, strike{at, src.FrameAt(src.Life(at)), s.Strength, s.Confidence, s.Confidence >= sound.Sure})
	}
	return nil
}

func (p *probed) decode(ctx context.Context, r *video.Reader) error {
	p.Decoded = &decoded{Refused: []int{}}
	for n := range p.Frames {
		f, err := r.Read(ctx, n)
		switch {
		case errors.Is(err, video.ErrFrameUnavailable):
			p.Decoded.Refused = append(p.Decoded.Refused, n)
		case err != nil:
			return err
		default:
			f.Release()
		}
	}
	stats := r.Stats()
	p.Decoded.BadPackets, p.Decoded.Damaged = stats.BadPackets, stats.Damaged
	if t := stats.Trouble(); t != "" {
		p.Warnings = append(p.Warnings, t)
	}
	return nil
}

// lifeSpeed says how fast a clip plays beside life.
func lifeSpeed(i *video.Info) string {
	switch slow := i.SlowedBy(); {
	case slow > 1:
		return fmt.Sprintf("played %.3g times slower", slow)
	case slow < 1:
		return fmt.Sprintf("played %.3g times faster", 1/slow)
	}
	return "played at that speed"
}

// describe puts what is known of a clip into lines for people.
func describe(i probed) string {
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
			stored += fmt.Sprintf(", rotated %d degrees clockwise", i.RotationDeg)
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
	if i.FilmedFPS > 0 {
		row("filmed at", "%.3f frames a second of life, %s (%s)", i.FilmedFPS, lifeSpeed(&i.Info), i.FilmedFrom)
	} else {
		row("filmed at", "the file does not say; taken to play at life's speed")
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
	for _, s := range i.Strikes {
		sure := "sure"
		if !s.Sure {
			sure = "unsure"
		}
		row("strike", "at %.4f s, in frame %d, %.0f dB over the background, %s", s.Seconds, s.Frame, s.LevelDB, sure)
	}
	row("memory", "%.1f MB a frame, %.0f MB the whole clip; the usual picture memory holds %d frames",
		float64(i.PictureBytes)/1e6, float64(i.PictureBytes)*float64(i.Frames)/1e6, video.DefaultCacheBytes()/i.PictureBytes)
	row("sha256", "%s", i.Fingerprint)
	if i.Unconfined == "" {
		row("decoding", "in a process of its own, without files, network or other programs")
	} else {
		row("decoding", "in a process of its own that is not fully confined: %s", i.Unconfined)
	}
	if d := i.Decoded; d != nil {
		row("decoded", "%d of %d frames, %d packets bad, %d pictures damaged", i.Frames-len(d.Refused), i.Frames, d.BadPackets, d.Damaged)
	}
	_ = t.Flush() // a strings.Builder takes everything
	for _, w := range i.Warnings {
		fmt.Fprintf(&b, "  note: %s\n", w)
	}
	return b.String()
}
