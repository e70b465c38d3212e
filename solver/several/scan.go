package several

import (
	"math"
	"slices"
	"sort"
)

// Limits of a scan.
const (
	perDecade     = 8
	leastDecade   = -3 // of the missing number, in its unit, with perDecade values each
	mostDecade    = 4
	farDecade     = -12 // below leastDecade, one value a decade
	mostShots     = 1000
	deepest       = 8   // halvings where the far condition bends
	deepestBorder = 30  // halvings at the border of what arrives
	bends         = 0.1 // of the larger neighbour, off the straight line
	shotsPerStep  = 24
)

// shot is one trajectory of a scan: the missing number, and what is left of the far condition.
type shot struct {
	at, left float64
	ok       bool
}

// gap is the stretch between two neighbouring shots.
type gap struct {
	a, b  shot
	depth int
}

// scan shoots with many values of the one number that is missing.
type scan struct {
	m     *missing
	grid  []float64 // values still to be tried
	shots []shot
	gaps  []gap
	count int
}

func newScan(m *missing) *scan {
	s := &scan{m: m}
	unit, center := m.unit(0), m.base[m.free[0]]
	for _, c := range []float64{0, center} {
		s.grid = append(s.grid, c)
		for k := leastDecade * perDecade; k <= mostDecade*perDecade; k++ {
			if c != 0 && (k%2 != 0 || k > perDecade) {
				continue
			}
			d := unit * math.Pow(10, float64(k)/perDecade)
			s.grid = append(s.grid, c+d, c-d)
		}
	}
	for k := farDecade; k < leastDecade; k++ {
		d := unit * math.Pow(10, float64(k))
		s.grid = append(s.grid, d, -d)
	}
	slices.Sort(s.grid)
	s.grid = slices.Compact(s.grid)
	return s
}

// step goes on for a few shots, and reports whether there is more to do.
func (s *scan) step() bool {
	for range shotsPerStep {
		switch {
		case len(s.grid) > 0:
			n := s.shoot(s.grid[0])
			s.grid = s.grid[1:]
			if k := len(s.shots) - 1; k > 0 {
				s.gaps = append(s.gaps, gap{s.shots[k-1], n, 0})
			}
		case len(s.gaps) > 0 && s.count < mostShots:
			g := s.gaps[0]
			s.gaps = s.gaps[1:]
			s.refine(g)
		default:
			return false
		}
	}
	return true
}

func (s *scan) shoot(at float64) shot {
	var left [1]float64
	_, ok := s.m.shoot([]float64{at}, left[:])
	n := shot{at, left[0], ok}
	s.shots = append(s.shots, n)
	s.count++
	return n
}

// refine halves a gap where what is left of the condition bends in it, or where only one of its ends arrives.
func (s *scan) refine(g gap) {
	border := g.a.ok != g.b.ok
	if !g.a.ok && !g.b.ok || border && g.depth >= deepestBorder || !border && g.depth >= deepest {
		if g.a.ok || g.b.ok || g.depth >= 2 {
			return
		}
	}
	mid := g.a.at + (g.b.at-g.a.at)/2
	if mid == g.a.at || mid == g.b.at {
		return
	}
	n := s.shoot(mid)
	straight := (g.a.left + g.b.left) / 2
	size := math.Max(math.Abs(g.a.left), math.Abs(g.b.left))
	if !border && n.ok && g.a.ok && g.depth > 0 && math.Abs(n.left-straight) <= bends*size {
		return
	}
	s.gaps = append(s.gaps, gap{g.a, n, g.depth + 1}, gap{n, g.b, g.depth + 1})
}

// roots returns the missing numbers at which the far condition is met, nearest to the middle of the scan first, and
// after them those at which it is nearly met without a change of sign.
func (s *scan) roots() []float64 {
	sort.Slice(s.shots, func(i, j int) bool { return s.shots[i].at < s.shots[j].at })
	var out, near []float64
	for i, b := range s.shots {
		if b.ok && b.left == 0 {
			out = append(out, b.at)
			continue
		}
		if i == 0 || !b.ok || !s.shots[i-1].ok {
			continue
		}
		a := s.shots[i-1]
		if a.left*b.left < 0 {
			if at, ok := s.close(a, b); ok {
				out = append(out, at)
			}
			continue
		}
		if i+1 < len(s.shots) {
			c := s.shots[i+1]
			l := math.Abs(b.left)
			if c.ok && a.left*c.left > 0 && l < math.Abs(a.left) && l <= math.Abs(c.left) {
				near = append(near, b.at)
			}
		}
	}
	for _, list := range [][]float64{out, near} {
		sort.SliceStable(list, func(i, j int) bool { return math.Abs(list[i]) < math.Abs(list[j]) })
	}
	return append(out, near...)
}

// close closes in on a change of sign by halving, and by the secant in between. A jump is no root.
func (s *scan) close(a, b shot) (at float64, ok bool) {
	whole := math.Abs(a.left) + math.Abs(b.left)
	const most = 60
	for k := range most {
		if math.Abs(b.at-a.at) <= 1e-12*math.Max(math.Abs(a.at), math.Abs(b.at)) {
			break
		}
		mid := a.at + (b.at-a.at)/2
		if k%3 != 2 {
			mid = a.at + (b.at-a.at)*a.left/(a.left-b.left)
		}
		if !(mid > a.at && mid < b.at) {
			break
		}
		n := s.shoot(mid)
		if !n.ok {
			return mid, false
		}
		if math.Abs(n.left) <= 1e-9*whole {
			return mid, true
		}
		if n.left*a.left > 0 {
			a = n
		} else {
			b = n
		}
	}
	if math.Abs(a.left) < math.Abs(b.left) {
		return a.at, true
	}
	return b.at, true
}
