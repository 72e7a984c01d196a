package video

import "io"

// jobKind says why a picture is being decoded; the order is that of importance.
type jobKind int

const (
	jobNone   jobKind = iota
	jobClose          // the reader is closing
	jobWanted         // the playhead waits for it
	jobRead           // a Read waits for it
	jobAhead          // nobody waits: decoding ahead
)

// job is the picture to reach next.
type job struct {
	kind   jobKind
	target int
	back   int  // how many key packets earlier than usual the run must start
	sought bool // whether that run was started
}

// How many frames are decoded ahead when nothing else is to be done: in the
// direction of travel and against it, and both ways when the playhead rests.
const (
	aheadOfTravel  = 60
	behindTravel   = 12
	aroundResting  = 24
	windowBackward = 64 // frames kept of a group that is decoded backward
)

// pick decides what to decode next, and tells whoever made the request once
// its frame is there or has failed, whatever it was decoded for.
func (r *Reader) pick() job {
	j, tell := r.pickQuietly()
	if tell {
		r.ready()
	}
	return j
}

func (r *Reader) pickQuietly() (j job, tell bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.want.made {
		there := r.settled(r.want.n)
		tell = there && !r.notified
		r.notified = there
	}
	switch {
	case r.closing:
		return job{kind: jobClose}, false
	case r.want.made && !r.notified:
		j = job{kind: jobWanted, target: r.want.n}
	default:
		if n := r.nextRead(); n >= 0 {
			j = job{kind: jobRead, target: n}
		} else if n := r.ahead(); n >= 0 {
			j = job{kind: jobAhead, target: n}
		}
	}
	if j.kind != jobNone && j.target == r.work.target && r.work.kind != jobNone {
		j.back, j.sought = r.work.back, r.work.sought
	}
	r.work = j
	return j, tell
}

// settled reports whether frame n is there or known to be unavailable.
func (r *Reader) settled(n int) bool { return r.failed[n] != nil || r.cache.has(n) }

// nextRead answers the reads that can be answered and returns the frame the
// first of the others waits for, or -1.
func (r *Reader) nextRead() int {
	for len(r.reads) > 0 {
		n := r.reads[0].n
		err := r.failed[n]
		if err == nil && !r.cache.has(n) {
			return n
		}
		for _, p := range r.takeReads(n) {
			a := result{err: err}
			if err == nil {
				a.frame = r.held(n, false)
			}
			p.answer <- a
		}
	}
	return -1
}

// ahead returns the nearest frame worth decoding while nobody waits, or -1.
// Together the windows stay within this reader's share of the budget.
func (r *Reader) ahead() int {
	c := r.cache
	here := r.placeLooked()
	if r.asked || here == r.full {
		return -1
	}
	cursor, direction := here.cursor, here.direction
	forward, backward := aroundResting, aroundResting
	switch {
	case c.forward:
		forward, backward = aheadOfTravel, 0
	case direction == 1:
		forward, backward = aheadOfTravel, behindTravel
	case direction == -1:
		forward, backward = behindTravel, windowBackward
	}
	room := c.room() - 2
	forward, backward = min(forward, room*forward/(forward+backward)), min(backward, room*backward/(forward+backward))
	failed := func(n int) bool { return r.failed[n] != nil }
	up := func() int { return c.missing(cursor+1, 1, forward, r.s.Frames(), failed) }
	down := func() int { return c.missing(cursor-1, -1, backward, r.s.Frames(), failed) }
	first, second := up, down
	if direction < 0 && !c.forward {
		first, second = down, up
	}
	if n := first(); n >= 0 {
		return n
	}
	return second()
}

// place is where a clip is looked at and which way it travels.
type place struct{ cursor, direction int }

func (r *Reader) placeLooked() place {
	r.cache.budget.mu.Lock()
	defer r.cache.budget.mu.Unlock()
	return place{r.cache.cursor, r.cache.direction}
}

// step decodes one picture on the way to the job's target. The error is that of the
// target, errDied where the process that decodes has ended.
func (r *Reader) step(j job) error {
	d := r.decoder()
	if err := r.start(d, j); err != nil {
		return err
	}
	first := d.at.last < 0
	n, err := d.next()
	if err != nil && err != io.EOF {
		return err
	}
	r.count(d)
	if n == r.diedAt {
		r.deaths = 0 // it was not that frame
	}
	if err == io.EOF {
		r.missed(d, j)
		return nil
	}
	if first && r.falseKey(d, n) {
		return nil
	}
	if err := r.keep(d, j, n, first); err != nil {
		return err
	}
	switch {
	case n > j.target:
		r.missed(d, j)
	case n == j.target && !r.cache.has(n):
		r.full = r.placeLooked() // only nearer frames could make room
	}
	return nil
}

func (r *Reader) decoder() *run {
	if r.s.run == nil {
		r.s.run = newRun(r.s, r.signal)
	}
	return r.s.run
}

// start begins the run the job needs, unless the present one leads there.
func (r *Reader) start(d *run, j job) error {
	at := d.at
	if j.back > 0 && !j.sought {
		at.known = false
	}
	key := r.s.planSeek(at, j.target, j.back, r.s.falseKeys)
	if j.back > 0 && j.sought && d.at.known {
		key = -1
	}
	if key < 0 && !r.mayBeSkipped(d, j.target) {
		return nil
	}
	if key < 0 {
		key = r.s.planSeek(position{}, j.target, j.back, r.s.falseKeys)
	}
	if err := r.s.overwritten(); err != nil {
		return err
	}
	if err := d.seek(key); err != nil {
		return err
	}
	r.skipTo(d, j.target)
	r.work.sought = true
	r.mu.Lock()
	r.stats.Seeks++
	r.mu.Unlock()
	return nil
}

// skipTo lets the decoder skip what is not kept on the way to target.
func (r *Reader) skipTo(d *run, target int) {
	d.skipTill = noPTS
	if from := target - r.keepBehind(); from > 0 {
		d.skipTill = r.s.pts(from)
	}
}

// mayBeSkipped reports whether the target's packet was already sent while
// pictures of its time were being skipped for the sake of a later target. If
// it is still to come, skipping is cut back.
func (r *Reader) mayBeSkipped(d *run, target int) bool {
	if d.skipTill == noPTS || r.s.PTS(target) >= d.skipTill {
		return false
	}
	if r.s.packetOf(target) < d.at.next {
		return true
	}
	r.skipTo(d, target)
	return false
}

// keepBehind is how many frames before a target are kept on the way to it.
func (r *Reader) keepBehind() int { return max(min(windowBackward, r.cache.room()/2), 1) }

func (r *Reader) count(d *run) {
	r.mu.Lock()
	r.stats.Decoded++
	r.stats.BadPackets = r.badBefore + d.bad
	if d.picture != nil && d.picture.Damaged {
		r.stats.Damaged++
	}
	r.mu.Unlock()
}

// falseKey notices a packet that is marked as a key picture and is none: what
// is decoded from there may be wrong. It is remembered and the run given up.
func (r *Reader) falseKey(d *run, n int) bool {
	start := d.at.start
	if start == 0 || r.s.packetOf(n) != start || d.picture.Key || r.s.falseKeys[start] {
		return false
	}
	r.s.falseKeys[start] = true
	d.falseKeys = append(d.falseKeys, start)
	d.at.known = false
	return true
}

// keep puts the decoded picture n into the cache if it is wanted or near
// enough, and tells whoever waits. The first picture of a run is kept as a
// stand-in while the wanted one is being decoded.
func (r *Reader) keep(d *run, j job, n int, first bool) error {
	r.mu.Lock()
	waited := r.want.made && r.want.n == n
	awaited := false
	for _, p := range r.reads {
		awaited = awaited || p.n == n
	}
	r.mu.Unlock()
	standIn := first && j.kind == jobWanted
	if !r.cache.has(n) {
		force := waited || awaited || standIn || n == j.target && j.kind != jobAhead
		if !force && (n < j.target-r.keepBehind() && r.cacheDistance(n) > r.keepBehind()) {
			return nil
		}
		if err := r.insert(d, n, force); err != nil {
			return err
		}
	}
	if awaited {
		r.mu.Lock()
		r.nextRead()
		r.mu.Unlock()
	}
	if standIn && !waited {
		r.ready()
	}
	return nil
}

func (r *Reader) cacheDistance(n int) int {
	r.cache.budget.mu.Lock()
	defer r.cache.budget.mu.Unlock()
	return r.cache.distance(n)
}

func (r *Reader) insert(d *run, n int, force bool) error {
	b, shown := r.cache.budget, d.picture
	s, err := d.keep()
	if err != nil {
		return err
	}
	if !b.admit(r.cache, s.bytes, r.cacheDistance(n), force) {
		s.release()
		return nil
	}
	p := &picture{
		index: n, pts: r.s.PTS(n), key: shown.Key, damaged: shown.Damaged,
		layout: r.s.layout, slot: s, budget: b,
	}
	r.cache.put(p)
	return nil
}

// mostBack is how many key packets earlier a run may start before a frame is
// given up.
const mostBack = 2

// missed handles a run that passed the target, or ended, without showing it:
// another is started from an earlier key packet, and in the end the frame is
// declared unavailable rather than a neighbour shown in its place.
func (r *Reader) missed(d *run, j job) {
	d.at.known = false
	i := r.s.packetOf(j.target)
	atStart := r.s.keyBefore(i, i, r.s.falseKeys) == 0
	if j.back >= mostBack || (atStart && j.back > 0) {
		r.fail(j.target, &FrameError{Path: r.s.info.Path, Index: j.target, Text: "it is damaged or missing in the file. Use a neighbouring frame, or copy the clip again."})
		r.work = job{}
		return
	}
	r.work.back, r.work.sought = j.back+1, false
}
