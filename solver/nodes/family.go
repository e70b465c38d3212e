package nodes

import (
	"fmt"
	"math"
	"strings"
	"sync"
)

// Family is a family of collocation nodes.
type Family int

const (
	Legendre   Family = iota // Gauss: zeros of P_n
	Chebyshev                // zeros of T_n
	Lobatto                  // inner nodes of the Lobatto rule: zeros of P'_(n+1)
	Radau                    // inner nodes of the Radau rule whose fixed node is the right end
	Equispaced               // -1 + 2 i/(n+1), i = 1 … n
)

var familyNames = [...]string{"legendre", "chebyshev", "lobatto", "radau", "equispaced"}

// Families lists every family in the order of the constants.
func Families() []Family {
	return []Family{Legendre, Chebyshev, Lobatto, Radau, Equispaced}
}

// String returns the name that ParseFamily reads: legendre, chebyshev, lobatto, radau or equispaced.
func (f Family) String() string {
	if f < 0 || int(f) >= len(familyNames) {
		return fmt.Sprintf("Family(%d)", int(f))
	}
	return familyNames[f]
}

// ParseFamily returns the family of a name, in upper or lower case.
func ParseFamily(s string) (Family, error) {
	for i, name := range familyNames {
		if strings.EqualFold(s, name) {
			return Family(i), nil
		}
	}
	return 0, fmt.Errorf("unknown family of nodes %q: it is one of %s", s, strings.Join(familyNames[:], ", "))
}

// Interior returns the n nodes of a family, ascending, all strictly inside (-1, 1), right to the
// last digit or two of a double. The slice is the caller's own. It panics for n < 1.
//
// The nodes of every family but Radau are symmetric about 0 to the last bit.
func Interior(f Family, n int) []float64 {
	if n < 1 {
		panic("nodes: fewer than one node")
	}
	key := familySize{f, n}
	if x, ok := interiorCache.get(key); ok {
		return append([]float64(nil), x...)
	}
	var x []float64
	switch f {
	case Legendre:
		x, _ = Gauss(n)
	case Chebyshev:
		x = make([]float64, n)
		for i := range x {
			x[i] = math.Sin(math.Pi * float64(2*i+1-n) / float64(2*n))
		}
	case Lobatto:
		x, _ = GaussLobatto(n + 2)
		x = x[1 : n+1]
	case Radau:
		x, _ = GaussRadau(n + 1)
		x = x[:n]
	case Equispaced:
		x = make([]float64, n)
		for i := range x {
			x[i] = float64(2*i+1-n) / float64(n+1)
		}
	default:
		panic("nodes: unknown family")
	}
	interiorCache.put(key, append([]float64(nil), x...))
	return x
}

type familySize struct {
	f Family
	n int
}

// A cache remembers slices by key. Choosing a degree asks for the same few sizes thousands of
// times. It is emptied when it holds more than cacheLimit numbers, so it cannot grow for ever.
type cache[K comparable] struct {
	mu   sync.Mutex
	held map[K][]float64
	size int
}

const cacheLimit = 1 << 16

var interiorCache cache[familySize]

func (c *cache[K]) get(k K) ([]float64, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	x, ok := c.held[k]
	return x, ok
}

// put keeps x, which must not change afterwards.
func (c *cache[K]) put(k K, x []float64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, ok := c.held[k]; ok {
		return
	}
	if c.held == nil || c.size+len(x) > cacheLimit {
		c.held, c.size = map[K][]float64{}, 0
	}
	c.held[k] = x
	c.size += len(x)
}
