package sheet

import "nodespan/expr/notation"

// The trees of a sheet as it is solved: every abbreviation put in, every derivative of an expression carried
// out. Typesetting and programs are made from them. Trees are shared: do not change them.

// EquationFormulas returns the equations as left side minus right side, in the order of the problem's equations.
func (s *Sheet) EquationFormulas() []notation.Node {
	var out []notation.Node
	for _, e := range s.model.equations {
		out = append(out, e.residual)
	}
	return out
}

// ConditionFormulas returns the conditions as left side minus right side, in the order of the problem's conditions.
func (s *Sheet) ConditionFormulas() []notation.Node {
	var out []notation.Node
	for _, c := range s.model.conditions {
		out = append(out, c.residual)
	}
	return out
}

// Names reports whether the text names an unknown. One that the reader has added stands for an integral.
func (s *Sheet) Names(unknown string) bool { return !s.unnamed[unknown] }

// GuessFormula returns the first guess of an unknown (numbered as in Unknowns), nil where the sheet has none.
func (s *Sheet) GuessFormula(unknown int) notation.Node { return s.model.guess[unknown] }

// ConstantOrder lists the constants so that each comes after those that it is computed from.
func (s *Sheet) ConstantOrder() []string { return append([]string(nil), s.model.order...) }

// ConstantFormula returns what a constant is computed from; a value given from outside (Options.Set) is a number.
func (s *Sheet) ConstantFormula(name string) notation.Node { return s.model.formula(name) }

// EndFormulas returns the formulas of the interval's ends as a domain statement gives them, nil where the conditions
// do.
func (s *Sheet) EndFormulas() [2]notation.Node { return s.model.ends }
