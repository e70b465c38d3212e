package sheet

import (
	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
)

// Balances: where an equation is written with derivatives of expressions, what stands under the
// outermost derivative is continuous whatever its factors do.
//
// An equation of the form
//
//	c·(D^N X_N + D^(N-1) X_(N-1) + … + D X_1) = terms without such derivatives
//
// is an N-fold balance of
//
//	Q_N = X_N,  Q_k = D Q_(k+1) + X_k  (k = N-1 … 1),  and c·D Q_1 is bounded,
//
// so Q_1 … Q_N are continuous across a break: of (EI v'')'' + (P v')' = w the moment EI v'' and
// the shear force (EI v'')' + P v'. They take the places of the derivatives of orders m-N … m-1 of
// the unknown of order m that Q_N brings along.

// balance finds what is continuous across breaks, for each entry of the state, and leaves
// quantities nil where that is the state itself.
func (m *model) balance() {
	quantities, any := m.fluxesOfAll()
	if jumps := m.jumpsOf(quantities); m.tie(quantities) || jumps || any {
		m.quantities = quantities
	}
}

// Balanced evaluates the quantities that the equations by themselves keep continuous, k T' for T' in (k T')' = f, laid
// out as the Continuity of a [bvp.Problem] is, whether there are breaks or not; nil where these are the state itself.
func (s *Sheet) Balanced() bvp.Residuals {
	quantities, any := s.model.fluxesOfAll()
	if !any {
		return nil
	}
	return s.model.residuals(s.Problem(), s.model.compiled(quantities, s.model.base))
}

// natural are the quantities that the equations by themselves keep continuous.
func (m *model) natural() []notation.Node {
	quantities, _ := m.fluxesOfAll()
	return quantities
}

// fluxesOfAll returns what is continuous for each entry of the state, and whether something is besides the state.
func (m *model) fluxesOfAll() (quantities []notation.Node, any bool) {
	quantities = make([]notation.Node, 0)
	for _, u := range m.unknowns {
		for k := range u.Order {
			quantities = append(quantities, &notation.Jet{Name: u.Name, Order: k})
		}
	}
	taken := make([]bool, len(quantities))
	for _, e := range m.equations {
		any = m.fluxes(difference(e.left, e.right), 0, quantities, taken) || any
	}
	return quantities, any
}

// term is sign·factor·D^order x.
type term struct {
	sign   float64
	factor notation.Node // nil: 1
	order  int
	x      notation.Node
}

// fluxes puts the balanced quantities of n into their places and reports whether there were any.
// below is the number of derivatives that n itself stands under.
func (m *model) fluxes(n notation.Node, below int, quantities []notation.Node, taken []bool) bool {
	terms, ok := addends(n, 1, nil, nil)
	if !ok {
		return false
	}
	for i := range terms {
		t := &terms[i]
		if m.reaches(tape.Expand(t.x, m.variable), t.order+below) < 0 {
			continue
		}
		// The terms with the same factor make one balance.
		top := 0
		for _, s := range terms {
			if sameFactor(s.factor, t.factor) {
				top = max(top, s.order)
			}
		}
		sums := make([]notation.Node, top+1)
		for _, s := range terms {
			if sameFactor(s.factor, t.factor) {
				sums[s.order] = add(sums[s.order], s.x, s.sign*t.sign)
			}
		}
		unknown := m.reaches(tape.Expand(sums[top], m.variable), top+below)
		if unknown < 0 {
			continue
		}
		slot := 0
		for _, u := range m.unknowns[:unknown] {
			slot += u.Order
		}
		slot += m.unknowns[unknown].Order - top - below
		any := false
		var q notation.Node
		for k := top; k >= 1; k-- {
			if q != nil {
				q = tape.Total(q, m.variable)
			}
			if sums[k] != nil {
				q = add(q, tape.Expand(sums[k], m.variable), 1)
			}
			if s := slot + top - k; !taken[s] {
				if _, plain := q.(*notation.Jet); !plain {
					quantities[s], taken[s], any = q, true, true
				}
			}
		}
		return m.fluxes(sums[top], top+below, quantities, taken) || any
	}
	return false
}

// reaches returns the number of the unknown whose highest derivative x holds after more
// derivatives, or -1. Where there are several it is the one of the highest derivative in x whose place is free.
func (m *model) reaches(x notation.Node, more int) int {
	best, bestOrder := -1, -1
	for i, u := range m.unknowns {
		highest := -1
		notation.Walk(x, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok && j.Name == u.Name {
				highest = max(highest, j.Order)
			}
			return true
		})
		if highest >= 0 && highest+more == u.Order && highest > bestOrder {
			best, bestOrder = i, highest
		}
	}
	return best
}

// addends splits n into the terms with a derivative of an expression; ok is false where such a
// derivative stands in a nonlinear place.
func addends(n notation.Node, sign float64, factor notation.Node, terms []term) ([]term, bool) {
	if !hasDiff(n) {
		return terms, true
	}
	switch n := n.(type) {
	case *notation.Diff:
		return append(terms, term{sign, factor, n.Order, n.X}), true
	case *notation.Negate:
		return addends(n.X, -sign, factor, terms)
	case *notation.Binary:
		times := func(op byte, by notation.Node) notation.Node {
			if factor == nil && op == '*' {
				return by
			}
			x := factor
			if x == nil {
				x = &notation.Number{Value: 1, Text: "1"}
			}
			return &notation.Binary{Op: op, X: x, Y: by}
		}
		left, right := hasDiff(n.X), hasDiff(n.Y)
		switch {
		case n.Op == '+' || n.Op == '-':
			terms, ok := addends(n.X, sign, factor, terms)
			if !ok {
				return terms, false
			}
			if n.Op == '-' {
				sign = -sign
			}
			return addends(n.Y, sign, factor, terms)
		case n.Op == '*' && left && !right:
			return addends(n.X, sign, times('*', n.Y), terms)
		case n.Op == '*' && right && !left:
			return addends(n.Y, sign, times('*', n.X), terms)
		case n.Op == '/' && left && !right:
			return addends(n.X, sign, times('/', n.Y), terms)
		}
	}
	return terms, false
}

//go:noinline
func hasDiff(n notation.Node) bool {
	return notation.Find(n, func(n notation.Node) bool { _, ok := n.(*notation.Diff); return ok }) != nil
}

func sameFactor(a, b notation.Node) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return notation.Equal(a, b)
}

// add returns sum + sign·x.
func add(sum, x notation.Node, sign float64) notation.Node {
	switch {
	case sum == nil && sign > 0:
		return x
	case sum == nil:
		return &notation.Negate{Sp: x.Span(), X: x}
	case sign > 0:
		return &notation.Binary{Op: '+', X: sum, Y: x}
	}
	return &notation.Binary{Op: '-', X: sum, Y: x}
}
