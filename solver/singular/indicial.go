package singular

import (
	"math"
	"math/cmplx"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// exponents finds the exponents at the end of one equation: of a nonlinear one those of its linearisation, where they
// are the same for different jets.
func (e *End) exponents(p *bvp.Problem) {
	if len(p.Unknowns) != 1 {
		return
	}
	var found []End
	for _, jet := range probes(p) {
		f := End{X: e.X, Side: e.Side}
		f.linearised(p, jet)
		found = append(found, f)
	}
	for _, f := range found[1:] {
		for i, r := range f.Exponents {
			if found[0].Exponents == nil || cmplx.Abs(r-found[0].Exponents[i]) > equal {
				return
			}
		}
		if f.Exponents == nil {
			return
		}
	}
	e.Exponents, e.powers = found[0].Exponents, found[0].powers
	if linear(p) {
		e.source = found[0].source
	}
}

// linearised finds the exponents of the equation linearised at a jet.
func (e *End) linearised(p *bvp.Problem, jet []float64) {
	m, J := p.Unknowns[0].Order, p.Jet()+len(p.Parameters)
	in, f, df := make([]float64, J), make([]float64, 1), make([]float64, J)
	copy(in, jet)
	coefficient := func(d int) func(t float64) float64 {
		return func(t float64) float64 {
			p.Equations(e.point(t), in, f, df)
			return df[d]
		}
	}
	t := (p.B - p.A) * reach
	c, weight := make([]float64, m+1), make([]float64, m+1)
	least := math.Inf(1)
	for d := range m + 1 {
		var mu float64
		var ok bool
		weight[d] = math.Inf(1)
		g := coefficient(d)
		if c[d], mu, ok = power(g, t); ok {
			weight[d] = mu - float64(d)
			least = math.Min(least, weight[d])
		} else if g(t) != 0 || g(t/2) != 0 {
			return
		}
	}
	const same = 1e-3
	if weight[m] > least+same {
		return // an irregular singular point
	}
	// The indicial polynomial in powers of r, from falling factorials.
	poly, falling := make([]float64, m+1), []float64{1}
	sign := 1.0
	for d := range m + 1 {
		if weight[d] <= least+same {
			for i, v := range falling {
				poly[i] += c[d] * sign * v
			}
		} else if !math.IsInf(weight[d], 1) {
			e.powers = append(e.powers, weight[d]-least)
		}
		next := make([]float64, len(falling)+1)
		for i, v := range falling {
			next[i+1] += v
			next[i] -= float64(d) * v
		}
		falling, sign = next, sign*e.Side
	}
	// What is free of the unknown, less the highest derivative.
	source := func(t float64) float64 {
		p.Equations(e.point(t), in, f, df)
		rest := f[0]
		for d := range m + 1 {
			rest -= df[d] * in[d]
		}
		return rest
	}
	if _, mu, ok := power(source, t); ok && math.Abs(source(t)) > 1e-6*math.Abs(f[0]) {
		e.powers = append(e.powers, mu-least)
		e.source = mu - least
	}
	e.Exponents = roots(poly)
}

// roots of a polynomial with real coefficients, by its companion matrix, ascending by their real parts. nil when they
// cannot be had.
func roots(poly []float64) []complex128 {
	m := len(poly) - 1
	companion := mat.NewDense(m, m, nil)
	for i := range m {
		companion.Set(i, m-1, -poly[i]/poly[m])
		if i > 0 {
			companion.Set(i, i-1, 1)
		}
	}
	for _, v := range companion.RawMatrix().Data {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
	}
	out, ok := blocks.Eigenvalues(companion)
	if !ok {
		return nil
	}
	for i, r := range out {
		if v := snap(real(r)); math.Abs(imag(r)) < equal && math.Abs(real(r)-v) < equal {
			out[i] = complex(v, 0)
		}
	}
	sort.Slice(out, func(i, j int) bool { return real(out[i]) < real(out[j]) })
	return out
}

// equal is how near two exponents count as one: a double root of a polynomial known to 1e-8 is known to 1e-4.
const equal = 1e-3

// linear reports whether the equations are linear in the unknowns at a given value of the parameters.
func linear(p *bvp.Problem) bool { return p.LinearEquations(probes(p)[0][p.Jet():]) }

// excluded counts the solutions that are not bounded at the end: negative exponents, and all but one of several that
// are zero, which hold logarithms. constant reports whether one with exponent zero is left. ok is false when it cannot
// be told.
func (e End) excluded() (n int, constant, ok bool) {
	if e.Exponents == nil {
		return 0, false, false
	}
	for _, r := range e.Exponents {
		switch {
		case cmplx.Abs(r) < equal:
			if constant {
				n++
			}
			constant = true
		case math.Abs(real(r)) < equal:
			return 0, false, false // waves in log t, without a limit
		case real(r) < 0:
			n++
		}
	}
	return n, constant, true
}

// fractional reports whether a bounded solution has an exponent, or the right side or a coefficient a power, that is no
// whole number, or whether it may hold a logarithm: what the power makes of one exponent meets another.
func (e End) fractional() bool {
	whole := func(v float64) bool { return math.Abs(v-math.Round(v)) < equal }
	for i, r := range e.Exponents {
		if real(r) > equal && !(whole(real(r)) && math.Abs(imag(r)) < equal) {
			return true
		}
		if e.source > 0 && cmplx.Abs(r-complex(e.source, 0)) < equal {
			return true
		}
		for _, next := range e.Exponents[i+1:] {
			gap := real(next - r)
			if real(r) < -equal || gap < equal || imag(next) != 0 {
				continue
			}
			if slices.ContainsFunc(e.powers, func(v float64) bool { return v != e.source && v > 0 && whole(gap/v) }) {
				return true
			}
		}
	}
	return slices.ContainsFunc(e.powers, func(v float64) bool { return !whole(v) })
}

// bounded returns the largest derivative d, below the order, that is known to be bounded at the end and may be any
// number there: the exponents 0 … d − 1 are among the solution's, and all its other powers are above d.
func (e End) bounded(order int) int {
	for d := order - 1; d > 0; d-- {
		low := 0
		fine := e.Exponents != nil
		for _, r := range e.Exponents {
			if low < d && cmplx.Abs(r-complex(float64(low), 0)) < equal {
				low++
			} else {
				fine = fine && real(r) > float64(d)-equal
			}
		}
		for _, v := range e.powers {
			fine = fine && v > float64(d)+equal
		}
		if fine && low == d {
			return d
		}
	}
	return 0
}

// Underdetermined looks at one linear equation with singular ends at which at most values are given, and reports
// whether the conditions leave a solution free: being bounded, and the values, must together be as many conditions as
// the order. at is the end where a given value says nothing, or where none is shut out.
func Underdetermined(p *bvp.Problem, ends []End) (at float64, under bool) {
	if len(ends) == 0 || len(p.Parameters) > 0 || len(p.Unknowns) != 1 || !linear(p) {
		return 0, false
	}
	count := 0
	here := make([]int, len(ends)) // conditions that hold values at a singular end only
	for _, c := range p.Conditions {
		in, dg := make([]float64, len(c.At)), make([]float64, len(c.At))
		c.Residual(in, dg)
		place := -1
		for j, v := range c.At {
			if dg[j] == 0 {
				continue
			}
			k := slices.IndexFunc(ends, func(e End) bool { return e.X == v.X })
			if k >= 0 && v.Derivative > 0 {
				return 0, false
			}
			if j > 0 && k != place {
				k = -1
			}
			place = k
		}
		if place < 0 {
			count++
		} else {
			here[place]++
		}
	}
	for k, e := range ends {
		n, constant, ok := e.excluded()
		if !ok {
			return 0, false
		}
		count += n
		if constant && here[k] > 0 {
			count++
		} else if n < len(e.Exponents) {
			at = e.X
		}
	}
	return at, count < p.Unknowns[0].Order
}
