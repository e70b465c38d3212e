package typeset

import (
	"fmt"
	"strconv"
	"strings"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// Python prints a tree as an expression of Python, for numbers or numpy arrays (numpy as np). leaf says what stands for
// a name or an unknown; where it is nil or returns "", a name stands for itself (pi for np.pi), y” is d2y, and y'(0) is
// dy(0). What numpy lacks is called by the names that PythonDefinitions defines. A tree that holds the derivative of an
// expression (work it out first) or of gamma or airyAi is refused with a *notation.Error.
func Python(n notation.Node, leaf func(notation.Node) string) (string, error) {
	return code(&python, n, leaf)
}

// Octave prints a tree as an expression of GNU Octave, for numbers or arrays (elementwise); see Python.
func Octave(n notation.Node, leaf func(notation.Node) string) (string, error) {
	return code(&octave, n, leaf)
}

// dialect is what tells the languages apart.
type dialect struct {
	times, over, power string
	names              map[string]string // constants
	reserved           map[string]bool
	function           func(*function.Function) function.Code
}

func words(s string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(s) {
		m[w] = true
	}
	return m
}

var python = dialect{
	times: "*", over: "/", power: "**",
	names: map[string]string{"pi": "np.pi", "e": "np.e", "inf": "np.inf"},
	reserved: words("False None True and as assert async await break class continue def del elif else except finally " +
		"for from global if import in is lambda nonlocal not or pass raise return try while with yield " +
		"np math print range len abs min max sum float int"),
	function: func(f *function.Function) function.Code { return f.Python },
}

var octave = dialect{
	times: " .* ", over: "./", power: ".^",
	names: map[string]string{"pi": "pi", "e": "e", "inf": "Inf"},
	reserved: words("break case catch continue do else elseif end end_try_catch end_unwind_protect endfor " +
		"endfunction endif endswitch endwhile for function global if otherwise persistent return switch try until " +
		"unwind_protect unwind_protect_cleanup while i j ans eps"),
	function: func(f *function.Function) function.Code { return f.Octave },
}

type coder struct {
	*dialect
	leaf func(notation.Node) string
	err  error
}

func code(d *dialect, n notation.Node, leaf func(notation.Node) string) (string, error) {
	c := &coder{dialect: d, leaf: leaf}
	s := c.node(n)
	return s, c.err
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
		return c.node(n.X) + " " + n.Op + " " + c.node(n.Y)
	case *notation.Binary:
		switch n.Op {
		case '+', '-':
			return c.node(n.X) + " " + string(n.Op) + " " + c.bracket(level(n.Y) <= levelSign, n.Y)
		case '*':
			return c.bracket(level(n.X) < levelProduct, n.X) + c.times + c.bracket(level(n.Y) < levelPower, n.Y)
		case '/':
			return c.bracket(level(n.X) < levelProduct, n.X) + c.over + c.bracket(level(n.Y) < levelPower, n.Y)
		}
		return c.bracket(level(n.X) < levelPrimary, n.X) + c.power + c.bracket(level(n.Y) < levelPrimary, n.Y)
	case *notation.Call:
		return c.call(n)
	case *notation.Diff:
		c.fail(n, "the derivative of an expression has to be worked out before it can be written as a program")
	default:
		c.fail(n, fmt.Sprintf("a formula cannot hold %T", n))
	}
	return ""
}

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
		code := c.function(f)
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
		if s, ok := c.names[name]; ok {
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
func (c *coder) identifier(name string) string {
	if c.reserved[name] {
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

// PythonDefinitions returns Python source that defines the functions which the trees call and numpy lacks; "" if there
// are none. It needs numpy as np, and math.
func PythonDefinitions(trees ...notation.Node) string { return definitions(&python, trees) }

func definitions(d *dialect, trees []notation.Node) string {
	used := map[string]bool{}
	for _, n := range trees {
		notation.Walk(n, func(n notation.Node) bool {
			if c, ok := n.(*notation.Call); ok {
				if f, ok := function.ByName(c.Func); ok {
					used[d.function(f).Define] = true
				}
			}
			return true
		})
	}
	var sources []string
	for _, f := range function.All() {
		if source := d.function(f).Define; source != "" && used[source] {
			sources = append(sources, source)
			used[source] = false // J0 and J1 share one
		}
	}
	return strings.Join(sources, "\n")
}
