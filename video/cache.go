package video

import (
	"math"
	"slices"
)

// cache holds one reader's decoded pictures. Its budget's lock guards it.
type cache struct {
	budget    *Budget
	pictures  map[int]*picture
	cursor    int  // frame being looked at
	direction int  // of travel: -1, 0 or 1
	forward   bool // the clip is worked through once; never changes
	changed   bool
	held      int64    // bytes of all pictures
	each      int64    // bytes of the last picture put, before that an estimate
	runs      [][2]int // cached answer of CachedRuns
}

func newCache(b *Budget, l *layout, forward bool) *cache {
	c := &cache{budget: b, pictures: map[int]*picture{}, forward: forward, each: int64(l.size)}
	b.join(c)
	return c
}

// againstTravel is how much farther a frame counts that lies behind.
const againstTravel = 2

// distance of frame n from where the clip is looked at; frames that lie
// against the direction of travel count as farther, and those behind a reader
// that only runs forward as farthest: none is kept in place of one to come.
func (c *cache) distance(n int) int {
	d := n - c.cursor
	switch {
	case c.forward && d < 0:
		return math.MaxInt
	case d*c.direction < 0:
		return againstTravel * abs(d)
	}
	return abs(d)
}

// farthest returns the frame to give up first and its distance, -1 for none.
// Frames in callers' hands are passed over: dropping them frees nothing.
func (c *cache) farthest() (n, distance int) {
	n, distance = -1, -1
	for i, p := range c.pictures {
		if p.refs.Load() > 1 {
			continue
		}
		if d := c.distance(i); d > distance || (d == distance && i > n) {
			n, distance = i, d
		}
	}
	return n, distance
}

// drop forgets frame n; the budget's lock is held.
func (c *cache) drop(n int) {
	p := c.pictures[n]
	delete(c.pictures, n)
	c.changed = true
	c.held -= p.slot.bytes
	if p.refs.Add(-1) == 0 {
		c.budget.giveBackLocked(p.slot)
	}
}

// put stores a picture, counting it.
func (c *cache) put(p *picture) {
	c.budget.mu.Lock()
	defer c.budget.mu.Unlock()
	if _, ok := c.pictures[p.index]; ok {
		c.drop(p.index)
	}
	p.refs.Add(1)
	c.pictures[p.index] = p
	c.changed = true
	c.each = p.slot.bytes
	c.held += c.each
}

// look moves the place the cache is looked at from.
func (c *cache) look(cursor, direction int) {
	c.budget.mu.Lock()
	defer c.budget.mu.Unlock()
	c.cursor, c.direction = cursor, direction
}

func (c *cache) has(n int) bool {
	c.budget.mu.Lock()
	defer c.budget.mu.Unlock()
	_, ok := c.pictures[n]
	return ok
}

// missing returns the first frame from n on, in steps of step and at most
// count frames, that is not cached, or -1.
func (c *cache) missing(n, step, count, frames int, skip func(int) bool) int {
	c.budget.mu.Lock()
	defer c.budget.mu.Unlock()
	for range count {
		if n < 0 || n >= frames {
			return -1
		}
		if _, ok := c.pictures[n]; !ok && !skip(n) {
			return n
		}
		n += step
	}
	return -1
}

// hold runs f with picture n, or the one nearest to it, while it can't be dropped.
func (c *cache) hold(n int, nearest bool, f func(*picture)) bool {
	c.budget.mu.Lock()
	defer c.budget.mu.Unlock()
	p, ok := c.pictures[n]
	if !ok && nearest {
		for i, other := range c.pictures {
			if p == nil || abs(i-n) < abs(p.index-n) || (abs(i-n) == abs(p.index-n) && i < p.index) {
				p = other
			}
		}
	}
	if p == nil {
		return false
	}
	f(p)
	return true
}

// room returns how many frames this reader's share of the budget holds.
func (c *cache) room() int {
	c.budget.mu.Lock()
	defer c.budget.mu.Unlock()
	share := c.budget.limit / int64(max(len(c.budget.caches), 1))
	return max(int(share/c.each), leastFrames)
}

// cachedRuns returns the cached frames as [first, last] pairs in order.
func (c *cache) cachedRuns() [][2]int {
	c.budget.mu.Lock()
	defer c.budget.mu.Unlock()
	if !c.changed {
		return c.runs
	}
	all := make([]int, 0, len(c.pictures))
	for n := range c.pictures {
		all = append(all, n)
	}
	slices.Sort(all)
	var runs [][2]int
	for _, n := range all {
		if k := len(runs); k > 0 && runs[k-1][1] == n-1 {
			runs[k-1][1] = n
		} else {
			runs = append(runs, [2]int{n, n})
		}
	}
	c.runs, c.changed = runs, false
	return runs
}

func abs(n int) int { return max(n, -n) }
