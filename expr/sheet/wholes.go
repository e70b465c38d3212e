package sheet

import (
	"fmt"
	"slices"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
)

// Constants that are given as a whole: M/K = 0.05 where M and K have no values of their own, ω² = 4. The whole becomes
// a constant, and it must be all that the sheet uses of its parts.

// whole is such a statement.
type whole struct {
	st    *Statement
	parts []string // names without a value
}

// findWholes looks for statements without unknowns whose left side is a formula of names that have no value.
func (r *reader) findWholes() {
	for i, st := range r.sheet.Statements {
		if st.Kind != "" || st.at > 0 || len(r.marks[i]) > 0 || r.heads[st.Name] == st {
			continue
		}
		if _, _, ok := head(st); ok {
			continue
		}
		w := whole{st: st}
		equals, fits := 0, true
		tokens := st.raw.Tokens[st.from:]
		for k, t := range tokens {
			switch {
			case isName(t) && k+1 < len(tokens) && tokens[k+1].Text == "(" && !tokens[k+1].Space &&
				!notation.IsFunction(t.Text):
				fits = false // w(1) = 0 is a condition
			case t.Kind == notation.OperatorToken && t.Text == "=":
				equals++
				fits = fits && k > 0
			case t.Kind == notation.OperatorToken && strings.Contains("+-?<>", t.Text) && equals == 0, isComparison(t):
				fits = false // L - x = 1 is no whole
			case !isName(t):
			case t.Text == r.sheet.Variable || r.names.Unknowns[t.Text] || t.Text == "in" || t.Text == "near" ||
				t.Text == "at":
				fits = false
			case r.known(t.Text) || r.names.Constants[t.Text]:
			case equals > 0:
				fits = false
			case !slices.Contains(w.parts, t.Text):
				w.parts = append(w.parts, t.Text)
			}
		}
		if !fits || equals != 1 || len(w.parts) == 0 {
			continue
		}
		for _, name := range w.parts {
			r.names.Constants[name] = true
		}
		r.wholes = append(r.wholes, w)
	}
}

// wholeParts are the names of what is given as a whole, such as E t/R^2 = 400: none of them is the variable.
func (r *reader) wholeParts() map[string]bool {
	parts := map[string]bool{}
	for i, st := range r.sheet.Statements {
		tokens := st.raw.Tokens[st.from:]
		k := slices.IndexFunc(tokens, func(t notation.Token) bool { return t.Text == "=" })
		if _, _, ok := head(st); ok || st.Kind != "" || len(r.marks[i]) > 0 || k < 2 || k+1 >= len(tokens) ||
			slices.ContainsFunc(tokens[k+1:], func(t notation.Token) bool { return isName(t) || t.Text == "=" }) ||
			slices.ContainsFunc(tokens[:k], func(t notation.Token) bool {
				return r.names.Unknowns[t.Text] || strings.Contains("+-<>", t.Text)
			}) {
			continue
		}
		for _, t := range tokens[:k] {
			parts[t.Text] = parts[t.Text] || isName(t)
		}
	}
	return parts
}

// isWhole reports whether a statement gives a constant as a whole.
func (r *reader) isWhole(st *Statement) bool {
	return slices.ContainsFunc(r.wholes, func(w whole) bool { return w.st == st })
}

// putWholes puts constants in the place of wholes.
func (r *reader) putWholes() {
	for _, w := range r.wholes {
		left := w.st.Relation.Sides[0]
		name := r.wholeName(left)
		c := &notation.Name{Sp: left.Span(), Name: name}
		for _, st := range r.sheet.Statements {
			if st == w.st || st.Relation == nil {
				continue
			}
			if part := r.putWhole(w, c, st.Relation); part != "" {
				r.leftOver(w, part, st)
				return
			}
		}
		for _, part := range w.parts {
			delete(r.names.Constants, part)
		}
		w.st.Kind, w.st.Name = KindConstant, name
		r.names.Constants[name], r.heads[name] = true, w.st
		r.note(left.Span(), "%s is one number, called %s", r.source(left.Span()), name)
		w.st.Relation.Sides[0] = c
	}
}

// putWhole puts c in the place of a whole in a relation. It returns a part of the whole that is left, or "".
func (r *reader) putWhole(w whole, c *notation.Name, rel *notation.Relation) string {
	in := r.wholeIn(w.st.Relation.Sides[0], c)
	for _, list := range [][]notation.Node{rel.Sides, rel.Range} {
		for k, n := range list {
			list[k] = notation.Rebuild(n, in)
		}
	}
	for _, part := range w.parts {
		for _, n := range append(slices.Clone(rel.Sides), rel.Range...) {
			if notation.Contains(n, named(part)) {
				return part
			}
		}
	}
	return ""
}

// leftOver explains that a sheet uses a part of what it gives as a whole only.
func (r *reader) leftOver(w whole, part string, st *Statement) {
	text := typeset.Plain(w.st.Relation.Sides[0])
	hint := fmt.Sprintf("give %s a value of its own, as in %s = 1", part, part)
	if b, ok := w.st.Relation.Sides[0].(*notation.Binary); ok && b.Op == '^' && named(part)(b.X) {
		hint = fmt.Sprintf("the sign of %s is open: write %s = … with its sign", part, part)
	}
	r.fault(w.st.Span, hint, "line %d uses %s otherwise than in %s, which is all that is given of it", line(st.Span),
		part, text)
}

// wholeName returns a name for a whole: that of its letters, as M_K for M/K and omega_sq for ω².
func (r *reader) wholeName(n notation.Node) string {
	above, below := "", ""
	for _, f := range factorsOf(n, false, nil) {
		text := ""
		notation.Walk(f.x, func(n notation.Node) bool {
			if m, ok := n.(*notation.Name); ok {
				text += strings.ReplaceAll(m.Name, "_", "")
			}
			return true
		})
		if f.below {
			below += text
		} else {
			above += text
		}
	}
	if b, ok := n.(*notation.Binary); ok && b.Op == '^' {
		below = "sq"
	}
	if above == "" {
		above = "C"
	}
	name := above
	if below != "" {
		name += "_" + below
	}
	return r.freeName(name)
}

// factor is a factor of a product, below the fraction bar or not.
type factor struct {
	x     notation.Node
	below bool
}

// factorsOf takes a product or quotient apart.
func factorsOf(n notation.Node, below bool, list []factor) []factor {
	if b, ok := n.(*notation.Binary); ok && (b.Op == '*' || b.Op == '/') {
		list = factorsOf(b.X, below, list)
		return factorsOf(b.Y, below != (b.Op == '/'), list)
	}
	return append(list, factor{n, below})
}

// wholeIn returns what puts c in the place of a whole in a tree.
func (r *reader) wholeIn(left notation.Node, c *notation.Name) func(n notation.Node) notation.Node {
	want := factorsOf(left, false, nil)
	base, power := notation.Node(nil), 0.0
	if b, ok := left.(*notation.Binary); ok && b.Op == '^' {
		if k, ok := b.Y.(*notation.Number); ok {
			base, power = b.X, k.Value
		}
	}
	var replace func(n notation.Node) notation.Node
	replace = func(n notation.Node) notation.Node {
		b, ok := n.(*notation.Binary)
		switch {
		case notation.Equal(n, left):
			return c
		case !ok:
			return nil
		case b.Op == '^' && base != nil && notation.Equal(b.X, base):
			if k, ok := b.Y.(*notation.Number); ok && k.Value/power == float64(int(k.Value/power)) {
				return &notation.Binary{Sp: b.Sp, Op: '^', X: c, Y: &notation.Number{Sp: b.Sp, Value: k.Value / power,
					Text: fmt.Sprint(k.Value / power)}}
			}
			return nil
		case b.Op != '*' && b.Op != '/' || len(want) < 2:
			return nil
		}
		rest := factorsOf(n, false, nil)
		for _, f := range want {
			i := slices.IndexFunc(rest, func(g factor) bool { return f.below == g.below && notation.Equal(f.x, g.x) })
			if i < 0 {
				return nil
			}
			rest = slices.Delete(rest, i, i+1)
		}
		var out notation.Node = c
		for _, f := range rest {
			op := byte('*')
			if f.below {
				op = '/'
			}
			out = &notation.Binary{Sp: n.Span(), Op: op, X: out, Y: notation.Rebuild(f.x, replace)}
		}
		return out
	}
	return replace
}
