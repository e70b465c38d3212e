// Package report works out the numbers that a sheet asks of its solution: what its report lines say. Each comes with
// its error, which is the sum over all parts (values, integrals, extremes …) of their errors times the exact partial
// derivative of the formula by them.
//
// A formula is smooth but where a switch in it changes its sign: the argument of abs, the two sides of a comparison,
// what divides. The package finds the switches in the tree, and package derived works stretch by stretch between them.
package report

import (
	"fmt"
	"math"
	"slices"

	"nodespan/expr/notation"
	"nodespan/expr/sheet"
	"nodespan/expr/typeset"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/derived"
)

// Report is a number that a sheet asks of its solution.
type Report struct {
	// Name is what the sheet calls the number; the text of the formula where it gives no name.
	Name string
	// Left is what stands left of the value when it is typeset: the name, or the formula where the sheet gives no name.
	Left notation.Node
	Span notation.Span
	// Value comes with its estimated error: what the errors of everything that it is taken from may do to it, to first
	// order.
	Value, Error float64
	// Fault is one sentence that says why there is no value; then Value is NaN and Error infinite. Empty for a value.
	Fault string
}

// All works out the numbers that a sheet asks for from a solution of its problem, in the order of the text.
func All(sh *sheet.Sheet, sol *solver.Solution) []Report {
	var out []Report
	for _, q := range sh.Asked() {
		r := Report{Name: q.Name, Left: q.Left, Span: q.Span, Value: math.NaN(), Error: math.Inf(1)}
		if !sol.Usable() {
			r.Fault = "there is no solution to take it from"
		} else if n, fault := (&evaluator{sh: sh, s: sol, q: q}).take(); fault != "" {
			r.Fault = fault
		} else if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
			r.Fault = "it has no finite value"
		} else if math.IsNaN(n.Error) || math.IsInf(n.Error, 0) {
			r.Fault = "how far it is from the truth is not known"
		} else {
			r.Value, r.Error = n.Value, n.Error
		}
		out = append(out, r)
	}
	return out
}

// evaluator works out one report from a solution.
type evaluator struct {
	sh *sheet.Sheet
	s  *solver.Solution
	q  *sheet.Asked
	// scalars are the sought parameters and then the parts that are known already.
	scalars []derived.Number
}

// take works out the parts and then the report.
func (t *evaluator) take() (derived.Number, string) {
	sought := t.s.Sought()
	if len(sought) < len(t.sh.Sought) {
		return derived.Number{}, "the sought numbers have no value"
	}
	for _, f := range sought[:len(t.sh.Sought)] {
		t.scalars = append(t.scalars, derived.Number{Value: f.Value, Error: f.Error})
	}
	for i := range t.q.Parts {
		n, fault := t.part(&t.q.Parts[i])
		if fault != "" {
			return n, fault
		}
		t.scalars = append(t.scalars, n)
	}
	return t.formula()
}

// formula works out the formula of the report from its parts.
func (t *evaluator) formula() (derived.Number, string) {
	value, row := t.jacobian(t.q.Formula)
	n := derived.Number{Value: value(math.NaN(), nil)}
	own := slices.Clone(row[len(row)-len(t.scalars):])
	for k, s := range t.scalars {
		if own[k] != 0 && s.Error != 0 {
			n.Error += t.effect(value, k, n.Value, math.Abs(own[k])*s.Error)
		}
		if v := own[k] * s.Value; !math.IsInf(v, 0) && !math.IsNaN(v) {
			n.Error += 1.2e-16 * math.Abs(v)
		}
	}
	n.Error += 2e-16 * math.Abs(n.Value)
	for _, w := range switches(t.q.Formula, t.depends) {
		argument, row := t.jacobian(w.argument)
		a, e := argument(math.NaN(), nil), 0.0
		for k, s := range t.scalars {
			e += math.Abs(row[len(row)-len(t.scalars)+k]) * s.Error
		}
		if !(math.Abs(a) <= e) {
			continue
		}
		if w.other == nil {
			if w.pole {
				return n, "it divides by what is 0 to within its error"
			}
			continue
		}
		other, _ := t.jacobian(w.other)
		more := math.Abs(other(math.NaN(), nil) - n.Value)
		if w.jumps && more > 4*n.Error {
			return n, "it cannot be told from the numbers with their errors which part of " + w.name + "(…) holds"
		}
		n.Error += more
	}
	return n, ""
}

// effect returns what the error of scalar k may do to a formula with the value v: to first order, or the change itself
// where that is more, or where the derivative is infinite.
func (t *evaluator) effect(value func(float64, []float64) float64, k int, v, first float64) float64 {
	kept := t.scalars[k]
	defer func() { t.scalars[k] = kept }()
	change := 0.0
	for _, e := range []float64{kept.Error, -kept.Error} {
		t.scalars[k].Value = kept.Value + e
		if c := math.Abs(value(math.NaN(), nil) - v); c > change {
			change = c
		}
	}
	if math.IsInf(first, 0) && change > 0 {
		return change
	}
	return math.Max(first, change)
}

// jacobian returns the value of a formula as a function of x and the jet (nil: it holds neither), and the row that each
// call fills with its derivatives by the jet, the variable and the scalars.
func (t *evaluator) jacobian(tree notation.Node) (value func(x float64, jet []float64) float64, row []float64) {
	tp, err := t.sh.CompileAsked([]notation.Node{tree}, len(t.q.Parts))
	if err != nil {
		panic("report: " + err.Error()) // compiled once on reading
	}
	in, out := make([]float64, tp.Inputs()), make([]float64, 1)
	full := make([]float64, tp.Inputs())
	jets := t.s.Problem.Jet()
	known := jets + 1 + len(t.scalars) // parts still to come are not in the formula
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

// part works out one part; the string says why it has no value.
func (t *evaluator) part(i *sheet.Part) (derived.Number, string) {
	a, b := i.A, i.B
	if math.IsNaN(a) {
		a, b = t.whole(i)
	}
	switch i.What {
	case "":
		return t.value(i)
	case "integral":
		f := t.function(i.F)
		n, ok := f.Integral(t.s, a, b)
		if !ok {
			return n, t.noIntegral(i, a, b)
		}
		// The ends are rounded numbers themselves, which matters where they are close to each other.
		for _, x := range []float64{a, b} {
			if at := f.At(t.s, x).Value; !math.IsInf(x, 0) && !bvp.Exact(x) && !math.IsNaN(at) && !math.IsInf(at, 0) {
				n.Error += math.Abs(x*at) / (1 << 53)
			}
		}
		return n, ""
	case "mean":
		return t.mean(i, a, b)
	}
	if i.What == "zero" {
		return t.zero(i, a, b)
	}
	return t.extreme(i, a, b)
}

// whole is the interval of a part that names none: where all of its unknowns count.
func (t *evaluator) whole(i *sheet.Part) (a, b float64) {
	p := t.s.Problem
	a, b = p.A, p.B
	if p.Own == nil {
		return a, b
	}
	for k, u := range p.Unknowns {
		if notation.Find(i.F, func(n notation.Node) bool {
			j, ok := n.(*notation.Jet)
			return ok && j.Name == u.Name
		}) != nil {
			lo, hi := p.Counts(k)
			a, b = max(a, lo), min(b, hi)
		}
	}
	return a, max(a, b)
}

// noIntegral says why there is no integral from a to b.
func (t *evaluator) noIntegral(i *sheet.Part, a, b float64) string {
	if math.IsInf(a, 0) || math.IsInf(b, 0) {
		return "what is integrated in " + i.Text + " does not die away towards infinity"
	}
	return "what is integrated in " + i.Text +
		" grows without bound, or has no value, so that its integral does not exist or cannot be told"
}

// mean is an integral over that of its weight.
func (t *evaluator) mean(i *sheet.Part, a, b float64) (derived.Number, string) {
	w := i.Weight
	if w == nil {
		w = &notation.Number{Value: 1, Text: "1"}
		if math.IsInf(a, 0) || math.IsInf(b, 0) {
			return derived.Number{}, "a mean over an unbounded interval needs a weight that dies away"
		}
	}
	top, ok := t.function(&notation.Binary{Op: '*', X: w, Y: i.F}).Integral(t.s, a, b)
	bottom, also := t.function(w).Integral(t.s, a, b)
	if !ok || !also {
		return top, t.noIntegral(i, a, b)
	}
	if !(math.Abs(bottom.Value) > bottom.Error) {
		return top, "the integral of the weight in " + i.Text + " is 0 to within its error"
	}
	v := top.Value / bottom.Value
	e := (top.Error + math.Abs(v)*bottom.Error) / (math.Abs(bottom.Value) - bottom.Error)
	return derived.Number{Value: v, Error: e}, ""
}

// zero is the n-th place where a sign changes.
func (t *evaluator) zero(i *sheet.Part, a, b float64) (derived.Number, string) {
	z := t.function(i.F).Zeros(t.s, a, b)
	if len(z.Doubtful) > 0 {
		if d := z.Doubtful[0]; len(z.Places) < i.Nth || d[0] < z.Places[i.Nth-1].X.Value {
			where := "near " + t.sh.Variable + " = " + sheet.Number((d[0]+d[1])/2)
			if d[1]-d[0] > 0.05*(t.s.Mesh[len(t.s.Mesh)-1]-t.s.Mesh[0]) {
				where = "from " + t.sh.Variable + " = " + sheet.Number(d[0]) + " to " + sheet.Number(d[1])
			}
			return derived.Number{}, "in " + i.Text + " it cannot be told whether the sign changes " + where +
				", where it is 0 to within the error"
		}
	}
	if len(z.Places) < i.Nth {
		if len(z.Places) == 0 {
			return derived.Number{}, typeset.Plain(i.F) + " does not change sign"
		}
		return derived.Number{}, fmt.Sprintf("%s changes sign at %s only", typeset.Plain(i.F),
			words.Count(len(z.Places), "place"))
	}
	return z.Places[i.Nth-1].X, ""
}

// extreme is a largest or smallest value, or its place.
func (t *evaluator) extreme(i *sheet.Part, a, b float64) (derived.Number, string) {
	sign, f := 1.0, i.F
	if i.What == "smallest" || i.What == "smallest_at" {
		sign, f = -1, &notation.Negate{X: f}
	}
	e := t.function(f).Largest(t.s, a, b)
	at := t.sh.Variable + " = " + sheet.Number(e.Best.X.Value)
	switch {
	case e.Unbounded:
		return derived.Number{}, "in " + i.Text + " it grows without bound towards " + at
	case e.Open:
		return derived.Number{}, "in " + i.Text + " it cannot be told within the error which part holds near " + at
	case i.What == "largest" || i.What == "smallest":
		return derived.Number{Value: sign * e.Best.Value.Value, Error: e.Best.Value.Error}, ""
	case len(e.Places) > 1:
		return derived.Number{}, fmt.Sprintf("%s has more than one place: %s = %s and %s, for two", i.Text,
			t.sh.Variable,
			sheet.Number(e.Places[0].X.Value), sheet.Number(e.Places[1].X.Value))
	}
	return e.Best.X, ""
}

// value is the value of an unknown or a derivative at a point. At a break point it may have two.
func (t *evaluator) value(i *sheet.Part) (derived.Number, string) {
	p := t.s.Problem
	if lo, hi := p.Counts(i.Unknown); i.At < lo || i.At > hi {
		return derived.Number{}, fmt.Sprintf("%s counts from %s to %s alone", p.Unknowns[i.Unknown].Name,
			sheet.Number(lo), sheet.Number(hi))
	}
	entry := p.JetOffset(i.Unknown) + i.Order
	at := func(x float64) derived.Number { return derived.Function{F: derived.Entry(entry, nil)}.At(t.s, x) }
	if i.Order > 0 && slices.Contains(p.Breaks, i.At) {
		left, right := at(math.Nextafter(i.At, p.A)), at(math.Nextafter(i.At, p.B))
		if math.Abs(left.Value-right.Value) > left.Error+right.Error {
			return left, fmt.Sprintf("%s jumps there from %s to %s: take it a little to one side", i.Text,
				sheet.Number(left.Value), sheet.Number(right.Value))
		}
	}
	return at(i.At), ""
}
