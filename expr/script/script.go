package script

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"nodespan/expr/lesson"
	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
	"nodespan/solver/working"
)

// writer writes one program.
type writer struct {
	*Language
	l      *lesson.Lesson
	w      *working.Working
	p      *bvp.Problem
	b      strings.Builder
	indent string
	names  map[string]string // constants and sought numbers of the sheet → names in the program
	taken  map[string]bool
	x      string // what the independent variable stands for in formulas
	points []pointValue
	err    error
}

func write(l *lesson.Lesson, lang *Language) (string, error) {
	w := &writer{Language: lang, l: l, w: l.Working, p: l.Working.Problem, names: map[string]string{},
		taken: map[string]bool{}, x: "x"}
	w.name()
	w.head()
	w.constants()
	w.interval()
	w.nodes()
	w.matrices()
	w.rowsOfConditions()
	if w.w.Linear {
		w.equations()
	} else {
		w.newton()
	}
	w.result()
	w.stable()
	w.print()
	return w.b.String(), w.err
}

// line writes a statement.
func (w *writer) line(format string, a ...any) {
	fmt.Fprintf(&w.b, "%s%s%s\n", w.indent, fmt.Sprintf(format, a...), w.end)
}

// say writes a comment, in lines of at most 100 characters.
func (w *writer) say(format string, a ...any) {
	line := w.indent + w.remark
	for _, word := range strings.Fields(fmt.Sprintf(format, a...)) {
		if len([]rune(line))+1+len([]rune(word)) > 100 {
			w.b.WriteString(line + "\n")
			line = w.indent + w.remark
		}
		line += " " + word
	}
	w.b.WriteString(line + "\n")
}

//go:noinline
func (w *writer) gap() { w.b.WriteString("\n") }

// name gives every constant and sought number of the sheet a name that the program leaves free.
func (w *writer) name() {
	for _, m := range w.w.Matrices {
		w.taken[m.Name] = true
	}
	for _, n := range strings.Fields("np math powers integrals stable total solution old step change n nodes j left " +
		"right origin scale roots at row x beta alpha") {
		w.taken[n] = true
	}
	for i := range w.w.Unknowns {
		for d := 0; d <= w.w.Unknowns[i].Order; d++ {
			w.taken[w.w.OldName(i, d)] = true
		}
	}
	free := func(name string, i int) string {
		id := working.Identifier(name)
		if id == "" {
			id = fmt.Sprintf("constant%d", i+1)
		}
		for w.taken[id] || w.Reserves(id) || working.Reserved(id) || rowName.MatchString(id) {
			id += "_"
		}
		w.taken[id] = true
		return id
	}
	for i, name := range w.l.Sheet.ConstantOrder() {
		w.names[name] = free(name, i)
	}
	for i, p := range w.l.Sheet.Sought {
		w.names[p.Name] = free(p.Name, 100+i)
	}
}

// formula prints a tree; running unknowns are those that a nonlinear problem is linearised around, values at points are
// rows times them.
func (w *writer) formula(n notation.Node) string {
	s, err := w.Code(n, func(leaf notation.Node) string {
		switch leaf := leaf.(type) {
		case *notation.Name:
			if leaf.Name == w.l.Sheet.Variable {
				return w.x
			}
			return w.names[leaf.Name]
		case *notation.Jet:
			return w.old(leaf)
		}
		return ""
	})
	if err != nil && w.err == nil {
		w.err = err
	}
	return s
}

// old is the value of a jet that a nonlinear problem is linearised around.
func (w *writer) old(leaf *notation.Jet) string {
	if leaf.At != nil {
		for _, p := range w.points {
			if notation.Equal(p.jet, leaf) {
				return "(" + w.productOf(p.row, "old") + ")"
			}
		}
	}
	for i, u := range w.p.Unknowns {
		if u.Name == leaf.Name {
			return w.w.OldName(i, leaf.Order)
		}
	}
	return ""
}

// vector prints a tree as a vector over the points: one that does not change with the variable is repeated.
func (w *writer) vector(n notation.Node) string {
	moves := false
	notation.Walk(n, func(n notation.Node) bool {
		switch n := n.(type) {
		case *notation.Name:
			moves = moves || n.Name == w.l.Sheet.Variable
		case *notation.Jet:
			moves = moves || n.At == nil
		}
		return true
	})
	s := w.formula(n)
	switch {
	case moves:
		return s
	case s == "0":
		return fmt.Sprintf(w.nothing, w.x)
	}
	return w.times(s, fmt.Sprintf(w.ones, w.x))
}

// rowName matches the name of a row of conditions: row1, stable_row12.
var rowName = regexp.MustCompile(`^(stable_)?row[0-9]+$`)

// single matches one name or number, perhaps with a minus sign.
var single = regexp.MustCompile(`^-?[\w.]+$`)

// times joins two factors that may be left out where they are 1.
func (w *writer) times(a, b string) string {
	switch {
	case a == "1":
		return b
	case b == "1":
		return a
	case !single.MatchString(a):
		a = "(" + a + ")"
	}
	return a + "*" + b
}

func (w *writer) head() {
	for _, f := range w.l.Steps[0].Formulas {
		w.b.WriteString(w.remark + " " + f.Plain + "\n")
	}
	w.b.WriteString(w.remark + "\n")
	w.say("Collocation by one polynomial through %d interior %s nodes, step by step, by %s. Prints the node table.",
		w.w.Options.Nodes, w.w.Options.Family.Adjective(), w.needs)
	w.gap()
	w.b.WriteString(w.start)
	var trees []notation.Node
	sh := w.l.Sheet
	trees = append(append(trees, sh.EquationFormulas()...), sh.ConditionFormulas()...)
	for _, name := range sh.ConstantOrder() {
		trees = append(trees, sh.ConstantFormula(name))
	}
	for i := range w.p.Unknowns {
		trees = append(trees, w.derivativeTrees(i)...)
		if g := sh.GuessFormula(i); g != nil {
			trees = append(trees, g)
		}
	}
	if d := w.Definitions(trees...); d != "" {
		w.gap()
		w.b.WriteString(d)
	}
	if w.w.Valueless() {
		w.b.WriteString("\n")
		w.say("At an end the equation has no value (a division by zero); the row is given to a condition.")
		w.b.WriteString(w.quiet)
	}
	w.b.WriteString(w.powers)
	w.gap()
}

func (w *writer) constants() {
	order := w.l.Sheet.ConstantOrder()
	if len(order) == 0 {
		return
	}
	w.say("The constants of the sheet.")
	for _, name := range order {
		note := ""
		if w.names[name] != name {
			note = "  " + w.remark + " " + name + " of the sheet"
		}
		text := w.formula(w.l.Sheet.ConstantFormula(name))
		fmt.Fprintf(&w.b, "%s = %s%s%s\n", w.names[name], text, w.end, note)
	}
	w.gap()
}

// value evaluates a formula of constants.
func (w *writer) value(n notation.Node) float64 {
	values := map[string]float64{"pi": math.Pi, "e": math.E}
	for _, c := range w.l.Sheet.Constants {
		values[c.Name] = c.Value
	}
	v, err := tape.Evaluate(n, func(n notation.Node) (float64, bool) {
		name, ok := n.(*notation.Name)
		if !ok {
			return 0, false
		}
		v, ok := values[name.Name]
		return v, ok
	})
	if err != nil {
		return math.NaN()
	}
	return v
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

func isZero(n notation.Node) bool {
	v, ok := n.(*notation.Number)
	return ok && v.Value == 0
}
