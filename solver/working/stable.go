package working

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// stable is the route of package collocation on one element: the unknowns are, for each unknown function, its state at
// the left end (m numbers, derivatives in x) and its highest derivative at the n nodes; then the parameters.
//
//	y^(d)(x) = Σ_(j<m-d) y^(d+j)(A) (x-A)^j/j! + Σ_k I_(m-d)(x)_k y^(m)(x_k)
type stable struct {
	offset []int // unknown → column of its state
	size   int
	rows   map[stableKey][]float64
}

type stableKey struct {
	unknown, d int
	s          float64
}

func newStable(w *Working) *stable {
	t := &stable{rows: map[stableKey][]float64{}}
	for _, u := range w.Unknowns {
		t.offset = append(t.offset, t.size)
		t.size += u.Order + len(w.t)
	}
	t.size += len(w.Problem.Parameters)
	return t
}

// row returns the weights of (state, highest derivatives) in the d-th derivative of an unknown at s. Do not change it.
func (t *stable) row(w *Working, unknown, d int, s float64) []float64 {
	key := stableKey{unknown, d, s}
	if r, ok := t.rows[key]; ok {
		return r
	}
	m := w.Unknowns[unknown].Order
	r := make([]float64, m+len(w.t))
	h := w.Problem.B - w.Problem.A
	at := -1 + 2*(s-w.From)/(w.To-w.From)
	c := 1.0
	for j := 0; j < m-d; j++ {
		r[d+j] = c
		c *= h * (1 + at) / 2 / float64(j+1)
	}
	// At a node the row is the unit row or that of the integration matrix.
	for k, u := range w.Unknowns[unknown].Nodes {
		if w.Unknowns[unknown].S[u] == s {
			at = w.t[k]
		}
	}
	fold := nodes.Integration(w.t, []float64{at}, m-d)
	c = math.Pow(h/2, float64(m-d))
	for k := range w.t {
		r[m+k] = c * fold.At(0, k)
	}
	t.rows[key] = r
	return r
}

// jet writes the jet at s and the parameters of a solution v.
func (t *stable) jet(w *Working, v []float64, s float64, in []float64) {
	p := w.Problem
	for i, u := range w.Unknowns {
		for d := 0; d <= u.Order; d++ {
			in[p.JetOffset(i)+d] = dot(t.row(w, i, d, s), v[t.offset[i]:])
		}
	}
	copy(in[p.Jet():], v[t.size-len(p.Parameters):])
}

// add adds to a row of the operator a factor times the d-th derivative of unknown j at s.
func (t *stable) add(w *Working, row []float64, factor float64, j, d int, s float64) {
	if factor == 0 {
		return
	}
	for k, v := range t.row(w, j, d, s) {
		row[t.offset[j]+k] += factor * v
	}
}

// system returns the matrix and the right side: the equations at the nodes, unknown by unknown, then the conditions.
func (t *stable) system(w *Working) ([][]float64, []float64) {
	p, l, n := w.Problem, w.lin, len(w.t)
	B, rhs := table(t.size, t.size), make([]float64, t.size)
	last := t.size - len(p.Parameters)
	r := 0
	for i := range w.Unknowns {
		for h, s := range w.at {
			if !w.isNode(h) {
				continue
			}
			for j, u := range w.Unknowns {
				for d := 0; d <= u.Order; d++ {
					t.add(w, B[r], l.a[i][j][d][h], j, d, s)
				}
			}
			for q := range p.Parameters {
				B[r][last+q] = l.p[i][q][h]
			}
			rhs[r] = l.rhs[i][h]
			r++
		}
	}
	if r != n*len(w.Unknowns) {
		panic("working: rows of the stable route")
	}
	for k, c := range p.Conditions {
		for e, at := range c.At {
			t.add(w, B[r], l.weights[k][e], at.Unknown, at.Derivative, w.reference(at.X))
		}
		for q := range p.Parameters {
			B[r][last+q] = l.weights[k][len(c.At)+q]
		}
		rhs[r] = l.value[k]
		r++
	}
	return B, rhs
}

// distance is the largest difference of two solutions at the points, relative to each unknown's largest value.
func (t *stable) distance(w *Working, a, b []float64) float64 {
	worst := 0.0
	for i, u := range w.Unknowns {
		size, diff := 0.0, 0.0
		for _, s := range u.S {
			row := t.row(w, i, 0, s)
			x, y := dot(row, a[t.offset[i]:]), dot(row, b[t.offset[i]:])
			size, diff = math.Max(size, math.Abs(x)), math.Max(diff, math.Abs(x-y))
		}
		if diff > 0 {
			worst = math.Max(worst, diff/size)
		}
	}
	for q := t.size - len(w.Problem.Parameters); q < t.size; q++ {
		if d := math.Abs(a[q] - b[q]); d > 0 {
			worst = math.Max(worst, d/math.Abs(a[q]))
		}
	}
	return worst
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

func (w *Working) stepStable() error {
	t, p := w.stable, w.Problem
	highest := 0
	for _, u := range w.Unknowns {
		highest = max(highest, u.Order)
	}
	n := len(w.t)
	node := w.Unknowns[0].Nodes
	labels := make([]string, n)
	for h, k := range node {
		labels[h] = w.label(w.Unknowns[0].X[k])
	}
	var ms []*Matrix
	for l := 1; l <= highest; l++ {
		I := &Matrix{Name: fmt.Sprintf("I%d", l), Rows: labels, Columns: labels, Values: table(n, n)}
		fold := nodes.Integration(w.t, w.t, l)
		c := math.Pow((p.B-p.A)/2, float64(l))
		for i := range n {
			for j := range n {
				I.Values[i][j] = c * fold.At(i, j)
			}
		}
		I.origin = func(i, j int) Origin {
			return Origin{Formula: fmt.Sprintf("%d-fold integral from the left end to %s of the polynomial of degree "+
				"%d that is 1 at node %d and 0 at the other nodes", l, labels[i], n-1, j+1),
				Numbers: num(I.Values[i][j])}
		}
		ms = append(ms, I)
	}
	var columns, rows []string
	for _, u := range w.Unknowns {
		for d := range u.Order {
			columns = append(columns, bvp.Derivative(u.Name, d)+"("+short(p.A)+")")
		}
		for _, k := range node {
			columns = append(columns, bvp.Derivative(u.Name, u.Order)+"("+w.point(w.Unknowns[0].X[k])+")")
		}
	}
	for i := range w.Unknowns {
		for h := range n {
			rows = append(rows, w.equationName(i)+", "+labels[h])
		}
	}
	for k := range p.Conditions {
		rows = append(rows, w.conditionName(k))
	}
	for _, q := range p.Parameters {
		columns = append(columns, q.Name)
	}
	values, rhs := t.system(w)
	v, err := solve(values, rhs)
	if err != nil {
		return err
	}
	B := &Matrix{Name: "B", Rows: rows, Columns: columns, Values: values}
	B.origin = func(i, c int) Origin { return w.stableOrigin(values, i, c) }
	R := vector("B_rhs", rows, "right side", rhs)
	R.origin = func(i, _ int) Origin {
		return Origin{Formula: "the same right side as that of the classroom route", Numbers: num(rhs[i])}
	}
	S := vector("B_sol", columns, "value", v)
	S.terms = reach(values, v, rhs)
	S.origin = func(i, _ int) Origin {
		from := make([]Entry, t.size)
		for k := range from {
			from[k] = Entry{"B_rhs", k, 0}
		}
		return Origin{Formula: "the solution of B times it = B_rhs", Numbers: num(v[i]), From: from}
	}
	w.add(StepStable, append(ms, B, R, S)...)
	return nil
}

// contributions collects what the derivatives of an unknown contribute to an entry of the stable route's operator.
type contributions struct {
	w       *Working
	unknown int
	k       int // the column among those of the unknown
	symbols []string
	a, b    []float64
	from    []Entry
}

// add adds what the d-th derivative at s contributes, times a factor: symbol names it, and from are the entries that it
// is taken from. node is the node that s is, or -1.
func (c *contributions) add(symbol string, factor float64, d int, s float64, node int, from ...Entry) {
	w, k, m := c.w, c.k, c.w.Unknowns[c.unknown].Order
	v := w.stable.row(w, c.unknown, d, s)[k]
	if v == 0 {
		return
	}
	c.from = append(c.from, from...)
	a, x := short(w.Problem.A), w.point(w.x(s))
	switch {
	case d == m:
	case k >= m && node >= 0:
		name := fmt.Sprintf("I%d", m-d)
		symbol += fmt.Sprintf("·%s[%d, %d]", name, node+1, k-m+1)
		c.from = append(c.from, Entry{name, node, k - m})
	case k >= m:
		symbol += fmt.Sprintf("·(the %d-fold integral to %s)", m-d, x)
	case k-d > 1:
		symbol += fmt.Sprintf("·(%s - %s)^%d/%d!", x, a, k-d, k-d)
	case k-d == 1:
		symbol += fmt.Sprintf("·(%s - %s)", x, a)
	}
	c.symbols, c.a, c.b = append(c.symbols, symbol), append(c.a, factor), append(c.b, v)
}

// addCondition adds what condition r takes of the unknown.
func (c *contributions) addCondition(r int) {
	w, u := c.w, &c.w.Unknowns[c.unknown]
	for e, at := range w.Problem.Conditions[r].At {
		if at.Unknown != c.unknown {
			continue
		}
		s := w.reference(at.X)
		node := slices.Index(u.Nodes, w.pointOf(c.unknown, s))
		c.add("the factor of "+bvp.Derivative(u.Name, at.Derivative)+"("+short(at.X)+")", w.lin.weights[r][e],
			at.Derivative, s, node)
	}
}

// addEquation adds what the equation of unknown i takes of this one at a node.
func (c *contributions) addEquation(i, node int) {
	w := c.w
	h := -1 // the place of the node among the points of the equation
	for left := node; left >= 0; left-- {
		for h++; !w.isNode(h); h++ {
		}
	}
	for d := w.Unknowns[c.unknown].Order; d >= 0; d-- {
		if f := w.lin.a[i][c.unknown][d][h]; f != 0 {
			name := w.CoefficientName(i, c.unknown, d)
			c.add(name, f, d, w.at[h], node, Entry{name, h, 0})
		}
	}
}

// stableOrigin tells how an entry of the stable route's operator came about.
func (w *Working) stableOrigin(values [][]float64, row, col int) Origin {
	t, p, n := w.stable, w.Problem, len(w.t)
	if q := col - (t.size - len(p.Parameters)); q >= 0 {
		return Origin{Formula: "the derivative by " + p.Parameters[q].Name, Numbers: num(values[row][col])}
	}
	j := len(t.offset) - 1
	for t.offset[j] > col {
		j--
	}
	c := contributions{w: w, unknown: j, k: col - t.offset[j]}
	if r := row - n*len(w.Unknowns); r >= 0 {
		c.addCondition(r)
	} else {
		c.addEquation(row/n, row%n)
	}
	if len(c.symbols) == 0 {
		return Origin{Formula: "this unknown's value does not occur here"}
	}
	return Origin{Formula: strings.Join(c.symbols, " + "), Numbers: sumOf(c.a, c.b, values[row][col]), From: c.from}
}

// vector makes a matrix of one column.
//
//go:noinline
func vector(name string, rows []string, column string, v []float64) *Matrix {
	m := &Matrix{Name: name, Rows: rows, Columns: []string{column}}
	for _, x := range v {
		m.Values = append(m.Values, []float64{x})
	}
	return m
}
