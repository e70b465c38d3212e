package typeset

import (
	"strings"

	"nodespan/expr/function"
	"nodespan/expr/notation"
	"nodespan/solver/table/greek"
)

// LaTeX prints a tree as LaTeX mathematics (without dollars), with commands of amsmath.
//
//go:noinline
func LaTeX(n notation.Node) string { return latex(n, false) }

// LaTeXRelation prints a statement as LaTeX mathematics. A choice that is a whole side after a sign is set as cases.
func LaTeXRelation(r *notation.Relation) string {
	var b strings.Builder
	for i, side := range r.Sides {
		if i > 0 {
			b.WriteString(" " + latexRelation(r.Ops[i-1]) + " ")
			if lines := branches(side); lines != nil && r.Ops[i-1] == "=" {
				b.WriteString(latexCases(lines))
				continue
			}
		}
		b.WriteString(LaTeX(side))
	}
	if r.Sought {
		b.WriteString(" = ?")
	}
	if r.Near != nil {
		b.WriteString(` \text{ near } ` + LaTeX(r.Near))
	}
	if len(r.Range) == 2 {
		if len(r.Sides) > 0 {
			b.WriteString(` \in `)
		}
		open, end := interval(r)
		b.WriteString(latexBrackets(open, LaTeX(r.Range[0])+", "+LaTeX(r.Range[1]), end))
	}
	return b.String()
}

func latexRelation(op string) string {
	switch op {
	case "<=":
		return `\le`
	case ">=":
		return `\ge`
	}
	return op
}

func latexCases(lines []branch) string {
	var b strings.Builder
	b.WriteString(`\begin{cases} `)
	for i, l := range lines {
		if i > 0 {
			b.WriteString(` \\ `)
		}
		b.WriteString(LaTeX(l.value) + " & ")
		if l.cond != nil {
			b.WriteString(LaTeX(l.cond))
		} else {
			b.WriteString(`\text{otherwise}`)
		}
	}
	b.WriteString(` \end{cases}`)
	return b.String()
}

// latex prints a node; inExponent says that it stands in one, where small fractions are set on one line.
func latex(n notation.Node, inExponent bool) string {
	switch n := n.(type) {
	case *notation.Number:
		if negative(n) {
			return "-" + digits(n)
		}
		return digits(n)
	case *notation.Name:
		return greek.LaTeX(n.Name)
	case *notation.Jet:
		s := greek.LaTeX(n.Name) + primes(n.Order)
		if n.At != nil {
			s += latexBrackets("(", latex(n.At, inExponent), ")")
		}
		return s
	case *notation.Diff:
		s := latexBrackets("(", latex(n.X, inExponent), ")") + primes(n.Order)
		if n.At != nil {
			s += latexBrackets("(", latex(n.At, inExponent), ")")
		}
		return s
	case *notation.Call:
		return latexCall(n, "", inExponent)
	case *notation.Negate:
		return "-" + latexBracket(stackedLevel(n.X) <= levelSign, n.X, inExponent)
	case *notation.Compare:
		return latex(n.X, inExponent) + " " + latexRelation(n.Op) + " " + latex(n.Y, inExponent)
	case *notation.Binary:
		return latexBinary(n, inExponent)
	}
	return ""
}

func latexBinary(n *notation.Binary, inExponent bool) string {
	switch n.Op {
	case '+', '-':
		return latex(n.X, inExponent) + " " + string(n.Op) + " " + latexBracket(level(n.Y) <= levelSign, n.Y,
			inExponent)
	case '*':
		right := bracketsRight(n.Y, true)
		sign := `\,`
		if joinOf(n.X, n.Y, true) == joinDot {
			sign = ` \cdot `
		}
		return latexBracket(stackedLevel(n.X) < levelProduct, n.X, inExponent) + sign + latexBracket(right, n.Y,
			inExponent)
	case '/':
		return `\frac{` + latex(n.X, inExponent) + "}{" + latex(n.Y, inExponent) + "}"
	}
	if raised(n.X, n.Y) {
		return latexCall(n.X.(*notation.Call), "^{"+latex(n.Y, true)+"}", inExponent)
	}
	exponent := latex(n.Y, true)
	if small(n.Y) {
		q := n.Y.(*notation.Binary)
		exponent = latex(q.X, true) + "/" + latex(q.Y, true)
	}
	return latexBracket(bracketsBase(n.X), n.X, inExponent) + "^{" + exponent + "}"
}

// latexCall prints a function applied, with power between its name and its arguments.
func latexCall(n *notation.Call, power string, inExponent bool) string {
	args := make([]string, len(n.Args))
	for i, a := range n.Args {
		args[i] = latex(a, inExponent)
	}
	if len(args) == 1 {
		x := args[0]
		switch n.Func {
		case "sqrt":
			return `\sqrt{` + x + "}"
		case "cbrt":
			return `\sqrt[3]{` + x + "}"
		case "abs":
			// Bars look the same on both sides, so they do not nest.
			if !notation.Contains(n.Args[0], func(n notation.Node) bool {
				c, ok := n.(*notation.Call)
				return ok && c.Func == "abs"
			}) {
				return `\left|` + x + `\right|`
			}
		}
	}
	if integrates(n) {
		bounds := ""
		if len(args) == 3 {
			bounds = "_{" + args[1] + "}^{" + args[2] + "}"
		}
		return `\int` + bounds + " " + latexBracket(level(n.Args[0]) <= levelSign, n.Args[0], inExponent) + `\,d` +
			greek.LaTeX(n.By)
	}
	if f, order, _, ok := derived(n); ok {
		above := "_{" + digits(order) + "}"
		if f.Primes {
			above = primes(int(order.Value))
		}
		return f.LaTeX + above + power + latexBrackets("(", args[1], ")")
	}
	name := greek.LaTeX(n.Func) // an abbreviation of the sheet
	if f, ok := function.ByName(n.Func); ok {
		name = f.LaTeX
	}
	return name + power + latexBrackets("(", strings.Join(args, ", "), ")")
}

func latexBracket(bracket bool, n notation.Node, inExponent bool) string {
	if !bracket {
		return latex(n, inExponent)
	}
	return latexBrackets("(", latex(n, inExponent), ")")
}

// latexBrackets sets text in brackets, which grow where it is more than one line high.
func latexBrackets(open, text, end string) string {
	for _, tall := range []string{`\frac`, `\sqrt`, `\left`} {
		if strings.Contains(text, tall) {
			return `\left` + open + text + `\right` + end
		}
	}
	return open + text + end
}
