package typeset

import (
	"fmt"
	"strconv"
	"strings"

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
	functions          map[string]string // how a function is called; %s stands for an argument
	choice             string            // condition, value, other value
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
		"for from global if import " +
		"in is lambda nonlocal not or pass raise return try while with yield np math print range len abs min max " +
		"sum float int"),
	functions: map[string]string{
		"sin": "np.sin(%s)", "cos": "np.cos(%s)", "tan": "np.tan(%s)", "asin": "np.arcsin(%s)", "acos": "np.arccos(%s)",
		"atan": "np.arctan(%s)",
		"sec":  "(1/np.cos(%s))", "csc": "(1/np.sin(%s))", "cot": "(1/np.tan(%s))", "sech": "(1/np.cosh(%s))",
		"csch": "(1/np.sinh(%s))", "coth": "(1/np.tanh(%s))",
		"sinh": "np.sinh(%s)", "cosh": "np.cosh(%s)", "tanh": "np.tanh(%s)", "asinh": "np.arcsinh(%s)",
		"acosh": "np.arccosh(%s)", "atanh": "np.arctanh(%s)",
		"exp": "np.exp(%s)", "ln": "np.log(%s)", "log10": "np.log10(%s)", "sqrt": "np.sqrt(%s)", "cbrt": "np.cbrt(%s)",
		"abs": "np.abs(%s)", "sign": "np.sign(%s)",
		"heaviside": "np.heaviside(%s, 0.5)", "min": "np.minimum(%s, %s)", "max": "np.maximum(%s, %s)",
		"erf": "erf(%s)", "erfc": "erfc(%s)", "gamma": "gamma(%s)",
		"J0": "bessel_j(0, %s)", "J1": "bessel_j(1, %s)", "Y0": "bessel_y(0, %s)", "Y1": "bessel_y(1, %s)",
		"I0": "bessel_i(0, %s)", "I1": "bessel_i(1, %s)", "K0": "bessel_k(0, %s)", "K1": "bessel_k(1, %s)",
		"airyAi":  "airy_ai(%s)",
		"besselJ": "bessel_j(%s, %s)", "besselY": "bessel_y(%s, %s)", "besselI": "bessel_i(%s, %s)",
		"besselK": "bessel_k(%s, %s)",
	},
	choice: "np.where(%s, %s, %s)",
}

var octave = dialect{
	times: " .* ", over: "./", power: ".^",
	names: map[string]string{"pi": "pi", "e": "e", "inf": "Inf"},
	reserved: words("break case catch continue do else elseif end end_try_catch end_unwind_protect endfor " +
		"endfunction endif endswitch endwhile for function " +
		"global if otherwise persistent return switch try until unwind_protect unwind_protect_cleanup while " +
		"i j ans eps"),
	functions: map[string]string{
		"sin": "sin(%s)", "cos": "cos(%s)", "tan": "tan(%s)", "asin": "asin(%s)", "acos": "acos(%s)",
		"atan": "atan(%s)",
		"sec":  "sec(%s)", "csc": "csc(%s)", "cot": "cot(%s)", "sech": "sech(%s)", "csch": "csch(%s)",
		"coth": "coth(%s)",
		"sinh": "sinh(%s)", "cosh": "cosh(%s)", "tanh": "tanh(%s)", "asinh": "asinh(%s)", "acosh": "acosh(%s)",
		"atanh": "atanh(%s)",
		"exp":   "exp(%s)", "ln": "log(%s)", "log10": "log10(%s)", "sqrt": "sqrt(%s)", "cbrt": "cbrt(%s)",
		"abs": "abs(%s)", "sign": "sign(%s)",
		"heaviside": "(0.5 + 0.5*sign(%s))", "min": "min(%s, %s)", "max": "max(%s, %s)", "erf": "erf(%s)",
		"erfc": "erfc(%s)", "gamma": "gamma(%s)",
		"J0": "besselj(0, %s)", "J1": "besselj(1, %s)", "Y0": "bessely(0, %s)", "Y1": "bessely(1, %s)",
		"I0": "besseli(0, %s)", "I1": "besseli(1, %s)", "K0": "besselk(0, %s)", "K1": "besselk(1, %s)",
		"airyAi":  "real(airy(0, %s))",
		"besselJ": "besselj(%s, %s)", "besselY": "bessely(%s, %s)", "besselI": "besseli(%s, %s)",
		"besselK":   "besselk(%s, %s)",
		"polygamma": "psi(%s, %s)", "airyAiPrime": "real(airy(1, %s))",
	},
	choice: "merge(%s, %s, %s)",
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
	if n.Func == "if" && len(args) == 3 {
		return fmt.Sprintf(c.choice, args...)
	}
	if f, ok := c.functions[n.Func]; ok {
		if strings.Count(f, "%s") != len(args) {
			c.fail(n, fmt.Sprintf("“%s” takes %d arguments", n.Func, strings.Count(f, "%s")))
			return ""
		}
		return fmt.Sprintf(f, args...)
	}
	if n.Func == "polygamma" || n.Func == "airyAiPrime" {
		c.fail(n, "the derivative of gamma or airyAi cannot be written with numpy")
		return ""
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
// are none. It needs numpy as np, and math. The functions are integral representations by rules that converge faster
// than any power of the step (DLMF 10.9.2, 10.9.7, 10.32.3, 10.32.9, 9.5.1 along a shifted path), good to about 12
// digits for arguments up to some tens.
func PythonDefinitions(trees ...notation.Node) string {
	used := map[string]bool{}
	for _, n := range trees {
		notation.Walk(n, func(n notation.Node) bool {
			if c, ok := n.(*notation.Call); ok {
				name, _, _ := strings.Cut(python.functions[c.Func], "(")
				used[name] = true
			}
			return true
		})
	}
	var b strings.Builder
	for _, d := range pythonDefinitions {
		if used[d.name] {
			if b.Len() > 0 {
				b.WriteString("\n")
			}
			b.WriteString(d.source)
		}
	}
	return b.String()
}

var pythonDefinitions = []struct{ name, source string }{
	{"erf", "erf = np.vectorize(math.erf)\n"},
	{"erfc", "erfc = np.vectorize(math.erfc)\n"},
	{"gamma", "gamma = np.vectorize(math.gamma)\n"},
	{"bessel_j", `def bessel_j(n, x):  # DLMF 10.9.2
    t = (np.arange(400) + 0.5)*np.pi/400
    return np.mean(np.cos(np.multiply.outer(x, np.sin(t)) - n*t), axis=-1)
`},
	{"bessel_y", `def bessel_y(n, x):  # DLMF 10.9.7, x > 0
    g, w = np.polynomial.legendre.leggauss(200)
    t = np.pi/2*(g + 1)
    first = np.sin(np.multiply.outer(x, np.sin(t)) - n*t) @ w*np.pi/2
    end = np.arcsinh(50/np.asarray(x))
    t = np.multiply.outer(end/2, g + 1)
    decay = np.exp(-np.asarray(x)[..., None]*np.sinh(t))
    second = ((np.exp(n*t) + (-1)**n*np.exp(-n*t))*decay) @ w*end/2
    return (first - second)/np.pi
`},
	{"bessel_i", `def bessel_i(n, x):  # DLMF 10.32.3
    t = (np.arange(400) + 0.5)*np.pi/400
    return np.mean(np.exp(np.multiply.outer(x, np.cos(t)))*np.cos(n*t), axis=-1)
`},
	{"bessel_k", `def bessel_k(n, x):  # DLMF 10.32.9, x > 0
    t = (np.arange(1000) + 0.5)*0.03
    return 0.03*np.sum(np.exp(-np.multiply.outer(x, np.cosh(t)))*np.cosh(n*t), axis=-1)
`},
	{"airy_ai", `def airy_ai(x):  # DLMF 9.5.1, its path moved up by s
    x = np.asarray(x, dtype=float)[..., None]
    s = np.maximum(0.7, np.sqrt(np.maximum(x, 0)))
    t = (np.arange(4000) + 0.5)*0.002
    wave = np.exp(-s*t*t)*np.cos(t**3/3 + (x - s*s)*t)
    return 0.002/np.pi*np.sum(np.exp(s**3/3 - x*s)*wave, axis=-1)
`},
}
