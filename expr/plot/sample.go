package plot

import (
	"container/heap"
	"math"
	"sort"
)

// Sampling says how finely to sample. The zero value is sensible.
type Sampling struct {
	// Width and Height are those of the picture in device pixels; 0 means 1600 and 800.
	Width, Height float64
	// Seeds are points that must be among the samples (nodes, mesh), in any order; those outside a … b are left out.
	// A layer narrower than a few pixels is found only if a seed lies in it or at its edge. More seeds than half of
	// Max are thinned evenly.
	Seeds []float64
	// Max bounds the number of points; 0 means 2000, less than 16 counts as 16.
	Max int
	// Tol is the largest allowed deviation of the drawn line from the curve in device pixels; 0 means 0.3.
	Tol float64
}

// split is where a piece of curve is tested and cut: off the middle, where an odd curve would pass for a straight one.
const split = 0.42

// Sample evaluates f, which writes its n values at x into out, at ascending points from a to b, as many as the drawn
// lines need, and returns them: y[i][k] is value i at x[k]. Values that are not finite are kept: they are gaps. It
// panics unless a < b and n > 0.
//
// It starts from an even grid and the seeds and keeps cutting the piece whose test point lies farthest from the
// chord, each value scaled so that its range over a … b fills the height.
func Sample(f func(x float64, out []float64), n int, a, b float64, s Sampling) (x []float64, y [][]float64) {
	if !(a < b) || n < 1 {
		panic("plot: sampling needs a < b and at least one value")
	}
	if s.Width <= 0 {
		s.Width = 1600
	}
	if s.Height <= 0 {
		s.Height = 800
	}
	if s.Max <= 0 {
		s.Max = 2000
	}
	s.Max = max(s.Max, 16)
	if s.Tol <= 0 {
		s.Tol = 0.3
	}
	sm := sampler{f: f, n: n, sx: s.Width / (b - a), height: s.Height, lo: make([]float64, n), hi: make([]float64, n)}
	for i := range sm.lo {
		sm.lo[i], sm.hi[i] = math.Inf(1), math.Inf(-1)
	}

	// An even grid of about eight pixels, with the seeds.
	cells := min(max(int(s.Width/8), 8), s.Max/2-1)
	start := make([]float64, 0, cells+1+len(s.Seeds))
	for i := 0; i <= cells; i++ {
		start = append(start, a+(b-a)*float64(i)/float64(cells))
	}
	start[cells] = b
	start = append(start, thin(s.Seeds, a, b, s.Max-len(start))...)
	sort.Float64s(start)
	points := make([]point, 0, s.Max)
	for i, v := range start {
		if i == 0 || v != start[i-1] {
			points = append(points, point{x: v, y: sm.at(v)})
		}
	}

	q := pieces{s: &sm}
	for i := 1; i < len(points); i++ {
		q.list = append(q.list, sm.piece(points[i-1], points[i]))
	}
	for i := range q.list {
		q.list[i].off = sm.deviation(q.list[i])
	}
	heap.Init(&q)
	// Half the tolerance at the test point keeps the whole piece within it.
	for len(points) < s.Max && len(q.list) > 0 && q.list[0].off > s.Tol/2 {
		p := q.list[0]
		if off := sm.deviation(p); off < p.off { // the range has grown since
			q.list[0].off = off
			heap.Fix(&q, 0)
			continue
		}
		points = append(points, p.mid)
		left, right := sm.piece(p.from, p.mid), sm.piece(p.mid, p.to)
		left.off, right.off = sm.deviation(left), sm.deviation(right)
		q.list[0] = left
		heap.Fix(&q, 0)
		heap.Push(&q, right)
	}
	sort.Slice(points, func(i, j int) bool { return points[i].x < points[j].x })

	x = make([]float64, len(points))
	y = make([][]float64, n)
	for i := range y {
		y[i] = make([]float64, len(points))
	}
	for k, p := range points {
		x[k] = p.x
		for i, v := range p.y {
			y[i][k] = v
		}
	}
	return x, y
}

// thin returns the seeds inside a … b, at most most of them, evenly by rank so that they stay dense where they are.
func thin(seeds []float64, a, b float64, most int) []float64 {
	var in []float64
	for _, v := range seeds {
		if a < v && v < b {
			in = append(in, v)
		}
	}
	if len(in) <= most {
		return in
	}
	sort.Float64s(in)
	for i := range most {
		in[i] = in[i*len(in)/most]
	}
	return in[:most]
}

type point struct {
	x float64
	y []float64
}

// piece is a piece of the curve with a test point inside it and its deviation in pixels.
type piece struct {
	from, mid, to point
	off           float64
}

// sampler evaluates the curves and remembers their ranges.
type sampler struct {
	f      func(float64, []float64)
	n      int
	sx     float64 // pixels per unit of x
	height float64
	lo, hi []float64
	slab   []float64
}

func (s *sampler) at(x float64) []float64 {
	if len(s.slab) < s.n {
		s.slab = make([]float64, 512*s.n)
	}
	y := s.slab[:s.n:s.n]
	s.slab = s.slab[s.n:]
	s.f(x, y)
	for i, v := range y {
		if finite(v) {
			s.lo[i], s.hi[i] = math.Min(s.lo[i], v), math.Max(s.hi[i], v)
		}
	}
	return y
}

func (s *sampler) piece(from, to point) piece {
	x := from.x + split*(to.x-from.x)
	if !(from.x < x && x < to.x) {
		return piece{from: from, mid: from, to: to}
	}
	return piece{from: from, mid: point{x, s.at(x)}, to: to}
}

// deviation returns how far in pixels the test point of p lies from its chord, for the worst value. At the edge of a
// gap it is the width of the piece.
func (s *sampler) deviation(p piece) float64 {
	w := (p.to.x - p.from.x) * s.sx
	if w < 0.05 || p.mid.x == p.from.x {
		return 0
	}
	worst := 0.0
	for i := range p.mid.y {
		a, m, b := p.from.y[i], p.mid.y[i], p.to.y[i]
		fa, fm, fb := finite(a), finite(m), finite(b)
		if !fa || !fm || !fb {
			if fa || fm || fb {
				worst = math.Max(worst, w)
			}
			continue
		}
		// Rounding errors are not curvature: a range below this is a constant.
		span := math.Max(s.hi[i]-s.lo[i], 1e-11*math.Max(math.Abs(s.hi[i]), math.Abs(s.lo[i])))
		if span == 0 || math.IsInf(span, 0) {
			continue
		}
		sy := s.height / span
		dy := (b - a) * sy
		along := (p.mid.x - p.from.x) * s.sx
		up := (m - a) * sy
		// Distance of (along, up) from the segment (0, 0) … (w, dy).
		t := math.Min(math.Max((along*w+up*dy)/(w*w+dy*dy), 0), 1)
		worst = math.Max(worst, math.Hypot(along-t*w, up-t*dy))
	}
	return worst
}

// pieces is a heap with the largest deviation first; places settle ties, so that the same input gives the same points.
type pieces struct {
	s    *sampler
	list []piece
}

func (q *pieces) Len() int { return len(q.list) }
func (q *pieces) Less(i, j int) bool {
	if q.list[i].off != q.list[j].off {
		return q.list[i].off > q.list[j].off
	}
	return q.list[i].from.x < q.list[j].from.x
}
func (q *pieces) Swap(i, j int) { q.list[i], q.list[j] = q.list[j], q.list[i] }
func (q *pieces) Push(v any)    { q.list = append(q.list, v.(piece)) }
func (q *pieces) Pop() any {
	last := q.list[len(q.list)-1]
	q.list = q.list[:len(q.list)-1]
	return last
}

// deepest is how many decades below its largest value a curve on a logarithmic axis is followed.
const deepest = 14

// SampleLog is Sample for the size of f on a logarithmic axis, as the residual strip has it: |f(x)| at each point.
func SampleLog(f func(x float64) float64, a, b float64, s Sampling) Curve {
	// The largest value comes first: f falls to nothing at its zeros, and following it there without end would be vain.
	most := 0.0
	const probe = 256
	look := func(x float64) {
		if v := math.Abs(f(x)); finite(v) && v > most {
			most = v
		}
	}
	for i := 0; i <= probe; i++ {
		look(a + (b-a)*float64(i)/probe)
	}
	inside := thin(s.Seeds, a, b, len(s.Seeds))
	sort.Float64s(inside)
	for i := 1; i < len(inside); i++ { // between seeds, where a residual is largest
		look((inside[i-1] + inside[i]) / 2)
	}
	if most == 0 {
		return Curve{X: []float64{a, b}, Y: []float64{math.Abs(f(a)), math.Abs(f(b))}}
	}
	floor := math.Log10(most) - deepest
	x, y := Sample(func(x float64, out []float64) {
		v := math.Abs(f(x))
		switch l := math.Log10(v); {
		case math.IsNaN(v) || math.IsInf(v, 0):
			out[0] = math.NaN()
		default:
			out[0] = math.Max(l, floor)
		}
	}, 1, a, b, s)
	for i, l := range y[0] {
		y[0][i] = math.Pow(10, l)
	}
	return Curve{X: x, Y: y[0]}
}
