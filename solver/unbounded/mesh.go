package unbounded

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// waveNodes is how many of its unknowns' numbers an element is given that is as fine as the last solution.
const waveNodes = 20

// truncate puts infinity at a and b, with mesh points at the sources that were found far out; and, if graded, at
// distances that double and at steps as long as those that the last solution needed: it may have waves.
func (s *search) truncate(a, b float64, graded bool) *bvp.Problem {
	t := Truncate(s.p, a, b)
	marks := slices.Clone(t.Breaks)
	for _, x := range s.marks {
		if x > a && x < b {
			marks = append(marks, x)
		}
	}
	from := base(s.p)
	add := func(d float64) {
		for _, x := range []float64{from - d, from + d} {
			if x > a && x < b {
				marks = append(marks, x)
			}
		}
	}
	if graded {
		for d := s.x / 2; d > s.first; d /= 2 {
			add(d)
		}
		step := s.lead.length() * waveNodes / float64(s.lead.Curve.Grid().Unknowns())
		for d := step; d < s.x && step > s.x/mostElements; d += step {
			add(d)
		}
	}
	slices.Sort(marks)
	t.Breaks = slices.Compact(marks)
	return t
}

// densest is how many elements of a doubling of the distance are repeated in the next one; where there are more they
// belong to something that happens there.
const densest = 12

// stretched continues the mesh of an answer to the interval from lo to hi: each doubling of the distance is divided as
// the one before, and elements that get finer towards an end move out with it.
func (a *Answer) stretched(lo, hi float64) *collocation.Mesh {
	g, origin := a.Curve.Grid(), base(a.Far.p)
	m := collocation.Mesh{X: slices.Clone(g.Mesh.X), Nodes: slices.Clone(g.Mesh.Nodes), Family: g.Mesh.Family}
	at, ok := slices.BinarySearch(m.X, origin)
	if !ok {
		m.X, m.Nodes = slices.Insert(m.X, at, origin), slices.Insert(m.Nodes, at, m.Nodes[at-1])
	}
	// Distances to the left, and to the right.
	left, right := half{d: make([]float64, at+1)}, half{d: make([]float64, len(m.X)-at)}
	for i := range left.d {
		left.d[i] = origin - m.X[at-i]
	}
	for i := range right.d {
		right.d[i] = m.X[at+i] - origin
	}
	left.k, right.k = slices.Clone(m.Nodes[:at]), slices.Clone(m.Nodes[at:])
	slices.Reverse(left.k)
	left.lengthen(origin - lo)
	right.lengthen(hi - origin)
	out := &collocation.Mesh{Family: m.Family}
	for i := len(left.d) - 1; i > 0; i-- {
		out.X, out.Nodes = append(out.X, origin-left.d[i]), append(out.Nodes, left.k[i-1])
	}
	out.X = append(out.X, origin)
	for i := 1; i < len(right.d); i++ {
		out.X, out.Nodes = append(out.X, origin+right.d[i]), append(out.Nodes, right.k[i-1])
	}
	out.X[0], out.X[len(out.X)-1] = lo, hi
	return graded(out)
}

// steepest is how much longer an element may be than its neighbour, and growth how much longer those are that are put
// between the two where it is more. What begins beside a short element may go on in the first part of a long one, where
// it has no node.
const (
	steepest = 12
	growth   = 4
)

// graded divides elements that are much longer than a neighbour.
func graded(m *collocation.Mesh) *collocation.Mesh {
	out := &collocation.Mesh{X: []float64{m.X[0]}, Family: m.Family}
	size := func(i int) float64 {
		if i < 0 || i >= len(m.Nodes) {
			return math.Inf(1)
		}
		return m.X[i+1] - m.X[i]
	}
	for i, k := range m.Nodes {
		lo, hi := m.X[i], m.X[i+1]
		var left, right []float64
		for a, b := size(i-1), size(i+1); hi-lo > steepest*math.Min(a, b); {
			if a < b {
				a *= growth
				lo += a
				left = append(left, lo)
			} else {
				b *= growth
				hi -= b
				right = append(right, hi)
			}
		}
		slices.Reverse(right)
		for _, x := range append(append(left, right...), m.X[i+1]) {
			out.X, out.Nodes = append(out.X, x), append(out.Nodes, k)
		}
	}
	return out
}

// half is one side of a mesh: distances, ascending from 0, and the nodes of the elements between them.
type half struct {
	d []float64
	k []int
}

// lengthen continues the distances up to a reach.
func (h *half) lengthen(reach float64) {
	if len(h.d) < 2 || h.d[len(h.d)-1] >= reach {
		return
	}
	layer := h.cutLayer()
	h.double(reach)
	if n := len(layer.d); n > 1 {
		from := reach - layer.d[n-1] + layer.d[0]
		for len(h.d) > 1 && h.d[len(h.d)-1] > from-(layer.d[n-1]-layer.d[0])/2 {
			h.d, h.k = h.d[:len(h.d)-1], h.k[:len(h.k)-1]
		}
		h.d, h.k = append(h.d, from), append(h.k, layer.k[0])
		for i := 1; i < n; i++ {
			h.d, h.k = append(h.d, reach-(layer.d[n-1]-layer.d[i])), append(h.k, layer.k[i-1])
		}
	}
	h.d[len(h.d)-1] = reach
}

// cutLayer takes off the elements that get finer towards the end: they belong to the end and not to the distance.
func (h *half) cutLayer() (layer half) {
	n := len(h.d)
	largest := 0.0
	for i := n - 1; i > 0 && h.d[i] > h.d[n-1]/2; i-- {
		largest = math.Max(largest, h.d[i]-h.d[i-1])
	}
	i := n - 1
	for h.d[i]-h.d[i-1] < largest/2 {
		i--
	}
	layer.d, layer.k = slices.Clone(h.d[i:]), slices.Clone(h.k[i:])
	h.d, h.k = h.d[:i+1], h.k[:i]
	return layer
}

// double repeats the last doubling of the distance until the reach.
func (h *half) double(reach float64) {
	d, k := h.d, h.k
	for top := d[len(d)-1]; top < reach; top = d[len(d)-1] {
		n := len(d)
		i, _ := slices.BinarySearch(d, top/2)
		if n-1-i > densest || i == n-1 {
			for j := range 4 {
				d, k = append(d, top+top*float64(j+1)/4), append(k, k[n-2])
			}
			continue
		}
		if d[i] > top/2 {
			d, k = append(d, 2*d[i]), append(k, k[i-1])
		}
		for ; i < n-1; i++ {
			d, k = append(d, 2*d[i+1]), append(k, k[i])
		}
	}
	for len(d) > 2 && d[len(d)-2] >= reach*(1-1e-9) {
		d, k = d[:len(d)-1], k[:len(k)-1]
	}
	h.d, h.k = d, k
}
