package sheet

import (
	"math"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
)

// model is a sheet as trees: what remains of it when every name is settled and before any
// constant has a value. From a model and values of the constants comes a problem.
type model struct {
	variable     string
	declarations map[string]*declaration
	// order lists the constants so that each comes after those it depends on.
	order []string
	// set holds the values given from outside (see Options.Set).
	set map[string]notation.Node

	unknowns   []bvp.Unknown
	sought     []soughtParameter
	equations  []*equation
	conditions []*condition
	// naturals counts those of the conditions that the equations themselves bring.
	naturals int
	// ends are the ends of the interval from a domain statement; nil: from the conditions. Either
	// may be nil where the domain statement leaves that end open (x > 0): infinite.
	ends   [2]notation.Node
	domain *Statement
	// domainLast says that the domain statement is the last one.
	domainLast bool
	breaks     []breakPoint
	// impulses are the point loads of the equations.
	impulses []impulse
	// crossings are the conditions across interfaces.
	crossings []crossing
	// layered is the reader's.
	layered bool
	// jumps are formulas whose change of sign is a jump or a kink of a coefficient.
	jumps []jump
	// exact and guess are formulas, one for each unknown, nil where there is none.
	exact, guess []notation.Node
	// quantities are what is continuous across a break, one for each entry of the state.
	quantities []notation.Node
	// used are the constants that the equations, conditions or the interval depend on.
	used map[string]bool
	// regular are points at which an unknown is said to be regular: ends of the interval.
	regular []notation.Node
	// reports are what is asked of the solution.
	reports []*Asked
	// base are the numbers of the sheet as it stands.
	base *numbers
}

type soughtParameter struct {
	name string
	near notation.Node // nil: none
	span notation.Span
}

// soughtIndex returns the number of a sought parameter, or -1.
func (m *model) soughtIndex(name string) int {
	for i, p := range m.sought {
		if p.name == name {
			return i
		}
	}
	return -1
}

// values are the numbers of a sheet's constants by name.
type values map[string]float64

// leaf returns the value of a name that is free of the variable and the unknowns.
//
//go:noinline
func (v values) leaf(n notation.Node) (float64, bool) {
	name, ok := n.(*notation.Name)
	if !ok {
		return 0, false
	}
	if x, ok := v[name.Name]; ok {
		return x, true
	}
	switch name.Name {
	case "pi":
		return math.Pi, true
	case "e":
		return math.E, true
	case "inf":
		return math.Inf(1), true
	}
	return 0, false
}

// leafAt returns leaf with the variable at x.
func (v values) leafAt(variable string, x float64) func(notation.Node) (float64, bool) {
	return func(n notation.Node) (float64, bool) {
		if named(variable)(n) {
			return x, true
		}
		return v.leaf(n)
	}
}

// number evaluates a formula of constants. A value that is not finite is a fault at the part
// where it arises.
func (v values) number(n notation.Node) (float64, *notation.Error) {
	var x float64
	var err error
	if plain, ok := n.(*notation.Number); ok {
		x = plain.Value
	} else {
		x, err = tape.Evaluate(n, v.leaf)
	}
	if err != nil {
		if e, ok := err.(*notation.Error); ok {
			return 0, e
		}
		return 0, &notation.Error{Span: n.Span(), Msg: err.Error()}
	}
	if !math.IsNaN(x) && !math.IsInf(x, 0) {
		return x, nil
	}
	return x, v.notFinite(n)
}

// notFinite explains why a formula of constants has no finite value.
func (v values) notFinite(n notation.Node) *notation.Error {
	for _, child := range notation.Children(n) {
		if _, compare := child.(*notation.Compare); compare {
			continue
		}
		if _, e := v.number(child); e != nil {
			return e
		}
	}
	e := &notation.Error{Span: n.Span(), Msg: "this has no finite value"}
	switch n := n.(type) {
	case *notation.Name:
		e.Msg, e.Hint = "infinity is not a number to compute with", "write inf only as the point of a condition or "+
			"as an end of the interval"
	case *notation.Number:
		e.Msg = "this number is too large"
	case *notation.Binary:
		y, _ := v.number(n.Y)
		x, _ := v.number(n.X)
		switch {
		case n.Op == '/' && y == 0:
			e.Msg = "division by zero"
		case n.Op == '^' && x == 0 && y < 0:
			e.Msg = "division by zero"
		case n.Op == '^' && x < 0:
			e.Msg = "a negative number to a fractional power is not real"
		default:
			e.Msg = "this number is too large"
		}
	case *notation.Call:
		if len(n.Args) == 1 {
			x, _ := v.number(n.Args[0])
			e.Msg = n.Func + " has no finite value at " + number(x)
			if y, _ := tape.Evaluate(n, v.leaf); math.IsInf(y, 0) && math.Abs(x) > 100 {
				e.Msg = "this number is too large"
			}
		}
	}
	return e
}

// point evaluates the point of a condition or an end of the interval, which may be infinite.
func (v values) point(n notation.Node) (float64, *notation.Error) {
	switch m := n.(type) {
	case *notation.Name:
		if m.Name == "inf" {
			return math.Inf(1), nil
		}
	case *notation.Negate:
		if x, ok := m.X.(*notation.Name); ok && x.Name == "inf" {
			return math.Inf(-1), nil
		}
	}
	return v.number(n)
}
