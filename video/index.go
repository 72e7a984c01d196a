package video

import (
	"cmp"
	"slices"
	"sort"
)

// tablePacket is one compressed picture, in decode order.
type tablePacket struct {
	pts   int64 // presentation time, mended where the file has none
	stamp int64 // presentation time as read, else decode time: what it is recognized by
	dts   int64
	pos   int64
	key   bool
	frame int32 // its number, or -1 when it is never shown
}

// table maps frame numbers to packets: frame number = rank by presentation
// time of the shown packets. It is complete after Open and, but for the key
// flags, never changes.
type table struct {
	packets  []tablePacket // decode order
	shown    []int32       // frame number -> packet
	byStamp  []int32       // every packet, hidden ones too, by stamp
	lastTick int64         // length of the last frame in ticks, 0 when unknown

	withoutPTS int // packets whose presentation time had to be taken from the decode time
	corrupt    int // packets the container marks as damaged
	longest    int // most packets from one key packet to the next
}

// buildTable numbers the frames. Packets without a presentation time take
// their decode time; without either they can't be addressed and are hidden.
func buildTable(raw []rawPacket) *table {
	t := &table{packets: make([]tablePacket, 0, len(raw))}
	sinceKey := 0
	for _, r := range raw {
		p := tablePacket{pts: r.pts, stamp: r.pts, dts: r.dts, pos: r.pos, key: r.key, frame: -1}
		if p.pts == noPTS {
			p.pts, p.stamp = r.dts, r.dts
			t.withoutPTS++
		}
		if r.corrupt {
			t.corrupt++
		}
		if sinceKey++; r.key {
			sinceKey = 1
		}
		t.longest = max(t.longest, sinceKey)
		i := int32(len(t.packets))
		t.packets = append(t.packets, p)
		t.byStamp = append(t.byStamp, i)
		if !r.hidden && p.pts != noPTS {
			t.shown = append(t.shown, i)
		}
	}
	t.fillReferenceTimes(raw)
	slices.SortStableFunc(t.byStamp, func(a, b int32) int { return cmp.Compare(t.packets[a].stamp, t.packets[b].stamp) })
	slices.SortStableFunc(t.shown, func(a, b int32) int { return cmp.Compare(t.packets[a].pts, t.packets[b].pts) })
	for n, i := range t.shown {
		t.packets[i].frame = int32(n)
	}
	if n := len(t.shown); n > 0 {
		t.lastTick = max(raw[t.shown[n-1]].duration, 0)
	}
	return t
}

// fillReferenceTimes mends what FFmpeg leaves of AVI files with B-pictures:
// those have a time, equal to their decode time, while the reference pictures
// have none. A reference picture is shown when the next one is decoded.
func (t *table) fillReferenceTimes(raw []rawPacket) {
	if len(raw) == 0 || raw[0].pts != noPTS || t.withoutPTS == len(raw) {
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
			t.packets[i].pts, next = next, raw[i].dts
		}
	}
	t.withoutPTS = 0
}

func (t *table) frames() int        { return len(t.shown) }
func (t *table) pts(n int) int64    { return t.packets[t.shown[n]].pts }
func (t *table) packetOf(n int) int { return int(t.shown[n]) }

// indexOfPTS returns the frame shown at exactly pts.
func (t *table) indexOfPTS(pts int64) (int, bool) {
	n := sort.Search(len(t.shown), func(i int) bool { return t.pts(i) >= pts })
	return n, n < len(t.shown) && t.pts(n) == pts
}

// frameAt returns the frame being shown at tick pts: the last that starts at
// or before it, clamped to the clip.
func (t *table) frameAt(pts int64) int {
	n := sort.Search(len(t.shown), func(i int) bool { return t.pts(i) > pts })
	return max(n-1, 0)
}

// find returns the packet with these stamps, trying hint first, or -1. Several
// packets of one stamp are told apart by file position, then by
// decode time.
func (t *table) find(pts, dts, pos int64, hint int) int {
	stamp := pts
	if stamp == noPTS {
		stamp = dts
	}
	if hint >= 0 && hint < len(t.packets) && t.packets[hint].stamp == stamp {
		if p := t.packets[hint]; p.pos == pos || p.pos < 0 || pos < 0 {
			return hint
		}
	}
	first := sort.Search(len(t.byStamp), func(i int) bool { return t.packets[t.byStamp[i]].stamp >= stamp })
	best := -1
	for i := first; i < len(t.byStamp) && t.packets[t.byStamp[i]].stamp == stamp; i++ {
		p := t.packets[t.byStamp[i]]
		if p.pos == pos && pos >= 0 {
			return int(t.byStamp[i])
		}
		if best < 0 || p.dts == dts {
			best = int(t.byStamp[i])
		}
	}
	return best
}

// keyBefore returns the packet decoding must start from to get packet i right:
// the nearest key packet at or before limit in decode order that is not shown
// later than i, so that pictures leading a key picture start from the one
// before. Without any, decoding starts at the first packet.
func (t *table) keyBefore(i, limit int) int {
	for k := min(i, limit); k > 0; k-- {
		if t.packets[k].key && t.packets[k].pts <= t.packets[i].pts {
			return k
		}
	}
	return 0
}
