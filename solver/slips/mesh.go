package slips

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/bvp"
	"nodespan/solver/differences"
)

// This file solves by finite differences as they are taught: central ones at the points of a uniform mesh, with several
// formulas for the slopes at the ends.

// stencils are the formulas of one scheme.
type stencils struct {
	// fictitious: half the order's points lie beyond each end, where the equation holds too, and all formulas are
	// central. For y' = 0 that mirrors the values. Else formulas at the ends are one-sided.
	fictitious bool
	// points of a one-sided formula for the k-th derivative are k + extra: its order is extra.
	extra int
	// upwind is 0 for central first derivatives within, -1 for backward and 1 for forward ones.
	upwind int
}

// onMesh is a solution at the points of a uniform mesh; elsewhere it is NaN.
type onMesh struct {
	p     *bvp.Problem
	steps int
	jets  [][]float64
}

// at writes the jet at a point of the mesh.
func (m *onMesh) at(x float64, jet []float64) {
	s := (x - m.p.A) / (m.p.B - m.p.A) * float64(m.steps)
	j := int(math.Round(s))
	if j < 0 || j > m.steps || math.Abs(s-float64(j)) > 1e-5 {
		for k := range jet {
			jet[k] = math.NaN()
		}
		return
	}
	copy(jet, m.jets[j])
}

// pointOf returns the mesh point at x, -1 where there is none.
func pointOf(p *bvp.Problem, steps int, x float64) int {
	s := (x - p.A) / (p.B - p.A) * float64(steps)
	if j := int(math.Round(s)); math.Abs(s-float64(j)) <= 1e-6 {
		return j
	}
	return -1
}

// even reports whether the orders of all unknowns are even.
func even(p *bvp.Problem) bool {
	for _, u := range p.Unknowns {
		if u.Order%2 == 1 {
			return false
		}
	}
	return true
}

// mesher builds the equations of stencils on a mesh.
type mesher struct {
	stencils
	p     *bvp.Problem
	steps int
	h     float64
	from  []int // the first coefficient of each unknown
}

// beyond is how many fictitious points lie beyond each end.
func (m *mesher) beyond(u bvp.Unknown) int {
	if m.fictitious {
		return u.Order / 2
	}
	return 0
}

// entry is the formula for the k-th derivative of unknown i at mesh point j.
func (m *mesher) entry(i, k, j int) entry {
	u := m.p.Unknowns[i]
	beyond := m.beyond(u)
	from, to := j-(k+1)/2, j+(k+1)/2
	if lo, hi := -beyond, m.steps+beyond; from < lo || to > hi {
		width := min(k+m.extra, hi-lo)
		if from < lo {
			from, to = lo, lo+width-1
		} else {
			from, to = hi-width+1, hi
		}
	} else if k == 1 && u.Order == 2 && m.upwind != 0 && j > 0 && j < m.steps {
		from, to = j+min(m.upwind, 0), j+max(m.upwind, 0)
	}
	x := make([]float64, to-from+1)
	for l := range x {
		x[l] = float64(from + l)
	}
	w := differences.Weights(float64(j), x, k)[k*len(x):]
	for l := range w {
		w[l] /= math.Pow(m.h, float64(k))
	}
	return entry{m.from[i] + from + beyond, w}
}

// jet is the formulas of the whole jet at mesh point j.
func (m *mesher) jet(j int) []entry {
	var out []entry
	for i, u := range m.p.Unknowns {
		for k := range u.Order + 1 {
			out = append(out, m.entry(i, k, j))
		}
	}
	return out
}

// nudge moves the formulas of a jet by d, as its own derivatives say: where an equation such as y” + y'/x = f has no
// value at an end, it is taken beside it.
func (m *mesher) nudge(jet []entry, d float64) []entry {
	out := make([]entry, len(jet))
	for i, u := range m.p.Unknowns {
		o := m.p.JetOffset(i)
		for k := range u.Order + 1 {
			sum := map[int]float64{}
			least, most := math.MaxInt, 0
			factor := 1.0
			for l := k; l <= u.Order; l++ {
				e := jet[o+l]
				for n, v := range e.row {
					sum[e.from+n] += factor * v
				}
				least, most = min(least, e.from), max(most, e.from+len(e.row))
				factor *= d / float64(l-k+1)
			}
			row := make([]float64, most-least)
			for at, v := range sum {
				row[at-least] = v
			}
			out[o+k] = entry{least, row}
		}
	}
	return out
}

// nudged is how far beside an end, in steps, an equation is taken that has no value at the end.
const nudged = 1e-7

// mesh solves a problem by differences; nil where that has no solution.
func (f *Search) mesh(p *bvp.Problem, steps int, s stencils) curve {
	m := &mesher{stencils: s, p: p, steps: steps, h: (p.B - p.A) / float64(steps)}
	size := 0
	for _, u := range p.Unknowns {
		if steps < 2 || !s.fictitious && steps < u.Order+s.extra-2 {
			return nil
		}
		m.from = append(m.from, size)
		size += steps + 1 + 2*m.beyond(u)
	}
	par := len(p.Parameters)
	size += par
	jets := make([][]entry, steps+1)
	for j := range jets {
		jets[j] = m.jet(j)
	}
	n, width := len(p.Unknowns), p.Jet()+par
	w := &work{p: p, jacobian: mat.NewDense(size, size, nil), f: make([]float64, size), sparse: true,
		in: make([]float64, width), f1: make([]float64, n), df: make([]float64, n*width)}
	if !m.place(w, jets, f) {
		return nil
	}
	if size != len(w.rows)+len(w.conds) {
		return nil
	}
	c := make([]float64, size)
	jet := make([]float64, p.Jet())
	for i, u := range p.Unknowns {
		beyond := m.beyond(u)
		for j := -beyond; j <= steps+beyond; j++ {
			f.s.At(p.A+m.h*float64(min(max(j, 0), steps)), jet)
			c[m.from[i]+j+beyond] = jet[p.JetOffset(i)]
		}
	}
	copy(c[size-par:], f.parameters())
	if c = w.newton(c, f.u.linear); c == nil {
		return nil
	}
	out := &onMesh{p: p, steps: steps, jets: make([][]float64, steps+1)}
	for j, entries := range jets {
		out.jets[j] = make([]float64, len(entries))
		for k, e := range entries {
			for l, v := range e.row {
				out.jets[j][k] += v * c[e.from+l]
			}
		}
	}
	return out.at
}

// beside returns where the equations of mesh point j are taken, and the formulas there: beside an end where they have
// no value at the end itself.
func (m *mesher) beside(j int, jet []entry, f *Search) (float64, []entry) {
	p := m.p
	x, d := p.A, nudged*m.h
	switch j {
	case 0:
	case m.steps:
		x, d = p.B, -d
	default:
		return p.A + m.h*float64(j), jet
	}
	n, width := len(p.Unknowns), p.Jet()+len(p.Parameters)
	in, value, df := make([]float64, width), make([]float64, n), make([]float64, n*width)
	f.s.At(x, in[:p.Jet()])
	if p.Equations(x, in, value, df); bvp.AllFinite(value) && bvp.AllFinite(df) {
		return x, jet
	}
	return x + d, m.nudge(jet, d)
}

// place puts the equations and the conditions into their rows; false where a condition holds between mesh points.
func (m *mesher) place(w *work, jets [][]entry, f *Search) bool {
	p := m.p
	equation := equationOf(p, f.s.At)
	for c := range p.Conditions {
		i := imposed{condition: &p.Conditions[c]}
		for _, v := range i.condition.At {
			j := pointOf(p, m.steps, v.X)
			if j < 0 || j > m.steps {
				return false
			}
			i.entries = append(i.entries, jets[j][p.JetOffset(v.Unknown)+v.Derivative])
		}
		if need := len(i.entries) + len(p.Parameters); need > len(w.in) {
			w.in = make([]float64, need)
		}
		w.conds = append(w.conds, i)
	}
	for i, u := range p.Unknowns {
		from := u.Order/2 - m.beyond(u)
		for j := from; j <= m.steps-from; j++ {
			x, entries := m.beside(j, jets[j], f)
			w.rows = append(w.rows, placed{equation[i], x, entries})
		}
	}
	return true
}
