package working

import (
	"errors"
	"fmt"
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// powers returns the d-th derivatives of 1, s, …, s^(N-1) at the N points: row i for s_i.
func powers(s []float64, d int) [][]float64 {
	out := table(len(s), len(s))
	for i, v := range s {
		powersTo(out[i], v, d)
	}
	return out
}

// powersTo writes the d-th derivatives of 1, s, s², … at s: j!/(j-d)! s^(j-d).
//
//go:noinline
func powersTo(row []float64, s float64, d int) {
	p := 1.0
	for j := range row {
		row[j] = 0
		if j >= d {
			row[j] = falling(j, d) * p
			p *= s
		}
	}
}

// falling returns j (j-1) … (j-d+1).
func falling(j, d int) float64 {
	f := 1.0
	for k := range d {
		f *= float64(j - k)
	}
	return f
}

// own returns the unknowns that have matrices of their own, with the highest derivative that they need.
func (w *Working) own() (us []*Unknown, orders []int) {
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		if w.Shared && i > 0 {
			orders[0] = max(orders[0], u.Order)
			continue
		}
		us, orders = append(us, u), append(orders, u.Order)
	}
	return us, orders
}

func (w *Working) stepPowers() error {
	us, orders := w.own()
	for _, u := range us {
		n := len(u.S)
		V := &Matrix{Name: "V" + u.Suffix, Rows: w.pointLabels(u), Columns: w.powerLabels(n), Values: powers(u.S, 0)}
		V.origin = func(i, j int) Origin {
			return Origin{
				Formula: fmt.Sprintf("%s_%d^%d", w.Options.Symbol, i, j),
				Numbers: fmt.Sprintf("%s^%d = %s", factor(u.S[i]), j, num(V.Values[i][j])),
				From:    []Entry{{"s" + u.Suffix, i, 0}},
			}
		}
		w.add(StepPowers, V)
	}
	for _, u := range us {
		inv, ok := blocks.Inverse(dense(w.byName["V"+u.Suffix].Values))
		if !ok {
			return errors.New("the matrix of powers has no inverse in double precision: take fewer nodes")
		}
		W := &Matrix{Name: "V_inv" + u.Suffix, Rows: w.powerLabels(len(u.S)), Columns: w.pointLabels(u),
			Values: undense(inv)}
		W.terms = table(len(u.S), len(u.S))
		for i, r := range W.terms {
			for j := range r {
				r[j] = bvp.Largest(W.Values[i]) // an elimination leaves errors that are even along a row
			}
		}
		W.origin = func(i, j int) Origin {
			var from []Entry
			for r := range u.S {
				for c := range u.S {
					from = append(from, Entry{"V" + u.Suffix, r, c})
				}
			}
			return Origin{
				Formula: fmt.Sprintf("the coefficient of %s in the polynomial that is 1 at %s and 0 at the "+
					"other points", W.Rows[i], W.Columns[j]),
				Numbers: num(W.Values[i][j]),
				From:    from,
			}
		}
		w.add(StepInverse, W)
	}
	for k, u := range us {
		for d := 1; d <= orders[k]; d++ {
			Vd := &Matrix{Name: fmt.Sprintf("V%d%s", d, u.Suffix), Rows: w.pointLabels(u),
				Columns: w.powerLabels(len(u.S)), Values: powers(u.S, d)}
			Vd.origin = func(i, j int) Origin {
				if j < d {
					return Origin{Formula: fmt.Sprintf("derivative %d of %s is 0", d, Vd.Columns[j])}
				}
				return Origin{
					Formula: fmt.Sprintf("derivative %d of %s^%d: %s %s_%d^%d", d, w.Options.Symbol, j,
						num(falling(j, d)), w.Options.Symbol, i, j-d),
					Numbers: fmt.Sprintf("%s·%s^%d = %s", num(falling(j, d)), factor(u.S[i]), j-d,
						num(Vd.Values[i][j])),
					From: []Entry{{"s" + u.Suffix, i, 0}},
				}
			}
			w.add(StepDerivatives, Vd)
		}
	}
	return nil
}

func (w *Working) stepDerivatives() error {
	us, orders := w.own()
	for k, u := range us {
		for d := 1; d <= orders[k]; d++ {
			w.add(StepDerivatives, w.differentiation(u, d))
		}
	}
	return nil
}

// differentiation is the matrix that takes the values of an unknown to those of its d-th derivative.
func (w *Working) differentiation(u *Unknown, d int) *Matrix {
	Vd, inv := w.byName[fmt.Sprintf("V%d%s", d, u.Suffix)], w.byName["V_inv"+u.Suffix]
	p := blocks.Product(dense(Vd.Values), dense(inv.Values))
	c := math.Pow(w.Scale, float64(d))
	for i, v := range p.RawMatrix().Data {
		p.RawMatrix().Data[i] = v / c
	}
	D := &Matrix{Name: fmt.Sprintf("D%d%s", d, u.Suffix), Rows: w.pointLabels(u), Columns: w.valueLabels(u),
		Values: undense(p)}
	n := len(u.S)
	D.terms = table(n, n)
	for i, r := range D.terms {
		for j := range r {
			for k, v := range Vd.Values[i] {
				r[j] += math.Abs(v/c) * inv.terms[k][j]
			}
		}
	}
	D.origin = func(i, j int) Origin {
		a, b := make([]float64, n), make([]float64, n)
		from := make([]Entry, 2*n)
		for k := range n {
			a[k], b[k] = Vd.Values[i][k], inv.Values[k][j]
			from[k], from[n+k] = Entry{Vd.Name, i, k}, Entry{inv.Name, k, j}
		}
		o := Origin{Formula: fmt.Sprintf("row %d of %s times column %d of %s", i+1, Vd.Name, j+1, inv.Name),
			From: from}
		if w.Scale == 1 {
			o.Numbers = sumOf(a, b, D.Values[i][j])
			return o
		}
		o.Formula += ", divided by " + num(w.Scale)
		if d > 1 {
			o.Formula += fmt.Sprintf("^%d", d)
		}
		o.Numbers = fmt.Sprintf("%s; divided by %s: %s", sumOf(a, b, D.Values[i][j]*c), num(c), num(D.Values[i][j]))
		return o
	}
	return D
}

// valueLabels names the values of an unknown at its points: y(0.1).
func (w *Working) valueLabels(u *Unknown) []string {
	out := make([]string, len(u.X))
	name := u.Name
	if w.Shared && len(w.Unknowns) > 1 {
		name = "value" // of any of the unknowns
	}
	for i, x := range u.X {
		out[i] = name + "(" + w.point(x) + ")"
	}
	return out
}

// row writes the weights by which the values of an unknown give its d-th derivative at reference point s, and
// says which matrix and row they are ("" where they are made for this point).
func (w *Working) row(unknown, d int, s float64) (weights []float64, matrix string, place int) {
	u := &w.Unknowns[unknown]
	n := len(u.S)
	weights = make([]float64, n)
	if k := w.pointOf(unknown, s); k >= 0 {
		if d == 0 {
			weights[k] = 1
			return weights, "", k
		}
		name := fmt.Sprintf("D%d%s", d, u.Suffix)
		copy(weights, w.byName[name].Values[k])
		return weights, name, k
	}
	p := make([]float64, n)
	powersTo(p, s, d)
	inv := w.byName["V_inv"+u.Suffix].Values
	c := math.Pow(w.Scale, float64(d))
	for j := range n {
		sum := 0.0
		for k := range n {
			sum += p[k] * inv[k][j]
		}
		weights[j] = sum / c
	}
	return weights, "", -1
}
