package working

import (
	"fmt"
	"math"
	"slices"
)

// This file takes the polynomial's coefficients, tabulates it, and checks it.

func (w *Working) stepPolynomial() error {
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		n := len(u.S)
		inv, y := w.byName["V_inv"+u.Suffix], w.byName[u.ID]
		c, terms := make([]float64, n), table(n, 1)
		for k := range n {
			for j := range n {
				c[k] += inv.Values[k][j] * y.Values[j][0]
				terms[k][0] += math.Abs(inv.terms[k][j] * y.Values[j][0])
			}
		}
		m := vector(w.CoefName(i), w.powerLabels(n), "coefficient", c)
		m.terms = terms
		m.origin = func(k, _ int) Origin {
			a, b := make([]float64, n), make([]float64, n)
			var from []Entry
			for j := range n {
				a[j], b[j] = inv.Values[k][j], y.Values[j][0]
				from = append(from, Entry{inv.Name, k, j}, Entry{y.Name, j, 0})
			}
			return Origin{Formula: fmt.Sprintf("row %d of %s times %s", k+1, inv.Name, y.Name),
				Numbers: sumOf(a, b, c[k]), From: from}
		}
		w.add(StepPolynomial, m)
	}
	return nil
}

// CoefName names the coefficients of the polynomial of unknown i.
func (w *Working) CoefName(i int) string {
	if len(w.Unknowns) == 1 {
		return "coef"
	}
	return "coef_" + w.Unknowns[i].ID
}

// value returns the d-th derivative in x of the polynomial of unknown i at s, and what its terms come to without their
// signs.
func (w *Working) value(i, d int, s float64) (v, terms float64) {
	c := w.byName[w.CoefName(i)]
	row := make([]float64, len(c.Values))
	powersTo(row, s, d)
	for k, p := range row {
		v += p * c.Values[k][0]
		terms += math.Abs(p) * c.terms[k][0]
	}
	scale := math.Pow(w.Scale, float64(d))
	return v / scale, terms / scale
}

func (w *Working) stepTable() error {
	u := &w.Unknowns[0]
	at := []float64{w.From}
	for _, k := range u.Held {
		at = append(at, u.S[k])
	}
	at = append(at, w.To)
	w.Columns = []string{w.variable()}
	type entry struct{ unknown, d int }
	entries := []entry{{}}
	for i, u := range w.Unknowns {
		for d := range u.Order {
			w.Columns = append(w.Columns, derivative(u.Name, d))
			entries = append(entries, entry{i, d})
		}
	}
	labels, terms := make([]string, len(at)), make([][]float64, len(at))
	for r, s := range at {
		row := []float64{w.x(s)}
		terms[r] = []float64{0}
		for _, e := range entries[1:] {
			v, t := w.value(e.unknown, e.d, s)
			row, terms[r] = append(row, v), append(terms[r], t)
		}
		w.Rows = append(w.Rows, row)
		labels[r] = w.variable() + " = " + short(w.x(s))
	}
	m := &Matrix{Name: "table", Rows: labels, Columns: w.Columns, Values: w.Rows, terms: terms}
	m.origin = func(r, c int) Origin {
		if c == 0 {
			return Origin{Formula: "the point"}
		}
		e := entries[c]
		name := w.CoefName(e.unknown)
		coef := w.byName[name]
		p := make([]float64, len(coef.Values))
		powersTo(p, at[r], e.d)
		scale := math.Pow(w.Scale, float64(e.d))
		var from []Entry
		for k := range p {
			p[k] /= scale
			from = append(from, Entry{name, k, 0})
		}
		what := "the polynomial"
		if e.d > 0 {
			what = fmt.Sprintf("derivative %d of the polynomial (each one divides by %s)", e.d, num(w.Scale))
		}
		return Origin{Formula: fmt.Sprintf("%s at %s = %s", what, w.Options.Symbol, short(at[r])),
			Numbers: sumOf(column(coef), p, w.Rows[r][c]), From: from}
	}
	w.add(StepTable, m)
	return nil
}

// stepCheck puts the polynomial into the equations at the nodes and into the conditions. The numbers are the
// residual, and what the terms of its row of A may add up to.
func (w *Working) stepCheck() error {
	p := w.Problem
	inputs := p.Jet() + len(p.Parameters)
	f, in := make([]float64, len(p.Unknowns)), make([]float64, inputs)
	A, b := w.byName["A"], column(w.byName["b"])
	// column → the largest value of its unknown, and its terms
	top, terms := make([]float64, w.size), make([]float64, w.size)
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		most := largest(column(w.byName[u.ID]))
		for k := range u.S {
			top[u.Offset+k], terms[u.Offset+k] = most, w.byName[u.ID].terms[k][0]
		}
	}
	for q, v := range w.Parameters {
		top[w.size-len(w.Parameters)+q], terms[w.size-len(w.Parameters)+q] = math.Abs(v), math.Abs(v)
	}
	// size is what the terms of a row may add up to, and with the terms of its entries: what its rounding is measured
	// by.
	var sizes [][]float64
	size := func(r int) float64 {
		s, t := math.Abs(b[r]), math.Abs(b[r])
		for k, v := range A.Values[r] {
			s += math.Abs(v) * top[k]
			t += A.terms[r][k] * terms[k]
		}
		sizes = append(sizes, []float64{t, 0})
		return s
	}
	jet := func(s float64) {
		for i := range w.Unknowns {
			u := &w.Unknowns[i]
			y := column(w.byName[u.ID])
			for d := 0; d <= u.Order; d++ {
				weights, _, _ := w.row(i, d, s)
				in[p.JetOffset(i)+d] = dot(weights, y)
			}
		}
		copy(in[p.Jet():], w.Parameters)
	}
	var rows []string
	var values [][]float64
	var from [][]Entry
	u := &w.Unknowns[0]
	for i := range w.Unknowns {
		r, v := w.eq[i], &w.Unknowns[i]
		for h, k := range u.Held {
			jet(u.S[k])
			p.Equations(u.X[k], in, f, nil)
			rows = append(rows, fmt.Sprintf("%s, %s = %s", w.equationName(i), w.variable(), short(u.X[k])))
			values = append(values, []float64{f[r], size(v.Offset + v.Held[h])})
			var e []Entry
			for j := range w.Unknowns {
				for q := range w.Unknowns[j].S {
					e = append(e, Entry{w.Unknowns[j].ID, q, 0})
				}
			}
			from = append(from, e)
		}
	}
	m := &Matrix{Name: "check", Rows: rows, Columns: []string{"left minus right", "size of the terms"}, Values: values,
		terms: sizes}
	m.origin = func(r, c int) Origin {
		if c == 1 {
			return Origin{Formula: "the entries of the row, without signs, times the largest value: what rounding is " +
				"measured by", Numbers: num(values[r][c])}
		}
		return Origin{Formula: "the equation's left side minus its right side, with the polynomial put in",
			Numbers: num(values[r][c]), From: slices.Clone(from[r])}
	}
	sizes = nil
	n := len(p.Conditions)
	names, checks := make([]string, n), table(n, 2)
	for r, c := range p.Conditions {
		names[r] = w.conditionName(r)
		v := make([]float64, len(c.At)+len(p.Parameters))
		for k, at := range c.At {
			jet(w.reference(at.X))
			v[k] = in[p.JetOffset(at.Unknown)+at.Derivative]
		}
		copy(v[len(c.At):], w.Parameters)
		checks[r] = []float64{c.Residual(v, nil), size(w.Taken[r].Row)}
	}
	k := &Matrix{Name: "check_conditions", Rows: names, Columns: m.Columns, Values: checks, terms: sizes}
	k.origin = func(r, c int) Origin {
		return Origin{Formula: "the condition " + names[r] + " with the polynomial put in", Numbers: num(checks[r][c])}
	}
	w.add(StepCheck, m, k)
	return nil
}
