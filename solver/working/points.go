package working

import (
	"fmt"
	"math"
	"math/big"
	"slices"

	"nodespan/solver/nodes"
)

// This file places the points: the nodes, and the carriers whose rows the conditions take over.

func (w *Working) layPoints() {
	p, o := w.Problem, &w.Options
	w.t = nodes.Interior(o.Family, o.Nodes)
	auto := o.Reference == Auto
	if auto {
		o.Reference = Unit
	}
	w.place()
	if auto {
		lost := 0.0
		for _, u := range w.Unknowns {
			lost = math.Max(lost, expected(condition(powers(u.S, 0)), len(u.S)))
		}
		if lost > 4 {
			o.Reference = Symmetric
			w.place()
		}
	}
	w.Shared = true
	for i := range w.Unknowns {
		w.Shared = w.Shared && slices.Equal(w.Unknowns[i].S, w.Unknowns[0].S)
	}
	ids := map[string]bool{}
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		u.ID = Identifier(u.Name)
		if ids[u.ID] || u.ID == "" {
			u.ID = fmt.Sprintf("unknown%d", i+1)
		}
		ids[u.ID] = true
		if !w.Shared {
			u.Suffix = "_" + u.ID
		}
	}
	first := &w.Unknowns[0]
	if w.Shared {
		w.at = first.S
	} else {
		for _, h := range first.Nodes {
			w.at = append(w.at, first.S[h])
		}
	}
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		if !w.Shared {
			w.where = append(w.where, u.Nodes)
			continue
		}
		all := make([]int, len(u.S))
		for k := range all {
			all[k] = k
		}
		w.where = append(w.where, all)
	}
	w.size += len(p.Parameters)
}

// place computes the points in the reference interval at hand.
func (w *Working) place() {
	p := w.Problem
	half := (p.B - p.A) / 2
	switch w.Options.Reference {
	case Unit:
		w.Origin, w.Scale, w.From, w.To = p.A, p.B-p.A, 0, 1
	case Symmetric:
		w.Origin, w.Scale, w.From, w.To = p.A+half, half, -1, 1
	case Own:
		w.Origin, w.Scale, w.From, w.To = 0, 1, p.A, p.B
	default:
		panic("working: unknown reference interval")
	}
	inner := make([]float64, len(w.t))
	for i, t := range w.t {
		switch w.Options.Reference {
		case Unit:
			inner[i] = (1 + t) / 2
		case Symmetric:
			inner[i] = t
		default:
			inner[i] = p.A + (p.B-p.A)*(1+t)/2
		}
	}
	w.Unknowns, w.size = nil, 0
	for k, u := range p.Unknowns {
		left, right := w.carriers(k)
		v := Unknown{Name: u.Name, Order: u.Order, Offset: w.size}
		v.S = append(append(append(v.S, left...), inner...), right...)
		for i := range v.S {
			if i >= len(left) && i < len(left)+len(inner) {
				v.Nodes = append(v.Nodes, i)
			} else {
				v.Carriers = append(v.Carriers, i)
			}
		}
		for _, s := range v.S {
			v.X = append(v.X, w.x(s))
		}
		w.size += len(v.S)
		w.Unknowns = append(w.Unknowns, v)
	}
}

// carriers returns the carriers of an unknown left and right of the nodes, ascending.
func (w *Working) carriers(unknown int) (left, right []float64) {
	p := w.Problem
	atA, atB := 0, 0
	for _, c := range p.Conditions {
		for _, v := range c.At {
			if v.Unknown == unknown && v.X == p.A {
				atA++
			} else if v.Unknown == unknown && v.X == p.B {
				atB++
			}
		}
	}
	m := p.Unknowns[unknown].Order
	nl := m / 2
	if m%2 == 1 && atB <= atA {
		nl++
	}
	nr := m - nl
	h := w.To - w.From
	gapL := (1 + w.t[0]) / 2 * h
	gapR := (1 - w.t[len(w.t)-1]) / 2 * h
	for i := range nl {
		left = append(left, w.From+gapL*float64(i)/float64(nl))
	}
	for i := nr - 1; i >= 0; i-- {
		right = append(right, w.To-gapR*float64(i)/float64(nr))
	}
	return left, right
}

// reserved are the names of the working that no unknown may have.
var reserved = map[string]bool{
	"s": true, "x": true, "V": true, "V_inv": true, "A": true, "A_all": true, "b": true, "b_all": true, "C": true,
	"C_rhs": true,
	"coef":  true, "B": true, "B_rhs": true, "B_sol": true, "nodes": true, "roots": true, "left": true, "right": true,
	"length": true,
	"middle": true, "half": true, "origin": true, "scale": true, "n": true, "table": true, "solution": true,
	"polynomial": true, "parameters": true,
	"check": true, "check_conditions": true, "t": true, "V_u": true, "F": true,
}

func init() {
	for d := range 9 {
		for _, letter := range []string{"V", "D", "a", "I"} {
			reserved[fmt.Sprintf("%s%d", letter, d)] = true
		}
	}
}

// Reserved reports whether the working uses a name for something of its own.
func Reserved(name string) bool { return reserved[name] }

// Identifier returns a name of letters, digits and low lines for an unknown or a constant, one that the working leaves
// free; "" where the name has other letters.
//
//go:noinline
func Identifier(name string) string {
	for i, r := range name {
		if r != '_' && (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && (i == 0 || r < '0' || r > '9') {
			return ""
		}
	}
	if reserved[name] {
		return name + "_"
	}
	return name
}

func (w *Working) stepMap() error {
	w.add(StepMap)
	return nil
}

func (w *Working) stepNodes() error {
	poly := w.polynomial()
	w.add(StepNodes, poly, w.roots(poly.Name))
	for i := range w.Unknowns {
		if i > 0 && w.Shared {
			break
		}
		s, x := w.points(&w.Unknowns[i])
		w.add(StepPoints, s, x)
	}
	return nil
}

// polynomial is the polynomial whose zeros the nodes are, in the reference variable.
func (w *Working) polynomial() *Matrix {
	o := &w.Options
	var a, b, to *big.Rat
	argument := ""
	exact := true
	switch o.Reference {
	case Unit:
		a, b, to, argument = nodes.Rat(-1, 1), nodes.Rat(2, 1), nodes.Rat(1, 1), "2"+o.Symbol+" - 1"
	case Symmetric:
		a, b, to, argument = nodes.Rat(0, 1), nodes.Rat(1, 1), nodes.Rat(1, 1), o.Symbol
	default: // t = (2 s - A - B)/(B - A), with A and B as the doubles they are
		A, B := new(big.Rat).SetFloat64(w.From), new(big.Rat).SetFloat64(w.To)
		h := new(big.Rat).Sub(B, A)
		b = new(big.Rat).Quo(nodes.Rat(2, 1), h)
		a = new(big.Rat).Quo(new(big.Rat).Neg(new(big.Rat).Add(A, B)), h)
		to, argument, exact = B, "t", A.Cmp(nodes.Rat(-1, 1)) == 0 && B.Cmp(nodes.Rat(1, 1)) == 0
		if exact {
			argument = o.Symbol
		}
	}
	q, name := o.Family.Root(o.Nodes, a, b, to, argument)
	if !exact {
		name += fmt.Sprintf(", t = (2%s - %s - %s)/%s", o.Symbol, num(w.From), num(w.To), num(w.To-w.From))
	}
	w.Root = name
	for _, c := range q {
		v, _ := c.Float64()
		w.Polynomial = append(w.Polynomial, v)
	}
	m := &Matrix{Name: "polynomial", Rows: []string{"coefficient"}, Columns: w.powerLabels(len(q)),
		Values: [][]float64{w.Polynomial}}
	m.origin = func(_, j int) Origin {
		return Origin{Formula: fmt.Sprintf("the coefficient of %s in %s", m.Columns[j], name)}
	}
	return m
}

// roots lists the nodes as the zeros of the polynomial of this name.
func (w *Working) roots(polynomial string) *Matrix {
	n := w.Options.Nodes
	inner, rows := make([][]float64, n), make([]string, n)
	for i := range inner {
		u := &w.Unknowns[0]
		inner[i] = []float64{u.S[u.Nodes[i]]}
		rows[i] = fmt.Sprint(i + 1)
	}
	m := &Matrix{Name: "roots", Rows: rows, Columns: []string{w.Options.Symbol}, Values: inner}
	m.origin = func(i, _ int) Origin {
		from := make([]Entry, len(w.Polynomial))
		value := 0.0
		for j := len(w.Polynomial) - 1; j >= 0; j-- {
			from[j] = Entry{polynomial, 0, j}
			value = value*inner[i][0] + w.Polynomial[j]
		}
		return Origin{Formula: fmt.Sprintf("zero number %d of %s", i+1, w.Root),
			Numbers: "the polynomial's value there is " + num(value), From: from}
	}
	return m
}

// points lists the points of an unknown on the reference interval and on the problem's own.
func (w *Working) points(u *Unknown) (s, x *Matrix) {
	o := &w.Options
	s = &Matrix{Name: "s" + u.Suffix, Rows: w.pointLabels(u), Columns: []string{o.Symbol}}
	x = &Matrix{Name: "x" + u.Suffix, Rows: s.Rows, Columns: []string{w.variable()}}
	for k := range u.S {
		s.Values = append(s.Values, []float64{u.S[k]})
		x.Values = append(x.Values, []float64{u.X[k]})
	}
	s.origin = func(k, _ int) Origin {
		if h := slices.Index(u.Nodes, k); h >= 0 {
			return Origin{Formula: fmt.Sprintf("node %d, a zero of the polynomial", h+1),
				From: []Entry{{"roots", h, 0}}}
		}
		switch u.S[k] {
		case w.From:
			return Origin{Formula: "the left end"}
		case w.To:
			return Origin{Formula: "the right end"}
		}
		return Origin{Formula: "an extra point between an end and its nearest node, to carry a condition",
			From: []Entry{{"roots", 0, 0}, {"roots", o.Nodes - 1, 0}}}
	}
	x.origin = func(k, _ int) Origin {
		return Origin{
			Formula: fmt.Sprintf("%s = origin + scale %s", w.variable(), o.Symbol),
			Numbers: fmt.Sprintf("%s + %s·%s = %s", num(w.Origin), num(w.Scale), factor(u.S[k]), num(u.X[k])),
			From:    []Entry{{s.Name, k, 0}},
		}
	}
	return s, x
}

// pointLabels names the points of an unknown: x = …
func (w *Working) pointLabels(u *Unknown) []string {
	out := make([]string, len(u.X))
	for i, x := range u.X {
		out[i] = w.label(x)
	}
	return out
}

// powerLabels names 1, s, s^2, …
func (w *Working) powerLabels(n int) []string {
	out := make([]string, n)
	for j := range out {
		switch j {
		case 0:
			out[j] = "1"
		case 1:
			out[j] = w.Options.Symbol
		default:
			out[j] = fmt.Sprintf("%s^%d", w.Options.Symbol, j)
		}
	}
	return out
}

// PointOf returns the place of x among the points of an unknown, -1 where it is none of them.
func (w *Working) PointOf(unknown int, x float64) int { return w.pointOf(unknown, w.reference(x)) }

func (w *Working) pointOf(unknown int, s float64) int {
	for k, v := range w.Unknowns[unknown].S {
		if math.Abs(v-s) <= 1e-14*(w.To-w.From) {
			return k
		}
	}
	return -1
}

// Valueless reports whether the equation has no value at some point whose row is left to a condition.
func (w *Working) Valueless() bool {
	for _, r := range w.lin.rhs {
		for _, v := range r {
			if math.IsNaN(v) {
				return true
			}
		}
	}
	return false
}

// Size is the number of rows of A.
func (w *Working) Size() int { return w.size }
