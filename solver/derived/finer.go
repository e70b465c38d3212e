package derived

import (
	"math"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// finer compares a solution with the finer one that it was judged by. The error of a collocation solution changes its
// sign between the nodes, so that most of it cancels in an integral. How much, the integral of the finer solution
// tells: what that differs by, enlarged as differences at points are, is the error of the integral, together with the
// whole of what the estimate at a point holds besides, as the part of rounding.
//
// That difference may vanish by accident where the error of the finer solution does not. So a share of its size in
// general is added, the share being the part of the error that the finer solution still has: the largest of its
// integrals times the Legendre polynomials of degrees 0, 1 and 2, all of which cancel nearly as well (C. de Boor, B.
// Swartz, SIAM J. Numer. Anal. 10, 1973, 582: what is left of the equation is orthogonal to all polynomials of low
// degrees).
type finer struct {
	judges int
	left   float64 // the part of the error that the finer solution has; NaN: not known
	jet    []float64
	rest   []float64
}

// enlarged is the least safety that package adapt puts on a difference, and uncancelled the least share of the
// difference in general that counts in any case (common practice, no source).
const (
	enlarged    = 2.5
	uncancelled = 0.03
)

func newFiner(p *along) *finer {
	n := p.s.Problem.Jet()
	d := &finer{left: p.s.Left(), jet: make([]float64, n), rest: make([]float64, n)}
	for d.judges < solver.Judges && p.s.Finer(d.judges, p.s.Mesh[0], d.jet, d.rest) {
		d.judges++
	}
	return d
}

// at returns by how much f differs with each finer solution at x, where it is v with the error e from the solution, and
// the rest of that error.
func (d *finer) at(p *along, f *Function, x, v, e float64) (differs [solver.Judges]float64, rest float64) {
	if d.judges == 0 {
		return differs, e
	}
	for k := range d.judges {
		p.s.Finer(k, x, d.jet, d.rest)
		if differs[k] = f.F(x, d.jet, p.beside) - v; math.IsNaN(differs[k]) {
			return [solver.Judges]float64{}, e
		}
	}
	if math.IsNaN(d.left) {
		rest = uncancelled * e
	}
	for j, derivative := range p.d {
		if derivative != 0 {
			rest += math.Abs(derivative) * d.rest[j]
		}
	}
	if math.IsNaN(rest) {
		return [solver.Judges]float64{}, e
	}
	return differs, rest
}

// sure returns the error of f at x, where it is v, for an integral in absolute value: what is known at x itself, where
// that is less than what the estimate e has for all of an element.
func (d *finer) sure(p *along, f *Function, x, v, e float64) float64 {
	differs, rest := d.at(p, f, x, v, e)
	return math.Min(e, d.safety()*bvp.Largest(differs[:])+rest)
}

// safety enlarges a difference as package adapt does.
func (d *finer) safety() float64 { return enlarged / (1 - d.remaining()) }

// remaining is the part of the error that the finer solution has; 0 where it is not known.
func (d *finer) remaining() float64 {
	if math.IsNaN(d.left) {
		return 0
	}
	return math.Min(d.left, 0.9) // as package adapt has it
}

// moments are the integrals of what a function differs by, for each judge, times the Legendre polynomials of degrees 0,
// 1 and 2.
type moments [solver.Judges][3]float64

// add adds values with a weight at t in [-1, 1].
func (m *moments) add(values [solver.Judges]float64, weight, t float64) {
	for k, v := range values {
		m[k][0] += weight * v
		m[k][1] += weight * v * t
		m[k][2] += weight * v * (3*t*t - 1) / 2
	}
}

func (m *moments) include(other *moments) {
	for k := range m {
		for i, v := range other[k] {
			m[k][i] += v
		}
	}
}

// error is what is claimed of an integral for what it differs by.
func (d *finer) error(m *moments) (most float64) {
	for _, m := range m {
		general := math.Max(math.Abs(m[0]), math.Max(math.Abs(m[1]), math.Abs(m[2])))
		most = math.Max(most, d.safety()*math.Abs(m[0])+math.Max(uncancelled, d.remaining())*general)
	}
	return most
}
