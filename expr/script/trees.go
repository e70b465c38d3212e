package script

import "nodespan/expr/notation"

// withoutUnknowns returns what is left of a tree that is linear in the unknowns when they and their derivatives (and
// their values at points) are zero; nil where nothing is.
func withoutUnknowns(n notation.Node) notation.Node {
	switch n := n.(type) {
	case *notation.Jet:
		return nil
	case *notation.Number:
		if n.Value == 0 {
			return nil
		}
	case *notation.Negate:
		if x := withoutUnknowns(n.X); x != nil {
			return negative(x)
		}
		return nil
	case *notation.Call:
		if n.Func == "if" && len(n.Args) == 3 {
			a, b := withoutUnknowns(n.Args[1]), withoutUnknowns(n.Args[2])
			if a == nil && b == nil {
				return nil
			}
			return &notation.Call{Sp: n.Sp, Func: n.Func, Args: []notation.Node{n.Args[0], orZero(a), orZero(b)}}
		}
		args := make([]notation.Node, len(n.Args))
		for i, a := range n.Args {
			args[i] = orZero(withoutUnknowns(a))
		}
		return &notation.Call{Sp: n.Sp, Func: n.Func, Args: args}
	case *notation.Binary:
		x, y := withoutUnknowns(n.X), withoutUnknowns(n.Y)
		switch n.Op {
		case '+':
			if x == nil {
				return y
			}
			if y == nil {
				return x
			}
		case '-':
			if y == nil {
				return x
			}
			if x == nil {
				return negative(y)
			}
		case '*':
			if x == nil || y == nil {
				return nil
			}
		case '/':
			if x == nil {
				return nil
			}
		case '^':
			if x == nil && y != nil {
				if p, ok := y.(*notation.Number); ok && p.Value > 0 {
					return nil
				}
			}
		}
		return &notation.Binary{Sp: n.Sp, Op: n.Op, X: orZero(x), Y: orZero(y)}
	}
	return n
}

func orZero(n notation.Node) notation.Node {
	if n == nil {
		return &notation.Number{Text: "0"}
	}
	return n
}

// negative returns -n, tidied.
func negative(n notation.Node) notation.Node {
	switch n := n.(type) {
	case nil:
		return &notation.Number{Text: "0"}
	case *notation.Negate:
		return n.X
	case *notation.Number:
		if n.Value == 0 {
			return n
		}
	case *notation.Binary:
		switch n.Op {
		case '-':
			return &notation.Binary{Sp: n.Sp, Op: '-', X: n.Y, Y: n.X}
		case '*', '/':
			return &notation.Binary{Sp: n.Sp, Op: n.Op, X: negative(n.X), Y: n.Y}
		}
	}
	return &notation.Negate{Sp: n.Span(), X: n}
}
