package script

import (
	"fmt"

	"nodespan/expr/lesson"
	"nodespan/expr/notation"
	"nodespan/solver/working"
)

// This file writes the interval, the points and the matrices of powers.

// point prints a point of the problem: as a formula of constants where the sheet gives one, else as a number.
func (w *writer) point(x float64) string {
	var trees []notation.Node
	ends := w.l.Sheet.EndFormulas()
	trees = append(trees, ends[:]...)
	for _, c := range w.l.Sheet.ConditionFormulas() {
		notation.Walk(c, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok && j.At != nil {
				trees = append(trees, j.At)
			}
			return true
		})
	}
	for _, n := range trees {
		if n == nil {
			continue
		}
		if v := w.value(n); v == x {
			return w.formula(n)
		}
	}
	return number(x)
}

func (w *writer) interval() {
	s, sh := w.w.Options.Symbol, w.l.Sheet
	x := sh.Variable
	as := ""
	if x != "x" {
		as = fmt.Sprintf(" (x here is %s of the sheet)", x)
	}
	switch w.w.Options.Reference {
	case working.Own:
		w.say("The interval; the powers are those of %s itself.%s", x, as)
	default:
		w.say("The interval, mapped to %s from %s to %s by %s = origin + scale*%s: each derivative by %s brings a "+
			"factor 1/scale.%s",
			s, number(w.w.From), number(w.w.To), x, s, x, as)
	}
	w.line("left = %s", w.point(w.p.A))
	w.line("right = %s", w.point(w.p.B))
	switch w.w.Options.Reference {
	case working.Unit:
		w.line("origin = left")
		w.line("scale = right - left")
	case working.Symmetric:
		w.line("origin = (left + right)/2")
		w.line("scale = (right - left)/2")
	default:
		w.line("origin = 0")
		w.line("scale = 1")
	}
	w.gap()
}

func (w *writer) from() string {
	if w.w.Options.Reference == working.Own {
		return "left"
	}
	return number(w.w.From)
}

func (w *writer) to() string {
	if w.w.Options.Reference == working.Own {
		return "right"
	}
	return number(w.w.To)
}

func (w *writer) nodes() {
	n := w.w.Options.Nodes
	w.say("The nodes: zeros of %s.", w.w.Root)
	w.line("n = %d", n)
	switch p := w.w.Options.Family.Program(); {
	case p.Nodes != "":
		w.line("j = %s", w.count[0])
		w.line("nodes = %s", w.ofNodes(p.Nodes))
	default:
		w.say("They are the eigenvalues of the matrix of its recurrence.")
		w.line("j = %s", w.count[1])
		w.line("beta = %s", w.ofNodes(p.Beta))
		matrix := fmt.Sprintf(w.offDiagonal, "beta", 1) + " + " + fmt.Sprintf(w.offDiagonal, "beta", -1)
		if p.Alpha != "" {
			w.line("j = %s", w.count[2])
			w.line("alpha = %s", w.ofNodes(p.Alpha))
			matrix = w.diagonal + "(alpha) + " + matrix
		}
		w.line("nodes = %s", fmt.Sprintf(w.eigenvalues, matrix))
	}
	switch w.w.Options.Reference {
	case working.Unit:
		w.line("roots = %s", w.ofVector("(1 + s)/2", "s", "nodes"))
	case working.Symmetric:
		w.line("roots = nodes")
	default:
		w.line("roots = %s", w.ofVector("left + (right - left)*(1 + s)/2", "s", "nodes"))
	}
	polynomial := w.monic
	if leading := number(w.w.Polynomial[len(w.w.Polynomial)-1]); leading != "1" {
		polynomial = fmt.Sprintf(w.polynomial, leading)
	}
	w.line("polynomial = %s", polynomial)
	w.gap()
}

// ofVector prints a formula of numbers of the program's own and one vector, by the name that this has in the program.
func (w *writer) ofVector(formula, vector, as string) string {
	names := &notation.Names{Constants: map[string]bool{vector: true}}
	for _, name := range []string{"n", "left", "right", "origin", "scale"} {
		names.Constants[name] = true
	}
	n, err := notation.ParseExpr(formula, names)
	if err != nil {
		panic("script: " + formula + ": " + err.Error()) // every one is read by a test
	}
	text, err := w.CodeOfVector(n, vector, func(n notation.Node) string {
		switch name := n.(*notation.Name).Name; {
		case name == vector:
			return as
		case names.Constants[name]:
			return name // whatever the language calls so
		}
		return ""
	})
	if err != nil {
		panic("script: " + formula + ": " + err.Error())
	}
	return text
}

// place prints the points of the problem for a vector of points of the reference interval.
//
//go:noinline
func (w *writer) place(vector string) string { return w.ofVector("origin + scale*s", "s", vector) }

// ofNodes prints a formula of the numbers j of the nodes.
//
//go:noinline
func (w *writer) ofNodes(formula string) string { return w.ofVector(formula, "j", "j") }

// own lists the unknowns with matrices of their own, with the highest derivative they need.
func (w *writer) own() (us []*working.Unknown, orders []int) {
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		if w.w.Shared && i > 0 {
			orders[0] = max(orders[0], u.Order)
			continue
		}
		us, orders = append(us, u), append(orders, u.Order)
	}
	return us, orders
}

func (w *writer) matrices() {
	us, orders := w.own()
	for i, u := range us {
		f := u.Suffix
		of := ""
		if f != "" {
			of = " of " + u.Name
		}
		var parts []string
		nl := u.Nodes[0]
		nr := len(u.S) - nl - len(u.Nodes)
		for k := range nl {
			parts = append(parts, w.carrier(w.from(), w.first, k, nl))
		}
		w.say("The points%s: the nodes, and points whose rows the conditions take: %s.", of, w.ends(u))
		left := parts
		var right []string
		for k := nr - 1; k >= 0; k-- {
			right = append(right, w.carrier(w.to(), w.last, k, nr))
		}
		w.line("s%s = %s", f, w.concat(left, "roots", right))
		w.line("x%s = %s", f, w.place("s"+f))
		w.gap()
		w.say("V: the powers of %s at the points; its inverse; derivatives of the powers; derivative matrices.",
			w.w.Options.Symbol)
		N := len(u.S)
		w.line("V%s = powers(s%s, 0, %d)", f, f, N)
		w.line("V_inv%s = %s(V%s)", f, w.inverse, f)
		for d := 1; d <= orders[i]; d++ {
			w.line("V%d%s = powers(s%s, %d, %d)", d, f, f, d, N)
		}
		for d := 1; d <= orders[i]; d++ {
			scale := "/scale"
			if d > 1 {
				scale += fmt.Sprintf("%s%d", w.power, d)
			}
			w.line("D%d%s = %s%s", d, f, w.productOf(fmt.Sprintf("V%d%s", d, f), "V_inv"+f), scale)
		}
		w.gap()
	}
	if !w.w.Shared {
		w.say("The equations are written at the nodes.")
		w.line("x = %s", w.place("roots"))
		w.gap()
	}
}

// ends says where the points are whose rows the conditions take.
func (w *writer) ends(u *working.Unknown) string {
	ends, between := lesson.Ends(w.w, u)
	if between > 0 {
		ends += ", and between an end and its nearest node"
	}
	return ends
}

// carrier prints the k-th of count carriers, counted from an end.
func (w *writer) carrier(end, node string, k, count int) string {
	if k == 0 {
		return end
	}
	part := fmt.Sprintf("*%d/%d", k, count)
	if k == 1 {
		part = fmt.Sprintf("/%d", count)
	}
	return fmt.Sprintf("%s + (%s - %s)%s", end, node, end, part)
}
