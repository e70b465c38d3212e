package tape

import (
	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// Switch tells where a call is not smooth: where Argument changes its sign. No Argument: nowhere.
type Switch struct {
	Argument notation.Node
	// Other is the call as it is on the other side; nil: it has no value, or no derivative, where Argument is 0.
	Other notation.Node
	Jumps bool // from one side to the other
	Pole  bool // the call has no bound where Argument is 0
}

// SwitchOf returns where a call switches.
func SwitchOf(call *notation.Call) (s Switch) {
	f, ok := function.ByName(call.Func)
	switch {
	case call.Func == "min":
		return Switch{Argument: minus(call.Args[0], call.Args[1]), Other: &notation.Call{Func: "max", Args: call.Args}}
	case call.Func == "max":
		return Switch{Argument: minus(call.Args[0], call.Args[1]), Other: &notation.Call{Func: "min", Args: call.Args}}
	case call.Func == "if":
		c, ok := call.Args[0].(*notation.Compare)
		if !ok {
			return Switch{}
		}
		return Switch{Argument: minus(c.X, c.Y), Jumps: true,
			Other: &notation.Call{Func: "if", Args: []notation.Node{c, call.Args[2], call.Args[1]}}}
	case !ok || f.Switch.At == "":
		return Switch{}
	}
	s = Switch{Argument: ofCall(f.Switch.At, call), Jumps: f.Switch.Jumps, Pole: f.Switch.Pole}
	if f.Switch.Other != "" {
		s.Other = ofCall(f.Switch.Other, call)
	}
	return s
}

// ofCall returns a formula of package function with a call for v and its last argument for u.
func ofCall(formula string, call *notation.Call) notation.Node {
	return notation.Rebuild(Tree(formula), func(n notation.Node) notation.Node {
		switch name, ok := n.(*notation.Name); {
		case !ok:
			return nil
		case name.Name == "u":
			return call.Args[len(call.Args)-1]
		}
		return call
	})
}

func minus(a, b notation.Node) notation.Node { return &notation.Binary{Op: '-', X: a, Y: b} }
