package video

// position is where a decoding run stands. A run starts at a key packet and
// hands out frames in order of presentation.
type position struct {
	known bool
	start int // packet the run began with
	next  int // packet the demuxer gives next
	last  int // highest frame handed out, -1 before the first
}

// readOn is how many packets are worth reading to reach the next key packet
// instead of seeking to it.
const readOn = 16

// planSeek decides how to reach frame n: reading on in the present run (seek
// is -1), or seeking to a key packet. back 0 takes the nearest suitable key
// packet; each further step back takes the one before, for files whose key
// packets are not what they claim to be.
func (x *frameIndex) planSeek(at position, n, back int, falseKeys map[int]bool) (seek int) {
	i := x.packetOf(n)
	key := x.keyBefore(i, i, falseKeys)
	for ; back > 0 && key > 0; back-- {
		key = x.keyBefore(i, key-1, falseKeys)
	}
	if !at.known {
		return key
	}
	ahead := n > at.last && x.packets[i].pts >= x.packets[at.start].pts && at.start <= key
	if ahead && key <= at.next+readOn {
		return -1
	}
	return key
}

// keyBefore returns the packet decoding must start from to get packet i right:
// the nearest key packet at or before limit in decode order that is not shown
// later than i, so that pictures leading a key picture start from the one
// before. Without any, decoding starts at the first packet.
func (x *frameIndex) keyBefore(i, limit int, falseKeys map[int]bool) int {
	for k := min(i, limit); k > 0; k-- {
		if x.packets[k].key && !falseKeys[k] && x.packets[k].pts <= x.packets[i].pts {
			return k
		}
	}
	return 0
}
