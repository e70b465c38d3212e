package report

import (
	"math"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// scale tells by reading a formula where it does something on a small scale, such as exp(-((x-0.3)/1e-4)^2), which
// samples would miss: a node of it (a function, a power, a quotient) whose slope varies so much over a stretch that the
// node may depart from a straight line by several times its largest size there. Bounds of the nodes come from interval
// arithmetic (package tape).
type scale struct {
	t       *evaluator
	r       *tape.Reader
	moving  bool // some node depends on the solution
	in, out []tape.Enclosure
	// most is the largest size of each node over the solution's mesh and where it was looked at beyond; infinite at a
	// pole.
	most     []float64
	jet, old []float64
	turning  []bending
}

// bending is by how much the slope of a node changes.
type bending struct {
	node int
	by   float64
}

// bent is by how many times its largest size on a stretch a node may depart from a straight line there for a dozen
// points to show it. What a node does where it is smaller than this negligible share of its largest size does not
// matter. Where a node has no bound, a stretch is halved down to the smallest share of the whole. Halved as often as
// halvings says, a stretch has parts so small that a dozen points on each of its halves may miss one; as often as
// pointlike says, parts that are points.
const (
	bent       = 4
	halvings   = 5
	pointlike  = 30
	negligible = 1e-17
	smallest   = 1.0 / (1 << 12)
)

// scale returns that of a formula, nil where it has no such node.
func (t *evaluator) scale(f notation.Node) *scale {
	tp, err := t.sh.CompileAsked([]notation.Node{f}, len(t.q.Parts))
	if err != nil {
		panic("report: " + err.Error()) // compiled once on reading
	}
	jets := t.s.Problem.Jet()
	s := &scale{t: t, r: tp.Reader(jets), in: make([]tape.Enclosure, tp.Inputs())}
	s.jet, s.old = make([]float64, jets), make([]float64, jets)
	moving := s.r.Moving()
	if len(moving) == 0 {
		return nil
	}
	for _, m := range moving {
		s.moving = s.moving || m
	}
	s.out = make([]tape.Enclosure, len(moving))
	for k, n := range t.scalars {
		s.in[jets+1+k] = tape.Enclosure{Lo: n.Value, Hi: n.Value, Mid: n.Value}
	}
	return s
}

// narrow reports whether the formula may do more between a and b than a dozen points show.
func (s *scale) narrow(a, b float64) bool {
	mesh := s.t.s.Mesh
	if s.most == nil {
		s.most = make([]float64, len(s.out))
		for i := range len(mesh) - 1 {
			s.read(mesh[i], mesh[i+1])
			for j, e := range s.out {
				s.most[j] = math.Max(s.most[j], math.Max(math.Abs(e.Lo), math.Abs(e.Hi)))
			}
		}
	}
	s.read(a, b)
	unbounded := b-a > smallest*(mesh[len(mesh)-1]-mesh[0])
	turning := s.turning[:0]
	for i, e := range s.out {
		size := math.Max(math.Abs(e.Lo), math.Abs(e.Hi))
		s.most[i] = math.Max(s.most[i], size)
		if size <= negligible*s.most[i] && !math.IsInf(s.most[i], 0) {
			continue
		}
		turn := e.SlopeHi - e.SlopeLo
		switch bend := (b - a) / 2 * turn; {
		case math.IsInf(e.Lo, 1) || math.IsInf(e.Hi, -1): // beyond all numbers all along
		case math.IsInf(bend, 0) || math.IsNaN(bend):
			if unbounded {
				return true
			}
		case bend > bent*size:
			return true
		case bend > negligible*s.most[i]:
			turning = append(turning, bending{i, turn})
		}
	}
	s.turning = turning
	for _, t := range turning {
		if s.crammed(t.node, t.by, a, b) {
			return true
		}
	}
	return false
}

// crammed reports whether most of all that the slope of a node changes by between a and b it changes by in one small
// part, as at the end of a stretch that holds the tail of a step. A kink is no such part.
func (s *scale) crammed(node int, all, a, b float64) bool {
	for k := range pointlike {
		m := a + (b-a)/2
		s.read(a, m)
		left := s.out[node].SlopeHi - s.out[node].SlopeLo
		s.read(m, b)
		right := s.out[node].SlopeHi - s.out[node].SlopeLo
		if !(math.Max(left, right) > all/2) {
			return k >= halvings
		}
		if left >= right {
			b = m
		} else {
			a = m
		}
	}
	return false
}

// read encloses the nodes between a and b, which lie in one element. The solution is a polynomial there, which samples
// show.
func (s *scale) read(a, b float64) {
	if s.moving {
		s.readJet(a, b)
	}
	s.r.Read(a, b, s.in, s.out)
}

// readJet encloses the jet: each entry by its samples, widened by the largest step between two, its slope by the next
// entry.
func (s *scale) readJet(a, b float64) {
	const n = 8
	p := s.t.s.Problem
	h := (b - a) / n
	for i := range n + 1 {
		x := a + h*float64(i)
		if i == 0 {
			x = math.Nextafter(a, b)
		}
		s.t.s.At(x, s.jet)
		for j, v := range s.jet {
			e := &s.in[j]
			if i == 0 {
				*e = tape.Enclosure{Lo: v, Hi: v}
			} else {
				step := math.Abs(v - s.old[j])
				e.Lo, e.Hi = math.Min(e.Lo, v), math.Max(e.Hi, v)
				e.SlopeHi = math.Max(e.SlopeHi, step) // the largest step, for now
			}
			if i == n/2 {
				e.Mid = v
			}
		}
		copy(s.old, s.jet)
	}
	for u := range p.Unknowns {
		first := p.JetOffset(u)
		top := first + p.Unknowns[u].Order
		for j := first; j <= top; j++ {
			e := &s.in[j]
			step := e.SlopeHi
			e.Lo, e.Hi = e.Lo-step, e.Hi+step
			e.SlopeLo, e.SlopeHi = -2*step/h, 2*step/h
		}
		for j := first; j < top; j++ {
			s.in[j].SlopeLo, s.in[j].SlopeHi = s.in[j+1].Lo, s.in[j+1].Hi
		}
	}
}
