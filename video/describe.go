package video

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"github.com/asticode/go-astiav"

	"turngauge/video/boxes"
	"turngauge/video/orient"
)

// describe fills in the facts and warnings once the frames are numbered. audio is
// the stream of sound, -1 for none. readErr is what ended the reading of the
// packets early, if anything did.
func (x *Index) describe(path string, format *astiav.FormatContext, audio int, marks boxes.SpeedMarks, readErr error) {
	stream := format.Streams()[x.streamIndex]
	p := stream.CodecParameters()
	i := Info{
		Path: path, Container: format.InputFormat().LongName(), Codec: x.codec.Name(),
		PixelFormat: p.PixelFormat().Name(), BitDepth: bitDepth(p.PixelFormat()),
		StoredWidth: p.Width(), StoredHeight: p.Height(),
		TimeBase: [2]int{stream.TimeBase().Num(), stream.TimeBase().Den()},
		Frames:   x.frames(), FirstPTS: x.pts(0), LongestGroup: x.longest,
		DamagedPackets: x.corrupt, UntimedPackets: x.withoutPTS,
		Interlaced: interlaced(p), SizeBytes: x.stat.Size(), Warnings: []string{},
	}
	if i.TimeBase[0] <= 0 || i.TimeBase[1] <= 0 {
		i.TimeBase = [2]int{1, 1}
	}
	for _, packet := range x.packets {
		if packet.key {
			i.KeyFrames++
		}
	}
	turn, rightAngle := orient.Of(stream.SideData(astiav.PacketSideDataTypeDisplaymatrix))
	aspect := format.GuessSampleAspectRatio(stream, nil)
	x.layout = newLayout(p.Width(), p.Height(), turn, [2]int{aspect.Num(), aspect.Den()})
	x.layout.setColour(p)
	i.PictureBytes = int64(x.layout.size)
	i.Width, i.Height, i.SampleAspect = x.layout.uprightWidth, x.layout.uprightHeight, x.layout.aspect
	i.RotationDeg, i.Mirrored = turn.Degrees(), turn.Mirrored()

	i.ColourMatrix, i.ColourAssumed = matrixName(x.layout.matrix), x.layout.assumed
	i.ColourRange = map[bool]string{true: "full", false: "limited"}[x.layout.full]
	i.ColourTransfer, i.ColourPrimaries = declared(transferName(p.ColorTransferCharacteristic())), declared(primariesName(p.ColorPrimaries()))
	switch p.ColorTransferCharacteristic() {
	case astiav.ColorTransferCharacteristicSmpte2084, astiav.ColorTransferCharacteristicAribStdB67:
		i.HDR = true
	}
	if audio >= 0 {
		a := format.Streams()[audio].CodecParameters()
		i.HasAudio, i.AudioCodec, i.AudioRate, i.AudioChannels = true, a.CodecID().Name(), a.SampleRate(), a.ChannelLayout().NbChannels()
	}
	x.info = i
	x.info.RateFPS, x.info.PlaybackFPS, x.info.VariableRate = x.rate()
	x.info.FilmedFPS, x.info.FilmedFrom = boxes.FilmedRate(x.info.PlaybackFPS, captureRate(format), marks)
	x.info.Duration = x.duration()
	x.info.Recorded = recorded(format)
	x.warn(rightAngle, stream.NbFrames(), readErr)
}

// declared empties FFmpeg's names for "not declared".
func declared(name string) string {
	if name == "unknown" || name == "reserved" {
		return ""
	}
	return name
}

// recorded returns when the metadata of the file says that it was recorded. Writers
// without a clock put the first second of 1904 or of 1970.
func recorded(format *astiav.FormatContext) time.Time {
	t, err := time.Parse(time.RFC3339Nano, metadata(format, "creation_time"))
	if err != nil || t.Year() < 1990 {
		return time.Time{}
	}
	return t
}

// metadata returns what the file says under a name, "" where it does not.
func metadata(format *astiav.FormatContext, name string) string {
	d := format.Metadata()
	if d == nil {
		return ""
	}
	if e := d.Get(name, nil, astiav.NewDictionaryFlags()); e != nil {
		return e.Value()
	}
	return ""
}

// captureRate returns the rate that Android's recorders name in the metadata of an MP4
// file, frames per second, 0 where there is none.
func captureRate(format *astiav.FormatContext) float64 {
	fps, err := strconv.ParseFloat(metadata(format, boxes.Android), 64)
	if err != nil || math.IsNaN(fps) {
		return 0
	}
	return fps
}

// rate returns the mean frames per second, those of the median step from one frame
// to the next, and whether the steps differ by more than the file's ticks force them
// to.
func (x *Index) rate() (fps, usual float64, variable bool) {
	last := x.frames() - 1
	span := x.pts(last) - x.pts(0)
	if last < 1 || span <= 0 {
		return 0, 0, false
	}
	steps := make([]int64, last)
	for n := range steps {
		steps[n] = x.pts(n+1) - x.pts(n)
	}
	slices.Sort(steps)
	median := float64(steps[last/2])
	const uneven = 0.2 // of a step: what a phone's clock may wander without dropping a frame
	for _, d := range []int64{steps[0], steps[last-1]} {
		if math.Abs(float64(d)-median) > math.Max(1, uneven*median) {
			variable = true
		}
	}
	if median > 0 {
		usual = 1 / (median * x.tick())
	}
	return float64(last) / (float64(span) * x.tick()), usual, variable
}

// coarseRate is the rate below which the fast part of a swing blurs and jumps
// (common practice, no source).
const coarseRate = 100

// warn adds what is unusual about the clip to its facts. promised is the number
// of frames that the header announces, 0 where it says nothing.
func (x *Index) warn(rightAngle bool, promised int64, readErr error) {
	i := &x.info
	add := func(format string, args ...any) { i.Warnings = append(i.Warnings, fmt.Sprintf(format, args...)) }
	// The header promises a number of frames; far fewer in the file mean that its end is missing.
	if readErr != nil || promised > int64(len(x.packets)) {
		if promised > int64(len(x.packets)) {
			add("The file was cut off: it announces %d frames and holds %d. What is there can be used; copy it again for the rest.", promised, len(x.packets))
		} else {
			add("The file is damaged after frame %d; what comes before can be used. Copy it again for the rest.", i.Frames-1)
		}
	}
	if x.corrupt > 0 {
		add("%d frames are marked as damaged in the file and may show errors.", x.corrupt)
	}
	if x.withoutPTS > 0 {
		add("The file gives no display time for %d of its frames; they are shown in the order they are stored.", x.withoutPTS)
	}
	if !rightAngle {
		add("The file asks for a rotation that is not a right angle; it is shown as stored.")
	}
	if i.VariableRate {
		add("The time between frames varies. The program uses each frame's own time, so positions and tempo stay right.")
	}
	filmed := i.RateFPS
	if slow := i.SlowedBy(); slow != 1 {
		filmed = i.FilmedFPS
		word := "slower"
		if slow < 1 {
			slow, word = 1/slow, "faster"
		}
		add("The clip plays %.3g times %s than life: it was filmed at %.4g frames a second and plays at %.4g.", slow, word, i.FilmedFPS, i.PlaybackFPS)
	}
	if x.retimed {
		add("The file plays parts of the clip at another speed. The program leaves that aside and uses the times at which the camera filmed.")
	}
	if i.RateFPS > 0 && (i.RateFPS < boxes.LeastRate || i.RateFPS > boxes.MostRate) {
		add("The clip's times can't be right: they make %.4g frames a second. Marking works, but tempo and the lock by the strike don't; copy the clip from the phone again.", i.RateFPS)
	} else if filmed > 0 && filmed < coarseRate {
		add("%.0f frames a second is slow for a golf swing: the club moves far between frames. Film at 120 or 240 if the phone can.", filmed)
	}
	if i.HDR {
		add("The clip was filmed in high dynamic range; its colours look flat here. Measuring is not affected.")
	}
	if i.Interlaced {
		add("The clip is interlaced: moving edges show combs. Points can be marked half a line less exactly.")
	}
}
