package nodes

import "sync"

type familySize struct {
	f Family
	n int
}

// A cache remembers slices by key. Choosing a degree asks for the same few sizes thousands of
// times. It is emptied when it holds more than cacheLimit numbers, so it cannot grow for ever.
type cache[K comparable] struct {
	mu     sync.Mutex
	stored map[K][]float64
	size   int
}

const cacheLimit = 1 << 16

var interiorCache cache[familySize]

func (c *cache[K]) get(k K) ([]float64, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	x, ok := c.stored[k]
	return x, ok
}

// put keeps x, which must not change afterwards.
func (c *cache[K]) put(k K, x []float64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, ok := c.stored[k]; ok {
		return
	}
	if c.stored == nil || c.size+len(x) > cacheLimit {
		c.stored, c.size = map[K][]float64{}, 0
	}
	c.stored[k] = x
	c.size += len(x)
}
