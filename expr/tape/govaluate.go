package tape

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"github.com/Knetic/govaluate"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// This file alone knows the govaluate library. It is the second way to each value: no rule of precedence
// and none of the tape's code is shared, only the functions of one argument.
//
// The library reads -2**2 as 4 and 2**3**2 as 64, refuses 1e-3 and 2*-x, and takes ' for the start of a string. So
// trees are printed with every bracket, numbers without an exponent, and leaves under plain names.

// Evaluate evaluates a tree that is not on an inner loop (a constant, a condition's data, an exact solution, a guess),
// through the govaluate library. value gives the number of each *notation.Name
// and *notation.Jet; where its second result is false, or the tree holds what has no value, the error is a
// *notation.Error with the place. The parse of a tree is kept, so that further calls with the same tree are cheaper.
// It may be called from several goroutines.
func Evaluate(n notation.Node, value func(notation.Node) (float64, bool)) (float64, error) {
	if leaf, ok := n.(*notation.Number); ok && !math.IsInf(leaf.Value, 0) && !math.IsNaN(leaf.Value) {
		return leaf.Value, nil
	}
	if leaf, ok := n.(*notation.Name); ok {
		if v, ok := value(leaf); ok {
			return v, nil
		}
	}
	s, err := scriptOf(n)
	if err != nil {
		return 0, err
	}
	values := make(govaluate.MapParameters, len(s.leaves)+len(s.parts))
	for i, l := range s.leaves {
		v, ok := value(l)
		if !ok {
			return 0, fault(l, fmt.Sprintf("“%s” has no value here", leafName(l)), "")
		}
		values[leafParameter(i)] = v
	}
	var v float64
	for i, p := range s.parts {
		r, err := p.Eval(values)
		if err != nil {
			return 0, fault(n, "govaluate cannot evaluate this: "+err.Error(), "")
		}
		v = r.(float64)
		values[partParameter(i)] = v
	}
	return v, nil
}

// script is a tree in govaluate's grammar. The library recurses about a dozen calls deep for each bracket, so deep
// trees, and parts that occur more than once, are cut off into parts of their own, each of which may
// use the ones before it.
type script struct {
	parts  []*govaluate.EvaluableExpression
	leaves []notation.Node
}

func leafParameter(i int) string { return "x" + strconv.Itoa(i) }
func partParameter(i int) string { return "p" + strconv.Itoa(i) }

// maxNesting is how many brackets deep a part may be.
const maxNesting = 12

var scripts = struct {
	sync.Mutex
	of map[notation.Node]*script
}{of: map[notation.Node]*script{}}

// maxScripts bounds the trees whose parse is kept.
const maxScripts = 256

func scriptOf(n notation.Node) (*script, error) {
	scripts.Lock()
	defer scripts.Unlock()
	if s, ok := scripts.of[n]; ok {
		return s, nil
	}
	p := printer{script: &script{}, leaf: map[string]int{}, cut: map[notation.Node]string{},
		uses: map[notation.Node]int{}}
	p.count(n)
	text, _, err := p.print(n)
	if err == nil {
		err = p.part(n, text)
	}
	if err != nil {
		return nil, err
	}
	if len(scripts.of) >= maxScripts {
		clear(scripts.of)
	}
	scripts.of[n] = p.script
	return p.script, nil
}

type printer struct {
	*script
	leaf map[string]int
	uses map[notation.Node]int // how often a node occurs
	cut  map[notation.Node]string
}

func (p *printer) count(n notation.Node) {
	p.uses[n]++
	if p.uses[n] > 1 {
		return
	}
	for _, c := range notation.Children(n) {
		p.count(c)
	}
}

// part ends a part with the given text.
func (p *printer) part(n notation.Node, text string) error {
	e, err := govaluate.NewEvaluableExpressionWithFunctions(text, callable)
	if err != nil {
		return fault(n, "govaluate cannot read this: "+err.Error(), "")
	}
	p.parts = append(p.parts, e)
	return nil
}

// print returns the text of a node, and how deeply brackets are nested in it.
func (p *printer) print(n notation.Node) (string, int, error) {
	if name, ok := p.cut[n]; ok {
		return name, 0, nil
	}
	text, depth, err := p.text(n)
	if err != nil {
		return "", 0, err
	}
	if _, ok := n.(*notation.Compare); ok {
		return text, depth, nil
	}
	if depth > maxNesting || depth > 0 && p.uses[n] > 1 {
		if err := p.part(n, text); err != nil {
			return "", 0, err
		}
		text, depth = partParameter(len(p.parts)-1), 0
		p.cut[n] = text
	}
	return text, depth, nil
}

func (p *printer) text(n notation.Node) (string, int, error) {
	switch n := n.(type) {
	case *notation.Number:
		switch {
		case math.IsInf(n.Value, 0) || math.IsNaN(n.Value):
			return "", 0, fault(n, "not a finite number", "")
		case math.Signbit(n.Value):
			return "(0-" + strconv.FormatFloat(-n.Value, 'f', -1, 64) + ")", 1, nil
		}
		return strconv.FormatFloat(n.Value, 'f', -1, 64), 0, nil
	case *notation.Name, *notation.Jet:
		key := leafKey(n)
		i, ok := p.leaf[key]
		if !ok {
			i = len(p.leaves)
			p.leaf[key] = i
			p.leaves = append(p.leaves, n)
		}
		return leafParameter(i), 0, nil
	case *notation.Negate:
		return p.wrap("(-1*", []notation.Node{n.X}, "", ")")
	case *notation.Binary:
		if name, ok := n.X.(*notation.Name); ok && n.Op == '^' && name.Name == "e" {
			// Which e is meant is known only when it has a value.
			return p.wrap("power_of_e(", []notation.Node{n.X, n.Y}, ",", ")")
		}
		op := string(n.Op)
		if n.Op == '^' {
			op = "**"
		}
		return p.wrap("(", []notation.Node{n.X, n.Y}, op, ")")
	case *notation.Call:
		if n.Func == "if" && len(n.Args) == 3 {
			cond, ok := n.Args[0].(*notation.Compare)
			if !ok {
				return "", 0, fault(n.Args[0], "the first part of if(…) must be a comparison", "write if(x < 1, 2, 3)")
			}
			name, ok := choices[cond.Op]
			if !ok {
				return "", 0, fault(cond, fmt.Sprintf("unknown comparison “%s”", cond.Op), "")
			}
			return p.wrap(name+"(", []notation.Node{cond.X, cond.Y, n.Args[1], n.Args[2]}, ",", ")")
		}
		if f, ok := function.ByName(n.Func); !ok || f.Args != len(n.Args) || n.Func == "if" {
			return "", 0, fault(n, fmt.Sprintf("no function “%s” of %d arguments", n.Func, len(n.Args)), "")
		}
		return p.wrap(n.Func+"(", n.Args, ",", ")")
	case *notation.Compare:
		return "", 0, fault(n, "a comparison has no value outside if(…)", "write if(x < 1, 2, 3)")
	case *notation.Diff:
		return "", 0, fault(n, "the derivative of an expression has to be worked out before it can be evaluated", "")
	}
	return "", 0, fault(n, fmt.Sprintf("a formula cannot hold %T", n), "")
}

func (p *printer) wrap(open string, parts []notation.Node, between, end string) (string, int, error) {
	var b strings.Builder
	b.WriteString(open)
	deepest := 0
	for i, x := range parts {
		if i > 0 {
			b.WriteString(" " + between + " ")
		}
		t, depth, err := p.print(x)
		if err != nil {
			return "", 0, err
		}
		deepest = max(deepest, depth)
		b.WriteString(t)
	}
	b.WriteString(end)
	return b.String(), deepest + 1, nil
}

// choices are the two-way choices by their comparison, each a function of four arguments.
var choices = map[string]string{"<": "if_less", "<=": "if_less_or_equal", ">": "if_greater",
	">=": "if_greater_or_equal"}

// callable is what a printed tree may call.
var callable = func() map[string]govaluate.ExpressionFunction {
	m := map[string]govaluate.ExpressionFunction{}
	for _, f := range function.All() {
		switch {
		case !f.HasValue():
		case f.Ordered != nil:
			m[f.Name] = numeric(2, func(x []float64) float64 { return f.Ordered(int(x[0]), x[1]) })
		default:
			m[f.Name] = numeric(1, func(x []float64) float64 { return f.Value(x[0]) })
		}
	}
	m["min"] = numeric(2, func(x []float64) float64 { return least(x[0], x[1]) })
	m["max"] = numeric(2, func(x []float64) float64 { return -least(-x[0], -x[1]) })
	m["power_of_e"] = numeric(2, func(x []float64) float64 {
		if x[0] == math.E {
			return math.Exp(x[1])
		}
		return math.Pow(x[0], x[1])
	})
	choice := func(holds func(a, b float64) bool) govaluate.ExpressionFunction {
		return numeric(4, func(x []float64) float64 {
			switch {
			case x[0] != x[0] || x[1] != x[1]:
				return math.NaN()
			case holds(x[0], x[1]):
				return x[2]
			}
			return x[3]
		})
	}
	m["if_less"] = choice(func(a, b float64) bool { return a < b })
	m["if_less_or_equal"] = choice(func(a, b float64) bool { return a <= b })
	m["if_greater"] = choice(func(a, b float64) bool { return a > b })
	m["if_greater_or_equal"] = choice(func(a, b float64) bool { return a >= b })
	return m
}()

// numeric makes a function of n numbers known to the library.
func numeric(n int, f func([]float64) float64) govaluate.ExpressionFunction {
	return func(args ...interface{}) (interface{}, error) {
		if len(args) != n {
			return nil, fmt.Errorf("%d arguments in the place of %d", len(args), n)
		}
		x := make([]float64, n)
		for i, a := range args {
			v, ok := a.(float64)
			if !ok {
				return nil, fmt.Errorf("an argument is %T", a)
			}
			x[i] = v
		}
		return f(x), nil
	}
}

// leafKey tells leaves apart.
func leafKey(n notation.Node) string {
	switch n := n.(type) {
	case *notation.Name:
		return n.Name
	case *notation.Jet:
		key := fmt.Sprintf("%s'%d", n.Name, n.Order)
		if n.At != nil {
			key += fmt.Sprintf("@%p", n.At) // the same point twice costs a parameter, no more
		}
		return key
	}
	return ""
}

func leafName(n notation.Node) string {
	switch n := n.(type) {
	case *notation.Name:
		return n.Name
	case *notation.Jet:
		return n.Name
	}
	return ""
}
