package lesson

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/sheet"
	"nodespan/expr/tape"
	"nodespan/expr/typeset"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/nodes"
	"nodespan/solver/table/greek"
	"nodespan/solver/working"
)

// DefaultNodes is the number of interior nodes where none is given: few enough for every matrix to be read.
const DefaultNodes = 5

// Options says how to lay out the working.
type Options struct {
	// Nodes is the number of interior nodes; 0 means DefaultNodes.
	Nodes     int
	Family    nodes.Family
	Reference working.Reference
	Numbered  bool // nodes are called x_1, x_2, … in labels
}

// Lesson is the working of a sheet.
type Lesson struct {
	Sheet   *sheet.Sheet
	Working *working.Working
	// Solution is that of the solver by one polynomial with the same nodes; it may be unusable for a linear problem.
	Solution *solver.Solution
	Steps    []Step
}

// Step is one step of the working.
type Step struct {
	// ID is that of the working; "equation" for the first step, which has no numbers.
	ID       working.StepID
	Title    string
	Sentence string
	Formulas []Formula
	// Matrices are the names of the matrices that the step makes, in order.
	Matrices []string
}

// StepEquation is the step before those of the working: the problem as it was read.
const StepEquation working.StepID = "equation"

// Formula is a formula three times.
type Formula struct {
	MathML *typeset.Element // to stand within typeset.Math
	LaTeX  string           // without dollars
	Plain  string
}

// New lays out the working of a sheet. The error is a sentence that says why there is none.
func New(sh *sheet.Sheet, o Options) (*Lesson, error) {
	if o.Nodes == 0 {
		o.Nodes = DefaultNodes
	}
	if sh.Eigenvalue {
		return nil, errors.New("this is an eigenvalue problem: the working is laid out for problems with one solution")
	}
	w := working.Options{Nodes: o.Nodes, Family: o.Family, Reference: o.Reference, Symbol: symbol(sh),
		Numbered: o.Numbered}
	if err := w.Check(sh.Problem()); err != nil {
		return nil, err
	}
	s := solver.MustSolve(sh.Problem(), solver.Options{Method: solver.One, Nodes: o.Nodes, Family: o.Family})
	if !sh.Linear || len(sh.Sought) > 0 {
		near := s
		if !near.Usable() {
			near = solver.MustSolve(sh.Problem(), solver.Options{})
		}
		if !near.Usable() {
			return nil, fmt.Errorf("there is no solution to linearise around: %s", near.Message)
		}
		w.Start = near.At
		for _, f := range near.Found {
			w.Parameters = append(w.Parameters, f.Value)
		}
	}
	wk, err := working.New(sh.Problem(), w)
	if err != nil {
		return nil, err
	}
	l := &Lesson{Sheet: sh, Working: wk, Solution: s}
	l.tell()
	return l, nil
}

// symbol returns a name for the reference variable that the sheet does not use.
func symbol(sh *sheet.Sheet) string {
	used := map[string]bool{sh.Variable: true}
	for _, u := range sh.Unknowns {
		used[u.Name] = true
	}
	for _, s := range sh.Statements {
		used[s.Name] = true
	}
	for _, s := range []string{"s", "t", "z", "q", "p"} {
		if !used[s] {
			return s
		}
	}
	return "sigma"
}

// tell writes the steps.
func (l *Lesson) tell() {
	w := l.Working
	l.Steps = append(l.Steps, l.equation())
	for _, s := range w.Steps {
		t := Step{ID: s.ID, Matrices: s.Matrices}
		switch s.ID {
		case working.StepMap:
			l.interval(&t)
		case working.StepNodes:
			l.nodes(&t)
		case working.StepPoints:
			l.points(&t)
		case working.StepPowers:
			t.Title = "Powers"
			t.Sentence = fmt.Sprintf("Each row holds the powers of %s at one point; times the polynomial's "+
				"coefficients it gives the values there.", w.Options.Symbol)
			t.add("V c = "+l.id(0), "V", "c", l.id(0))
		case working.StepInverse:
			t.Title = "Inverse of the powers"
			t.Sentence = "The inverse goes the other way, from values to coefficients: column by column it holds the " +
				"polynomial that is 1 at one point and 0 at the others."
			t.add("c = V^(-1) "+l.id(0), "V", "c", l.id(0))
		case working.StepDerivatives:
			l.derivatives(&t)
		case working.StepLinearise:
			t.Title = "What the equation is linearised around"
			t.Sentence = fmt.Sprintf("The equation is nonlinear, so Newton's iteration solves linear ones in turn. "+
				"Shown is its last step, taken at the solution itself (found in %s): it gives the solution back.",
				words.Count(w.Iterations, "step"))
		case working.StepCoefficients:
			l.coefficients(&t)
		case working.StepOperator:
			l.operator(&t)
		case working.StepConditions:
			l.conditions(&t)
		case working.StepRows:
			l.rows(&t)
		case working.StepSolution:
			t.Title = "Solution"
			t.Sentence = "Solving the equations gives the values at the points."
			t.add("A "+l.id(0)+" = b", "A", "b", l.id(0))
		case working.StepPolynomial:
			l.polynomial(&t)
		case working.StepTable:
			t.Title = "Node table"
			t.Sentence = "The polynomial and its derivatives below the order of the equation, at the ends and " +
				"the nodes. " + l.trust()
		case working.StepCheck:
			l.check(&t)
		case working.StepStable:
			l.stable(&t)
		case working.StepDigits:
			l.digits(&t)
		}
		l.Steps = append(l.Steps, t)
	}
}

// id is the name of an unknown in formulas.
func (l *Lesson) id(i int) string { return l.Working.Unknowns[i].Name }

// relation reads a formula of the names given; it is made of them and numbers alone.
func relation(text string, names ...string) Formula {
	known := &notation.Names{Constants: map[string]bool{}}
	for _, n := range names {
		known.Constants[n] = true
	}
	r := &notation.Relation{}
	for i, side := range strings.Split(text, "=") {
		n, err := notation.ParseExpr(side, known)
		if err != nil {
			panic("lesson: " + text + ": " + err.Error())
		}
		if r.Sides = append(r.Sides, n); i > 0 {
			r.Ops = append(r.Ops, "=")
		}
	}
	return formula(r)
}

func formula(r *notation.Relation) Formula {
	return Formula{MathML: typeset.MathMLRelation(r), LaTeX: typeset.LaTeXRelation(r), Plain: typeset.PlainRelation(r)}
}

//go:noinline
func (s *Step) add(text string, names ...string) {
	s.Formulas = append(s.Formulas, relation(text, names...))
}

func (l *Lesson) equation() Step {
	s := Step{ID: StepEquation, Title: "The problem", Sentence: "The problem as it was read."}
	for _, line := range l.Sheet.Reading() {
		switch line.Kind {
		case sheet.KindEquation, sheet.KindCondition, sheet.KindAbbreviation, sheet.KindConstant, sheet.KindSought:
			s.Formulas = append(s.Formulas, formula(line.Relation))
		}
	}
	return s
}

func (l *Lesson) highest() int {
	m := 0
	for _, u := range l.Sheet.Unknowns {
		m = max(m, u.Order)
	}
	return m
}

func (l *Lesson) interval(s *Step) {
	w := l.Working
	x, t := l.Sheet.Variable, w.Options.Symbol
	s.Title = "The interval"
	if w.Options.Reference == working.Own {
		s.Sentence = fmt.Sprintf("The powers are those of %s itself, so nothing is mapped.", x)
		s.add(t+" = "+x, x, t)
		return
	}
	if w.Scale == 1 && w.Origin == 0 {
		s.Sentence = fmt.Sprintf("%s runs from 0 to 1 already, so %s is %s itself and no derivative brings a factor.",
			x, t, x)
		s.add(x+" = "+t, x, t)
		return
	}
	s.Sentence = fmt.Sprintf("%s from %s to %s becomes %s from %s to %s. Every derivative by %s then brings a factor "+
		"1/%s with it, a second derivative two of them.",
		x, num(l.Sheet.A), num(l.Sheet.B), t, num(w.From), num(w.To), x, num(w.Scale))
	if w.Options.Reference == working.Symmetric {
		s.Sentence += " (On 0 to 1 powers of so high a degree would lose too many digits; about the middle they " +
			"lose fewer.)"
	}
	s.add(fmt.Sprintf("%s = %s + %s %s", x, num(w.Origin), bracketed(w.Scale), t), x, t)
	s.add(fmt.Sprintf("d/d%s = (1/%s) (d/d%s) ", x, bracketed(w.Scale), t), "d", "d"+x, "d"+t)
	for d := 2; d <= l.highest(); d++ {
		s.add(fmt.Sprintf("d^%d/d%s^%d = (1/%s^%d) (d^%d/d%s^%d)", d, x, d, bracketed(w.Scale), d, d, t, d), "d", "d"+x,
			"d"+t)
	}
	for i := range s.Formulas {
		s.Formulas[i].differentials(x, t)
	}
}

// differentials sets dx as d and x, where it stands as one name.
func (f *Formula) differentials(names ...string) {
	for _, x := range names {
		f.LaTeX = strings.ReplaceAll(f.LaTeX, greek.LaTeX("d"+x), "{d "+greek.LaTeX(x)+"}")
		f.MathML.Walk(func(e *typeset.Element) {
			if e.Tag == "mi" && e.Text == "d"+x {
				*e = typeset.Element{Tag: "mrow", From: e.From, To: e.To,
					Children: []*typeset.Element{{Tag: "mi", Text: "d"}, typeset.MathML(&notation.Name{Name: x})}}
			}
		})
	}
}

func (l *Lesson) nodes(s *Step) {
	w := l.Working
	s.Title = "Nodes"
	s.Sentence = fmt.Sprintf("The %s are the zeros of %s.", words.Count(w.Options.Nodes, "interior node"), w.Root)
	if w.Options.Nodes == 1 {
		s.Sentence = fmt.Sprintf("The one interior node is the zero of %s.", w.Root)
	}
	if remark := w.Options.Family.Remark(); w.Options.Nodes > 1 && remark != "" {
		s.Sentence += " " + remark
	}
	s.add(sum(w.Polynomial, w.Options.Symbol)+" = 0", w.Options.Symbol)
}

// sum writes a polynomial, highest power first.
func sum(c []float64, x string) string {
	var b strings.Builder
	for j := len(c) - 1; j >= 0; j-- {
		v := c[j]
		if v == 0 {
			continue
		}
		switch {
		case b.Len() == 0 && v < 0:
			b.WriteString("-")
		case b.Len() > 0 && v < 0:
			b.WriteString(" - ")
		case b.Len() > 0:
			b.WriteString(" + ")
		}
		v = math.Abs(v)
		if j == 0 {
			b.WriteString(num(v))
			continue
		}
		if v != 1 {
			b.WriteString(num(v) + " ")
		}
		b.WriteString(x)
		if j > 1 {
			fmt.Fprintf(&b, "^%d", j)
		}
	}
	if b.Len() == 0 {
		return "0"
	}
	return b.String()
}

func (l *Lesson) points(s *Step) {
	w := l.Working
	s.Title = "Points"
	var parts []string
	for i, u := range w.Unknowns {
		if i > 0 && w.Shared {
			break
		}
		of := ""
		if !w.Shared {
			of = " for " + u.Name
		}
		ends, extra := Ends(w, &u)
		if extra > 0 {
			ends += " and " + words.Count(extra, "point") + " between an end and its nearest node"
		}
		parts = append(parts, ends+of)
	}
	total := len(w.Unknowns[0].S)
	s.Sentence = fmt.Sprintf("To the nodes come %s: one more point for each order of the equation, whose rows the "+
		"conditions will take over. %d points make a polynomial of degree %d.",
		strings.Join(parts, ", "), total, total-1)
	if !w.Shared {
		s.Sentence = fmt.Sprintf("To the nodes come %s: one more point for each order of an equation, whose rows the "+
			"conditions will take over.", strings.Join(parts, ", "))
	}
	s.add(fmt.Sprintf("%s = %s + %s %s", l.Sheet.Variable, num(w.Origin), bracketed(w.Scale), w.Options.Symbol),
		l.Sheet.Variable, w.Options.Symbol)
}

// Ends says at which ends an unknown has points whose rows the conditions take, and how many more it has between an end
// and its nearest node.
//
//go:noinline
func Ends(w *working.Working, u *working.Unknown) (ends string, between int) {
	left, right := false, false
	for _, k := range u.Carriers {
		switch u.S[k] {
		case w.From:
			left = true
		case w.To:
			right = true
		default:
			between++
		}
	}
	switch {
	case left && right:
		return "both ends", between
	case right:
		return "the right end", between
	}
	return "the left end", between
}

func (l *Lesson) derivatives(s *Step) {
	w := l.Working
	s.Title = "Derivative matrices"
	s.Sentence = "The derivatives of the powers, times the inverse of the powers, take values at the points to " +
		"derivatives there."
	if w.Scale != 1 {
		s.Sentence += fmt.Sprintf(" The factors of the map, 1/%s for each derivative, make them derivatives by %s.",
			num(w.Scale), l.Sheet.Variable)
	}
	for d := 1; d <= l.highest(); d++ {
		scale, power := "", ""
		if w.Scale != 1 {
			scale = "/" + bracketed(w.Scale)
			if d > 1 {
				power = fmt.Sprintf("^%d", d)
			}
		}
		s.add(fmt.Sprintf("D_%d = V_%d V^(-1)%s%s", d, d, scale, power), "V", fmt.Sprintf("D_%d", d),
			fmt.Sprintf("V_%d", d))
	}
}

func (l *Lesson) coefficients(s *Step) {
	w, sh := l.Working, l.Sheet
	s.Title = "The equation's factors"
	s.Sentence = "What multiplies the unknown and each of its derivatives, at every point where the equation is " +
		"written; each of these columns stands for a diagonal matrix."
	if !w.Linear {
		s.Sentence = "The derivatives of the equation (left side minus right side) by the unknown and each of its " +
			"derivatives, at the solution; each of these columns stands for a diagonal matrix."
	}
	missing := false
	for i := range w.Unknowns {
		residual := sh.EquationFormulas()[w.Equation(i)]
		for j, u := range w.Unknowns {
			for d := u.Order; d >= 0; d-- {
				if w.Absent(i, j, d) {
					missing = true
					continue
				}
				s.Formulas = append(s.Formulas, formula(&notation.Relation{
					Sides: []notation.Node{&notation.Name{Name: l.symbolOf(i, j, d)},
						tape.Partial(residual, &notation.Jet{Name: u.Name, Order: d})},
					Ops: []string{"="},
				}))
			}
		}
		for q, p := range sh.Sought {
			s.Formulas = append(s.Formulas, formula(&notation.Relation{
				Sides: []notation.Node{&notation.Name{Name: w.ParameterName(i, q)},
					tape.Partial(residual, &notation.Name{Name: p.Name})},
				Ops: []string{"="},
			}))
		}
	}
	if missing {
		s.Sentence += " Those that are zero everywhere are left out."
	}
}

// symbolOf is the name of a coefficient in formulas: a_2, or a_2_u_v.
func (l *Lesson) symbolOf(i, j, d int) string {
	if len(l.Working.Unknowns) == 1 {
		return fmt.Sprintf("a_%d", d)
	}
	return fmt.Sprintf("a_%d_%s_%s", d, l.Working.Unknowns[i].ID, l.Working.Unknowns[j].ID)
}

func (l *Lesson) operator(s *Step) {
	w := l.Working
	s.Title = "The operator"
	s.Sentence = "The equation written at every point: row by row the factors times the rows of the " +
		"derivative matrices."
	if !w.Shared {
		s.Sentence = "The equations written at every node, where all unknowns have values: row by row the factors " +
			"times the rows of the derivative matrices. The rows without numbers wait for conditions."
	}
	if w.Shared && w.Valueless() {
		s.Sentence += " At a point where the equation has no value its row is left without numbers."
	}
	if len(w.Unknowns) == 1 {
		var terms []string
		names := []string{"A"}
		for d := w.Unknowns[0].Order; d >= 0; d-- {
			if w.Absent(0, 0, d) {
				continue
			}
			a, D := fmt.Sprintf("a_%d", d), fmt.Sprintf("D_%d", d)
			names = append(names, a, D)
			if d == 0 {
				terms = append(terms, "diag("+a+")")
			} else {
				terms = append(terms, "diag("+a+") "+D)
			}
		}
		s.Formulas = append(s.Formulas, withCall("A_all = "+strings.Join(terms, " + "), "diag",
			append(names, "A_all")...))
	}
	if w.Linear {
		s.Sentence += " The right side is what the equation leaves when the unknown and its derivatives are zero, " +
			"with the other sign."
	} else {
		s.Sentence += " The right side is these factors times the values that the equation is linearised around, " +
			"minus what the equation leaves there."
	}
}

// withCall reads a formula in which name is a function.
func withCall(text, name string, names ...string) Formula {
	known := &notation.Names{Constants: map[string]bool{}, Abbrevs: map[string]int{name: 1}}
	for _, n := range names {
		known.Constants[n] = true
	}
	left, right, _ := strings.Cut(text, "=")
	r := &notation.Relation{Ops: []string{"="}}
	for _, side := range []string{left, right} {
		n, err := notation.ParseExpr(side, known)
		if err != nil {
			panic("lesson: " + text + ": " + err.Error())
		}
		r.Sides = append(r.Sides, n)
	}
	return formula(r)
}

func (l *Lesson) conditions(s *Step) {
	s.Title = "The conditions as rows"
	s.Sentence = "Each condition is a row too: a value at a point picks that value, a slope is the row of a " +
		"derivative matrix."
	for _, c := range l.Sheet.ConditionFormulas() {
		s.Formulas = append(s.Formulas,
			formula(&notation.Relation{Sides: []notation.Node{c, &notation.Number{Text: "0"}}, Ops: []string{"="}}))
	}
}

func (l *Lesson) rows(s *Step) {
	w := l.Working
	s.Title = "Conditions in place of rows"
	var parts []string
	for k, t := range w.Replaced {
		name := w.Matrix("C").Rows[k]
		if t.Unknown < 0 {
			parts = append(parts, fmt.Sprintf("%s fills row %d, which the sought number asks for", name, t.Row+1))
			continue
		}
		parts = append(parts, fmt.Sprintf("%s takes row %d (%s)", name, t.Row+1,
			where(w.Unknowns[t.Unknown].Name, w.Unknowns[t.Unknown].X[t.Point], l.Sheet.Variable)))
	}
	s.Sentence = "Each condition needs a row, and the equation gives up as many: " + strings.Join(parts, "; ") +
		". Each takes the row of its own end where it can; which of these rows it is changes nothing in the solution."
}

func where(unknown string, x float64, variable string) string {
	return fmt.Sprintf("%s at %s = %s", unknown, variable, short(x))
}

func (l *Lesson) polynomial(s *Step) {
	w := l.Working
	s.Title = "The polynomial"
	s.Sentence = "The inverse of the powers takes the values to the polynomial's coefficients."
	s.add("c = V^(-1) "+l.id(0), "c", "V", l.id(0))
	for i, u := range w.Unknowns {
		c := make([]float64, len(u.S))
		for k := range c {
			c[k] = w.Matrix(w.CoefName(i)).Shown(k, 0)
		}
		s.add(u.Name+" = "+sum(c, w.Options.Symbol), u.Name, w.Options.Symbol)
	}
}

// trust says how near the polynomial is to the solution itself.
func (l *Lesson) trust() string {
	s := l.Solution
	if !s.Usable() || math.IsNaN(s.Error) || math.IsInf(s.Error, 0) {
		return "How near this polynomial is to the solution could not be measured: " +
			strings.TrimSuffix(s.Message, ".") + "."
	}
	return fmt.Sprintf("Against finer polynomials, the largest error of this one is about %s of its largest value "+
		"(of 1 where that is smaller).", working.Figures(s.Error, 2))
}

func (l *Lesson) check(s *Step) {
	w := l.Working
	s.Title = "Check"
	s.Sentence = "Put into the equation at each node and into each condition, the polynomial leaves only rounding: " +
		"compare with the sizes of the terms."
	worst := 0.0
	for _, name := range []string{"check", "check_conditions"} {
		m := w.Matrix(name)
		for i, r := range m.Values {
			if m.Shown(i, 0) != 0 && r[1] > 0 {
				worst = math.Max(worst, math.Abs(r[0])/r[1])
			}
		}
	}
	if worst == 0 {
		s.Sentence += " What rounding alone can leave is shown as 0; here that is all."
		return
	}
	s.Sentence += fmt.Sprintf(" The largest is %s of its terms.", working.Figures(worst, 1))
}

func (l *Lesson) stable(s *Step) {
	s.Title = "The stable route"
	s.Sentence = "The same polynomial, found from the highest derivative's values at the nodes and the state at the " +
		"left end: lower derivatives are integrals. Integration matrices keep their digits at any degree, so this is " +
		"how the calculator solves."
	w := l.Working
	u := w.Unknowns[0]
	m := u.Order
	for d := m - 1; d >= 0; d-- {
		// y' = y'(a) + … + I_1 y''
		text, names := derivative(d)+" = ", []string{derivative(d), derivative(m), fmt.Sprintf("I_%d", m-d), "x", "a"}
		for j := 0; d+j < m; j++ {
			term := "s_" + fmt.Sprint(d+j)
			names = append(names, term)
			switch j {
			case 0:
			case 1:
				term += " (x - a)"
			default:
				term = fmt.Sprintf("%s (x - a)^%d/%d", term, j, factorial(j))
			}
			text += term + " + "
		}
		s.add(text+fmt.Sprintf("I_%d %s", m-d, derivative(m)), names...)
	}
	s.Sentence += " In the formulas y_k is the derivative of order k at the nodes, s_k at the left end a."
}

//go:noinline
func derivative(d int) string { return fmt.Sprintf("y_%d", d) }

func factorial(n int) int {
	f := 1
	for k := 2; k <= n; k++ {
		f *= k
	}
	return f
}

func (l *Lesson) digits(s *Step) {
	s.Title = "Digits kept"
	c, t := l.Working.Routes[0], l.Working.Routes[1]
	s.Sentence = fmt.Sprintf("A double holds 16 digits. V has the condition number %s, the operator with its rows "+
		"and columns scaled %s: about %.0f of the digits are expected to be lost, and %.0f were kept. The stable "+
		"route's operator has the condition number %s, and it kept %.0f. (Measured against the same equations solved "+
		"in 400-bit arithmetic.)",
		working.Figures(c.Powers, 2), working.Figures(c.Operator, 2), c.Lost, c.Kept, working.Figures(t.Operator, 2),
		t.Kept)
}
