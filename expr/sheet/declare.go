package sheet

import (
	"slices"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
)

// This stage sorts the declared names into constants, abbreviations and sought parameters, in the
// order of their dependence, and puts abbreviations in where they are used.

// declaration is a declared name with its formula.
type declaration struct {
	st   *Statement
	args []string // of an abbreviation with an argument list
	// body is the formula with abbreviations put in; of a constant it holds only other constants.
	body notation.Node
	// uses are the constants that the formula needs, directly or through others.
	moving bool
	state  int // of the search: 0 not seen, 1 under way, 2 done
}

func (r *reader) declare() {
	r.model = &model{variable: r.sheet.Variable, layered: r.layered, declarations: map[string]*declaration{},
		set: map[string]notation.Node{}}
	r.sheet.model = r.model
	for _, st := range r.sheet.Statements {
		switch st.Kind {
		case KindSought:
			p := bvp.Parameter{Name: st.Name}
			r.sheet.Sought = append(r.sheet.Sought, p)
			r.model.sought = append(r.model.sought, soughtParameter{name: st.Name, near: st.Relation.Near,
				span: st.Span})
		case KindConstant:
			r.model.declarations[st.Name] = &declaration{st: st, args: st.args}
		}
	}
	for _, st := range r.sheet.Statements {
		if st.Kind == KindConstant {
			r.resolve(st.Name, nil)
		}
	}
	if len(r.errs) > 0 {
		return
	}
	for _, st := range r.sheet.Statements {
		d := r.model.declarations[st.Name]
		if st.Kind != KindConstant || d == nil {
			continue
		}
		if d.moving || d.args != nil {
			st.Kind = KindAbbreviation
			if st.Relation.Range != nil {
				r.fault(st.Span, "", "only a constant has a range, and %s changes with %s", st.Name,
					r.whatMoves(d.body))
			}
		}
	}
}

// whatMoves names what an abbreviation depends on.
func (r *reader) whatMoves(body notation.Node) string {
	n := notation.Find(body, r.isMoving)
	switch n := n.(type) {
	case *notation.Jet:
		return n.Name
	case *notation.Name:
		return n.Name
	}
	return "its argument"
}

// isMoving reports whether a node changes with the variable, the unknowns or a sought parameter.
func (r *reader) isMoving(n notation.Node) bool {
	switch n := n.(type) {
	case *notation.Jet, *notation.Diff:
		return true
	case *notation.Name:
		return n.Name == r.sheet.Variable || r.model.soughtIndex(n.Name) >= 0
	}
	return false
}

// resolve works out a declaration after everything it depends on. path holds the names on the way.
func (r *reader) resolve(name string, path []string) {
	d := r.model.declarations[name]
	if d == nil || d.state == 2 {
		return
	}
	if d.state == 1 {
		cycle := append(path[slices.Index(path, name):], name)
		if len(cycle) == 2 {
			r.fault(d.st.Span, "give "+name+" a value", "%s depends on itself", name)
		} else {
			r.fault(d.st.Span, "give one of them a value", "%s depends on itself: %s", name, strings.Join(cycle, " → "))
		}
		d.state = 2
		return
	}
	d.state = 1
	path = append(path, name)
	if len(path) > maxChain {
		r.fault(d.st.Span, "put some of them together", "more than %d names depend on each other in a row", maxChain)
		d.state = 2
		return
	}
	body := d.st.Relation.Sides[1]
	var needs []string // collected first, so that the recursion below does not stand on that of the walk
	collect := func(n notation.Node) bool {
		switch n := n.(type) {
		case *notation.Name:
			if !slices.Contains(d.args, n.Name) {
				needs = append(needs, n.Name)
			}
		case *notation.Call:
			needs = append(needs, n.Func)
		}
		return true
	}
	notation.Walk(body, collect)
	for _, end := range d.st.Relation.Range {
		notation.Walk(end, collect)
	}
	for _, need := range needs {
		r.resolve(need, path)
	}
	d.body = body
	if len(r.errs) == 0 {
		if at := notation.Find(body, pointJet); at != nil {
			r.fault(at.Span(), "", "the value of an unknown at a point cannot be part of %s", name)
		}
		d.body = r.inline(body)
		d.moving = d.args != nil || notation.Find(d.body, r.isMoving) != nil
		if !d.moving {
			r.model.order = append(r.model.order, name)
		}
	}
	d.state = 2
}

// inline puts abbreviations in.
func (r *reader) inline(n notation.Node) notation.Node {
	budget := maxSize
	out := r.inlineWithin(n, &budget)
	if budget < 0 || out != n && size(out) > maxSize {
		r.fault(n.Span(), "shorten the abbreviations", "this formula grows too long when its abbreviations are put in")
		return n
	}
	return out
}

func (r *reader) inlineWithin(n notation.Node, budget *int) notation.Node {
	var replace func(n notation.Node) notation.Node
	replace = func(n notation.Node) notation.Node {
		if *budget--; *budget < 0 {
			return n
		}
		switch n := n.(type) {
		case *notation.Name:
			if d := r.model.declarations[n.Name]; d != nil && d.moving {
				*budget -= size(d.body)
				return d.body
			}
		case *notation.Call:
			d := r.model.declarations[n.Func]
			if d == nil || d.args == nil || len(d.args) != len(n.Args) {
				return nil
			}
			*budget -= size(d.body)
			if *budget < 0 {
				return n
			}
			values := make([]notation.Node, len(n.Args))
			for i, a := range n.Args {
				values[i] = notation.Rebuild(a, replace)
				*budget -= size(values[i])
			}
			if *budget < 0 {
				return n
			}
			return r.substitute(d, values, n.Sp, budget)
		}
		return nil
	}
	return notation.Rebuild(n, replace)
}

// substitute returns the body of an abbreviation with values for its arguments. Where the
// argument is the variable and the value is not, the unknowns are taken at that value too.
func (r *reader) substitute(d *declaration, values []notation.Node, call notation.Span, budget *int) notation.Node {
	var at notation.Node
	for i, a := range d.args {
		if a == r.sheet.Variable && !named(a)(values[i]) {
			at = values[i]
		}
	}
	replace := func(n notation.Node) notation.Node {
		switch n := n.(type) {
		case *notation.Name:
			if i := slices.Index(d.args, n.Name); i >= 0 {
				*budget -= size(values[i])
				return values[i]
			}
		case *notation.Jet:
			if i := slices.Index(d.args, n.Name); i >= 0 && n.At == nil {
				*budget -= size(values[i])
				if j, ok := values[i].(*notation.Jet); ok {
					c := *j
					c.Order += n.Order
					return &c
				}
				if n.Order == 0 {
					return values[i]
				}
				return &notation.Diff{Sp: call, Order: n.Order, X: values[i]}
			}
			if n.At == nil && at != nil {
				c := *n
				c.At = at
				return &c
			}
		}
		return nil
	}
	return notation.Rebuild(d.body, replace)
}

// expand carries out the derivatives of expressions.
//
//go:noinline
func (r *reader) expand(n notation.Node) notation.Node {
	return notation.Rebuild(n, func(n notation.Node) notation.Node {
		d, ok := n.(*notation.Diff)
		if !ok {
			return nil
		}
		x := r.expand(d.X)
		for range min(d.Order, maxOrder+1) {
			x = tape.Total(x, r.sheet.Variable)
			if size(x) > maxSize {
				r.fault(d.Sp, "shorten the expression", "this derivative grows too long when it is carried out")
				return x
			}
		}
		if d.At != nil {
			return r.takenAt(x, d.At, nil)
		}
		return x
	})
}

// maxChain is how many names may depend on each other in a row.
const maxChain = 200

// maxOrder is the highest derivative of an unknown that the solver takes.
const maxOrder = 8
