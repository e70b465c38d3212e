package working

import (
	"fmt"
	"math"
	"nodespan/solver/bvp"
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
	for _, k := range u.Nodes {
		at = append(at, u.S[k])
	}
	at = append(at, w.To)
	w.Columns = []string{w.variable()}
	type entry struct{ unknown, d int }
	entries := []entry{{}}
	for i, u := range w.Unknowns {
		for d := range u.Order {
			w.Columns = append(w.Columns, bvp.Derivative(u.Name, d))
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
		labels[r] = w.label(w.x(s))
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

// check puts the polynomial into the equations at the nodes and into the conditions. The numbers are the residual, and
// what the terms of its row of A may add up to.
type check struct {
	w          *Working
	in         []float64 // the jet and the parameters
	top, terms []float64 // of each column of A: the largest value of its unknown, and its terms
}

func (w *Working) newCheck() *check {
	c := &check{w: w, in: make([]float64, w.Problem.Jet()+len(w.Problem.Parameters)),
		top: make([]float64, w.size), terms: make([]float64, w.size)}
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		most := bvp.Largest(column(w.byName[u.ID]))
		for k := range u.S {
			c.top[u.Offset+k], c.terms[u.Offset+k] = most, w.byName[u.ID].terms[k][0]
		}
	}
	for q, v := range w.Parameters {
		k := w.size - len(w.Parameters) + q
		c.top[k], c.terms[k] = math.Abs(v), math.Abs(v)
	}
	return c
}

// size returns what the terms of a row of A may add up to, and with the terms of its entries: what its rounding is
// measured by.
func (c *check) size(r int) (size, terms float64) {
	A, b := c.w.byName["A"], math.Abs(c.w.byName["b"].Values[r][0])
	size, terms = b, b
	for k, v := range A.Values[r] {
		size += math.Abs(v) * c.top[k]
		terms += A.terms[r][k] * c.terms[k]
	}
	return size, terms
}

// jet puts the jet of the polynomial at s into in.
func (c *check) jet(s float64) {
	w := c.w
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		y := column(w.byName[u.ID])
		for d := 0; d <= u.Order; d++ {
			weights, _, _ := w.row(i, d, s)
			c.in[w.Problem.JetOffset(i)+d] = dot(weights, y)
		}
	}
	copy(c.in[w.Problem.Jet():], w.Parameters)
}

// checkColumns are those of both matrices of the check.
var checkColumns = []string{"left minus right", "size of the terms"}

// equations puts the polynomial into the equations at the nodes.
func (c *check) equations() *Matrix {
	w, p := c.w, c.w.Problem
	f := make([]float64, len(p.Unknowns))
	m := &Matrix{Name: "check", Columns: checkColumns}
	var from []Entry
	for j := range w.Unknowns {
		for q := range w.Unknowns[j].S {
			from = append(from, Entry{w.Unknowns[j].ID, q, 0})
		}
	}
	u := &w.Unknowns[0]
	for i := range w.Unknowns {
		v := &w.Unknowns[i]
		for h, k := range u.Nodes {
			c.jet(u.S[k])
			p.Equations(u.X[k], c.in, f, nil)
			size, terms := c.size(v.Offset + v.Nodes[h])
			m.Rows = append(m.Rows, w.equationName(i)+", "+w.label(u.X[k]))
			m.Values = append(m.Values, []float64{f[w.eq[i]], size})
			m.terms = append(m.terms, []float64{terms, 0})
		}
	}
	m.origin = func(r, col int) Origin {
		if col == 1 {
			return Origin{Formula: "the entries of the row, without signs, times the largest value: what rounding is " +
				"measured by", Numbers: num(m.Values[r][col])}
		}
		return Origin{Formula: "the equation's left side minus its right side, with the polynomial put in",
			Numbers: num(m.Values[r][col]), From: slices.Clone(from)}
	}
	return m
}

// conditions puts the polynomial into the conditions.
func (c *check) conditions() *Matrix {
	w, p := c.w, c.w.Problem
	m := &Matrix{Name: "check_conditions", Columns: checkColumns}
	for r, condition := range p.Conditions {
		v := make([]float64, len(condition.At)+len(p.Parameters))
		for k, at := range condition.At {
			c.jet(w.reference(at.X))
			v[k] = c.in[p.JetOffset(at.Unknown)+at.Derivative]
		}
		copy(v[len(condition.At):], w.Parameters)
		size, terms := c.size(w.Replaced[r].Row)
		m.Rows = append(m.Rows, w.conditionName(r))
		m.Values = append(m.Values, []float64{condition.Residual(v, nil), size})
		m.terms = append(m.terms, []float64{terms, 0})
	}
	m.origin = func(r, col int) Origin {
		return Origin{Formula: "the condition " + m.Rows[r] + " with the polynomial put in",
			Numbers: num(m.Values[r][col])}
	}
	return m
}

func (w *Working) stepCheck() error {
	c := w.newCheck()
	w.add(StepCheck, c.equations(), c.conditions())
	return nil
}
