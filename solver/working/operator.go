package working

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"nodespan/solver/bvp"
)

// This file builds the operator, puts the conditions into its rows, and solves.

// equationName names the equation of unknown i.
//
//go:noinline
func (w *Working) equationName(i int) string {
	if len(w.Unknowns) == 1 {
		return "equation"
	}
	return fmt.Sprintf("equation %d", w.eq[i]+1)
}

func (w *Working) conditionName(k int) string {
	if c := w.Problem.Conditions[k].Text; c != "" {
		return c
	}
	return fmt.Sprintf("condition %d", k+1)
}

// CoefficientName names the vector of ∂F/∂y_j^(d) in the equation of unknown i: a1, or a1_u_v.
func (w *Working) CoefficientName(i, j, d int) string {
	if len(w.Unknowns) == 1 {
		return fmt.Sprintf("a%d", d)
	}
	return fmt.Sprintf("a%d_%s_%s", d, w.Unknowns[i].ID, w.Unknowns[j].ID)
}

// ParameterName names the vector of ∂F/∂p_q in the equation of unknown i.
func (w *Working) ParameterName(i, q int) string {
	name := "ap_" + Identifier(w.Problem.Parameters[q].Name)
	if len(w.Unknowns) > 1 {
		name += "_" + w.Unknowns[i].ID
	}
	return name
}

// OldName names the vector of the d-th derivative of unknown j that a nonlinear problem is linearised around.
func (w *Working) OldName(j, d int) string {
	id := w.Unknowns[j].ID + "_old"
	switch d {
	case 0:
		return id
	case 1:
		return "d" + id
	}
	return fmt.Sprintf("d%d%s", d, id)
}

// Absent reports whether a coefficient is zero at every point where the equation has a value, so that its term is left
// out.
//
//go:noinline
func (w *Working) Absent(i, j, d int) bool {
	for _, v := range w.lin.a[i][j][d] {
		if v != 0 && !math.IsNaN(v) {
			return false
		}
	}
	return true
}

// writtenAt labels the points where the equations are written.
func (w *Working) writtenAt() []string {
	out := make([]string, len(w.at))
	for h, s := range w.at {
		out[h] = w.label(w.x(s))
	}
	return out
}

func (w *Working) stepCoefficients() error {
	l, p := w.lin, w.Problem
	labels := w.writtenAt()
	at := w.Unknowns[0].Suffix
	xOf := func(h int) Entry { return Entry{"x" + at, w.where[0][h], 0} }
	if !w.Linear {
		for j, u := range w.Unknowns {
			for d := 0; d <= u.Order; d++ {
				v := make([]float64, len(w.at))
				for h := range v {
					v[h] = l.jets[h][p.JetOffset(j)+d]
				}
				m := vector(w.OldName(j, d), labels, bvp.Derivative(u.Name, d), v)
				m.origin = func(h, _ int) Origin {
					return Origin{Formula: fmt.Sprintf("%s at %s, of the solution that the equation is "+
						"linearised around", bvp.Derivative(u.Name, d), labels[h]), Numbers: num(v[h]),
						From: []Entry{xOf(h)}}
				}
				w.add(StepLinearise, m)
			}
		}
	}
	// What a coefficient of a nonlinear equation is taken from.
	from := func(h int) []Entry {
		e := []Entry{xOf(h)}
		if !w.Linear {
			for j, u := range w.Unknowns {
				for d := 0; d <= u.Order; d++ {
					e = append(e, Entry{w.OldName(j, d), h, 0})
				}
			}
		}
		return e
	}
	var ms []*Matrix
	for i := range w.Unknowns {
		for j, u := range w.Unknowns {
			for d := u.Order; d >= 0; d-- {
				if w.Absent(i, j, d) {
					continue
				}
				v := l.a[i][j][d]
				m := vector(w.CoefficientName(i, j, d), labels, "factor of "+bvp.Derivative(u.Name, d), v)
				m.origin = func(h, _ int) Origin {
					return Origin{Formula: fmt.Sprintf("the derivative of the %s's left side minus its right side "+
						"by %s, at %s", w.equationName(i), bvp.Derivative(u.Name, d), labels[h]), Numbers: num(v[h]),
						From: from(h)}
				}
				ms = append(ms, m)
			}
		}
		for q, par := range p.Parameters {
			v := l.p[i][q]
			m := vector(w.ParameterName(i, q), labels, "factor of "+par.Name, v)
			m.origin = func(h, _ int) Origin {
				return Origin{Formula: fmt.Sprintf("the derivative of the %s's left side minus its right side "+
					"by %s, at %s", w.equationName(i), par.Name, labels[h]), Numbers: num(v[h]), From: from(h)}
			}
			ms = append(ms, m)
		}
	}
	w.add(StepCoefficients, ms...)
	return nil
}

// columns labels the unknown values, unknown by unknown, and the parameters.
func (w *Working) columns() []string {
	var out []string
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		for _, x := range u.X {
			out = append(out, u.Name+"("+w.point(x)+")")
		}
	}
	for _, q := range w.Problem.Parameters {
		out = append(out, q.Name)
	}
	return out
}

// unknownOf returns the unknown and the point of a column of A, or the parameter as -1 and its number.
func (w *Working) unknownOf(col int) (unknown, point int) {
	for i := len(w.Unknowns) - 1; i >= 0; i-- {
		if u := &w.Unknowns[i]; col >= u.Offset {
			if k := col - u.Offset; k < len(u.S) {
				return i, k
			}
			break
		}
	}
	return -1, col - (w.size - len(w.Problem.Parameters))
}

// place is the point, the h-th of those where equations are written, and the unknown whose equation a row of the
// operator holds.
type place struct{ unknown, h int }

// operator is the operator with its right side: numbers, and where each row is from.
type operator struct {
	w          *Working
	all, terms [][]float64
	rhs        []float64
	of         []place // of each row; its unknown is -1 where no equation is written
}

// operator writes the equations, linearised, at every point.
func (w *Working) operator() *operator {
	o := &operator{w: w, all: table(w.size, w.size), terms: table(w.size, w.size), rhs: make([]float64, w.size),
		of: make([]place, w.size)}
	for r := range o.all {
		o.of[r] = place{-1, -1}
		o.blank(r)
	}
	for i := range w.Unknowns {
		for h := range w.at {
			r := w.Unknowns[i].Offset + w.where[i][h]
			o.of[r] = place{i, h}
			o.rhs[r] = w.lin.rhs[i][h]
			clear(o.all[r])
			o.write(r)
			if !bvp.AllFinite(o.all[r]) || !bvp.Finite(o.rhs[r]) {
				o.blank(r)
			}
		}
	}
	return o
}

// blank marks a row as one without numbers.
func (o *operator) blank(r int) {
	o.rhs[r] = math.NaN()
	for k := range o.all[r] {
		o.all[r][k] = math.NaN()
	}
}

// write adds up the factors times the rows of the derivative matrices.
func (o *operator) write(r int) {
	w, i, h := o.w, o.of[r].unknown, o.of[r].h
	for j := range w.Unknowns {
		v := &w.Unknowns[j]
		for d := 0; d <= v.Order; d++ {
			if w.Absent(i, j, d) {
				continue
			}
			a := w.lin.a[i][j][d][h]
			if d == 0 {
				o.all[r][v.Offset+w.where[j][h]] += a
				o.terms[r][v.Offset+w.where[j][h]] += math.Abs(a)
				continue
			}
			D := w.byName[fmt.Sprintf("D%d%s", d, v.Suffix)]
			for k, f := range D.Values[w.where[j][h]] {
				o.all[r][v.Offset+k] += a * f
				o.terms[r][v.Offset+k] += math.Abs(a) * D.terms[w.where[j][h]][k]
			}
		}
	}
	for q := range w.Problem.Parameters {
		o.all[r][w.size-len(w.Problem.Parameters)+q] = w.lin.p[i][q][h]
	}
}

// labels names the rows.
func (o *operator) labels() []string {
	w := o.w
	rows := make([]string, w.size)
	for r, at := range o.of {
		if at.unknown < 0 {
			rows[r] = "for a condition"
			continue
		}
		what := w.equationName(at.unknown)
		if math.IsNaN(o.rhs[r]) {
			what = "no value"
		}
		x := w.Unknowns[at.unknown].X[w.where[at.unknown][at.h]]
		rows[r] = what + ", " + w.label(x)
	}
	return rows
}

// origin tells how an entry came about.
func (o *operator) origin(r, c int) Origin {
	w, at := o.w, o.of[r]
	if at.unknown < 0 {
		return Origin{Formula: "no equation is written here: the row is kept for a condition"}
	}
	if math.IsNaN(o.all[r][c]) {
		return Origin{Formula: "the equation has no value at this point: the row is left to a condition"}
	}
	j, k := w.unknownOf(c)
	if j < 0 {
		name := w.ParameterName(at.unknown, k)
		return Origin{Formula: name, Numbers: num(o.all[r][c]), From: []Entry{{name, at.h, 0}}}
	}
	var symbols []string
	var a, b []float64
	var from []Entry
	row := w.where[j][at.h]
	for d := w.Unknowns[j].Order; d >= 0; d-- {
		if w.Absent(at.unknown, j, d) || d == 0 && k != row {
			continue
		}
		name := w.CoefficientName(at.unknown, j, d)
		a = append(a, w.lin.a[at.unknown][j][d][at.h])
		from = append(from, Entry{name, at.h, 0})
		if d == 0 {
			symbols, b = append(symbols, name), append(b, 1)
			continue
		}
		D := fmt.Sprintf("D%d%s", d, w.Unknowns[j].Suffix)
		symbols, b = append(symbols, fmt.Sprintf("%s·%s[%d, %d]", name, D, row+1, k+1)),
			append(b, w.byName[D].Values[row][k])
		from = append(from, Entry{D, row, k})
	}
	if len(symbols) == 0 {
		return Origin{Formula: "this unknown does not occur in the equation"}
	}
	return Origin{Formula: strings.Join(symbols, " + "), Numbers: sumOf(a, b, o.all[r][c]), From: from}
}

// originOfRight tells how an entry of the right side came about.
func (o *operator) originOfRight(r, _ int) Origin {
	w, at := o.w, o.of[r]
	if at.unknown < 0 || math.IsNaN(o.rhs[r]) {
		return Origin{Formula: "the row is left to a condition"}
	}
	from := []Entry{{"x" + w.Unknowns[at.unknown].Suffix, w.where[at.unknown][at.h], 0}}
	if w.Linear {
		return Origin{Formula: "what is left of the equation when the unknown and its derivatives are zero, with " +
			"the other sign", Numbers: num(o.rhs[r]), From: from}
	}
	for j, u := range w.Unknowns {
		for d := 0; d <= u.Order; d++ {
			if !w.Absent(at.unknown, j, d) {
				from = append(from, Entry{w.CoefficientName(at.unknown, j, d), at.h, 0},
					Entry{w.OldName(j, d), at.h, 0})
			}
		}
	}
	return Origin{Formula: "the factors times the values that the equation is linearised around, minus the " +
		"equation's left side less its right side there", Numbers: num(o.rhs[r]), From: from}
}

func (w *Working) stepOperator() error {
	o := w.operator()
	rows := o.labels()
	A := &Matrix{Name: "A_all", Rows: rows, Columns: w.columns(), Values: o.all, terms: o.terms, origin: o.origin}
	b := vector("b_all", rows, "right side", o.rhs)
	b.origin = o.originOfRight
	w.add(StepOperator, A, b)
	return nil
}

func (w *Working) stepConditions() error {
	p, l := w.Problem, w.lin
	n := len(p.Conditions)
	C, terms, rhs := table(n, w.size), table(n, w.size), make([]float64, n)
	names := make([]string, n)
	last := w.size - len(p.Parameters)
	for r, c := range p.Conditions {
		names[r] = w.conditionName(r)
		for e, at := range c.At {
			weights, D, row := w.row(at.Unknown, at.Derivative, w.reference(at.X))
			for k, v := range weights {
				C[r][w.Unknowns[at.Unknown].Offset+k] += l.weights[r][e] * v
				if D != "" {
					v = w.byName[D].terms[row][k]
				}
				terms[r][w.Unknowns[at.Unknown].Offset+k] += math.Abs(l.weights[r][e] * v)
			}
		}
		for q := range p.Parameters {
			C[r][last+q] = l.weights[r][len(c.At)+q]
		}
		rhs[r] = l.value[r]
	}
	m := &Matrix{Name: "C", Rows: names, Columns: w.columns(), Values: C, terms: terms}
	m.origin = func(r, col int) Origin {
		j, k := w.unknownOf(col)
		c := p.Conditions[r]
		if j < 0 {
			return Origin{Formula: "the condition's derivative by " + p.Parameters[k].Name, Numbers: num(C[r][col])}
		}
		var symbols []string
		var a, b []float64
		var from []Entry
		for e, at := range c.At {
			if at.Unknown != j {
				continue
			}
			weights, D, row := w.row(j, at.Derivative, w.reference(at.X))
			what := bvp.Derivative(w.Unknowns[j].Name, at.Derivative) + "(" + short(at.X) + ")"
			switch {
			case D != "":
				what = fmt.Sprintf("%s is row %d of %s", what, row+1, D)
				from = append(from, Entry{D, row, k})
			case row >= 0:
				what += " is one of the values"
			default:
				what += fmt.Sprintf(" is the row of powers there times V_inv%s", w.Unknowns[j].Suffix)
				for i := range w.Unknowns[j].S {
					from = append(from, Entry{"V_inv" + w.Unknowns[j].Suffix, i, k})
				}
			}
			symbols, a, b = append(symbols, what), append(a, l.weights[r][e]), append(b, weights[k])
		}
		if len(symbols) == 0 {
			return Origin{Formula: "this unknown does not occur in the condition"}
		}
		return Origin{Formula: strings.Join(symbols, "; "), Numbers: sumOf(a, b, C[r][col]), From: from}
	}
	v := vector("C_rhs", names, "right side", rhs)
	v.origin = func(r, _ int) Origin {
		return Origin{Formula: "the number that " + names[r] + " leaves on the right", Numbers: num(rhs[r])}
	}
	w.add(StepConditions, m, v)
	return nil
}

// carrier is a row that a condition may take: of an unknown at one of its points, or, with both -1, of a sought number.
type carrier struct {
	row, unknown, point int
	free                bool
}

// freeRows lists the rows that conditions may take.
func (w *Working) freeRows() []carrier {
	var rows []carrier
	for i := range w.Unknowns {
		for _, k := range w.Unknowns[i].Carriers {
			rows = append(rows, carrier{w.Unknowns[i].Offset + k, i, k, true})
		}
	}
	for q := range w.Problem.Parameters {
		rows = append(rows, carrier{w.size - len(w.Problem.Parameters) + q, -1, -1, true})
	}
	return rows
}

// How well a row suits a condition.
const (
	samePoint   = iota // it is of an unknown of the condition, at the same point
	sameHalf           // in the same half of the interval
	sameUnknown        // in the other half
	otherUnknown
	anyRow // it is of a sought number
)

// suits tells how well a row suits condition r.
func (w *Working) suits(r int, c carrier) int {
	best := anyRow
	if c.unknown >= 0 {
		best = otherUnknown
	}
	for _, at := range w.Problem.Conditions[r].At {
		if c.unknown != at.Unknown {
			continue
		}
		s, middle := w.Unknowns[c.unknown].S[c.point], (w.From+w.To)/2
		switch here := w.reference(at.X); {
		case s == here:
			return samePoint
		case (s < middle) == (here < middle):
			best = min(best, sameHalf)
		default:
			best = min(best, sameUnknown)
		}
	}
	return best
}

// assign chooses the row for each condition, the one that suits it best of those that are left. Which row it is makes
// no difference to the solution.
func (w *Working) assign() {
	conditions := w.Problem.Conditions
	w.Replaced = make([]Replaced, len(conditions))
	done := make([]bool, len(conditions))
	rows := w.freeRows()
	take := func(r, level int) {
		for k := range rows {
			if c := &rows[k]; c.free && w.suits(r, *c) <= level {
				w.Replaced[r] = Replaced{Row: c.row, Unknown: c.unknown, Point: c.point, Own: level == samePoint}
				c.free, done[r] = false, true
				return
			}
		}
	}
	for level := samePoint; level <= anyRow; level++ {
		for _, slopes := range []bool{false, true} { // among conditions that fit equally well, values come first
			for r := range conditions {
				if !done[r] && (slopes || highest(conditions[r].At) == 0) {
					take(r, level)
				}
			}
		}
	}
}

// highest returns the highest derivative among point values.
func highest(at []bvp.PointValue) int {
	d := 0
	for _, v := range at {
		d = max(d, v.Derivative)
	}
	return d
}

func (w *Working) stepRows() error {
	w.assign()
	all, rhsAll := w.byName["A_all"], w.byName["b_all"]
	C, Crhs := w.byName["C"], w.byName["C_rhs"]
	A, terms, b := table(w.size, w.size), slices.Clone(all.terms), make([]float64, w.size)
	rows := slices.Clone(all.Rows)
	condition := make([]int, w.size)
	for r := range A {
		copy(A[r], all.Values[r])
		b[r], condition[r] = rhsAll.Values[r][0], -1
	}
	for k, t := range w.Replaced {
		copy(A[t.Row], C.Values[k])
		terms[t.Row] = C.terms[k]
		b[t.Row], condition[t.Row] = Crhs.Values[k][0], k
		rows[t.Row] = C.Rows[k]
	}
	for r := range A {
		if !bvp.AllFinite(A[r]) || !bvp.Finite(b[r]) {
			return fmt.Errorf("row %d of the operator holds no numbers", r+1)
		}
	}
	m := &Matrix{Name: "A", Rows: rows, Columns: all.Columns, Values: A, terms: terms}
	m.origin = func(r, c int) Origin {
		if k := condition[r]; k >= 0 {
			return Origin{Formula: fmt.Sprintf("row %d of C: the condition %s", k+1, C.Rows[k]), Numbers: num(A[r][c]),
				From: []Entry{{"C", k, c}}}
		}
		return Origin{Formula: fmt.Sprintf("A_all[%d, %d], kept", r+1, c+1), Numbers: num(A[r][c]),
			From: []Entry{{"A_all", r, c}}}
	}
	v := vector("b", rows, "right side", b)
	v.origin = func(r, _ int) Origin {
		if k := condition[r]; k >= 0 {
			return Origin{Formula: fmt.Sprintf("entry %d of C_rhs", k+1), Numbers: num(b[r]),
				From: []Entry{{"C_rhs", k, 0}}}
		}
		return Origin{Formula: fmt.Sprintf("entry %d of b_all, kept", r+1), Numbers: num(b[r]),
			From: []Entry{{"b_all", r, 0}}}
	}
	w.add(StepRows, m, v)
	return nil
}

func (w *Working) stepSolution() error {
	A, b := w.byName["A"].Values, column(w.byName["b"])
	y, err := solve(A, b)
	if err != nil {
		return err
	}
	kappa := condition(equilibrated(A))
	if kappa > 1e15 {
		return errSingular
	}
	w.Parameters = y[w.size-len(w.Problem.Parameters):]
	var ms []*Matrix
	origin := func(i int) Origin {
		from := make([]Entry, w.size)
		for k := range from {
			from[k] = Entry{"b", k, 0}
		}
		return Origin{Formula: fmt.Sprintf("row %d of the inverse of A times b", i+1), Numbers: num(y[i]), From: from}
	}
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		m := vector(u.ID, w.pointLabels(u), u.Name, y[u.Offset:u.Offset+len(u.S)])
		// the elimination's: the largest value, and what its condition makes of its rounding (see expected)
		m.terms = table(len(u.S), 1)
		for k := range u.S {
			m.terms[k][0] = bvp.Largest(column(m)) * math.Max(1, kappa/float64(w.size))
		}
		m.origin = func(k, _ int) Origin { return origin(u.Offset + k) }
		ms = append(ms, m)
	}
	if n := len(w.Problem.Parameters); n > 0 {
		names := make([]string, n)
		for q, par := range w.Problem.Parameters {
			names[q] = par.Name
		}
		m := vector("parameters", names, "value", w.Parameters)
		m.origin = func(k, _ int) Origin { return origin(w.size - n + k) }
		ms = append(ms, m)
	}
	w.add(StepSolution, ms...)
	return nil
}

// column returns the numbers of a vector.
//
//go:noinline
func column(m *Matrix) []float64 {
	out := make([]float64, len(m.Values))
	for i, r := range m.Values {
		out[i] = r[0]
	}
	return out
}

// equilibrated divides each row, then each column, by its largest entry: condition numbers should not depend on units.
func equilibrated(a [][]float64) [][]float64 {
	out := table(len(a), len(a[0]))
	for i, r := range a {
		top := 0.0
		for _, v := range r {
			top = math.Max(top, math.Abs(v))
		}
		for j, v := range r {
			if top > 0 {
				out[i][j] = v / top
			}
		}
	}
	for j := range out[0] {
		top := 0.0
		for i := range out {
			top = math.Max(top, math.Abs(out[i][j]))
		}
		for i := range out {
			if top > 0 {
				out[i][j] /= top
			}
		}
	}
	return out
}
