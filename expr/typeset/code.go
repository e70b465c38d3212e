package typeset

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// Dialect is how a programming language writes formulas.
type Dialect struct {
	// Elementwise are the signs of operations on arrays, Scalar those where one of the two is a number.
	Elementwise, Scalar Signs
	Constants           map[string]string // pi, e and inf
	Reserved            string            // names that it does not leave free, between spaces
	Function            func(*function.Function) function.Code
}

// Signs are how operations are written, with the room about their signs. Compare is a pattern for the sign of a
// comparison.
type Signs struct{ Plus, Minus, Times, Over, Power, Compare string }

// Code prints a tree as an expression of a programming language, for numbers or arrays. leaf says what stands for a
// name or an unknown; where it is nil or returns "", a name stands for itself, y” is d2y, and y'(0) is dy(0). What the
// language lacks is called by the names that Definitions defines. A tree that holds the derivative of an expression
// (work it out first), or a function that the language cannot write, is refused with a *notation.Error.
func (d *Dialect) Code(n notation.Node, leaf func(notation.Node) string) (string, error) {
	c := &coder{Dialect: d, leaf: leaf}
	s := c.node(n)
	return s, c.err
}

// CodeOfVector prints a tree in which the named variable alone is an array.
func (d *Dialect) CodeOfVector(n notation.Node, variable string, leaf func(notation.Node) string) (string, error) {
	c := &coder{Dialect: d, vector: variable, leaf: leaf}
	s := c.node(n)
	return s, c.err
}

// Reserves reports whether the language does not leave a name free.
func (d *Dialect) Reserves(name string) bool {
	return slices.Contains(strings.Fields(d.Reserved), name)
}

// Definitions returns source that defines the functions which the trees call and the language lacks; "" if there are
// none.
func (d *Dialect) Definitions(trees ...notation.Node) string {
	used := map[string]bool{}
	for _, n := range trees {
		notation.Walk(n, func(n notation.Node) bool {
			if c, ok := n.(*notation.Call); ok {
				if f, ok := function.ByName(c.Func); ok {
					used[d.Function(f).Define] = true
				}
			}
			return true
		})
	}
	var sources []string
	for _, f := range function.All() {
		if source := d.Function(f).Define; source != "" && used[source] {
			sources = append(sources, source)
			used[source] = false // J0 and J1 share one
		}
	}
	return strings.Join(sources, "\n")
}

type coder struct {
	*Dialect
	leaf   func(notation.Node) string
	vector string // the one variable that is an array; "" where any may be
	err    error
}

// signs are those of an operation on x and y, written close where it is known what is an array.
func (c *coder) signs(x, y notation.Node) Signs {
	if c.vector == "" {
		return c.Elementwise
	}
	array := func(n notation.Node) bool {
		return notation.Contains(n, func(n notation.Node) bool {
			name, ok := n.(*notation.Name)
			return ok && name.Name == c.vector
		})
	}
	s := c.Elementwise
	s.Times = strings.TrimSpace(s.Times)
	if array(x) == array(y) {
		s.Plus, s.Minus = c.Scalar.Plus, c.Scalar.Minus
	}
	if !array(x) || !array(y) {
		s.Times = c.Scalar.Times
	}
	if !array(y) {
		s.Over = c.Scalar.Over
	}
	if !array(x) && !array(y) {
		s.Power, s.Compare = c.Scalar.Power, c.Scalar.Compare
	}
	return s
}

func (c *coder) node(n notation.Node) string {
	switch n := n.(type) {
	case *notation.Number:
		return codeNumber(n)
	case *notation.Name, *notation.Jet:
		return c.name(n)
	case *notation.Negate:
		return "-" + c.bracket(level(n.X) <= levelSign, n.X)
	case *notation.Compare:
		return c.node(n.X) + fmt.Sprintf(c.signs(n.X, n.Y).Compare, n.Op) + c.node(n.Y)
	case *notation.Binary:
		signs := c.signs(n.X, n.Y)
		switch n.Op {
		case '+':
			return c.node(n.X) + signs.Plus + c.bracket(level(n.Y) <= levelSign, n.Y)
		case '-':
			return c.node(n.X) + signs.Minus + c.bracket(level(n.Y) <= levelSign, n.Y)
		case '*':
			return c.bracket(level(n.X) < levelProduct, n.X) + signs.Times + c.bracket(level(n.Y) < levelPower, n.Y)
		case '/':
			return c.bracket(level(n.X) < levelProduct, n.X) + signs.Over + c.bracket(level(n.Y) < levelPower, n.Y)
		}
		return c.bracket(level(n.X) < levelPrimary, n.X) + signs.Power + c.bracket(level(n.Y) < levelPrimary, n.Y)
	case *notation.Call:
		return c.call(n)
	case *notation.Diff:
		c.fail(n, "the derivative of an expression has to be worked out before it can be written as a program")
	default:
		c.fail(n, fmt.Sprintf("a formula cannot hold %T", n))
	}
	return ""
}

//go:noinline
func (c *coder) fail(n notation.Node, msg string) {
	if c.err == nil {
		c.err = &notation.Error{Span: n.Span(), Msg: msg}
	}
}

func (c *coder) bracket(bracket bool, n notation.Node) string {
	if bracket {
		return "(" + c.node(n) + ")"
	}
	return c.node(n)
}

func (c *coder) call(n *notation.Call) string {
	args := make([]any, len(n.Args))
	for i, a := range n.Args {
		args[i] = c.node(a)
	}
	if f, ok := function.ByName(n.Func); ok {
		code := c.Function(f)
		switch {
		case code.Lacks != "":
			c.fail(n, code.Lacks)
			return ""
		case f.Args != len(args):
			c.fail(n, fmt.Sprintf("“%s” takes %d arguments", n.Func, f.Args))
			return ""
		}
		return fmt.Sprintf(code.Call, args...)
	}
	// An abbreviation of the sheet is a function of the program.
	list := make([]string, len(args))
	for i, a := range args {
		list[i] = a.(string)
	}
	return c.identifier(n.Func) + "(" + strings.Join(list, ", ") + ")"
}

func (c *coder) name(n notation.Node) string {
	if c.leaf != nil {
		if s := c.leaf(n); s != "" {
			return s
		}
	}
	jet, ok := n.(*notation.Jet)
	if !ok {
		name := n.(*notation.Name).Name
		if s, ok := c.Constants[name]; ok {
			return s
		}
		return c.identifier(name)
	}
	s := c.identifier(jet.Name)
	switch jet.Order {
	case 0:
	case 1:
		s = "d" + jet.Name
	default:
		s = "d" + strconv.Itoa(jet.Order) + jet.Name
	}
	if jet.At != nil {
		s += "(" + c.node(jet.At) + ")"
	}
	return s
}

// identifier returns a name that the language leaves free.
//
//go:noinline
func (c *coder) identifier(name string) string {
	if c.Reserves(name) {
		return name + "_"
	}
	return name
}

// codeNumber prints a number as it was typed, but for zeros before it, which some languages refuse.
func codeNumber(n *notation.Number) string {
	s := digits(n)
	if len(s) > 1 && s[0] == '0' && '0' <= s[1] && s[1] <= '9' {
		s = strconv.FormatFloat(n.Value, 'g', -1, 64)
	}
	if negative(n) && !strings.HasPrefix(s, "-") {
		s = "-" + s
	}
	return s
}
