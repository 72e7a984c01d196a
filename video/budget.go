package video

import (
	"sync"
	"sync/atomic"

	"turngauge/video/system"
)

// Budget bounds the memory of decoded frames, in bytes, for all readers that
// share it. Frames in callers' hands count; they are the only reason for which
// the limit may be passed, besides the leastFrames every reader needs to work.
// The pictures a decoder holds for its own work come on top.
type Budget struct {
	mu     sync.Mutex
	limit  int64
	used   int64 // bytes of all pictures, cached or in callers' hands
	caches []*cache

	urgent atomic.Int32 // readers somebody is waiting for
}

const (
	// leastFrames per clip are kept whatever the limit: the one on show, its
	// neighbours, and the one being decoded.
	leastFrames = 4
	// mostCacheBytes and fallbackCacheBytes bound the default.
	mostCacheBytes     = 2 << 30
	fallbackCacheBytes = 512 << 20
)

// NewBudget returns a budget of limit bytes; 0 or less means DefaultCacheBytes.
func NewBudget(limit int64) *Budget {
	if limit <= 0 {
		limit = DefaultCacheBytes()
	}
	return &Budget{limit: limit}
}

// DefaultCacheBytes is a quarter of the computer's memory, at most 2 GiB.
func DefaultCacheBytes() int64 {
	if all, ok := system.Memory(); ok {
		return min(all/4, mostCacheBytes)
	}
	return fallbackCacheBytes
}

// Limit returns the limit in bytes.
func (b *Budget) Limit() int64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.limit
}

// SetLimit changes the limit; caches shrink as soon as their frames are not in use.
func (b *Budget) SetLimit(bytes int64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.limit = bytes
	b.shrink()
}

// Used returns the bytes of frame memory that exist now.
func (b *Budget) Used() int64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.used
}

// admit makes room for a picture of cache c that lies distance frames from
// where c is looked at, and counts it. With force it always succeeds; otherwise
// it returns false when only nearer frames could make room.
func (b *Budget) admit(c *cache, size int64, distance int, force bool) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	for b.used+size > b.limit {
		victim := b.victim(c)
		n, far := victim.farthest()
		if n < 0 || (victim == c && len(c.pictures) < leastFrames) {
			break
		}
		if victim == c && !force && far <= distance {
			return false
		}
		victim.drop(n)
	}
	b.used += size
	return true
}

// victim is the cache that must make room for c: the one farthest above its
// equal share, c itself when none is.
func (b *Budget) victim(c *cache) *cache {
	share := b.limit / int64(max(len(b.caches), 1))
	worst, over := c, int64(0)
	for _, other := range b.caches {
		if bytes := other.held; bytes-share > over && len(other.pictures) > leastFrames {
			worst, over = other, bytes-share
		}
	}
	return worst
}

// shrink drops frames until the rest fits.
func (b *Budget) shrink() {
	for b.used > b.limit {
		if len(b.caches) == 0 {
			return
		}
		victim := b.victim(b.caches[0])
		n, _ := victim.farthest()
		if n < 0 || len(victim.pictures) <= leastFrames {
			return
		}
		victim.drop(n)
	}
}

// giveBack releases a slot whose picture nobody holds any more. The caller does
// not hold the lock.
func (b *Budget) giveBack(s *slot) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.giveBackLocked(s)
}

func (b *Budget) giveBackLocked(s *slot) {
	b.used -= s.bytes
	s.release()
}

func (b *Budget) join(c *cache) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.caches = append(b.caches, c)
}

// leave drops a closing reader's frames, all but what callers still hold.
func (b *Budget) leave(c *cache) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for n := range c.pictures {
		c.drop(n)
	}
	for i, other := range b.caches {
		if other == c {
			b.caches = append(b.caches[:i], b.caches[i+1:]...)
			break
		}
	}
}
