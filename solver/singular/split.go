package singular

import (
	"slices"

	"nodespan/solver/bvp"
)

// split is a problem in which derivatives that a condition asks for at a singular end are unknowns of their own, so
// that they are values there: an unknown y with the split d becomes y, y', …, y^(d−1), each of order one, and y^(d),
// which keeps the rest of the order.
type split struct {
	p *bvp.Problem
	d []int // of each unknown
	// place[i] is where entry i of the problem's jet stands in the jet of the split problem.
	place   []int
	Problem *bvp.Problem
}

// newSplit splits the unknowns whose derivatives are asked for at one of the ends, or are known to be bounded at all of
// them; nil when there are none, or when that is the whole order.
func newSplit(p *bvp.Problem, ends []End) *split {
	s := &split{p: p, d: make([]int, len(p.Unknowns))}
	some := false
	atEnd := func(x float64) bool { return slices.ContainsFunc(ends, func(e End) bool { return e.X == x }) }
	if len(p.Unknowns) == 1 {
		s.d[0] = p.Unknowns[0].Order
		for _, e := range ends {
			s.d[0] = min(s.d[0], e.bounded(p.Unknowns[0].Order))
		}
		some = s.d[0] > 0
	}
	for _, c := range p.Conditions {
		for j, v := range c.At {
			if v.Derivative > 0 && atEnd(v.X) && !absent(c, j, len(p.Parameters)) {
				s.d[v.Unknown] = max(s.d[v.Unknown], v.Derivative)
				some = true
				if v.Derivative == p.Unknowns[v.Unknown].Order {
					return nil
				}
			}
		}
	}
	if !some {
		return nil
	}
	out := &bvp.Problem{Variable: p.Variable, A: p.A, B: p.B, Parameters: p.Parameters, Breaks: p.Breaks}
	first := make([]int, len(p.Unknowns)) // unknown → its first one in the split problem
	at := 0
	for i, u := range p.Unknowns {
		first[i] = len(out.Unknowns)
		for d := range u.Order + 1 {
			switch {
			case d < s.d[i]:
				out.Unknowns = append(out.Unknowns, bvp.Unknown{Name: u.Name, Order: 1})
				s.place = append(s.place, at)
				at += 2
			case d == s.d[i]:
				out.Unknowns = append(out.Unknowns, bvp.Unknown{Name: u.Name, Order: u.Order - d})
				fallthrough
			default:
				s.place = append(s.place, at)
				at++
			}
		}
	}
	out.Equations = s.equations(at)
	out.Rounding = s.rounding(at)
	out.Work = p.EvaluationWork()
	if p.Continuity != nil {
		out.Continuity = s.wrap(p.Continuity, p.State(), at)
	}
	for _, c := range p.Conditions {
		c.At = slices.Clone(c.At)
		for j, v := range c.At {
			d := min(v.Derivative, s.d[v.Unknown])
			c.At[j].Unknown, c.At[j].Derivative = first[v.Unknown]+d, v.Derivative-d
		}
		out.Conditions = append(out.Conditions, c)
	}
	if p.Guess != nil {
		jet := make([]float64, p.Jet())
		out.Guess = func(x float64, to []float64) {
			p.Guess(x, jet)
			clear(to)
			for i, k := range s.place {
				to[k] = jet[i]
			}
			for _, link := range s.links() {
				to[link[0]] = to[link[1]]
			}
		}
	}
	s.Problem = out
	return s
}

// links lists pairs of entries that are equal: the derivative of one unknown, and the unknown that stands for it.
func (s *split) links() (out [][2]int) {
	i := 0
	for k, u := range s.p.Unknowns {
		for d := range s.d[k] {
			out = append(out, [2]int{s.place[i+d] + 1, s.place[i+d+1]})
		}
		i += u.Order + 1
	}
	return out
}

// wrap returns residuals in the problem's jet as residuals in that of the split problem, of the given length.
func (s *split) wrap(r bvp.Residuals, count, length int) bvp.Residuals {
	J, extra := s.p.Jet(), len(s.p.Parameters)
	jet, d := make([]float64, J+extra), make([]float64, count*(J+extra))
	return func(x float64, in, f, df []float64) {
		for i, k := range s.place {
			jet[i] = in[k]
		}
		copy(jet[J:], in[length:])
		if df == nil {
			r(x, jet, f, nil)
			return
		}
		r(x, jet, f, d)
		for i := range count {
			to, from := df[i*(length+extra):(i+1)*(length+extra)], d[i*(J+extra):(i+1)*(J+extra)]
			clear(to)
			for j, k := range s.place {
				to[k] = from[j]
			}
			copy(to[length:], from[J:])
		}
	}
}

// equations are those of the problem, and the links.
func (s *split) equations(length int) bvp.Residuals {
	n, width := len(s.p.Unknowns), length+len(s.p.Parameters)
	own := s.wrap(s.p.Equations, n, length)
	links := s.links()
	return func(x float64, in, f, df []float64) {
		if df == nil {
			own(x, in, f[:n], nil)
		} else {
			own(x, in, f[:n], df[:n*width])
			clear(df[n*width:])
		}
		for i, link := range links {
			f[n+i] = in[link[0]] - in[link[1]]
			if df != nil {
				df[(n+i)*width+link[0]], df[(n+i)*width+link[1]] = 1, -1
			}
		}
	}
}
