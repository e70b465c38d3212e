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
	"nodespan/expr/typeset"
	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
	"nodespan/solver/working"
)

// Python returns a Python program that needs numpy alone. The error says what cannot be written as one.
func Python(l *lesson.Lesson) (string, error) { return write(l, &python) }

// Octave returns a program for GNU Octave, without packages.
func Octave(l *lesson.Lesson) (string, error) { return write(l, &octave) }

// writer writes one program.
type writer struct {
	*language
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

// pointValue is a value at a point in a condition, with the name of its row.
type pointValue struct {
	jet     *notation.Jet
	unknown int
	x       float64
	row     string
}

func write(l *lesson.Lesson, lang *language) (string, error) {
	w := &writer{language: lang, l: l, w: l.Working, p: l.Working.Problem, names: map[string]string{}, taken: map[string]bool{}, x: "x"}
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
	line := w.indent + "#"
	for _, word := range strings.Fields(fmt.Sprintf(format, a...)) {
		if len([]rune(line))+1+len([]rune(word)) > 100 {
			w.b.WriteString(line + "\n")
			line = w.indent + "#"
		}
		line += " " + word
	}
	w.b.WriteString(line + "\n")
}

func (w *writer) gap() { w.b.WriteString("\n") }

// name gives every constant and sought number of the sheet a name that the program leaves free.
func (w *writer) name() {
	for _, m := range w.w.Matrices {
		w.taken[m.Name] = true
	}
	for _, n := range strings.Fields("np math powers integrals stable total solution old step change n nodes j left right origin scale roots at row x beta alpha") {
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
		for w.taken[id] || w.reserved[id] || working.Reserved(id) || strings.HasPrefix(id, "row") || strings.HasPrefix(id, "stable_") {
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

// formula prints a tree; running unknowns are those that a nonlinear problem is linearised around, values at points are rows times them.
func (w *writer) formula(n notation.Node) string {
	s, err := w.code(n, func(leaf notation.Node) string {
		switch leaf := leaf.(type) {
		case *notation.Name:
			if leaf.Name == w.l.Sheet.Variable {
				return w.x
			}
			return w.names[leaf.Name]
		case *notation.Jet:
			if leaf.At != nil {
				for _, p := range w.points {
					if notation.Equal(p.jet, leaf) {
						return "(" + w.product(p.row, "old") + ")"
					}
				}
			}
			for i, u := range w.p.Unknowns {
				if u.Name == leaf.Name {
					return w.w.OldName(i, leaf.Order)
				}
			}
		}
		return ""
	})
	if err != nil && w.err == nil {
		w.err = err
	}
	return s
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

var single = regexp.MustCompile(`^-?[A-Za-z0-9_.]+$`)

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
		w.b.WriteString("# " + f.Plain + "\n")
	}
	w.b.WriteString("#\n")
	w.say("Collocation by one polynomial through %d interior %s nodes, step by step, by %s. Prints the node table.",
		w.w.Options.Nodes, familyName(w.w.Options.Family), w.needs)
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
	if d := w.definitions(trees...); d != "" {
		w.gap()
		w.b.WriteString(d)
	}
	if w.w.Valueless() {
		w.b.WriteString("\n")
		w.say("At an end the equation has no value (a division by zero); the row is given to a condition.")
		w.b.WriteString(w.quiet)
	}
	w.b.WriteString(w.functions)
	w.gap()
}

// derivativeTrees are the trees of the coefficients of the equation of unknown i.
func (w *writer) derivativeTrees(i int) []notation.Node {
	var out []notation.Node
	residual := w.l.Sheet.EquationFormulas()[w.w.Equation(i)]
	for _, u := range w.p.Unknowns {
		for d := 0; d <= u.Order; d++ {
			out = append(out, tape.Partial(residual, &notation.Jet{Name: u.Name, Order: d}))
		}
	}
	return out
}

func familyName(f nodes.Family) string {
	s := f.String()
	if f == nodes.Equispaced {
		return "equally spaced"
	}
	return strings.ToUpper(s[:1]) + s[1:]
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
			note = "  # " + name + " of the sheet"
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
	v, err := tape.Govaluate(n, func(n notation.Node) (float64, bool) {
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

// point prints a point of the problem: as a formula of constants where the sheet gives one, else as a number.
func (w *writer) point(x float64) string {
	var trees []notation.Node
	ends := w.l.Sheet.EndFormulas()
	trees = append(trees, ends[:]...)
	for _, c := range w.l.Sheet.ConditionFormulas() {
		notation.Walk(c, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok && j.At != nil {
				trees = append(trees, j.At)
			}
			return true
		})
	}
	for _, n := range trees {
		if n == nil {
			continue
		}
		if v := w.value(n); v == x {
			return w.formula(n)
		}
	}
	return number(x)
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

func (w *writer) interval() {
	s, sh := w.w.Options.Symbol, w.l.Sheet
	x := sh.Variable
	as := ""
	if x != "x" {
		as = fmt.Sprintf(" (x here is %s of the sheet)", x)
	}
	switch w.w.Options.Reference {
	case working.Own:
		w.say("The interval; the powers are those of %s itself.%s", x, as)
	default:
		w.say("The interval, mapped to %s from %s to %s by %s = origin + scale*%s: each derivative by %s brings a factor 1/scale.%s",
			s, number(w.w.From), number(w.w.To), x, s, x, as)
	}
	w.line("left = %s", w.point(w.p.A))
	w.line("right = %s", w.point(w.p.B))
	switch w.w.Options.Reference {
	case working.Unit:
		w.line("origin = left")
		w.line("scale = right - left")
	case working.Symmetric:
		w.line("origin = (left + right)/2")
		w.line("scale = (right - left)/2")
	default:
		w.line("origin = 0")
		w.line("scale = 1")
	}
	w.gap()
}

func (w *writer) from() string {
	if w.w.Options.Reference == working.Own {
		return "left"
	}
	return number(w.w.From)
}

func (w *writer) to() string {
	if w.w.Options.Reference == working.Own {
		return "right"
	}
	return number(w.w.To)
}

func (w *writer) nodes() {
	n := w.w.Options.Nodes
	w.say("The nodes: zeros of %s.", w.w.Root)
	w.line("n = %d", n)
	switch w.w.Options.Family {
	case nodes.Chebyshev:
		w.line("j = %s", w.arange(1, "n"))
		w.line("nodes = %s", w.cosine)
	case nodes.Equispaced:
		w.line("j = %s", w.arange(1, "n"))
		w.line("nodes = 2*j/(n + 1) - 1")
	default:
		w.say("They are the eigenvalues of the matrix of its recurrence.")
		w.line("j = %s", w.arange(1, "n - 1"))
		switch w.w.Options.Family {
		case nodes.Legendre:
			w.line("beta = %s", w.elementwise("j/sqrt(4*j**2 - 1)"))
		case nodes.Lobatto:
			w.line("beta = %s", w.elementwise("sqrt(j*(j + 2)/((2*j + 1)*(2*j + 3)))"))
		case nodes.Radau:
			w.line("beta = %s", w.elementwise("sqrt(j*(j + 1))/(2*j + 1)"))
			w.line("j = %s", w.arange(0, "n - 1"))
			w.line("alpha = %s", w.elementwise("-1/((2*j + 1)*(2*j + 3))"))
		}
		if w.w.Options.Family == nodes.Radau {
			w.line("nodes = %s", w.eigenvalues("diag(alpha) + diag(beta, 1) + diag(beta, -1)"))
		} else {
			w.line("nodes = %s", w.eigenvalues("diag(beta, 1) + diag(beta, -1)"))
		}
	}
	switch w.w.Options.Reference {
	case working.Unit:
		w.line("roots = (1 + nodes)/2")
	case working.Symmetric:
		w.line("roots = nodes")
	default:
		w.line("roots = left + (right - left)*(1 + nodes)/2")
	}
	w.line("polynomial = %s", w.polynomial(number(w.w.Polynomial[len(w.w.Polynomial)-1])))
	w.gap()
}

// own lists the unknowns with matrices of their own, with the highest derivative they need.
func (w *writer) own() (us []*working.Unknown, orders []int) {
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		if w.w.Shared && i > 0 {
			orders[0] = max(orders[0], u.Order)
			continue
		}
		us, orders = append(us, u), append(orders, u.Order)
	}
	return us, orders
}

func (w *writer) matrices() {
	us, orders := w.own()
	for i, u := range us {
		f := u.Suffix
		of := ""
		if f != "" {
			of = " of " + u.Name
		}
		var parts []string
		nl := u.Held[0]
		nr := len(u.S) - nl - len(u.Held)
		for k := range nl {
			parts = append(parts, w.carrier(w.from(), w.first, k, nl))
		}
		w.say("The points%s: the nodes, and points whose rows the conditions take: %s.", of, ends(u, w.w))
		left := parts
		var right []string
		for k := nr - 1; k >= 0; k-- {
			right = append(right, w.carrier(w.to(), w.last, k, nr))
		}
		w.line("s%s = %s", f, w.concat(left, "roots", right))
		w.line("x%s = origin + scale*s%s", f, f)
		w.gap()
		w.say("V: the powers of %s at the points; its inverse; derivatives of the powers; derivative matrices.", w.w.Options.Symbol)
		N := len(u.S)
		w.line("V%s = powers(s%s, 0, %d)", f, f, N)
		w.line("V_inv%s = %s(V%s)", f, w.inverse, f)
		for d := 1; d <= orders[i]; d++ {
			w.line("V%d%s = powers(s%s, %d, %d)", d, f, f, d, N)
		}
		for d := 1; d <= orders[i]; d++ {
			scale := "/scale"
			if d > 1 {
				scale += fmt.Sprintf("%s%d", w.power, d)
			}
			w.line("D%d%s = %s%s", d, f, w.product(fmt.Sprintf("V%d%s", d, f), "V_inv"+f), scale)
		}
		w.gap()
	}
	if !w.w.Shared {
		w.say("The equations are written at the nodes.")
		w.line("x = origin + scale*roots")
		w.gap()
	}
}

func ends(u *working.Unknown, w *working.Working) string {
	left, right, extra := false, false, 0
	for _, k := range u.Carriers {
		switch u.S[k] {
		case w.From:
			left = true
		case w.To:
			right = true
		default:
			extra++
		}
	}
	out := "the left end"
	if left && right {
		out = "both ends"
	} else if right {
		out = "the right end"
	}
	if extra > 0 {
		out += ", and between an end and its nearest node"
	}
	return out
}

// carrier prints the k-th of count carriers, counted from an end.
func (w *writer) carrier(end, node string, k, count int) string {
	if k == 0 {
		return end
	}
	part := fmt.Sprintf("*%d/%d", k, count)
	if k == 1 {
		part = fmt.Sprintf("/%d", count)
	}
	return fmt.Sprintf("%s + (%s - %s)%s", end, node, end, part)
}

// rowsOfConditions writes the rows that give the values at points which the conditions speak of.
func (w *writer) rowsOfConditions() {
	sh := w.l.Sheet
	for _, c := range sh.ConditionFormulas() {
		notation.Walk(c, func(n notation.Node) bool {
			j, ok := n.(*notation.Jet)
			if !ok {
				return true
			}
			for _, p := range w.points {
				if notation.Equal(p.jet, j) {
					return false
				}
			}
			p := pointValue{jet: j, row: fmt.Sprintf("row%d", len(w.points)+1)}
			for i, u := range w.p.Unknowns {
				if u.Name == j.Name {
					p.unknown = i
				}
			}
			p.x = w.value(j.At)
			for _, end := range []float64{w.p.A, w.p.B} { // as the problem has it, to the last bit
				if math.Abs(p.x-end) <= 1e-14*math.Max(math.Abs(w.p.A), math.Abs(w.p.B)) {
					p.x = end
				}
			}
			w.points = append(w.points, p)
			return false
		})
	}
	w.say("The conditions: each value at a point is a row times the values of the unknowns.")
	w.line("total = %d", w.w.Size())
	for _, p := range w.points {
		u := &w.w.Unknowns[p.unknown]
		w.line("%s = %s", p.row, w.zeroRow)
		k := w.w.PointOf(p.unknown, p.x)
		note := typeset.Plain(p.jet)
		put := func(place, value string) {
			fmt.Fprintf(&w.b, "%s%s = %s%s  # %s\n", w.indent, place, value, w.end, note)
		}
		whole := w.part(p.row, u.Offset, u.Offset+len(u.S))
		switch {
		case k >= 0 && p.jet.Order == 0:
			put(w.entry(p.row, u.Offset+k), "1")
		case k >= 0:
			put(whole, w.rowOf(fmt.Sprintf("D%d%s", p.jet.Order, u.Suffix), k))
		default:
			at := fmt.Sprintf("(%s - origin)/scale", w.pointText(p))
			value := w.product(fmt.Sprintf(w.oneRow, at, p.jet.Order, len(u.S)), "V_inv"+u.Suffix)
			if p.jet.Order > 0 {
				value += "/scale" + w.power + strconv.Itoa(p.jet.Order)
			}
			put(whole, value)
		}
	}
	w.gap()
}

// pointText prints the point of a value.
func (w *writer) pointText(p pointValue) string {
	s := w.formula(p.jet.At)
	if !single.MatchString(s) {
		s = "(" + s + ")"
	}
	return s
}

// held is the stretch of an unknown's points where the equations are written.
func (w *writer) held(i int) (from, to int) {
	u := &w.w.Unknowns[i]
	if w.w.Shared {
		return 0, len(u.S)
	}
	return u.Held[0], u.Held[len(u.Held)-1] + 1
}

// coefficients writes the vectors of the coefficients.
func (w *writer) coefficients() {
	sh := w.l.Sheet
	for i := range w.w.Unknowns {
		residual := sh.EquationFormulas()[w.w.Equation(i)]
		for j, u := range w.w.Unknowns {
			for d := u.Order; d >= 0; d-- {
				if !w.w.Absent(i, j, d) {
					w.line("%s = %s", w.w.CoefficientName(i, j, d), w.vector(tape.Partial(residual, &notation.Jet{Name: u.Name, Order: d})))
				}
			}
		}
		for q, p := range sh.Sought {
			w.line("%s = %s", w.w.ParameterName(i, q), w.vector(tape.Partial(residual, &notation.Name{Name: p.Name})))
		}
	}
}

// blocks returns the blocks of the equation of unknown i, one for each unknown and sought number.
func (w *writer) blocks(i int) []string {
	var out []string
	for j := range w.w.Unknowns {
		u := &w.w.Unknowns[j]
		from, to := w.held(j)
		part := func(m string) string {
			if w.w.Shared {
				return m
			}
			return w.rows(m, from, to)
		}
		var terms []string
		for d := u.Order; d >= 0; d-- {
			if w.w.Absent(i, j, d) {
				continue
			}
			a := w.w.CoefficientName(i, j, d)
			switch {
			case d > 0:
				terms = append(terms, w.scaled(a, part(fmt.Sprintf("D%d%s", d, u.Suffix))))
			case w.w.Shared:
				terms = append(terms, w.diagonal+"("+a+")")
			default:
				terms = append(terms, w.scaled(a, w.rows(fmt.Sprintf("%s(%d)", w.eye, len(u.S)), from, to)))
			}
		}
		if len(terms) == 0 {
			terms = []string{w.zeros(to-from, len(u.S))}
		}
		out = append(out, strings.Join(terms, " + "))
	}
	for q := range w.p.Parameters {
		out = append(out, w.columnOf(w.w.ParameterName(i, q)))
	}
	return out
}

// rightSide returns the right side of the equation of unknown i.
func (w *writer) rightSide(i int) string {
	residual := w.l.Sheet.EquationFormulas()[w.w.Equation(i)]
	if w.w.Linear {
		return w.vector(negative(withoutUnknowns(residual)))
	}
	var terms []string
	for j, u := range w.w.Unknowns {
		for d := u.Order; d >= 0; d-- {
			if !w.w.Absent(i, j, d) {
				terms = append(terms, w.w.CoefficientName(i, j, d)+w.dot+w.w.OldName(j, d))
			}
		}
	}
	for q, p := range w.l.Sheet.Sought {
		terms = append(terms, w.w.ParameterName(i, q)+"*"+w.names[p.Name])
	}
	return strings.Join(terms, " + ") + " - (" + w.formula(residual) + ")"
}

// equations writes the coefficients, the operator, the conditions and the solution.
func (w *writer) equations() {
	w.say("The equation's factors at the points, and the operator: the equation written at %s.", map[bool]string{true: "every point", false: "every node"}[w.w.Shared])
	w.coefficients()
	size := w.w.Size()
	if w.w.Shared && len(w.p.Parameters) == 0 {
		var rows, rhs []string
		for i := range w.w.Unknowns {
			rows, rhs = append(rows, w.beside(w.blocks(i))), append(rhs, w.rightSide(i))
		}
		w.line("A_all = %s", w.below(rows))
		w.line("b_all = %s", w.join(rhs))
	} else {
		w.line("A_all = %s", fmt.Sprintf(w.nans, size, size))
		w.line("b_all = %s", w.nanVector)
		for i := range w.w.Unknowns {
			u := &w.w.Unknowns[i]
			from, to := w.held(i)
			w.line("%s = %s", w.rows("A_all", u.Offset+from, u.Offset+to), w.beside(w.blocks(i)))
			w.line("%s = %s", w.part("b_all", u.Offset+from, u.Offset+to), w.rightSide(i))
		}
	}
	w.gap()
	w.say("The conditions as rows.")
	sh := w.l.Sheet
	var rows, rhs []string
	for _, c := range sh.ConditionFormulas() {
		rows = append(rows, w.conditionRow(c, func(p pointValue) string { return p.row }, w.zeroRow))
		if w.w.Linear {
			rhs = append(rhs, w.formula(negative(withoutUnknowns(c))))
		}
	}
	w.line("C = %s", w.stack(rows))
	for r, c := range sh.ConditionFormulas() {
		for q, p := range sh.Sought {
			if v := tape.Partial(c, &notation.Name{Name: p.Name}); !isZero(v) {
				w.line("%s = %s", w.entry2("C", r, size-len(sh.Sought)+q), w.formula(v))
			}
		}
	}
	if !w.w.Linear {
		for r, c := range sh.ConditionFormulas() {
			rhs = append(rhs, w.product(w.rowOf("C", r), "old")+" - ("+w.formula(c)+")")
		}
	}
	w.line("C_rhs = %s", w.list(rhs))
	w.gap()
	w.say("The conditions take over rows.")
	w.line("A = %s", w.copied("A_all"))
	w.line("b = %s", w.copied("b_all"))
	for k, t := range w.w.Taken {
		w.line("%s = %s", w.rowOf("A", t.Row), w.rowOf("C", k))
		w.line("%s = %s", w.entry("b", t.Row), w.entry("C_rhs", k))
	}
	w.gap()
	w.say("The solution: the values at the points.")
	w.line("solution = %s", w.solved("A", "b"))
}

// conditionRow prints a condition as a sum of rows.
func (w *writer) conditionRow(c notation.Node, row func(pointValue) string, none string) string {
	var terms []string
	for _, p := range w.points {
		weight := tape.Partial(c, p.jet)
		if isZero(weight) {
			continue
		}
		terms = append(terms, w.times(w.formula(weight), row(p)))
	}
	if len(terms) == 0 {
		return none
	}
	return strings.Join(terms, " + ")
}

func isZero(n notation.Node) bool {
	v, ok := n.(*notation.Number)
	return ok && v.Value == 0
}

func (w *writer) result() {
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		w.line("%s = %s", u.ID, w.part("solution", u.Offset, u.Offset+len(u.S)))
	}
	if len(w.p.Parameters) > 0 {
		w.line("parameters = %s", w.part("solution", w.w.Size()-len(w.p.Parameters), w.w.Size()))
	}
	w.gap()
	w.say("The polynomial's coefficients, and the table at the ends and the nodes.")
	w.line("at = %s", w.concat([]string{w.from()}, "roots", []string{w.to()}))
	columns := []string{"origin + scale*at"}
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		w.line("%s = %s", w.w.CoefName(i), w.product("V_inv"+u.Suffix, u.ID))
		for d := range u.Order {
			c := w.product(fmt.Sprintf("powers(at, %d, %d)", d, len(u.S)), w.w.CoefName(i))
			if d > 0 {
				c += "/scale"
			}
			if d > 1 {
				c += w.power + strconv.Itoa(d)
			}
			columns = append(columns, c)
		}
	}
	w.line("table = %s", w.columns(columns))
	w.gap()
	w.say("Check: the equation at the nodes and the conditions, with the polynomial put in, leave rounding only.")
	var parts []string
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		from, to := u.Offset+u.Held[0], u.Offset+u.Held[len(u.Held)-1]+1
		parts = append(parts, w.product(w.rows("A_all", from, to), "solution")+" - "+w.part("b_all", from, to))
	}
	w.line("check = %s", w.join(parts))
	w.line("check_conditions = %s - C_rhs", w.product("C", "solution"))
	w.gap()
}

func (w *writer) stable() {
	w.b.WriteString(w.integral)
	w.say("The stable route: the same polynomial from the state at the left end and the highest derivative at the nodes; lower derivatives are integrals. B's unknowns are those.")
	highest := 0
	for _, u := range w.p.Unknowns {
		highest = max(highest, u.Order)
	}
	for k := 1; k <= highest; k++ {
		w.line("I%d = integrals(%d, nodes, nodes, left, right)", k, k)
	}
	P := len(w.p.Parameters)
	total := P
	for _, u := range w.p.Unknowns {
		total += u.Order + w.w.Options.Nodes
	}
	n := w.w.Options.Nodes
	var rows, rhs []string
	for i := range w.w.Unknowns {
		from := w.w.Unknowns[i].Held[0]
		at := func(v string) string {
			if w.w.Shared {
				return w.part(v, from, from+n)
			}
			return v
		}
		var blocks []string
		for j, u := range w.w.Unknowns {
			var terms []string
			for d := u.Order; d >= 0; d-- {
				if !w.w.Absent(i, j, d) {
					terms = append(terms, w.scaled(at(w.w.CoefficientName(i, j, d)), fmt.Sprintf("stable(%d, %d, nodes, nodes, left, right)", u.Order, d)))
				}
			}
			if len(terms) == 0 {
				terms = []string{w.zeros(n, u.Order+n)}
			}
			blocks = append(blocks, strings.Join(terms, " + "))
		}
		for q := range w.p.Parameters {
			blocks = append(blocks, w.columnOf(at(w.w.ParameterName(i, q))))
		}
		rows = append(rows, w.beside(blocks))
		u := &w.w.Unknowns[i]
		rhs = append(rhs, w.part("b_all", u.Offset+u.Held[0], u.Offset+u.Held[len(u.Held)-1]+1))
	}
	for _, p := range w.points {
		u := w.p.Unknowns[p.unknown]
		off := 0
		for _, v := range w.p.Unknowns[:p.unknown] {
			off += v.Order + n
		}
		row := "stable_" + p.row
		w.line("%s = %s", row, w.zeroRowOf(total))
		at := w.unit(fmt.Sprintf("2*(%s - left)/(right - left) - 1", w.pointText(p)))
		if p.x == w.p.A {
			at = w.unit("-1")
		} else if p.x == w.p.B {
			at = w.unit("1")
		}
		w.line("%s = %s", w.part(row, off, off+u.Order+n), w.firstRow(fmt.Sprintf("stable(%d, %d, %s, nodes, left, right)", u.Order, p.jet.Order, at)))
	}
	var conditions []string
	for _, c := range w.l.Sheet.ConditionFormulas() {
		conditions = append(conditions, w.conditionRow(c, func(p pointValue) string { return "stable_" + p.row }, w.zeroRowOf(total)))
	}
	w.line("B = %s", w.below(append(rows, w.stack(conditions))))
	base := total - P
	for r, c := range w.l.Sheet.ConditionFormulas() {
		for q, p := range w.l.Sheet.Sought {
			if v := tape.Partial(c, &notation.Name{Name: p.Name}); !isZero(v) {
				w.line("%s = %s", w.entry2("B", len(w.p.Unknowns)*n+r, base+q), w.entry2("C", r, w.w.Size()-P+q))
			}
		}
	}
	w.line("B_rhs = %s", w.join(append(rhs, "C_rhs")))
	w.line("B_sol = %s", w.solved("B", "B_rhs"))
	w.gap()
}

func (w *writer) print() {
	w.say("The node table.")
	w.b.WriteString(w.printer(w.w.Columns))
}
