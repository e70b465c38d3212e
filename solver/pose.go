package solver

import (
	"math"
	"slices"
)

// Value is the condition that an unknown, counted from 0, has the value v at x.
func Value(unknown int, x, v float64) Condition {
	return Mixed(v, Term{1, PointValue{X: x, Unknown: unknown}})
}

// Slope is the condition that the first derivative of an unknown is v at x.
func Slope(unknown int, x, v float64) Condition {
	return Mixed(v, Term{1, PointValue{X: x, Unknown: unknown, Derivative: 1}})
}

// Term is a coefficient times the value of an unknown or of one of its derivatives at a point.
type Term struct {
	Coefficient float64
	PointValue
}

// Mixed is the condition that a sum of terms is v: a mixed condition such as -k T'(0) + h T(0) = h T_s, a higher
// derivative, or one that ties several points together, such as y(0) - y(1) = 0.
func Mixed(v float64, terms ...Term) Condition {
	at := make([]PointValue, len(terms))
	for i, t := range terms {
		at[i] = t.PointValue
	}
	terms = slices.Clone(terms)
	return Condition{At: at, Residual: func(in, dg []float64) float64 {
		clear(dg)
		sum := -v
		for i, t := range terms {
			sum += t.Coefficient * in[i]
			if dg != nil {
				dg[i] = t.Coefficient
			}
		}
		return sum
	}}
}

// Nonlinear is the condition that g vanishes, a function of the point values at and of the sought numbers, in this
// order. Its derivatives come from complex steps; what ComplexStep says of its function holds for g too.
func Nonlinear(g func(in []complex128) complex128, at ...PointValue) Condition {
	var z []complex128
	return Condition{At: at, Residual: func(in, dg []float64) float64 {
		z = complexTo(z, in)
		if dg == nil {
			return real(g(z))
		}
		for j := range in {
			h := complexStep(in[j])
			z[j] = complex(in[j], h)
			dg[j] = imag(g(z)) / h
			z[j] = complex(in[j], 0)
		}
		return real(g(z))
	}}
}

// ComplexStep makes the equations of a Problem from their residuals alone. Each derivative is Im F(in + ih)/h with a
// tiny h, which no cancellation spoils (J. N. Lyness, C. B. Moler, SIAM J. Numer. Anal. 4 (1967), 202–210): it is right
// to rounding wherever f is made of analytic functions. The absolute value, the conjugate, the real and the imaginary
// part are not; write such equations with Numerical, or with derivatives. Comparisons must be of real parts.
func ComplexStep(f func(x float64, in, f []complex128)) Residuals {
	var z, w []complex128
	return func(x float64, in, out, df []float64) {
		z = complexTo(z, in)
		w = slices.Grow(w[:0], len(out))[:len(out)]
		f(x, z, w)
		for i := range out {
			out[i] = real(w[i])
		}
		if df == nil {
			return
		}
		for j := range in {
			h := complexStep(in[j])
			z[j] = complex(in[j], h)
			f(x, z, w)
			for i := range out {
				df[i*len(in)+j] = imag(w[i]) / h
			}
			z[j] = complex(in[j], 0)
		}
	}
}

// complexStep is far below the rounding of v, and far above where numbers lose digits.
func complexStep(v float64) float64 { return 1e-60 * math.Max(1, math.Abs(v)) }

func complexTo(z []complex128, in []float64) []complex128 {
	z = slices.Grow(z[:0], len(in))[:len(in)]
	for i, v := range in {
		z[i] = complex(v, 0)
	}
	return z
}

// Numerical makes the equations of a Problem from their residuals alone. The derivatives are central differences of
// fourth order, right to about 12 digits where the residuals are smooth over a thousandth of what they depend on.
// Where they are not, or where values are much smaller than 1, ComplexStep or derivatives of one's own serve better.
func Numerical(f func(x float64, in, f []float64)) Residuals {
	var d differentiator
	return func(x float64, in, out, df []float64) {
		f(x, in, out)
		if df != nil {
			d.differentiate(len(out), in, 1, df, func(at, out []float64) { f(x, at, out) })
		}
	}
}

// differentiator has the scratch space of differences.
type differentiator struct{ at, lo, hi, lo2, hi2 []float64 }

// relativeStep balances the error of fourth-order differences, h⁴, with that of rounding, 1e-16/h.
const relativeStep = 7e-4

// differentiate writes the derivatives of n functions by each of their inputs. scale multiplies the usual steps.
func (d *differentiator) differentiate(n int, in []float64, scale float64, df []float64, f func(at, out []float64)) {
	for _, s := range []*[]float64{&d.lo, &d.hi, &d.lo2, &d.hi2} {
		*s = slices.Grow((*s)[:0], n)[:n]
	}
	d.at = append(d.at[:0], in...)
	for j, v := range in {
		h := scale * relativeStep * math.Max(1, math.Abs(v))
		for k, out := range [][]float64{d.lo2, d.lo, d.hi, d.hi2} {
			d.at[j] = v + float64([]int{-2, -1, 1, 2}[k])*h
			f(d.at, out)
		}
		d.at[j] = v
		for i := range n {
			df[i*len(in)+j] = (8*(d.hi[i]-d.lo[i]) - (d.hi2[i] - d.lo2[i])) / (12 * h)
		}
	}
}
