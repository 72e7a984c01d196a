package video

import (
	"fmt"
	"math"
	"slices"

	"github.com/asticode/go-astiav"
)

// describe fills in the facts and warnings once the table stands. readErr is
// what ended the reading of the table early, if anything did.
func (s *Source) describe(path string, audio int, readErr error) {
	p, t := s.stream.CodecParameters(), s.table
	i := Info{
		Path: path, Container: s.format.InputFormat().LongName(), Codec: s.codec.Name(),
		PixelFormat: p.PixelFormat().Name(), BitDepth: bitDepth(p.PixelFormat()),
		StoredWidth: p.Width(), StoredHeight: p.Height(),
		TimeBase: [2]int{s.stream.TimeBase().Num(), s.stream.TimeBase().Den()},
		Frames:   t.frames(), FirstPTS: t.pts(0), LongestGroup: t.longest,
		DamagedPackets: t.corrupt, UntimedPackets: t.withoutPTS,
		Interlaced: interlaced(p), SizeBytes: s.stat.Size(), Warnings: []string{},
	}
	if i.TimeBase[0] <= 0 || i.TimeBase[1] <= 0 {
		i.TimeBase = [2]int{1, 1}
	}
	for _, packet := range t.packets {
		if packet.key {
			i.KeyFrames++
		}
	}
	orient, rightAngle := orientationOf(s.stream.SideData(astiav.PacketSideDataTypeDisplaymatrix))
	aspect := s.format.GuessSampleAspectRatio(s.stream, nil)
	s.layout = newLayout(p.Width(), p.Height(), orient, [2]int{aspect.Num(), aspect.Den()})
	s.layout.setColour(p)
	i.PictureBytes = int64(s.layout.size)
	i.Width, i.Height, i.SampleAspect = s.layout.uprightWidth, s.layout.uprightHeight, s.layout.aspect
	i.RotationDeg, i.Mirrored = orient.degrees(), orient.mirrored()

	i.ColourMatrix, i.ColourAssumed = matrixName(s.layout.matrix), s.layout.assumed
	i.ColourRange = map[bool]string{true: "full", false: "limited"}[s.layout.full]
	i.ColourTransfer, i.ColourPrimaries = declared(transferName(p.ColorTransferCharacteristic())), declared(primariesName(p.ColorPrimaries()))
	switch p.ColorTransferCharacteristic() {
	case astiav.ColorTransferCharacteristicSmpte2084, astiav.ColorTransferCharacteristicAribStdB67:
		i.HDR = true
	}
	if audio >= 0 {
		a := s.format.Streams()[audio].CodecParameters()
		i.HasAudio, i.AudioCodec, i.AudioRate, i.AudioChannels = true, a.CodecID().Name(), a.SampleRate(), a.ChannelLayout().NbChannels()
	}
	s.info = i
	s.info.RateFPS, s.info.VariableRate = s.rate()
	s.info.Duration = s.duration()
	s.warn(rightAngle, readErr)
}

// declared empties FFmpeg's names for "not declared".
func declared(name string) string {
	if name == "unknown" || name == "reserved" {
		return ""
	}
	return name
}

// rate returns the mean frames per second and whether the steps between frames
// differ by more than the file's ticks force them to.
func (s *Source) rate() (fps float64, variable bool) {
	t := s.table
	last := t.frames() - 1
	span := t.pts(last) - t.pts(0)
	if last < 1 || span <= 0 {
		return 0, false
	}
	steps := make([]int64, last)
	for n := range steps {
		steps[n] = t.pts(n+1) - t.pts(n)
	}
	slices.Sort(steps)
	median := float64(steps[last/2])
	const uneven = 0.2 // of a step: what a phone's clock may wander without dropping a frame
	for _, d := range []int64{steps[0], steps[last-1]} {
		if math.Abs(float64(d)-median) > math.Max(1, uneven*median) {
			variable = true
		}
	}
	return float64(last) / (float64(span) * s.tick()), variable
}

// coarseRate is the rate below which the fast part of a swing blurs and jumps
// (common practice, no source).
const coarseRate = 100

// No camera films a golfer outside these rates.
const leastRate, mostRate = 1, 20000

func (s *Source) warn(rightAngle bool, readErr error) {
	i, t := &s.info, s.table
	add := func(format string, args ...any) { i.Warnings = append(i.Warnings, fmt.Sprintf(format, args...)) }
	// The header promises a number of frames; far fewer in the file mean that its end is missing.
	if promised := s.stream.NbFrames(); readErr != nil || promised > int64(len(t.packets)) {
		if promised > int64(len(t.packets)) {
			add("The file was cut off: it announces %d frames and holds %d. What is there can be used; copy it again for the rest.", promised, len(t.packets))
		} else {
			add("The file is damaged after frame %d; what comes before can be used. Copy it again for the rest.", i.Frames-1)
		}
	}
	if t.corrupt > 0 {
		add("%d frames are marked as damaged in the file and may show errors.", t.corrupt)
	}
	if t.withoutPTS > 0 {
		add("The file gives no display time for %d of its frames; they are shown in the order they are stored.", t.withoutPTS)
	}
	if !rightAngle {
		add("The file asks for a turn that is not a right angle; it is shown as stored.")
	}
	if i.VariableRate {
		add("The time between frames varies. The program uses each frame's own time, so positions and tempo stay right.")
	}
	if i.RateFPS > 0 && (i.RateFPS < leastRate || i.RateFPS > mostRate) {
		add("The clip's times can't be right: they make %.4g frames a second. Marking works, but tempo and the lock by the strike don't; copy the clip from the phone again.", i.RateFPS)
	} else if i.RateFPS > 0 && i.RateFPS < coarseRate {
		add("%.0f frames a second is slow for a golf swing: the club moves far between frames. Film at 120 or 240 if the phone can.", i.RateFPS)
	}
	if i.HDR {
		add("The clip was filmed in high dynamic range; its colours look flat here. Measuring is not affected.")
	}
	if i.Interlaced {
		add("The clip is interlaced: moving edges show combs. Points can be marked half a line less exactly.")
	}
}
