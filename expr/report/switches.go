package report

import (
	"math"
	"slices"

	"nodespan/expr/notation"
	"nodespan/expr/sheet"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
	"nodespan/solver/derived"
)

// kink is a switch in a formula: what it depends on by the sign alone, or has no derivative or no value at where it is
// 0.
type kink struct {
	name     string // the function
	argument notation.Node
	// other is the formula with the switch on its other side; nil: what the switch belongs to has no value, or no
	// derivative, where it is 0.
	other notation.Node
	jumps bool // from one side to the other
	pole  bool // the formula has no bound where the argument is 0
}

// switches lists the switches of a formula, each after those inside it, whose arguments change.
func switches(f notation.Node, changes func(notation.Node) bool) []kink {
	var out []kink
	seen := map[notation.Node]bool{}
	var visit func(n notation.Node)
	visit = func(n notation.Node) {
		if seen[n] {
			return
		}
		seen[n] = true
		for _, c := range notation.Children(n) {
			visit(c)
		}
		k, flipped := kinkAt(n)
		if k.argument == nil || !changes(k.argument) {
			return
		}
		if flipped != nil {
			k.other = replace(f, n, flipped)
		}
		if !slices.ContainsFunc(out, func(o kink) bool {
			return notation.Equal(o.argument, k.argument) && (o.other == nil) == (k.other == nil) &&
				(o.other == nil || notation.Equal(o.other, k.other))
		}) {
			out = append(out, k)
		}
	}
	visit(f)
	return out
}

// kinkAt returns the switch that a node is, without an argument for none, and the node on its other side.
func kinkAt(n notation.Node) (k kink, flipped notation.Node) {
	switch n := n.(type) {
	case *notation.Binary:
		e, ok := n.Y.(*notation.Number)
		switch {
		case n.Op == '/':
			return kink{name: "/", argument: n.Y, pole: true}, nil
		case n.Op == '^' && !(ok && e.Value == math.Trunc(e.Value)):
			v, err := tape.Evaluate(n.Y, func(notation.Node) (float64, bool) { return 0, false })
			return kink{name: "^", argument: n.X, pole: err != nil || !(v > 0)}, nil
		}
	case *notation.Call:
		s := tape.SwitchOf(n)
		return kink{name: n.Func, argument: s.Argument, jumps: s.Jumps, pole: s.Pole}, s.Other
	}
	return kink{}, nil
}

// replace returns f with every part that is equal to old replaced.
func replace(f, old, new notation.Node) notation.Node {
	return notation.Rebuild(f, func(n notation.Node) notation.Node {
		if notation.Equal(n, old) {
			return new
		}
		return nil
	})
}

// runs reports whether a formula changes along the solution.
func (t *evaluator) runs(n notation.Node) bool {
	return notation.Contains(n, func(n notation.Node) bool {
		switch n := n.(type) {
		case *notation.Jet:
			return n.At == nil
		case *notation.Name:
			return n.Name == t.sh.Variable
		}
		return false
	})
}

// depends reports whether a formula holds sought numbers or parts.
func (t *evaluator) depends(n notation.Node) bool {
	return notation.Contains(n, func(n notation.Node) bool {
		m, ok := n.(*notation.Name)
		sought := func(p bvp.Parameter) bool { return p.Name == m.Name }
		return ok && (sheet.PartIndex(m) >= 0 || slices.ContainsFunc(t.sh.Sought, sought))
	})
}

// function makes a formula a function along the solution.
func (t *evaluator) function(f notation.Node) derived.Function {
	out := t.smooth(f)
	if slope := t.sh.Slope(f); slope != nil {
		s := t.smooth(slope)
		out.Slope = &s
	}
	out.Switches = t.switches(f, maxSwitches)
	return out
}

// maxSwitches bounds the switches of a formula; of one that has more the first count.
const maxSwitches = 64

// switches makes the switches of a formula functions along the solution. An argument has switches of its own, which
// stand inside it.
func (t *evaluator) switches(f notation.Node, most int) []derived.Switch {
	var out []derived.Switch
	for _, k := range switches(f, t.runs) {
		if len(out) == most {
			break
		}
		w := derived.Switch{Argument: t.smooth(k.argument), Jumps: k.jumps, Pole: k.pole}
		w.Argument.Switches = t.switches(k.argument, most/2)
		if k.other != nil {
			w.Other = t.smooth(k.other).F
		}
		out = append(out, w)
	}
	return out
}

// smooth makes a formula a function along the solution, without its switches.
func (t *evaluator) smooth(f notation.Node) derived.Function {
	value, row := t.jacobian(f)
	out := derived.Function{F: func(x float64, jet, d []float64) float64 {
		v := value(x, jet)
		copy(d, row[:len(d)])
		return v
	}}
	if sc := t.scale(f); sc != nil {
		out.Narrow = sc.narrow
	}
	unsure := slices.ContainsFunc(t.scalars, func(n derived.Number) bool { return n.Error > 0 })
	if unsure && t.depends(f) {
		out.Doubt = func(x float64, jet []float64) float64 {
			value(x, jet)
			e := 0.0
			for k, s := range t.scalars {
				if d := row[len(row)-len(t.scalars)+k]; d != 0 {
					e += math.Abs(d) * s.Error
				}
			}
			return e
		}
	}
	return out
}
