package video

import (
	"cmp"
	"slices"
	"sort"
)

// indexedPacket is one compressed picture, in decode order. Times are ticks of
// the stream's time base.
type indexedPacket struct {
	pts   int64 // presentation time, mended where the file has none
	stamp int64 // presentation time as read, else decode time: what it is recognized by
	dts   int64
	pos   int64 // bytes from the start of the file, -1 when unknown
	key   bool  // as the container says; see frameIndex.keyBefore
	frame int32 // its number, or -1 when it is never shown
}

// frameIndex maps frame numbers to packets: frame number = rank by presentation
// time of the shown packets. It never changes.
type frameIndex struct {
	packets  []indexedPacket // decode order
	shown    []int32         // frame number -> packet
	byStamp  []int32         // every packet, hidden ones too, by stamp
	lastTick int64           // length of the last frame in ticks, 0 when unknown

	withoutPTS int // packets whose presentation time had to be taken from the decode time
	corrupt    int // packets the container marks as damaged
	longest    int // most packets from one key packet to the next
}

// newFrameIndex numbers the frames. Packets without a presentation time take
// their decode time; without either they can't be addressed and are hidden.
func newFrameIndex(raw []rawPacket) *frameIndex {
	x := &frameIndex{packets: make([]indexedPacket, 0, len(raw))}
	sinceKey := 0
	for _, r := range raw {
		p := indexedPacket{pts: r.pts, stamp: r.pts, dts: r.dts, pos: r.pos, key: r.key, frame: -1}
		if p.pts == noPTS {
			p.pts, p.stamp = r.dts, r.dts
			x.withoutPTS++
		}
		if r.corrupt {
			x.corrupt++
		}
		if sinceKey++; r.key {
			sinceKey = 1
		}
		x.longest = max(x.longest, sinceKey)
		i := int32(len(x.packets))
		x.packets = append(x.packets, p)
		x.byStamp = append(x.byStamp, i)
		if !r.hidden && p.pts != noPTS {
			x.shown = append(x.shown, i)
		}
	}
	x.fillReferenceTimes(raw)
	slices.SortStableFunc(x.byStamp, func(a, b int32) int { return cmp.Compare(x.packets[a].stamp, x.packets[b].stamp) })
	slices.SortStableFunc(x.shown, func(a, b int32) int { return cmp.Compare(x.packets[a].pts, x.packets[b].pts) })
	for n, i := range x.shown {
		x.packets[i].frame = int32(n)
	}
	if n := len(x.shown); n > 0 {
		x.lastTick = max(raw[x.shown[n-1]].duration, 0)
	}
	return x
}

// fillReferenceTimes mends what FFmpeg leaves of AVI files with B-pictures:
// those have a time, equal to their decode time, while the reference pictures
// have none. A reference picture is shown when the next one is decoded.
func (x *frameIndex) fillReferenceTimes(raw []rawPacket) {
	if len(raw) == 0 || raw[0].pts != noPTS || x.withoutPTS == len(raw) {
		return
	}
	for _, r := range raw {
		if r.dts == noPTS || (r.pts != noPTS && r.pts != r.dts) {
			return
		}
	}
	last := len(raw) - 1
	next := raw[last].dts + max(raw[last].duration, 1)
	for i := last; i >= 0; i-- {
		if raw[i].pts == noPTS {
			x.packets[i].pts, next = next, raw[i].dts
		}
	}
	x.withoutPTS = 0
}

func (x *frameIndex) frames() int        { return len(x.shown) }
func (x *frameIndex) pts(n int) int64    { return x.packets[x.shown[n]].pts }
func (x *frameIndex) packetOf(n int) int { return int(x.shown[n]) }

// indexOfPTS returns the frame shown at exactly pts.
func (x *frameIndex) indexOfPTS(pts int64) (int, bool) {
	n := sort.Search(len(x.shown), func(i int) bool { return x.pts(i) >= pts })
	return n, n < len(x.shown) && x.pts(n) == pts
}

// frameAt returns the frame being shown at tick pts: the last that starts at
// or before it, clamped to the clip.
func (x *frameIndex) frameAt(pts int64) int {
	n := sort.Search(len(x.shown), func(i int) bool { return x.pts(i) > pts })
	return max(n-1, 0)
}

// find returns the packet with these stamps, trying hint first, or -1. Several
// packets of one stamp are told apart by file position, then by
// decode time.
func (x *frameIndex) find(pts, dts, pos int64, hint int) int {
	stamp := pts
	if stamp == noPTS {
		stamp = dts
	}
	if hint >= 0 && hint < len(x.packets) && x.packets[hint].stamp == stamp {
		if p := x.packets[hint]; p.pos == pos || p.pos < 0 || pos < 0 {
			return hint
		}
	}
	first := sort.Search(len(x.byStamp), func(i int) bool { return x.packets[x.byStamp[i]].stamp >= stamp })
	best := -1
	for i := first; i < len(x.byStamp) && x.packets[x.byStamp[i]].stamp == stamp; i++ {
		p := x.packets[x.byStamp[i]]
		if p.pos == pos && pos >= 0 {
			return int(x.byStamp[i])
		}
		if best < 0 || p.dts == dts {
			best = int(x.byStamp[i])
		}
	}
	return best
}
