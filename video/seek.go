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
func planSeek(t *table, at position, n, back int) (seek int) {
	i := t.packetOf(n)
	key := t.keyBefore(i, i)
	for ; back > 0 && key > 0; back-- {
		key = t.keyBefore(i, key-1)
	}
	if !at.known {
		return key
	}
	ahead := n > at.last && t.packets[i].pts >= t.packets[at.start].pts && at.start <= key
	if ahead && key <= at.next+readOn {
		return -1
	}
	return key
}
