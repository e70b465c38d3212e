package sheet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"nodespan/expr/notation"
	"nodespan/expr/words"
	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// This stage checks that equations, unknowns and conditions match, looking at the numbers: a
// derivative whose factor is zero does not count as present.

// count checks counts and structure.
func (r *reader) count() {
	r.markUsed()
	p := r.compiled()
	if p == nil {
		return
	}
	p = r.natural(p)
	r.repeated(p)
	if len(r.errs) > 0 {
		return
	}
	r.highest(p)
	if len(r.errs) > 0 {
		return
	}
	r.soughtUsed(p)
	r.linearity(p)
	if len(r.errs) > 0 {
		return
	}
	r.conditionCount(p)
}

// compiled makes the problem for the first time; a formula that cannot be compiled is a fault.
func (r *reader) compiled() *bvp.Problem {
	m := r.model
	for _, e := range m.equations {
		if _, err := m.compile([]notation.Node{e.residual}, m.base); err != nil {
			r.take(err, e.span)
			return nil
		}
	}
	for i, c := range m.conditions {
		if _, err := m.conditionOf(c, m.base.points[i], m.base); err != nil {
			r.take(err, c.span)
			return nil
		}
	}
	return m.problem(m.base)
}

// totalOrder is the sum of the orders of the unknowns.
func (m *model) totalOrder() int {
	s := 0
	for _, u := range m.unknowns {
		s += u.Order
	}
	return s
}

// probe calls f at points and numbers that are random and the same in every run: x inside the
// interval, the numbers of either sign and of moderate size; until f has seen enough.
func probe(p *bvp.Problem, inputs, times int, f func(x float64, in []float64) (enough bool)) {
	random := rand.New(rand.NewPCG(1, 2))
	in := make([]float64, inputs)
	for range times {
		x := sample(p.A, p.B, 0.02+0.96*random.Float64())
		for i := range in {
			in[i] = 0.3 + random.Float64()
			if random.IntN(2) == 0 {
				in[i] = -in[i]
			}
		}
		if f(x, in) {
			return
		}
	}
}

const probes = 24

// highest checks that the equations determine the highest derivatives: each equation holds at
// least one, and they can be paired off.
func (r *reader) highest(p *bvp.Problem) {
	n := len(p.Unknowns)
	inputs := p.Jet() + len(p.Parameters)
	holds := make([][]bool, n) // equation × unknown
	at := make([]int, n)       // where the highest derivative of each unknown stands in the jet
	for i, u := range p.Unknowns {
		holds[i], at[i] = make([]bool, n), p.JetOffset(i)+u.Order
	}
	f, df := make([]float64, n), make([]float64, n*inputs)
	probe(p, inputs, probes, func(x float64, in []float64) bool {
		p.Equations(x, in, f, df)
		all := true
		for i := range n {
			for k, u := range p.Unknowns {
				if d := df[i*inputs+at[k]]; d != 0 { // NaN counts as present
					holds[i][k] = holds[i][k] || !math.IsNaN(d) || r.written(i, u)
				}
				all = all && holds[i][k]
			}
		}
		return all
	})
	paired := bvp.Match(holds)
	for i, e := range r.model.equations {
		if slices.Contains(paired, i) {
			continue
		}
		switch {
		case slices.Contains(holds[i], true):
			r.fault(e.span, "each equation needs the highest derivative of an unknown of its own",
				"the equations do not determine the highest derivatives of %s: this one adds none", list(r.order))
		case n == 1:
			u := p.Unknowns[0]
			r.fault(e.span, "", "the highest derivative, %s, drops out of this equation: its factor is zero",
				bvp.Derivative(u.Name, u.Order))
		default:
			var names []string
			for _, u := range p.Unknowns {
				names = append(names, bvp.Derivative(u.Name, u.Order))
			}
			r.fault(e.span, "differentiate it, or use it to eliminate an unknown",
				"the highest derivative of no unknown occurs in this equation (they are %s)", list(names))
		}
		return
	}
	if n > 1 && degenerate(p) {
		var names []string
		for _, u := range p.Unknowns {
			names = append(names, bvp.Derivative(u.Name, u.Order))
		}
		r.fault(r.model.equations[n-1].span, "solve them for the highest derivatives first, and use what remains to "+
			"eliminate an unknown",
			"the equations together do not determine the highest derivatives (%s)", list(names))
	}
}

// degenerate reports whether the derivatives of the equations by the highest derivatives form a
// singular matrix at every probe.
func degenerate(p *bvp.Problem) bool {
	n := len(p.Unknowns)
	inputs := p.Jet() + len(p.Parameters)
	f, df := make([]float64, n), make([]float64, n*inputs)
	all := true
	probe(p, inputs, probes, func(x float64, in []float64) bool {
		p.Equations(x, in, f, df)
		m := mat.NewDense(n, n, nil)
		for i := range n {
			for k, u := range p.Unknowns {
				m.Set(i, k, df[i*inputs+p.JetOffset(k)+u.Order])
			}
		}
		// Rows and then columns are scaled, since equations and unknowns may be of any size.
		for i := range n {
			row := m.RawRowView(i)
			floats.Scale(1/floats.Norm(row, math.Inf(1)), row)
		}
		for k := range n {
			column := blocks.Column(m, k)
			floats.Scale(1/floats.Norm(column, math.Inf(1)), column)
			m.SetCol(k, column)
		}
		var lu blocks.LU
		lu.Factorize(m)
		if c := lu.Cond(); c < 1e12 || math.IsNaN(c) {
			all = false
		}
		return !all
	})
	return all
}

// written reports whether the highest derivative of an unknown stands in equation i.
func (r *reader) written(i int, u bvp.Unknown) bool {
	return notation.Find(r.model.equations[i].residual, func(n notation.Node) bool {
		j, ok := n.(*notation.Jet)
		return ok && j.Name == u.Name && j.Order == u.Order
	}) != nil
}

// repeated looks for conditions that say nothing or give one value twice.
func (r *reader) repeated(p *bvp.Problem) {
	single := map[bvp.PointValue]*condition{}
	for i, c := range r.model.conditions {
		q := &p.Conditions[i]
		dg := make([]float64, len(q.At)+len(p.Parameters))
		depends, linear := false, true
		var first []float64
		probe(p, len(dg), probes, func(_ float64, in []float64) bool {
			q.Residual(in, dg)
			for _, d := range dg[:len(q.At)] {
				depends = depends || d != 0
			}
			if first == nil {
				first = append(first, dg...)
			}
			linear = linear && same(first, dg)
			return depends && (!linear || len(q.At) != 1 || len(p.Parameters) > 0)
		})
		switch {
		case !depends:
			r.fault(c.span, "", "this condition does not depend on the unknown")
		case len(q.At) == 1 && linear && len(p.Parameters) == 0:
			v := q.At[0]
			if earlier := single[v]; earlier != nil {
				r.fault(c.span, "keep one of the two", "%s at %s = %s is given a second time (first on line %d)",
					bvp.Derivative(p.Unknowns[v.Unknown].Name, v.Derivative), r.sheet.Variable, number(v.X),
					line(earlier.span))
			} else {
				single[v] = c
			}
		}
	}
}

// same reports whether two rows of derivatives agree but for rounding.
func same(a, b []float64) bool {
	for i := range a {
		if !(math.Abs(a[i]-b[i]) <= 1e-9*max(math.Abs(a[i]), math.Abs(b[i]))) {
			return false
		}
	}
	return true
}

// soughtUsed checks that every sought parameter occurs.
func (r *reader) soughtUsed(p *bvp.Problem) {
	for _, s := range r.model.sought {
		used := false
		for _, e := range r.model.equations {
			used = used || notation.Find(e.residual, named(s.name)) != nil
		}
		for _, c := range r.model.conditions {
			used = used || notation.Find(c.residual, named(s.name)) != nil
		}
		if !used {
			r.fault(s.span, "leave it out, or use it", "%s is sought, but no equation or condition holds it", s.name)
		}
	}
}

// form finds out whether a problem is linear in the unknowns, with any sought parameter held, and whether it is
// homogeneous.
func form(p *bvp.Problem) (linear, homogeneous bool) {
	n, jet := len(p.Unknowns), p.Jet()
	inputs := jet + len(p.Parameters)
	f, a, b := make([]float64, n), make([]float64, n*inputs), make([]float64, n*inputs)
	finite := false
	linear, homogeneous = true, true
	probe(p, inputs, probes, func(x float64, in []float64) bool {
		p.Equations(x, in, f, a)
		if slices.ContainsFunc(f, math.IsNaN) {
			return false // sqrt(lambda) has no value for every lambda
		}
		finite = true
		for i := range in[:jet] {
			in[i] *= -2.5
		}
		p.Equations(x, in, f, b)
		for i := range n {
			linear = linear && same(a[i*inputs:i*inputs+jet], b[i*inputs:i*inputs+jet])
		}
		clear(in[:jet])
		p.Equations(x, in, f, nil)
		for i := range n {
			homogeneous = homogeneous && f[i] == 0
		}
		return !linear && !homogeneous
	})
	for i := range p.Conditions {
		c := &p.Conditions[i]
		at := len(c.At)
		a, b := make([]float64, at+len(p.Parameters)), make([]float64, at+len(p.Parameters))
		probe(p, len(a), probes, func(_ float64, in []float64) bool {
			if math.IsNaN(c.Residual(in, a)) {
				return false
			}
			for k := range at {
				in[k] *= -2.5
			}
			c.Residual(in, b)
			linear = linear && same(a[:at], b[:at])
			clear(in[:at])
			homogeneous = homogeneous && c.Residual(in, nil) == 0
			return !linear && !homogeneous
		})
	}
	return linear && finite, homogeneous
}

// linearity finds out whether the problem is linear, and whether it is an eigenvalue problem: one
// sought parameter in a linear homogeneous problem with as many conditions as its order.
func (r *reader) linearity(p *bvp.Problem) {
	linear, homogeneous := form(p)
	r.sheet.Linear = linear
	if linear && homogeneous && len(p.Parameters) == 1 && len(p.Conditions) == p.State()+1 {
		name := r.model.sought[0].name
		r.fault(r.model.conditions[p.State()].span, "leave one condition out to find the eigenvalues "+name+
			", or let one state a value that is not zero",
			"everything is linear and homogeneous, so zero fits whatever %s is", name)
	}
	r.sheet.Eigenvalue = linear && homogeneous && len(p.Parameters) == 1 && len(p.Conditions) == p.State()
}

// conditionCount checks the number of conditions against the orders and the sought parameters.
func (r *reader) conditionCount(p *bvp.Problem) {
	need := p.State() + len(p.Parameters)
	have := len(p.Conditions)
	if have == need || r.sheet.Eigenvalue {
		return
	}
	if e := r.model.tooFewConditions(); have < need {
		r.errs = append(r.errs, e)
		return
	}
	extra := r.model.conditions[need]
	hint := "leave " + words.Count(have-need, "condition") + " out"
	if len(p.Parameters) == 0 {
		hint += ", or let a constant be sought with name = ?"
	}
	r.fault(extra.span, hint, "too many conditions: %s, but %s", words.Count(have, "condition"), r.model.need())
}

// need says in words how many conditions the problem takes.
func (m *model) need() string {
	order, sought := m.totalOrder(), len(m.sought)
	if sought == 0 {
		if len(m.unknowns) == 1 {
			return fmt.Sprintf("an equation of order %d takes %d", order, order)
		}
		return fmt.Sprintf("equations of total order %d take %d", order, order)
	}
	return fmt.Sprintf("a total order of %d and %s take %d", order, words.Count(sought, "sought parameter"),
		order+sought)
}

// tooFewConditions explains a missing condition.
func (m *model) tooFewConditions() *notation.Error {
	have := len(m.conditions)
	missing := m.totalOrder() + len(m.sought) - have
	hint := fmt.Sprintf("add %s, such as %s(…) = …", words.Count(missing, "condition"), m.unknowns[0].Name)
	if len(m.sought) == 1 && missing == 1 {
		hint += "; an eigenvalue problem may go without, but all its equations and conditions are linear and " +
			"homogeneous"
	}
	return &notation.Error{
		Span: m.equations[0].span,
		Msg:  fmt.Sprintf("too few conditions: %s, but %s", words.Count(have, "condition"), m.need()),
		Hint: hint, Incomplete: true,
	}
}

// markUsed finds the constants that the problem depends on.
func (r *reader) markUsed() {
	m := r.model
	m.used = map[string]bool{}
	var mark func(n notation.Node)
	mark = func(n notation.Node) {
		notation.Walk(n, func(n notation.Node) bool {
			if c, ok := n.(*notation.Name); ok && !m.used[c.Name] && m.declarations[c.Name] != nil {
				m.used[c.Name] = true
				if m.set[c.Name] == nil {
					mark(m.declarations[c.Name].body)
				}
			}
			return true
		})
	}
	for _, e := range m.equations {
		mark(e.residual)
	}
	for _, c := range m.conditions {
		mark(c.residual)
	}
	for _, end := range m.ends {
		mark(end)
	}
	for _, b := range m.breaks {
		mark(b.at)
	}
}
