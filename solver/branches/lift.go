package branches

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// lift is a problem one of whose constants is sought.
type lift struct {
	base   *bvp.Problem
	index  int // of the constant
	values []float64
	unit   float64 // what changes of the constant are measured by
	kept   []variant
}

// variant is the problem for one value of the constant.
type variant struct {
	at float64
	p  *bvp.Problem
}

// mostKept is how many variants are kept: those of a value and of its differences, for two values.
const mostKept = 10

// of returns the problem for a value of the constant; nil where there is none.
func (l *lift) of(v float64) *bvp.Problem {
	for i, k := range l.kept {
		if k.at == v {
			return l.kept[i].p
		}
	}
	values := slices.Clone(l.values)
	values[l.index] = v
	p := l.base.With(values)
	if len(l.kept) >= mostKept {
		l.kept = l.kept[1:]
	}
	l.kept = append(l.kept, variant{v, p})
	return p
}

// step is the step of the differences that give derivatives by the constant, of fourth order.
func (l *lift) step(v float64) float64 { return 7e-4 * math.Max(math.Abs(v), l.unit) }

// problem returns the problem with the constant sought, near the value v, and one more condition.
func (l *lift) problem(v float64, more bvp.Condition, guess func(x float64, jet []float64),
	parameters []float64) *bvp.Problem {
	p := l.base
	q := *p
	q.Parameters = slices.Clone(p.Parameters)
	for i := range q.Parameters {
		q.Parameters[i].Guess, q.Parameters[i].HasGuess = parameters[i], true
	}
	q.Parameters = append(q.Parameters, bvp.Parameter{Name: p.Constants[l.index].Name, Guess: v, HasGuess: true})
	q.Work = 5 * p.EvaluationWork()
	q.Equations = l.lifted(func(p *bvp.Problem) bvp.Residuals { return p.Equations })
	if p.Continuity != nil {
		q.Continuity = l.lifted(func(p *bvp.Problem) bvp.Residuals { return p.Continuity })
	}
	q.Rounding, q.Constants, q.With, q.Guess = nil, nil, nil, guess
	q.Formulas = p.Formulas.Still()
	q.Conditions = slices.Clone(p.Conditions)
	for i := range q.Conditions {
		q.Conditions[i].Residual = l.condition(i)
		q.Conditions[i].Rounding = nil
	}
	q.Conditions = append(q.Conditions, more)
	return &q
}

// lifted returns residuals that depend on the constant as well, which is the last input.
func (l *lift) lifted(of func(*bvp.Problem) bvp.Residuals) bvp.Residuals {
	var f4 [4][]float64
	var own []float64
	return func(x float64, in, f, df []float64) {
		n, m := len(f), len(in)-1
		v := in[m]
		p := l.of(v)
		if p == nil {
			fill(f, math.NaN())
			fill(df, math.NaN())
			return
		}
		if df == nil {
			of(p)(x, in[:m], f, nil)
			return
		}
		if len(own) < n*m {
			own = make([]float64, n*m)
			for i := range f4 {
				f4[i] = make([]float64, n)
			}
		}
		of(p)(x, in[:m], f, own[:n*m])
		h := l.step(v)
		for i, k := range []float64{-2, -1, 1, 2} {
			if p := l.of(v + k*h); p != nil {
				of(p)(x, in[:m], f4[i][:n], nil)
			} else {
				fill(f4[i], math.NaN())
			}
		}
		for r := range n {
			copy(df[r*(m+1):], own[r*m:(r+1)*m])
			df[r*(m+1)+m] = (8*(f4[2][r]-f4[1][r]) - (f4[3][r] - f4[0][r])) / (12 * h)
		}
	}
}

// condition returns the residual of a condition, which depends on the constant as well.
func (l *lift) condition(i int) func(in, dg []float64) float64 {
	return func(in, dg []float64) float64 {
		m := len(in) - 1
		v := in[m]
		p := l.of(v)
		if p == nil {
			fill(dg, math.NaN())
			return math.NaN()
		}
		if dg == nil {
			return p.Conditions[i].Residual(in[:m], nil)
		}
		g := p.Conditions[i].Residual(in[:m], dg[:m])
		h, d := l.step(v), 0.0
		for _, k := range []float64{-2, -1, 1, 2} {
			weight := 8.0
			if math.Abs(k) == 2 {
				weight = -1
			}
			if p := l.of(v + k*h); p != nil {
				d += math.Copysign(weight, weight*k) * p.Conditions[i].Residual(in[:m], nil)
			} else {
				d = math.NaN()
			}
		}
		dg[m] = d / (12 * h)
		return g
	}
}

func fill(values []float64, v float64) {
	for i := range values {
		values[i] = v
	}
}

// moves reports whether the constant moves an end, a break or the point of a condition.
func (l *lift) moves() bool {
	v := l.values[l.index]
	q := l.of(v + 0.37*l.unit)
	if q == nil {
		q = l.of(v - 0.37*l.unit)
	}
	p := l.base
	if q == nil || q.A != p.A || q.B != p.B || !slices.Equal(q.Breaks, p.Breaks) ||
		len(q.Conditions) != len(p.Conditions) {
		return true
	}
	for i := range p.Conditions {
		if !slices.Equal(p.Conditions[i].At, q.Conditions[i].At) {
			return true
		}
	}
	return false
}
