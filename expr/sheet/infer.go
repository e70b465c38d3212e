package sheet

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/words"
)

// infer puts into words everything that the sheet does not say outright: the variable, the
// unknowns and the interval, then the rest in the order of the text.
func (r *reader) infer() {
	earlier := r.sheet.Inferences
	r.sheet.Inferences = nil
	r.inferNames()
	r.inferInterval()
	first := len(r.sheet.Inferences)
	r.sheet.Inferences = append(r.sheet.Inferences, earlier...)
	r.inferConstants()
	r.inferNotation()
	r.inferUnits()
	r.inferSought()
	r.inferBreaks()
	in := r.sheet.Inferences
	rest := in[first:]
	sort.SliceStable(rest, func(i, j int) bool { return rest[i].Span.From.Offset < rest[j].Span.From.Offset })
	// One sentence may have arisen at several places.
	seen := map[string]bool{}
	r.sheet.Inferences = slices.DeleteFunc(in, func(i Inference) bool {
		again := seen[i.Text]
		seen[i.Text] = true
		return again
	})
}

// Summary tells in a line what the inferences begin with: "x from 0 to 0.24 · T, order 2 · 4 constants".
func (s *Sheet) Summary() string {
	var parts []string
	for _, u := range s.Unknowns {
		parts = append(parts, fmt.Sprintf("%s, order %d", u.Name, u.Order))
	}
	unknowns := strings.Join(parts, "; ")
	if len(parts) > 4 {
		unknowns = words.Count(len(parts), "unknown")
	}
	text := fmt.Sprintf("%s from %s to %s · %s", s.Variable, number(s.A), number(s.B), unknowns)
	if n := len(s.Constants); n > 0 {
		text += " · " + words.Count(n, "constant")
	}
	if len(s.Sought) > 0 {
		var sought []string
		for _, p := range s.Sought {
			sought = append(sought, p.Name)
		}
		text += " · " + list(sought) + " sought"
	}
	return text
}

func (r *reader) inferNames() {
	at := r.variableAt
	if at == (notation.Span{}) {
		at = r.model.equations[0].span
	}
	r.plain(at, "%s", r.variableFrom)
	var parts []string
	for _, u := range r.sheet.Unknowns {
		parts = append(parts, fmt.Sprintf("%s (order %d)", u.Name, u.Order))
	}
	noun := "the unknown is "
	if len(parts) > 1 {
		noun = "the unknowns are "
	}
	r.plain(r.firstSpan(r.sheet.Unknowns[0].Name), "%s%s", noun, list(parts))
}

func (r *reader) inferInterval() {
	m, x := r.model, r.sheet.Variable
	runs := fmt.Sprintf("%s runs from %s to %s", x, number(r.sheet.A), number(r.sheet.B))
	if m.domain == nil {
		r.plain(m.conditions[0].span, "%s, taken from the conditions", runs)
		return
	}
	strict := slices.ContainsFunc(m.domain.Relation.Ops, func(op string) bool { return len(op) == 1 })
	switch {
	case m.ends[0] == nil || m.ends[1] == nil:
		r.plain(m.domain.Span, "%s, as the conditions need", runs)
	case strict:
		r.plain(m.domain.Span, "%s, ends included", runs)
	}
}

func (r *reader) inferConstants() {
	// The constants of one line share a sentence.
	var parts []string
	var at notation.Span
	tell := func() {
		if len(parts) > 0 {
			text := fmt.Sprintf("%s from line %d", list(parts), line(at))
			r.sheet.Inferences = append(r.sheet.Inferences, Inference{Text: text, Span: at, Constants: true,
				Plain: true})
		}
		parts = nil
	}
	for _, c := range r.sheet.Constants {
		switch {
		case r.model.set[c.Name] != nil:
			r.note(c.Span, "%s is set to %s in place of %s", c.Name, number(c.Value), r.source(c.ValueSpan))
		case len(parts) > 0 && line(c.Span) == line(at):
			parts, at = append(parts, c.Name+" as "+number(c.Value)), join(at, c.Span)
		default:
			tell()
			parts, at = []string{c.Name + " is taken as " + number(c.Value)}, c.Span
		}
	}
	tell()
	used := r.namesUsed()
	for _, st := range r.sheet.Statements {
		if (st.Kind == KindConstant || st.Kind == KindAbbreviation) && !used[st.Name] {
			r.note(st.Span, "%s is not used", st.Name)
		}
	}
	r.each(func(n notation.Node) {
		switch n := n.(type) {
		case *notation.Name:
			if n.Name == "e" && r.model.declarations["e"] == nil {
				r.note(n.Sp, "e is taken as Euler's number 2.718…")
			}
		case *notation.Diff:
			if name, ok := n.X.(*notation.Name); ok && slices.Contains(r.model.order, name.Name) {
				r.note(n.Sp, "%s is a constant, so %s is 0", name.Name, r.source(n.Sp))
			}
		}
	})
}

// namesUsed returns the names that any statement uses on its right, in its range or in its points.
func (r *reader) namesUsed() map[string]bool {
	used := map[string]bool{}
	for _, st := range r.sheet.Statements {
		trees := slices.Clone(st.Relation.Sides)
		if st.Kind == KindConstant || st.Kind == KindAbbreviation {
			trees = trees[1:]
		}
		trees = append(trees, st.Relation.Range...)
		if st.Relation.Near != nil {
			trees = append(trees, st.Relation.Near)
		}
		for _, tree := range trees {
			notation.Walk(tree, func(n notation.Node) bool {
				switch n := n.(type) {
				case *notation.Name:
					used[n.Name] = used[n.Name] || n.Name != st.Name
				case *notation.Call:
					used[n.Func] = true
				}
				return true
			})
		}
	}
	return used
}

// each calls f for every node of every statement as written.
func (r *reader) each(f func(notation.Node)) {
	for _, st := range r.sheet.Statements {
		trees := append(slices.Clone(st.Relation.Sides), st.Relation.Range...)
		if st.Relation.Near != nil {
			trees = append(trees, st.Relation.Near)
		}
		for _, tree := range trees {
			notation.Walk(tree, func(n notation.Node) bool { f(n); return true })
		}
	}
}

// inferNotation tells how ambiguous writing was read.
func (r *reader) inferNotation() {
	for _, st := range r.sheet.Statements {
		for _, remark := range st.Relation.Remarks {
			if remark.Unit == "" {
				r.note(remark.Sp, "%s", remark.Text)
			}
		}
	}
	r.each(func(n notation.Node) {
		if p, ok := n.(*notation.Binary); ok {
			r.inferProduct(p)
		}
	})
}

// inferProduct tells of a product without a sign after a quotient, as in 1/x y'.
func (r *reader) inferProduct(n *notation.Binary) {
	x, y := n.X.Span(), n.Y.Span()
	if n.Op != '*' || y.From.Offset <= x.To || y.From.Offset > len(r.text) {
		return
	}
	q, ok := n.X.(*notation.Binary)
	if !ok || q.Op != '/' || strings.TrimSpace(r.text[x.To:y.From.Offset]) != "" {
		return
	}
	if text := r.source(x); strings.Contains(text, "/") && !strings.HasPrefix(text, "(") {
		r.note(n.Sp, "%s is read as (%s)·%s", r.source(n.Sp), text, r.source(y))
	}
}

func (r *reader) inferSought() {
	for _, s := range r.model.sought {
		switch {
		case r.sheet.Eigenvalue:
			r.note(s.span, "everything is linear and homogeneous, so %s stands for the eigenvalues", s.name)
		default:
			r.note(s.span, "%s is found together with %s", s.name, list(r.order))
		}
	}
}

func (r *reader) inferBreaks() {
	m, n := r.model, r.model.base
	r.inferImpulses()
	for _, b := range n.found {
		what := "jumps"
		if b.kink {
			what = "bends"
		}
		r.note(b.span, "%s %s at %s = %s, which is taken as a break", r.source(b.span), what, r.sheet.Variable,
			number(b.x))
	}
	for _, at := range n.many {
		r.note(at, "%s switches at more than %d places, which are not taken as breaks", r.source(at), maxFound)
	}
	if len(n.breaks) > 0 && m.quantities != nil {
		for _, e := range m.equations {
			if hasDiff(e.left) || hasDiff(e.right) {
				d := notation.Find(&notation.Binary{Op: '-', X: e.left, Y: e.right},
					func(n notation.Node) bool { _, ok := n.(*notation.Diff); return ok }).(*notation.Diff)
				if text := r.source(d.X.Span()); text != "" {
					r.note(d.Sp, "%s stays continuous across a break", text)
				}
			}
		}
	}
}
