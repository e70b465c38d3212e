package eigen

import (
	"fmt"
	"math"

	"nodespan/solver/bvp"
)

// dependence says how the coefficients of a linear homogeneous problem depend on the sought parameter.
type dependence struct {
	// power is q when every coefficient is c₀ + c₁ λ^q; 0 when it is not of that form.
	power int
	// degree is that of the coefficients as polynomials; 0 when they are none (up to largestDegree).
	degree int
	// absent reports that the parameter does not occur.
	absent bool
}

const (
	largestDegree = 4
	linearTol     = 1e-9 // relative to the sizes of the terms
)

// recognise reports how a problem with one condition too few depends on its parameter, or why it is not an eigenvalue
// problem: its equations and conditions must be linear and homogeneous in the unknowns, which is tried at several jets.
func recognise(p *bvp.Problem) (dependence, error) {
	if len(p.Parameters) != 1 || len(p.Conditions) != p.State() {
		return dependence{}, fmt.Errorf("%d conditions for a total order of %d and %d sought numbers",
			len(p.Conditions), p.State(), len(p.Parameters))
	}
	name := p.Parameters[0].Name
	seen := false
	for _, lambda := range probes(p) {
		what := ""
		for _, x := range samplePoints(p) {
			var evaluated bool
			if evaluated, what = inhomogeneous(p, lambda, x); what != "" {
				break
			}
			seen = seen || evaluated
		}
		for i := 0; i < len(p.Conditions) && what == ""; i++ {
			what = inhomogeneousCondition(p, i, lambda)
		}
		if what != "" {
			return dependence{}, fmt.Errorf("one condition is missing: a total order of %d and the sought number %s "+
				"need %d conditions (only a linear problem whose equations and conditions are all homogeneous has "+
				"eigenvalues, and %s)", p.State(), name, p.State()+1, what)
		}
	}
	if !seen {
		return dependence{}, fmt.Errorf("the equation cannot be evaluated at any value of %s that was tried", name)
	}
	return dependsOn(p), nil
}

// inhomogeneous says what keeps the equations at x from being linear and homogeneous, or "". evaluated tells whether
// they have values there: outside the domain of a coefficient other probes decide.
func inhomogeneous(p *bvp.Problem, lambda, x float64) (evaluated bool, what string) {
	jet, n := p.Jet(), len(p.Unknowns)
	width := jet + 1
	in, f, df, first := make([]float64, width), make([]float64, n), make([]float64, n*width), make([]float64, n*width)
	in[jet] = lambda
	p.Equations(x, in, f, first)
	if !bvp.AllFinite(first) || !bvp.AllFinite(f) {
		return false, ""
	}
	for trial, scale := range []float64{1, 0.01, 30} {
		for j := range jet {
			in[j] = scale * pseudo(trial*jet+j)
		}
		p.Equations(x, in, f, df)
		for r := range n {
			row := first[r*width : r*width+jet]
			sum, size := 0.0, 0.0
			for j, c := range row {
				sum += c * in[j]
				size += math.Abs(c * in[j])
				if d := math.Abs(df[r*width+j] - c); !(d <= linearTol*(math.Abs(c)+1e-3*bvp.Largest(row))) {
					return true, "the equation is not linear in the unknowns"
				}
			}
			if !(math.Abs(f[r]-sum) <= linearTol*size) {
				return true, "the equation has a term that is free of the unknowns"
			}
		}
	}
	return true, ""
}

// inhomogeneousCondition says that condition i is not linear and homogeneous, or "".
func inhomogeneousCondition(p *bvp.Problem, i int, lambda float64) string {
	c := p.Conditions[i]
	k := len(c.At)
	v, dg, base := make([]float64, k+1), make([]float64, k+1), make([]float64, k+1)
	v[k] = lambda
	g0 := c.Residual(v, base)
	if !bvp.AllFinite(base) || math.IsNaN(g0) || math.IsInf(g0, 0) {
		return ""
	}
	for j := range k {
		v[j] = pseudo(17 + j)
	}
	g := c.Residual(v, dg)
	sum, size := 0.0, 0.0
	linear := true
	for j := range k {
		sum += base[j] * v[j]
		size += math.Abs(base[j] * v[j])
		linear = linear && math.Abs(dg[j]-base[j]) <= linearTol*bvp.Largest(base[:k])
	}
	switch {
	case linear && math.Abs(g-sum) <= linearTol*size:
		return ""
	case c.Text != "":
		return fmt.Sprintf("the condition %s is not", c.Text)
	}
	return fmt.Sprintf("condition %d is not", i+1)
}

// probes are values of the parameter at which linearity is tested.
func probes(p *bvp.Problem) []float64 {
	list := []float64{1.3, 2.7, -0.9}
	if p.Parameters[0].HasGuess {
		list = append(list, p.Parameters[0].Guess)
	}
	return list
}

// samplePoints are points inside the interval, out of step with anything that a formula may single out. On an unbounded
// interval they stay near its finite end or the origin.
func samplePoints(p *bvp.Problem) []float64 {
	a, b := p.A, p.B
	switch {
	case math.IsInf(a, 0) && math.IsInf(b, 0):
		a, b = -3, 3
	case math.IsInf(a, 0):
		a = b - 3
	case math.IsInf(b, 0):
		b = a + 3
	}
	var out []float64
	for _, s := range []float64{0.0317, 0.1741, 0.3389, 0.5127, 0.6733, 0.8291, 0.9713} {
		out = append(out, a+(b-a)*s)
	}
	return out
}

// signature returns the derivatives by λ of every coefficient at the sample points and of every condition's
// coefficients. The derivatives are exact, so that no constant part drowns them.
func signature(p *bvp.Problem, lambda float64) (slope, value []float64) {
	jet, n := p.Jet(), len(p.Unknowns)
	in, f, df := make([]float64, jet+1), make([]float64, n), make([]float64, n*(jet+1))
	in[jet] = lambda
	for _, x := range samplePoints(p) {
		for j := range jet {
			clear(in[:jet])
			in[j] = 1
			p.Equations(x, in, f, df)
			for r := range n {
				slope = append(slope, df[r*(jet+1)+jet])
				value = append(value, f[r])
			}
		}
	}
	for _, c := range p.Conditions {
		k := len(c.At)
		for j := range k {
			v, dg := make([]float64, k+1), make([]float64, k+1)
			v[j], v[k] = 1, lambda
			value = append(value, c.Residual(v, dg))
			slope = append(slope, dg[k])
		}
	}
	return slope, value
}

func dependsOn(p *bvp.Problem) dependence {
	at := []float64{-2, -1, 0, 0.5, 1, 2, 3}
	table := make([][]float64, len(at))
	for i, l := range at {
		table[i], _ = signature(p, l)
		if !bvp.AllFinite(table[i]) {
			return dependence{}
		}
	}
	size := 0.0
	for _, row := range table {
		size = math.Max(size, bvp.Largest(row))
	}
	if size == 0 {
		return dependence{absent: true}
	}
	one := 4 // index of λ = 1
	for q := 1; q <= largestDegree; q++ {
		ok := true
		for i, l := range at {
			for j, v := range table[i] {
				if math.Abs(v-math.Pow(l, float64(q-1))*table[one][j]) > linearTol*size {
					ok = false
				}
			}
		}
		if ok {
			return dependence{power: q, degree: q}
		}
	}
	// Divided differences of the slopes: those of order d vanish for coefficients of degree d.
	for order := 1; order < len(at); order++ {
		largest := 0.0
		for i := len(at) - 1; i >= order; i-- {
			for j := range table[i] {
				table[i][j] = (table[i][j] - table[i-1][j]) / (at[i] - at[i-order])
				largest = math.Max(largest, math.Abs(table[i][j]))
			}
		}
		if largest <= linearTol*size {
			if order > largestDegree {
				return dependence{}
			}
			return dependence{degree: order}
		}
	}
	return dependence{}
}

// linearIn returns the problem with w = λ^q in the place of the parameter, for coefficients of the form c₀ + c₁ λ^q:
// linear in w.
func linearIn(p *bvp.Problem, q int) *bvp.Problem {
	if q == 1 {
		return p
	}
	out := *p
	out.With, out.Rounding = nil, nil
	out.Formulas = p.Formulas.Still()
	par := p.Parameters[0]
	par.Guess = math.Pow(par.Guess, float64(q))
	out.Parameters = []bvp.Parameter{par}
	out.Equations = linearResiduals(p.Equations, p.Jet(), len(p.Unknowns))
	if p.Continuity != nil {
		out.Continuity = linearResiduals(p.Continuity, p.Jet(), p.State())
	}
	out.Conditions = nil
	for _, c := range p.Conditions {
		out.Conditions = append(out.Conditions, linearCondition(c))
	}
	return &out
}

// linearResiduals draws the line through residuals at λ^q = 0 and 1.
func linearResiduals(r bvp.Residuals, jet, count int) bvp.Residuals {
	return func(x float64, in, f, df []float64) {
		w := in[jet]
		v := append([]float64(nil), in...)
		f1 := make([]float64, count)
		var df1 []float64
		if df != nil {
			df1 = make([]float64, len(df))
		}
		v[jet] = 0
		r(x, v, f, df)
		v[jet] = 1
		r(x, v, f1, df1)
		for i := range count {
			d := f1[i] - f[i]
			if df != nil {
				row, row1 := df[i*(jet+1):(i+1)*(jet+1)], df1[i*(jet+1):]
				for j := range jet {
					row[j] += w * (row1[j] - row[j])
				}
				row[jet] = d
			}
			f[i] += w * d
		}
	}
}

// linearCondition does so for a condition.
func linearCondition(c bvp.Condition) bvp.Condition {
	k := len(c.At)
	old := c.Residual
	c.Rounding = nil
	c.Residual = func(in, dg []float64) float64 {
		w := in[k]
		v := append([]float64(nil), in...)
		var dg1 []float64
		if dg != nil {
			dg1 = make([]float64, k+1)
		}
		v[k] = 0
		g := old(v, dg)
		v[k] = 1
		d := old(v, dg1) - g
		if dg != nil {
			for j := range k {
				dg[j] += w * (dg1[j] - dg[j])
			}
			dg[k] = d
		}
		return g + w*d
	}
	return c
}

// pseudo is a fixed sequence of numbers between −1 and 1 without pattern (fractional parts of multiples of the golden
// section).
func pseudo(i int) float64 {
	const golden = 0.6180339887498949
	v := math.Mod(float64(i+1)*golden, 1)
	if i%3 == 1 {
		return -v - 0.1
	}
	return v + 0.1
}
