package working

import (
	"math"
	"math/big"
)

// Route is a way to the solution with what it cost in digits.
type Route struct {
	// Name is "classroom" or "stable".
	Name string
	// Powers is the condition number (in the 2-norm) of V; 0 for the stable route. With unknowns of different points it
	// is the largest.
	Powers float64
	// Operator is the condition number (2-norm) of the operator, its rows and then its columns divided by their largest
	// entry.
	Operator float64
	// Lost is the number of decimal digits that the condition numbers say will be lost; see expected.
	Lost float64
	// Error is the measured largest error of any value at the points, relative to its unknown's largest value;
	// Kept the digits that are left: -log10(Error), at most Full.
	Error, Kept float64
}

// Full is the number of decimal digits of a double: -log10(2^-53).
const Full = 15.954589770191003

// expected returns the digits that a condition number κ of an N×N matrix lets expect to be lost: log10(κ/N), at least
// 0.
//
// A condition number bounds the loss when every rounding error is as bad as can be. Those of an N×N system have either
// sign and mostly cancel; the loss measured here over families of nodes, problems and N from 3 to 26 is smaller than
// the bound by about N. (The bound: N. J. Higham, Accuracy and Stability of Numerical Algorithms, 2nd edition, 2002,
// chapter 7. The factor 1/N: measured, see digits_test.go.)
func expected(condition float64, n int) float64 {
	return math.Max(0, math.Log10(condition/float64(n)))
}

func (w *Working) stepDigits() error {
	exact, err := w.exact()
	if err != nil {
		return err
	}
	measure := func(value func(i, k int) float64) float64 {
		worst := 0.0
		for i := range w.Unknowns {
			size, diff := 0.0, 0.0
			for k, e := range exact[i] {
				v, _ := e.Float64()
				size = math.Max(size, math.Abs(v))
				d, _ := new(big.Float).SetPrec(precision).Sub(e, new(big.Float).SetFloat64(value(i, k))).Float64()
				diff = math.Max(diff, math.Abs(d))
			}
			if diff > 0 {
				worst = math.Max(worst, diff/size)
			}
		}
		return worst
	}
	classroom, stable := &w.Routes[0], &w.Routes[1]
	classroom.Name, stable.Name = "classroom", "stable"
	us, _ := w.own()
	for _, u := range us {
		c := condition(w.byName["V"+u.Suffix].Values)
		classroom.Powers = math.Max(classroom.Powers, c)
		classroom.Lost = math.Max(classroom.Lost, expected(c, len(u.S)))
	}
	classroom.Operator = condition(equilibrated(w.byName["A"].Values))
	classroom.Lost = math.Max(classroom.Lost, expected(classroom.Operator, w.size))
	classroom.Error = measure(func(i, k int) float64 { return w.byName[w.Unknowns[i].ID].Values[k][0] })
	v := column(w.byName["B_sol"])
	stable.Operator = condition(equilibrated(w.byName["B"].Values))
	stable.Lost = expected(stable.Operator, w.stable.size)
	stable.Error = measure(func(i, k int) float64 {
		return dot(w.stable.row(w, i, 0, w.Unknowns[i].S[k]), v[w.stable.offset[i]:])
	})
	for i := range w.Routes {
		r := &w.Routes[i]
		r.Kept = Full
		if r.Error > 0 {
			r.Kept = math.Max(0, math.Min(Full, -math.Log10(r.Error)))
		}
	}
	w.add(StepDigits)
	return nil
}

// precision is that of the arithmetic that the routes are measured by, in bits: V of degree 48 on an interval far from
// 0 has a condition number below 2^200.
const precision = 400

// exact solves the same equations, with the same nodes, factors and right sides as they are in double precision, for
// the polynomial's coefficients in long arithmetic. It returns the values of each unknown at its points.
func (w *Working) exact() ([][]*big.Float, error) {
	p, l := w.Problem, w.lin
	a := make([][]*big.Float, 0, w.size)
	number := func(v float64) *big.Float { return new(big.Float).SetPrec(precision).SetFloat64(v) }
	scale := number(w.Scale)
	// add adds factor × (d-th derivative at s) of unknown j to a row.
	add := func(row []*big.Float, j, d int, s, factor float64) {
		if factor == 0 {
			return
		}
		u := &w.Unknowns[j]
		power := number(factor)
		for range d {
			power.Quo(power, scale)
		}
		at := number(s)
		for k := d; k < len(u.S); k++ {
			t := new(big.Float).SetPrec(precision).Mul(power, number(falling(k, d)))
			row[u.Offset+k].Add(row[u.Offset+k], t)
			power.Mul(power, at)
		}
	}
	empty := func() []*big.Float {
		row := make([]*big.Float, w.size+1)
		for k := range row {
			row[k] = number(0)
		}
		return row
	}
	last := w.size - len(p.Parameters)
	for i := range w.Unknowns {
		for h, s := range w.at {
			if !w.isNode(h) {
				continue
			}
			row := empty()
			for j, u := range w.Unknowns {
				for d := 0; d <= u.Order; d++ {
					add(row, j, d, s, l.a[i][j][d][h])
				}
			}
			for q := range p.Parameters {
				row[last+q].SetFloat64(l.p[i][q][h])
			}
			row[w.size].SetFloat64(l.rhs[i][h])
			a = append(a, row)
		}
	}
	for r, c := range p.Conditions {
		row := empty()
		for e, at := range c.At {
			add(row, at.Unknown, at.Derivative, w.reference(at.X), l.weights[r][e])
		}
		for q := range p.Parameters {
			row[last+q].SetFloat64(l.weights[r][len(c.At)+q])
		}
		row[w.size].SetFloat64(l.value[r])
		a = append(a, row)
	}
	if !eliminate(a) {
		return nil, errSingular
	}
	var out [][]*big.Float
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		var values []*big.Float
		for _, s := range u.S {
			v, at := number(0), number(s)
			for k := len(u.S) - 1; k >= 0; k-- {
				v.Mul(v, at)
				v.Add(v, a[u.Offset+k][w.size])
			}
			values = append(values, v)
		}
		out = append(out, values)
	}
	return out, nil
}

// eliminate solves the system whose right side is the last column, which holds the solution afterwards (Gauss, row
// pivoting).
func eliminate(a [][]*big.Float) bool {
	n := len(a)
	var t big.Float
	t.SetPrec(precision)
	for k := range n {
		best := k
		for r := k + 1; r < n; r++ {
			if new(big.Float).Abs(a[r][k]).Cmp(new(big.Float).Abs(a[best][k])) > 0 {
				best = r
			}
		}
		a[k], a[best] = a[best], a[k]
		if a[k][k].Sign() == 0 {
			return false
		}
		for r := k + 1; r < n; r++ {
			if a[r][k].Sign() == 0 {
				continue
			}
			f := new(big.Float).SetPrec(precision).Quo(a[r][k], a[k][k])
			for c := k; c <= n; c++ {
				t.Mul(f, a[k][c])
				a[r][c].Sub(a[r][c], &t)
			}
		}
	}
	for k := n - 1; k >= 0; k-- {
		for c := k + 1; c < n; c++ {
			t.Mul(a[k][c], a[c][n])
			a[k][n].Sub(a[k][n], &t)
		}
		a[k][n].Quo(a[k][n], a[k][k])
	}
	return true
}
