package tape

import (
	"fmt"
	"math"
	"strconv"
	"sync"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// Total returns d/dx of a tree as a tree, x being the named variable: its own derivative is 1, that of an
// unknown (Jet) at the running point is the next Jet, and all other names and values at points are
// constants. Derivatives of expressions inside the tree (Diff) are worked out on the way.
// Terms and factors that are plainly 0 or 1 are left out; parts of the tree are shared with the result.
//
// Nodes that are new carry the place of what they are the derivative of. It panics where the tree calls something
// that is not a function of package notation (an abbreviation has to be put in first).
func Total(n notation.Node, variable string) notation.Node {
	return orZero(totalOf(variable).node(Expand(n, variable)), n)
}

// Partial returns the partial derivative of a tree by one leaf, a *notation.Name or *notation.Jet, as a tree; all other
// leaves are held. It panics where Total does, and where the tree holds the derivative of an expression: Expand it
// first.
func Partial(n, leaf notation.Node) notation.Node {
	d := &deriver{
		leaf: func(l notation.Node) notation.Node {
			if notation.Equal(l, leaf) {
				return number(l, 1)
			}
			return nil
		},
		done: map[notation.Node]notation.Node{},
	}
	return orZero(d.node(n), n)
}

// Expand returns the tree with every derivative of an expression (Diff) worked out by the rules of
// differentiation, x being the named variable: (k T')' becomes k' T' + k T”.
//
//go:noinline
func Expand(n notation.Node, variable string) notation.Node {
	return notation.Rebuild(n, func(n notation.Node) notation.Node {
		diff, ok := n.(*notation.Diff)
		if !ok {
			return nil
		}
		x := Expand(diff.X, variable)
		d := totalOf(variable)
		for range diff.Order {
			x = orZero(d.node(x), x)
		}
		return x
	})
}

// deriver takes derivatives; nil stands for one that is zero whatever the leaves are.
type deriver struct {
	// leaf returns the derivative of a leaf.
	leaf func(notation.Node) notation.Node
	done map[notation.Node]notation.Node
}

func totalOf(variable string) *deriver {
	return &deriver{
		leaf: func(l notation.Node) notation.Node {
			switch l := l.(type) {
			case *notation.Name:
				if l.Name == variable {
					return number(l, 1)
				}
			case *notation.Jet:
				if l.At == nil {
					return &notation.Jet{Sp: l.Sp, Name: l.Name, Order: l.Order + 1}
				}
			}
			return nil
		},
		done: map[notation.Node]notation.Node{},
	}
}

func (d *deriver) node(n notation.Node) notation.Node {
	if r, ok := d.done[n]; ok {
		return r
	}
	r := d.derive(n)
	d.done[n] = r
	return r
}

func (d *deriver) derive(n notation.Node) notation.Node {
	switch n := n.(type) {
	case *notation.Number:
		return nil
	case *notation.Name, *notation.Jet:
		return d.leaf(n)
	case *notation.Negate:
		return negate(n, d.node(n.X))
	case *notation.Binary:
		return d.binary(n)
	case *notation.Call:
		return d.call(n)
	case *notation.Diff:
		panic("tape: derivative of an unexpanded derivative")
	}
	panic(fmt.Sprintf("tape: no derivative of %T", n))
}

func (d *deriver) binary(n *notation.Binary) notation.Node {
	x, y := n.X, n.Y
	dx, dy := d.node(x), d.node(y)
	switch n.Op {
	case '+':
		return add(n, dx, dy)
	case '-':
		return sub(n, dx, dy)
	case '*':
		return add(n, mul(n, dx, y), mul(n, x, dy))
	case '/':
		// (x/y)' = x'/y - x y'/y²
		return sub(n, div(n, dx, y), div(n, mul(n, x, dy), raise(n, y, 2)))
	case '^':
		// (x^y)' = y x^(y-1) x' + x^y ln(x) y'
		var lowered notation.Node
		switch e := y.(type) {
		case *notation.Number:
			lowered = raise(n, x, e.Value-1)
		default:
			lowered = &notation.Binary{Sp: n.Sp, Op: '^', X: x, Y: sub(n, y, number(n, 1))}
		}
		byBase := mul(n, mul(n, y, lowered), dx)
		byExponent := mul(n, mul(n, n, call(n, "ln", x)), dy)
		return add(n, byBase, byExponent)
	}
	panic(fmt.Sprintf("tape: no derivative of %q", n.Op))
}

func (d *deriver) call(n *notation.Call) notation.Node {
	switch {
	case n.Func == "if" && len(n.Args) == 3:
		p, q := d.node(n.Args[1]), d.node(n.Args[2])
		if p == nil && q == nil {
			return nil
		}
		return call(n, "if", n.Args[0], orZero(p, n), orZero(q, n))
	case (n.Func == "min" || n.Func == "max") && len(n.Args) == 2:
		p, q := d.node(n.Args[0]), d.node(n.Args[1])
		if p == nil && q == nil {
			return nil
		}
		op := "<="
		if n.Func == "max" {
			op = ">="
		}
		return call(n, "if", &notation.Compare{Sp: n.Sp, Op: op, X: n.Args[0], Y: n.Args[1]}, orZero(p, n),
			orZero(q, n))
	}
	f, ok := function.ByName(n.Func)
	if !ok || len(n.Args) != f.Args {
		panic(fmt.Sprintf("tape: no derivative of %s", n.Func))
	}
	of, order, ok := ordered(f, n)
	if !ok {
		panic(fmt.Sprintf("tape: no order of %s", n.Func))
	}
	u := n.Args[len(n.Args)-1]
	du := d.node(u)
	switch {
	case du == nil:
		return nil
	case of.Ordered != nil:
		return neighbours(n, of, order, u, du)
	}
	return inPlace{n, map[string]notation.Node{"u": u, "du": du, "v": n}}.build(Tree(f.Differential))
}

// neighbours returns f'(u) du for a function f of the given order, whose derivative is made of those of the orders
// beside it.
func neighbours(n *notation.Call, f *function.Function, order int, u, du notation.Node) notation.Node {
	at := func(k int) notation.Node {
		for _, g := range function.All() {
			if g.Of == f && g.Order == k {
				return call(n, g.Name, u)
			}
		}
		return call(n, f.Name, number(n, float64(k)), u)
	}
	signed := func(sign float64, x notation.Node) notation.Node {
		if sign < 0 {
			return negate(n, x)
		}
		return x
	}
	switch {
	case f.Below == 0 || order == 0:
		return signed(f.Above, mul(n, at(order+1), du))
	case f.Below < 0:
		sum := add(n, at(order-1), signed(-f.Above, at(order+1)))
		return negate(n, mul(n, div(n, sum, number(n, 2)), du))
	}
	sum := add(n, at(order-1), signed(f.Above, at(order+1)))
	return mul(n, div(n, sum, number(n, 2)), du)
}

// trees keeps the trees of the formulas of package function.
var trees sync.Map

// Tree returns the tree of a formula of package function, in u, du and v.
func Tree(formula string) notation.Node {
	if n, ok := trees.Load(formula); ok {
		return n.(notation.Node)
	}
	names := &notation.Names{Constants: map[string]bool{"u": true, "du": true, "v": true}, Abbrevs: map[string]int{}}
	for _, f := range function.All() {
		if f.Derived {
			names.Abbrevs[f.Name] = f.Args
		}
	}
	n, err := notation.ParseExpr(formula, names)
	if err != nil {
		panic("tape: " + formula + ": " + err.Error()) // every one is read by a test
	}
	trees.Store(formula, n)
	return n
}

// inPlace builds a formula anew in the place of a node, with trees put in for its names.
type inPlace struct {
	at notation.Node
	of map[string]notation.Node
}

func (p inPlace) build(n notation.Node) notation.Node {
	switch n := n.(type) {
	case *notation.Number:
		if n.Value == 0 {
			return nil
		}
		return number(p.at, n.Value)
	case *notation.Name:
		return p.of[n.Name]
	case *notation.Negate:
		return negate(p.at, p.build(n.X))
	case *notation.Call:
		args := make([]notation.Node, len(n.Args))
		for i, a := range n.Args {
			args[i] = orZero(p.build(a), p.at)
		}
		return call(p.at, n.Func, args...)
	case *notation.Binary:
		x := p.build(n.X)
		if n.Op == '^' {
			return raise(p.at, x, n.Y.(*notation.Number).Value)
		}
		join := map[byte]func(at, x, y notation.Node) notation.Node{'+': add, '-': sub, '*': mul, '/': div}[n.Op]
		return join(p.at, x, p.build(n.Y))
	}
	panic(fmt.Sprintf("tape: a derivative cannot hold %T", n))
}

// What follows builds nodes in the place of another, at, without zeros and ones. A nil operand is zero.

func number(at notation.Node, v float64) notation.Node {
	return &notation.Number{Sp: at.Span(), Value: v, Text: strconv.FormatFloat(v, 'g', -1, 64)}
}

//go:noinline
func orZero(n, at notation.Node) notation.Node {
	if n == nil {
		return number(at, 0)
	}
	return n
}

func isOne(n notation.Node) bool {
	l, ok := n.(*notation.Number)
	return ok && l.Value == 1
}

//go:noinline
func call(at notation.Node, name string, args ...notation.Node) notation.Node {
	return &notation.Call{Sp: at.Span(), Func: name, Args: args}
}

func negate(at, x notation.Node) notation.Node {
	if x == nil {
		return nil
	}
	if inner, ok := x.(*notation.Negate); ok {
		return inner.X
	}
	return &notation.Negate{Sp: at.Span(), X: x}
}

func add(at, x, y notation.Node) notation.Node {
	switch {
	case x == nil:
		return y
	case y == nil:
		return x
	}
	if m, ok := y.(*notation.Negate); ok {
		return &notation.Binary{Sp: at.Span(), Op: '-', X: x, Y: m.X}
	}
	return &notation.Binary{Sp: at.Span(), Op: '+', X: x, Y: y}
}

func sub(at, x, y notation.Node) notation.Node {
	switch {
	case y == nil:
		return x
	case x == nil:
		return negate(at, y)
	}
	return &notation.Binary{Sp: at.Span(), Op: '-', X: x, Y: y}
}

func mul(at, x, y notation.Node) notation.Node {
	switch {
	case x == nil || y == nil:
		return nil
	case isOne(x):
		return y
	case isOne(y):
		return x
	}
	return &notation.Binary{Sp: at.Span(), Op: '*', X: x, Y: y}
}

func div(at, x, y notation.Node) notation.Node {
	switch {
	case x == nil:
		return nil
	case isOne(y):
		return x
	}
	return &notation.Binary{Sp: at.Span(), Op: '/', X: x, Y: y}
}

// raise returns x^v for a literal exponent v.
func raise(at, x notation.Node, v float64) notation.Node {
	switch v {
	case 0:
		return number(at, 1)
	case 1:
		return x
	}
	exponent := number(at, math.Abs(v))
	if v < 0 {
		exponent = &notation.Negate{Sp: at.Span(), X: exponent}
	}
	return &notation.Binary{Sp: at.Span(), Op: '^', X: x, Y: exponent}
}
