package sheet

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver"
	"nodespan/solver/derived"
)

// quantities are the functions of a report, with the least and the largest number of their arguments. f is a formula of
// the unknowns, their derivatives and the variable; without ends it is taken over the whole interval.
//
//	integral(f)      integral(f, a, b)
//	mean(f)          mean(f, weight)    mean(f, a, b)    mean(f, weight, a, b)
//	largest(f)       largest(f, a, b)   the largest value
//	largest_at(f)    largest_at(f, a, b)   the place of it
//	smallest, smallest_at                  the same
//	zero(f)          zero(f, n)         the first, or the n-th, place where f changes its sign
//
// A mean is the integral of weight times f over that of the weight: with r or r^2 the mean over a cylinder or a sphere.
var quantities = map[string][2]int{
	"integral": {1, 3}, "mean": {1, 4}, "largest": {1, 3}, "largest_at": {1, 3}, "smallest": {1, 3}, "smallest_at": {1, 3}, "zero": {1, 2},
}

// report is a report ready to be evaluated: its formula with each ingredient (the value at a point, an integral) replaced
// by a name that no sheet can write, and the ingredients, each after those that it needs.
type report struct {
	st          *Statement
	ingredients []ingredient
	root        notation.Node
}

// ingredient is a number that is taken from a solution.
type ingredient struct {
	what string // of quantities; "" for the value of an unknown at a point
	span notation.Span
	text string
	// Of a value: which entry of the jet, and where.
	unknown, order int
	at             float64
	// Of a quantity: the formula, its derivative by the variable (nil: none of the orders that a solution has), the weight (nil: 1).
	f, slope, weight notation.Node
	a, b             float64 // NaN: the whole interval
	nth              int
}

// held names ingredient k in a tree.
func held(k int) notation.Node { return &notation.Name{Name: fmt.Sprint("@", k)} }

// namesOfReport adds what a formula of a report may hold: the functions of reports, the numbers of earlier reports, and its
// own name, which stands left of its equals sign. It checks that name.
func (r *reader) namesOfReport(st *Statement, names *notation.Names) bool {
	names.Constants, names.Quantities = maps.Clone(names.Constants), maps.Clone(quantities)
	for name := range quantities { // what the sheet declares means what the sheet says
		if r.names.Unknowns[name] || r.heads[name] != nil {
			delete(names.Quantities, name)
		}
	}
	for _, earlier := range r.sheet.Statements {
		if earlier == st {
			break
		}
		if earlier.Kind == KindReport && earlier.Name != "" {
			names.Constants[earlier.Name] = true
		}
	}
	name, args, ok := head(st)
	if !ok {
		return true
	}
	at := st.raw.Tokens[st.from].Sp
	switch {
	case args != nil:
		r.fault(st.Span, "write "+leadingExamples[KindReport], "a report is one number, not a function")
	case r.names.Unknowns[name]:
		r.fault(at, "give the number another name", "%s is an unknown, so no number can be called so", name)
	case name == r.sheet.Variable:
		r.fault(at, "give the number another name", "%s is the variable, so no number can be called so", name)
	case r.heads[name] != nil:
		r.fault(at, "give the number another name", "%s has a meaning already, from line %d", name, line(r.heads[name].Span))
	case name == "inf" || name == "pi":
		r.fault(at, "give the number another name", "%s has a meaning already", name)
	case r.reported(st, name):
		r.fault(at, "give the number another name", "%s is reported a second time", name)
	default:
		st.Name = name
		names.Constants[name] = true
		return true
	}
	return false
}

// reported reports whether a report before st has the name.
func (r *reader) reported(st *Statement, name string) bool {
	for _, earlier := range r.sheet.Statements {
		if earlier == st {
			return false
		}
		if earlier.Kind == KindReport && earlier.Name == name {
			return true
		}
	}
	return false
}

// classifyReport checks the form of a report.
func (r *reader) classifyReport(st *Statement) {
	rel := st.Relation
	switch {
	case rel.Sought || rel.Range != nil || len(rel.Ops) > 1 || len(rel.Ops) == 1 && (rel.Ops[0] != "=" || st.Name == ""):
		r.fault(st.Span, "write "+leadingExamples[KindReport], "“report” is followed by a name, an equals sign and one formula")
	}
}

// report makes the reports.
func (r *reader) report() {
	earlier := map[string]notation.Node{}
	for _, st := range r.sheet.Statements {
		if st.Kind != KindReport {
			continue
		}
		sides := st.Relation.Sides
		body := sides[len(sides)-1]
		if again := find(body, named(st.Name)); again != nil && st.Name != "" {
			r.fault(again.Span(), "", "%s depends on itself", st.Name)
			continue
		}
		body = rebuild(body, func(n notation.Node) notation.Node {
			if m, ok := n.(*notation.Name); ok {
				return earlier[m.Name]
			}
			return nil
		})
		if size(body) > maxSize {
			r.fault(st.Span, "shorten the reports", "this formula grows too long when the reports before it are put in")
			continue
		}
		if st.Name != "" {
			earlier[st.Name] = body
		}
		faults := len(r.errs)
		body = r.expand(r.inline(body))
		if len(r.errs) > faults {
			continue
		}
		q := &report{st: st}
		if body = r.settleReport(st, body); body != nil {
			q.root = r.extract(q, body)
		}
		if len(r.errs) > faults {
			continue
		}
		r.finishReport(q)
		if len(r.errs) > faults {
			continue
		}
		r.model.reports = append(r.model.reports, q)
	}
}

// isQuantity reports whether a node is a function of reports. Inside it the unknowns run.
func (r *reader) isQuantity(n notation.Node) bool {
	c, ok := n.(*notation.Call)
	return ok && r.model.declarations[c.Func] == nil && quantities[c.Func] != [2]int{}
}

// outside looks for the first node outside the functions of reports and the points of unknowns for which f holds.
func (r *reader) outside(n notation.Node, f func(notation.Node) bool) notation.Node {
	var found notation.Node
	notation.Walk(n, func(m notation.Node) bool {
		if found != nil || r.isQuantity(m) {
			return false
		}
		if f(m) {
			found = m
			return false
		}
		_, jet := m.(*notation.Jet)
		return !jet
	})
	return found
}

// settleReport gives what runs outside integrals and the like the point of the report, as [reader.settle] does for conditions: the k of
// -k T'(0). It returns nil where there is no such point.
func (r *reader) settleReport(st *Statement, body notation.Node) notation.Node {
	isVariable := named(r.sheet.Variable)
	loose := r.outside(body, func(n notation.Node) bool { return runningJet(n) || isVariable(n) })
	if loose == nil {
		return body
	}
	what := r.sheet.Variable
	if j := r.outside(body, runningJet); j != nil {
		loose = j
	}
	if j, ok := loose.(*notation.Jet); ok {
		what = primes(j.Name, j.Order)
	}
	var at notation.Node
	several := false
	r.outside(body, func(n notation.Node) bool {
		if j, ok := n.(*notation.Jet); ok && j.At != nil {
			several = several || at != nil && !notation.Equal(at, j.At)
			at = j.At
		}
		return false
	})
	switch {
	case at == nil && what == r.sheet.Variable:
		r.fault(loose.Span(), "write the point's value, or integral(…), mean(…), largest(…)", "the variable %s has no value in a report", what)
		return nil
	case at == nil:
		r.fault(loose.Span(), "write "+what+"(…) with its point, or integral("+what+"), mean("+what+"), largest("+what+")",
			"%s has many values, and a report is one number", what)
		return nil
	case several:
		r.fault(st.Span, "give each coefficient its point, as in k(0)", "%s changes along the interval, and the report has more than one point", what)
		return nil
	}
	r.note(st.Span, "what changes with %s in this report is taken at %s = %s", r.sheet.Variable, r.sheet.Variable, r.source(at.Span()))
	return rebuild(body, func(n notation.Node) notation.Node {
		if r.isQuantity(n) {
			return n
		}
		switch n := n.(type) {
		case *notation.Jet:
			if n.At == nil {
				m := *n
				m.At = at
				return &m
			}
			return n
		case *notation.Name:
			if isVariable(n) {
				return at
			}
		}
		return nil
	})
}

// extract replaces the ingredients of a formula by names, those inside first.
func (r *reader) extract(q *report, n notation.Node) notation.Node {
	return rebuild(n, func(n notation.Node) notation.Node {
		if len(r.errs) > 0 {
			return n
		}
		i := ingredient{span: n.Span(), text: r.source(n.Span()), a: math.NaN(), b: math.NaN(), nth: 1}
		switch n := n.(type) {
		case *notation.Jet:
			if n.At == nil {
				return nil
			}
			if !r.valueAt(&i, n) {
				return n
			}
		case *notation.Call:
			if !r.isQuantity(n) {
				return nil
			}
			if !r.quantity(q, &i, n) {
				return n
			}
		default:
			return nil
		}
		q.ingredients = append(q.ingredients, i)
		return held(len(q.ingredients) - 1)
	})
}

// valueAt reads the value of an unknown at a point.
func (r *reader) valueAt(i *ingredient, j *notation.Jet) bool {
	i.unknown, i.order = r.unknown(j.Name), j.Order
	if !r.orderOf(j) {
		return false
	}
	at, ok := r.placeOf(j.At, "the point")
	i.at = at
	return ok
}

// orderOf checks that a solution has the derivative.
func (r *reader) orderOf(j *notation.Jet) bool {
	u := r.sheet.Unknowns[r.unknown(j.Name)]
	if j.Order > u.Order {
		r.fault(j.Sp, "", "a solution has the derivatives of %s up to %s, and this is %s", j.Name, primes(j.Name, u.Order), primes(j.Name, j.Order))
		return false
	}
	return true
}

// placeOf evaluates a place on the interval. One that is beside an end by rounding alone is moved onto it.
func (r *reader) placeOf(n notation.Node, what string) (float64, bool) {
	if m := find(n, func(n notation.Node) bool { return r.isMoving(n) || r.isQuantity(n) }); m != nil {
		r.fault(n.Span(), "", "%s is a number known beforehand", what)
		return 0, false
	}
	v, e := r.model.base.values.point(n)
	if e != nil {
		r.errs = append(r.errs, e)
		return 0, false
	}
	a, b := r.sheet.A, r.sheet.B
	for _, end := range []float64{a, b} {
		if math.Abs(v-end) <= 4e-16*math.Max(math.Abs(a), math.Abs(b)) {
			return end, true
		}
	}
	if v < a || v > b {
		r.fault(n.Span(), "", "%s = %s is outside the interval from %s to %s", r.sheet.Variable, number(v), number(a), number(b))
		return 0, false
	}
	return v, true
}

// quantity reads an integral, a mean, an extreme or a crossing.
func (r *reader) quantity(q *report, i *ingredient, c *notation.Call) bool {
	i.what = c.Func
	args := c.Args
	i.f = r.extract(q, args[0])
	args = args[1:]
	switch {
	case i.what == "zero" && len(args) == 1:
		if m := find(args[0], func(n notation.Node) bool { return r.isMoving(n) || r.isQuantity(n) }); m != nil {
			r.fault(args[0].Span(), "write zero(f, 2) for the second place", "the count of a crossing is a whole number known beforehand")
			return false
		}
		v, e := r.model.base.values.number(args[0])
		if e != nil {
			r.errs = append(r.errs, e)
			return false
		}
		if v != math.Trunc(v) || v < 1 || v > 1e6 {
			r.fault(args[0].Span(), "write zero(f, 2) for the second place", "the count of a crossing is a whole number from 1 on, not %s", number(v))
			return false
		}
		i.nth = int(v)
	case i.what == "mean" && len(args)%2 == 1:
		i.weight = r.extract(q, args[0])
		if j := find(i.weight, runningJet); j != nil {
			r.fault(j.Span(), "write mean(f, r) with the variable r", "a weight changes with the variable %s alone", r.sheet.Variable)
			return false
		}
		args = args[1:]
	case len(args) == 1:
		r.fault(c.Sp, "write "+i.what+"(f) or "+i.what+"(f, a, b)", "“%s” takes a formula, or a formula and both ends, and here are 2 arguments", i.what)
		return false
	}
	if len(args) == 2 {
		var ok bool
		if i.a, ok = r.placeOf(args[0], "an end of "+i.what+"(…)"); !ok {
			return false
		}
		if i.b, ok = r.placeOf(args[1], "an end of "+i.what+"(…)"); !ok {
			return false
		}
		if i.a == i.b || i.a > i.b && i.what != "integral" {
			r.fault(join(args[0].Span(), args[1].Span()), "write the smaller end first", "the ends of %s do not make an interval", i.what)
			return false
		}
	}
	bad := false
	for _, tree := range []notation.Node{i.f, i.weight} {
		notation.Walk(tree, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok && !bad {
				bad = !r.orderOf(j)
			}
			return !bad
		})
	}
	if bad || len(r.errs) > 0 {
		return false
	}
	switch i.what {
	case "largest", "largest_at", "smallest", "smallest_at":
		slope := tape.Total(i.f, r.sheet.Variable)
		beyond := find(slope, func(n notation.Node) bool {
			j, ok := n.(*notation.Jet)
			return ok && j.Order > r.sheet.Unknowns[r.unknown(j.Name)].Order
		})
		if beyond == nil && size(slope) <= maxSize {
			i.slope = slope
		}
	}
	return true
}

// finishReport compiles every formula once, so that faults show on reading.
func (r *reader) finishReport(q *report) {
	trees := []notation.Node{q.root}
	for _, i := range q.ingredients {
		for _, t := range []notation.Node{i.f, i.slope, i.weight} {
			if t != nil {
				trees = append(trees, t)
			}
		}
	}
	if _, err := r.model.compileReport(trees, len(q.ingredients)); err != nil {
		r.take(err, q.st.Span)
	}
}

// compileReport compiles trees in the jet, the variable, the sought parameters and the ingredients, in this order.
func (m *model) compileReport(trees []notation.Node, ingredients int) (*tape.Tape, error) {
	offset, length := map[string]int{}, 0
	for _, u := range m.unknowns {
		offset[u.Name] = length
		length += u.Order + 1
	}
	first := length + 1 + len(m.sought)
	return tape.Compile(trees, first+ingredients, func(leaf notation.Node) (tape.Leaf, bool) {
		switch l := leaf.(type) {
		case *notation.Jet:
			o, ok := offset[l.Name]
			return tape.Leaf{Index: o + l.Order}, ok && l.At == nil
		case *notation.Name:
			if number, ok := strings.CutPrefix(l.Name, "@"); ok {
				k, err := strconv.Atoi(number)
				return tape.Leaf{Index: first + k}, err == nil
			}
			if l.Name == m.variable {
				return tape.Leaf{Index: length}, true
			}
			if i := m.soughtIndex(l.Name); i >= 0 {
				return tape.Leaf{Index: length + 1 + i}, true
			}
		}
		v, ok := m.base.values.leaf(leaf)
		return tape.Leaf{Value: v, Constant: true}, ok
	})
}

// Report is a number that the sheet asks of its solution.
type Report struct {
	// Name is what the sheet calls the number; the text of the formula where it gives no name.
	Name string
	// Left is what stands left of the value when it is typeset: the name, or the formula where the sheet gives no name.
	Left notation.Node
	Span notation.Span
	// Value comes with its estimated error: what the errors of everything that it is taken from may do to it, to first order.
	Value, Error float64
	// Fault is one sentence that says why there is no value; then Value is NaN and Error infinite. Empty for a value.
	Fault string
}

// HasReports reports whether the sheet asks for numbers.
func (s *Sheet) HasReports() bool { return len(s.model.reports) > 0 }

// Reports works out the numbers that the sheet asks for from a solution of its problem, in the order of the text.
func (s *Sheet) Reports(sol *solver.Solution) []Report {
	var out []Report
	for _, q := range s.model.reports {
		r := Report{Name: q.st.Name, Left: q.st.Relation.Sides[0], Span: q.st.Span, Value: math.NaN(), Error: math.Inf(1)}
		if r.Name == "" {
			sp := q.st.Relation.Sides[0].Span()
			r.Name = s.Text[sp.From.Offset:sp.To]
		}
		if !sol.Usable() {
			r.Fault = "there is no solution to take it from"
		} else if n, fault := (&taker{m: s.model, s: sol, q: q}).take(); fault != "" {
			r.Fault = fault
		} else if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
			r.Fault = "it has no finite value"
		} else {
			r.Value, r.Error = n.Value, n.Error
		}
		out = append(out, r)
	}
	return out
}

// taker takes one report from a solution.
type taker struct {
	m *model
	s *solver.Solution
	q *report
	// scalars are the sought parameters and then the ingredients that are known already.
	scalars []derived.Number
}

// take works out the ingredients and then the report.
func (t *taker) take() (derived.Number, string) {
	sought := t.s.Sought()
	if len(sought) < len(t.m.sought) {
		return derived.Number{}, "the sought numbers have no value"
	}
	for _, f := range sought[:len(t.m.sought)] {
		t.scalars = append(t.scalars, derived.Number{Value: f.Value, Error: f.Error})
	}
	for i := range t.q.ingredients {
		n, fault := t.ingredient(&t.q.ingredients[i])
		if fault != "" {
			return n, fault
		}
		t.scalars = append(t.scalars, n)
	}
	v, row := t.jacobian(t.q.root)
	n := derived.Number{Value: v(math.NaN(), nil)}
	for k, s := range t.scalars {
		if d := row[len(row)-len(t.scalars)+k]; d != 0 {
			n.Error += math.Abs(d) * s.Error
		}
	}
	n.Error += 2e-16 * math.Abs(n.Value)
	return n, ""
}

// jacobian returns the value of a formula as a function of x and the jet (nil: it holds neither), and the row that each call fills with
// its derivatives by the jet, the variable and the scalars.
func (t *taker) jacobian(tree notation.Node) (value func(x float64, jet []float64) float64, row []float64) {
	tp, err := t.m.compileReport([]notation.Node{tree}, len(t.q.ingredients))
	if err != nil {
		panic("sheet: " + err.Error()) // compiled once on reading
	}
	in, out := make([]float64, tp.Inputs()), make([]float64, 1)
	full := make([]float64, tp.Inputs())
	jets := t.s.Problem.Jet()
	known := jets + 1 + len(t.scalars) // ingredients still to come are not in the formula
	return func(x float64, jet []float64) float64 {
		copy(in, jet)
		in[jets] = x
		for k, s := range t.scalars {
			in[jets+1+k] = s.Value
		}
		tp.Jacobian(in, out, full)
		return out[0]
	}, full[:known]
}

// function makes a formula a function along the solution.
func (t *taker) function(f, slope notation.Node) derived.Function {
	integrand := func(tree notation.Node) (derived.Integrand, []float64) {
		value, row := t.jacobian(tree)
		return func(x float64, jet, d []float64) float64 {
			v := value(x, jet)
			copy(d, row[:len(d)])
			return v
		}, row
	}
	var out derived.Function
	var row []float64
	out.F, row = integrand(f)
	if slope != nil {
		out.Slope, _ = integrand(slope)
	}
	unsure := slices.ContainsFunc(t.scalars, func(n derived.Number) bool { return n.Error > 0 })
	mentions := find(f, func(n notation.Node) bool {
		m, ok := n.(*notation.Name)
		return ok && (m.Name[0] == '@' || t.m.soughtIndex(m.Name) >= 0)
	}) != nil
	if unsure && mentions {
		value := out.F
		scratch := make([]float64, t.s.Problem.Jet())
		out.Doubt = func(x float64, jet []float64) float64 {
			value(x, jet, scratch)
			e := 0.0
			for k, s := range t.scalars {
				if d := row[len(row)-len(t.scalars)+k]; d != 0 {
					e += math.Abs(d) * s.Error
				}
			}
			return e
		}
	}
	return out
}

// ingredient works out one ingredient; the string says why it has no value.
func (t *taker) ingredient(i *ingredient) (derived.Number, string) {
	p := t.s.Problem
	if i.what == "" {
		return t.value(i)
	}
	a, b := i.a, i.b
	if math.IsNaN(a) {
		a, b = p.A, p.B
	}
	f := t.function(i.f, i.slope)
	notSettled := "what is integrated in " + i.text + " does not die away towards infinity"
	switch i.what {
	case "integral":
		n, ok := f.Integral(t.s, a, b)
		if !ok {
			return n, notSettled
		}
		return n, ""
	case "mean":
		w := i.weight
		if w == nil {
			w = &notation.Number{Value: 1, Text: "1"}
		}
		if math.IsInf(a, 0) || math.IsInf(b, 0) {
			if i.weight == nil {
				return derived.Number{}, "a mean over an unbounded interval needs a weight that dies away"
			}
		}
		top, ok := t.function(&notation.Binary{Op: '*', X: w, Y: i.f}, nil).Integral(t.s, a, b)
		bottom, also := t.function(w, nil).Integral(t.s, a, b)
		if !ok || !also {
			return top, notSettled
		}
		v := top.Value / bottom.Value
		return derived.Number{Value: v, Error: (top.Error + math.Abs(v)*bottom.Error) / math.Abs(bottom.Value)}, ""
	}
	a, b = math.Max(a, t.s.Mesh[0]), math.Min(b, t.s.Mesh[len(t.s.Mesh)-1])
	if i.what == "zero" {
		zeros := f.Zeros(t.s, a, b)
		if len(zeros) < i.nth {
			return derived.Number{}, fmt.Sprintf("in %s the sign changes at %s only", i.text, count(len(zeros), "place"))
		}
		return zeros[i.nth-1].X, ""
	}
	sign := 1.0
	if i.what == "smallest" || i.what == "smallest_at" {
		sign = -1
		minus := func(tree notation.Node) notation.Node {
			if tree == nil {
				return nil
			}
			return &notation.Negate{X: tree}
		}
		f = t.function(minus(i.f), minus(i.slope))
	}
	best, places := f.Largest(t.s, a, b)
	if i.what == "largest" || i.what == "smallest" {
		return derived.Number{Value: sign * best.Value.Value, Error: best.Value.Error}, ""
	}
	if len(places) > 1 {
		return derived.Number{}, fmt.Sprintf("%s has more than one place: %s = %s and %s, for two", i.text, t.m.variable,
			number(places[0].X.Value), number(places[1].X.Value))
	}
	return best.X, ""
}

// value is the value of an unknown or a derivative at a point. At a break point it may have two.
func (t *taker) value(i *ingredient) (derived.Number, string) {
	p := t.s.Problem
	entry := p.JetOffset(i.unknown) + i.order
	at := func(x float64) derived.Number { return derived.Function{F: derived.Entry(entry, nil)}.At(t.s, x) }
	if i.order > 0 && slices.Contains(p.Breaks, i.at) {
		left, right := at(math.Nextafter(i.at, p.A)), at(math.Nextafter(i.at, p.B))
		if math.Abs(left.Value-right.Value) > left.Error+right.Error {
			return left, fmt.Sprintf("%s jumps there from %s to %s: take it a little to one side", i.text, number(left.Value), number(right.Value))
		}
	}
	return at(i.at), ""
}
