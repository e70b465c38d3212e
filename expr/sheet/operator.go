package sheet

import (
	"strconv"

	"nodespan/expr/notation"
)

// The operator form (D^2 + 2 D + 5) y = x: D stands for the derivative where the sheet gives it no value and it stands
// before what it differentiates.

const operatorName = "D"

// operatorMarks returns the unknowns that D stands before in a statement, as derivative marks.
func (r *reader) operatorMarks(st *Statement) []notation.Mark {
	var marks []notation.Mark
	t := st.raw.Tokens
	for i := 0; i < len(t); i++ {
		if !isName(t[i]) || t[i].Text != operatorName {
			continue
		}
		k, order := i+1, 1
		if k+1 < len(t) && t[k].Text == "^" {
			if t[k+1].Text == "{" && k+3 < len(t) && t[k+3].Text == "}" {
				order, _ = strconv.Atoi(t[k+2].Text)
				k += 4
			} else {
				order, _ = strconv.Atoi(t[k+1].Text)
				k += 2
			}
		}
		// What D stands before, or the brackets that it stands in.
		for depth := open(t[:k]); k < len(t) && (depth > 0 || t[k].Kind == notation.OpenToken); k++ {
			switch t[k].Kind {
			case notation.OpenToken:
				depth++
			case notation.CloseToken:
				depth--
			}
		}
		if k < len(t) && (!isName(t[k]) || t[k].Text == operatorName) {
			continue
		}
		if k < len(t) && !notation.IsFunction(t[k].Text) && !builtin[t[k].Text] && order > 0 {
			marks = append(marks, notation.Mark{Unknown: t[k].Text, Order: order, Sp: join(t[i].Sp, t[k].Sp)})
		}
	}
	return marks
}

// open returns how many brackets are open behind the tokens.
func open(t []notation.Token) int {
	depth := 0
	for _, one := range t {
		switch one.Kind {
		case notation.OpenToken:
			depth++
		case notation.CloseToken:
			depth--
		}
	}
	return depth
}

// findOperator looks for D as an operator: the sheet gives it no value, and derivatives are written in no other way in
// the equation.
func (r *reader) findOperator(left map[string]bool) {
	if left[operatorName] {
		return
	}
	for i, st := range r.sheet.Statements {
		if st.Kind != "" || len(r.marks[i]) > 0 {
			continue
		}
		if marks := r.operatorMarks(st); len(marks) > 0 {
			r.marks[i] = marks
			r.operator = true
			r.note(marks[0].Sp, "D is read as the derivative")
		}
	}
	if r.operator {
		r.names.Constants[operatorName] = true
	}
}

// operate carries out D in a formula.
func (r *reader) operate(n notation.Node) notation.Node {
	if notation.Find(n, named(operatorName)) == nil {
		return n
	}
	switch n := n.(type) {
	case *notation.Negate:
		return &notation.Negate{Sp: n.Sp, X: r.operate(n.X)}
	case *notation.Binary:
		if n.Op != '*' {
			return &notation.Binary{Sp: n.Sp, Op: n.Op, X: r.operate(n.X), Y: r.operate(n.Y)}
		}
		factors := []notation.Node{n.Y}
		x := n.X
		for {
			b, ok := x.(*notation.Binary)
			if !ok || b.Op != '*' {
				break
			}
			factors, x = append(factors, b.Y), b.X
		}
		factors = append(factors, x)
		out := r.operate(factors[0])
		for _, f := range factors[1:] {
			out = r.apply(f, out, maxOrder)
		}
		return out
	}
	r.fault(n.Span(), "write D y or (D^2 + 4) y", "the operator D stands before nothing that it could differentiate")
	return n
}

// apply applies a polynomial in D to a formula.
func (r *reader) apply(p, to notation.Node, most int) notation.Node {
	sp := join(p.Span(), to.Span())
	if notation.Find(p, named(operatorName)) == nil {
		return &notation.Binary{Sp: sp, Op: '*', X: p, Y: to}
	}
	switch p := p.(type) {
	case *notation.Name:
		switch to := to.(type) {
		case *notation.Jet:
			if to.At == nil {
				return &notation.Jet{Sp: sp, Name: to.Name, Order: to.Order + 1}
			}
		case *notation.Diff:
			return &notation.Diff{Sp: sp, Order: to.Order + 1, X: to.X}
		}
		return &notation.Diff{Sp: sp, Order: 1, X: to}
	case *notation.Negate:
		return &notation.Negate{Sp: sp, X: r.apply(p.X, to, most)}
	case *notation.Binary:
		switch p.Op {
		case '+', '-':
			return &notation.Binary{Sp: sp, Op: p.Op, X: r.apply(p.X, to, most), Y: r.apply(p.Y, to, most)}
		case '*':
			return r.apply(p.X, r.apply(p.Y, to, most), most)
		case '/':
			if notation.Find(p.Y, named(operatorName)) == nil {
				return &notation.Binary{Sp: sp, Op: '/', X: r.apply(p.X, to, most), Y: p.Y}
			}
		case '^':
			if k, ok := p.Y.(*notation.Number); ok && k.Value == float64(int(k.Value)) && k.Value >= 1 &&
				int(k.Value) <= most {
				for range int(k.Value) {
					to = r.apply(p.X, to, most/int(k.Value))
				}
				return to
			}
		}
	}
	r.fault(p.Span(), "write the derivatives out with primes", "this is no polynomial in the operator D")
	return to
}
