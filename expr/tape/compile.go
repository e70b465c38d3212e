package tape

import (
	"fmt"
	"math"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// Leaf says what a leaf of a tree is: the input with a number from 0, or a constant, or what another tree gives.
type Leaf struct {
	Index    int
	Value    float64
	Constant bool
	Tree     notation.Node
}

// Compile turns trees into a tape with the given number of inputs. Equal parts of all the trees are
// worked out once, and constant parts now.
//
// leaf is asked about every *notation.Name and *notation.Jet; where its second result is false, and where a tree
// holds what no tape can work out (a derivative of an expression, an abbreviation, a comparison outside
// if), Compile returns a *notation.Error with the place. It panics if a leaf's Index is not below inputs.
func Compile(roots []notation.Node, inputs int, leaf func(notation.Node) (Leaf, bool)) (*Tape, error) {
	return newCompiler(inputs, leaf).compile(roots)
}

func newCompiler(inputs int, leaf func(notation.Node) (Leaf, bool)) *compiler {
	return &compiler{
		inputs: inputs,
		leaf:   leaf,
		done:   map[notation.Node]ref{},
		consts: map[uint64]ref{},
		shared: map[instruction]ref{},
	}
}

func (c *compiler) compile(roots []notation.Node) (*Tape, error) {
	at := make([]ref, len(roots))
	for i, r := range roots {
		v, err := c.node(r)
		if err != nil {
			return nil, err
		}
		at[i] = v
	}
	return c.tape(at), nil
}

// ref names a register while its place is not yet settled: 0 and up are inputs, then come constants and
// results, told apart by kind.
type ref struct {
	kind  uint8
	index int32
}

const (
	isInput uint8 = iota
	isConstant
	isResult
)

type instruction struct {
	op      opcode
	n       int16
	a, b, c ref
}

type compiler struct {
	inputs int
	leaf   func(notation.Node) (Leaf, bool)
	done   map[notation.Node]ref // parts of trees are shared, so this keeps the work linear
	values []float64             // the constants
	consts map[uint64]ref        // by their bits
	code   []instruction
	whole  bool // constant parts that round are not worked out
	shared map[instruction]ref
}

func (c *compiler) node(n notation.Node) (ref, error) {
	if r, ok := c.done[n]; ok {
		return r, nil
	}
	r, err := c.build(n)
	if err == nil {
		c.done[n] = r
	}
	return r, err
}

func (c *compiler) build(n notation.Node) (ref, error) {
	switch n := n.(type) {
	case *notation.Number:
		return c.constant(n.Value), nil
	case *notation.Name:
		return c.leafOf(n, n.Name)
	case *notation.Jet:
		return c.leafOf(n, n.Name)
	case *notation.Negate:
		x, err := c.node(n.X)
		if err != nil {
			return x, err
		}
		return c.emit(opNegate, 0, x, ref{}, ref{}), nil
	case *notation.Binary:
		x, err := c.node(n.X)
		if err != nil {
			return x, err
		}
		y, err := c.node(n.Y)
		if err != nil {
			return y, err
		}
		return c.binary(n, x, y)
	case *notation.Call:
		return c.call(n)
	case *notation.Compare:
		return ref{}, fault(n, "a comparison has no value outside if(…)", "write if(x < 1, 2, 3)")
	case *notation.Diff:
		return ref{}, fault(n, "the derivative of an expression has to be worked out before it can be evaluated", "")
	}
	return ref{}, fault(n, fmt.Sprintf("a formula cannot hold %T", n), "")
}

func (c *compiler) leafOf(n notation.Node, name string) (ref, error) {
	l, ok := c.leaf(n)
	switch {
	case !ok:
		return ref{}, fault(n, fmt.Sprintf("“%s” has no value here", name), "")
	case l.Constant:
		return c.constant(l.Value), nil
	case l.Tree != nil:
		return c.node(l.Tree)
	case l.Index < 0 || l.Index >= c.inputs:
		panic("tape: index of a leaf out of range")
	}
	return ref{isInput, int32(l.Index)}, nil
}

func (c *compiler) binary(n *notation.Binary, x, y ref) (ref, error) {
	switch n.Op {
	case '+':
		switch {
		case c.is(x, 0):
			return y, nil
		case c.is(y, 0):
			return x, nil
		}
		return c.emit(opAdd, 0, x, y, ref{}), nil
	case '-':
		if c.is(y, 0) {
			return x, nil
		}
		return c.emit(opSub, 0, x, y, ref{}), nil
	case '*':
		switch {
		case c.is(x, 1):
			return y, nil
		case c.is(y, 1):
			return x, nil
		case x == y:
			return c.emit(opSquare, 0, x, ref{}, ref{}), nil
		}
		return c.emit(opMul, 0, x, y, ref{}), nil
	case '/':
		if c.is(y, 1) {
			return x, nil
		}
		return c.emit(opDiv, 0, x, y, ref{}), nil
	case '^':
		return c.power(x, y), nil
	}
	return ref{}, fault(n, fmt.Sprintf("unknown operator %q", n.Op), "")
}

func (c *compiler) power(x, y ref) ref {
	if c.is(x, math.E) {
		return c.emit(opExp, 0, y, ref{}, ref{})
	}
	if y.kind == isConstant {
		e := c.values[y.index]
		switch {
		case e == 0:
			return c.constant(1)
		case e == 1:
			return x
		case e == 2:
			return c.emit(opSquare, 0, x, ref{}, ref{})
		case e == 0.5:
			return c.emit(opSqrt, 0, x, ref{}, ref{})
		case e == math.Trunc(e) && math.Abs(e) <= maxProduct:
			return c.emit(opPower, int16(e), x, ref{}, ref{})
		}
	}
	return c.emit(opPow, 0, x, y, ref{})
}

func (c *compiler) call(n *notation.Call) (ref, error) {
	args := make([]ref, 0, 3)
	operands := n.Args
	if n.Func == "if" && len(n.Args) == 3 {
		operands = n.Args[1:]
		cond, ok := n.Args[0].(*notation.Compare)
		if !ok {
			return ref{}, fault(n.Args[0], "the first part of if(…) must be a comparison", "write if(x < 1, 2, 3)")
		}
		operands = append([]notation.Node{cond.X, cond.Y}, operands...)
	}
	for _, a := range operands {
		r, err := c.node(a)
		if err != nil {
			return r, err
		}
		args = append(args, r)
	}
	if f, ok := function.ByName(n.Func); ok && f.HasValue() && len(args) == f.Args {
		of, order, ok := ordered(f, n)
		if !ok {
			return ref{}, fault(n.Args[0], fmt.Sprintf("the order of “%s” must be a whole number from 0 to %d", n.Func,
				maxOrder), "")
		}
		return c.emit(opOf[of.Name], int16(order), args[len(args)-1], ref{}, ref{}), nil
	}
	switch {
	case n.Func == "min" && len(args) == 2:
		return c.emit(opMin, 0, args[0], args[1], ref{}), nil
	case n.Func == "max" && len(args) == 2:
		return c.emit(opMax, 0, args[0], args[1], ref{}), nil
	case n.Func == "if" && len(args) == 4:
		x, y := args[0], args[1]
		var cond ref
		switch op := n.Args[0].(*notation.Compare).Op; op {
		case "<":
			cond = c.emit(opLess, 0, x, y, ref{})
		case "<=":
			cond = c.emit(opLessOrEqual, 0, x, y, ref{})
		case ">":
			cond = c.emit(opLess, 0, y, x, ref{})
		case ">=":
			cond = c.emit(opLessOrEqual, 0, y, x, ref{})
		default:
			return ref{}, fault(n.Args[0], fmt.Sprintf("unknown comparison “%s”", op), "")
		}
		return c.emit(opChoose, 0, args[2], args[3], cond), nil
	}
	return ref{}, fault(n, fmt.Sprintf("no function “%s” of %d arguments", n.Func, len(args)), "")
}

// maxOrder bounds the order of the Bessel and polygamma functions, which grows by 1 with each derivative taken.
const maxOrder = 32

// ordered returns the function that a call of f works out, and its order; 0 where it has none.
func ordered(f *function.Function, n *notation.Call) (of *function.Function, order int, ok bool) {
	switch {
	case f.Of != nil:
		return f.Of, f.Order, true
	case f.Ordered == nil:
		return f, 0, true
	}
	k, ok := n.Args[0].(*notation.Number)
	if !ok || k.Value < 0 || k.Value > maxOrder || k.Value != math.Trunc(k.Value) {
		return f, 0, false
	}
	return f, int(k.Value), true
}

//go:noinline
func (c *compiler) constant(v float64) ref {
	bits := math.Float64bits(v)
	if r, ok := c.consts[bits]; ok {
		return r
	}
	r := ref{isConstant, int32(len(c.values))}
	c.values = append(c.values, v)
	c.consts[bits] = r
	return r
}

// is reports whether a register is the constant v.
func (c *compiler) is(r ref, v float64) bool {
	return r.kind == isConstant && c.values[r.index] == v
}

// emit adds an instruction, unless its value is known already or is a constant. Operands that an
// operation does not have are ref{}.
func (c *compiler) emit(op opcode, n int16, x, y, z ref) ref {
	operands := arity(op)
	constant := true
	var v [3]float64
	refs := [3]ref{x, y, z}
	for i, r := range refs[:operands] {
		if r.kind == isConstant {
			v[i] = c.values[r.index]
		} else {
			constant = false
		}
	}
	if constant {
		value := apply(op, int(n), v[0], v[1], v[2])
		if !c.whole || halves(op, int(n)) == 0 || short(v[0]) && short(v[1]) && short(v[2]) && short(value) {
			return c.constant(value)
		}
	}
	if op == opChoose && z.kind == isConstant {
		switch v[2] {
		case 1:
			return x
		case 0:
			return y
		}
		return c.constant(math.NaN())
	}
	if (op == opAdd || op == opMul) && (y.kind < x.kind || y.kind == x.kind && y.index < x.index) {
		x, y = y, x
	}
	in := instruction{op, n, x, y, z}
	if r, ok := c.shared[in]; ok {
		return r
	}
	r := ref{isResult, int32(len(c.code))}
	c.code = append(c.code, in)
	c.shared[in] = r
	return r
}

// arity is the number of registers that an operation reads.
func arity(op opcode) int {
	switch op {
	case opAdd, opSub, opMul, opDiv, opPow, opMin, opMax, opLess, opLessOrEqual:
		return 2
	case opChoose:
		return 3
	}
	return 1
}

// fault is an error about a node.
//
//go:noinline
func fault(n notation.Node, msg, hint string) error {
	var sp notation.Span
	if n != nil {
		sp = n.Span()
	}
	return &notation.Error{Span: sp, Msg: msg, Hint: hint}
}

// tape settles the registers: inputs, constants, results.
func (c *compiler) tape(roots []ref) *Tape {
	base := [3]int32{isConstant: int32(c.inputs), isResult: int32(c.inputs + len(c.values))}
	place := func(r ref) int32 { return base[r.kind] + r.index }
	t := &Tape{program: &program{inputs: c.inputs, results: int(base[isResult]), constants: c.values}}
	t.code = make([]step, len(c.code))
	for i, in := range c.code {
		s := step{op: in.op, n: in.n, a: place(in.a)}
		// Operands that an operation lacks repeat its first.
		s.b, s.c = s.a, s.a
		if operands := arity(in.op); operands >= 2 {
			s.b = place(in.b)
			s.constantExponent = in.b.kind == isConstant && (!c.whole || short(c.values[in.b.index]))
			if operands == 3 {
				s.c = place(in.c)
			}
		}
		t.code[i] = s
	}
	t.roots = make([]int32, len(roots))
	for i, r := range roots {
		t.roots[i] = place(r)
	}
	return t.Clone()
}
