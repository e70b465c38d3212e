package slips

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// This file solves by collocation with one polynomial the way it is taught: nodes on a reference interval, derivative
// rows there, rows of the equation at nodes, and some rows taken over by the conditions. It serves to repeat what a
// person did, slips included.

// rule is a family of nodes as it is taught: one of package nodes, or the extreme points of a Chebyshev polynomial,
// cos(jπ/(n+1)), ends included.
type rule struct {
	family  nodes.Family
	extrema bool
}

var extrema = rule{extrema: true}

// rules are those that a table is held against, the likeliest first; guessed are those of them that are tried with a
// slip where the points of a table do not tell the family.
var rules, guessed = func() (all, taught []rule) {
	families := slices.DeleteFunc(nodes.Families(), func(f nodes.Family) bool { return f.Likely() == 0 })
	sort.Slice(families, func(i, j int) bool { return families[i].Likely() < families[j].Likely() })
	for _, f := range families {
		taught = append(taught, rule{family: f})
	}
	taught = slices.Insert(taught, 1, extrema)
	all = slices.Clone(taught)
	for _, f := range nodes.Families() {
		if f.Likely() == 0 {
			all = append(all, rule{family: f})
		}
	}
	return all, taught
}()

func (r rule) String() string {
	if r.extrema {
		return "Chebyshev–Lobatto"
	}
	return r.family.Title()
}

// interior returns n interior nodes on [-1, 1], ascending.
func (r rule) interior(n int) []float64 {
	if !r.extrema {
		return nodes.Interior(r.family, n)
	}
	t := make([]float64, n)
	for i := range t {
		t[i] = -math.Cos(math.Pi * float64(i+1) / float64(n+1))
	}
	return t
}

// layout says which rows the conditions take.
type layout int

const (
	// added: as many coefficients as nodes and conditions together; the equation holds at every interior node.
	added layout = iota
	// replaced: square matrices on the interior nodes and both ends; each condition takes the place of a row at its
	// end.
	replaced
)

// scheme is one discretisation.
type scheme struct {
	rule   rule
	n      int // interior nodes
	layout layout
	// basis writes value and derivatives of the basis functions at t in [-1, 1], d/dt, one row of len(rows[0]) for each
	// derivative.
	basis basis
	// kept is a condition whose row keeps the equation, -1 for none.
	kept int
	// known are rows that were worked out before for the same basis and interval; nil: none are kept.
	known map[rowKey][][]float64
}

// rowKey is what the rows of value and derivatives at a node depend on.
type rowKey struct {
	t            float64
	order, count int
}

type basis func(t float64, rows [][]float64)

// legendre is the right basis: Legendre polynomials, with P'_(j+1) = P'_(j-1) + (2j+1) P_j and its derivatives.
func legendre(t float64, rows [][]float64) {
	n := len(rows[0])
	for k, row := range rows {
		clear(row)
		for j := range n {
			switch {
			case k == 0 && j == 0:
				row[0] = 1
			case k == 0 && j == 1:
				row[1] = t
			case k == 0:
				row[j] = (float64(2*j-1)*t*row[j-1] - float64(j-1)*row[j-2]) / float64(j)
			case j > 0:
				row[j] = float64(2*j-1) * rows[k-1][j-1]
				if j > 1 {
					row[j] += row[j-2]
				}
			}
		}
	}
}

// polynomial is a solution of a scheme.
type polynomial struct {
	p      *bvp.Problem
	basis  basis
	counts []int // coefficients of each unknown
	c      []float64
	rows   [][]float64
}

// at writes the jet at x.
func (q *polynomial) at(x float64, jet []float64) {
	length := q.p.B - q.p.A
	t := (2*x - q.p.A - q.p.B) / length
	from := 0
	for i, u := range q.p.Unknowns {
		o := q.p.JetOffset(i)
		rows := q.rowsFor(u.Order, q.counts[i])
		q.basis(t, rows)
		scale := 1.0
		for k, row := range rows {
			s := 0.0
			for j, v := range row {
				s += v * q.c[from+j]
			}
			jet[o+k] = s * scale
			scale *= 2 / length
		}
		from += q.counts[i]
	}
}

func (q *polynomial) rowsFor(order, count int) [][]float64 {
	rows := make([][]float64, order+1)
	for k := range rows {
		if len(q.rows) <= k {
			q.rows = append(q.rows, nil)
		}
		if cap(q.rows[k]) < count {
			q.rows[k] = make([]float64, count)
		}
		rows[k] = q.rows[k][:count]
	}
	return rows
}

// equationOf pairs each equation with the unknown whose rows it fills: one whose highest derivative it holds.
func equationOf(p *bvp.Problem, start curve) []int {
	n, width := len(p.Unknowns), p.Jet()+len(p.Parameters)
	in, f, df := make([]float64, width), make([]float64, n), make([]float64, n*width)
	x := p.A + 0.437*(p.B-p.A)
	start(x, in[:p.Jet()])
	p.Equations(x, in, f, df)
	pair, taken := make([]int, n), make([]bool, n)
	for i := range pair {
		pair[i] = -1
	}
	for pass := range 2 {
		for i, u := range p.Unknowns {
			top := p.JetOffset(i) + u.Order
			for k := range n {
				e := (i + k) % n
				if pair[i] < 0 && !taken[e] && (pass == 1 || df[e*width+top] != 0) {
					pair[i], taken[e] = e, true
				}
			}
		}
	}
	return pair
}

// curve is a first guess: it writes the jet at x.
type curve func(x float64, jet []float64)

// row is a place where the equation of an unknown holds.
type row struct {
	unknown int
	t       float64
}

// place returns the rows of the equations and the conditions that are imposed.
func (s *scheme) place(p *bvp.Problem) (rows []row, counts []int, conditions []int) {
	inner := s.rule.interior(s.n)
	grid := append(append([]float64{-1}, inner...), 1)
	free := make([]int, len(p.Unknowns))  // conditions that each unknown still takes
	lower := make([]int, len(p.Unknowns)) // rows taken at the left end
	upper := make([]int, len(p.Unknowns))
	for i, u := range p.Unknowns {
		free[i] = u.Order
	}
	counts = make([]int, len(p.Unknowns))
	var extra []row
	for c := range p.Conditions {
		i := -1
		for _, v := range p.Conditions[c].At {
			if free[v.Unknown] > 0 {
				i = v.Unknown
				break
			}
		}
		for k := 0; i < 0 && k < len(free); k++ {
			if free[k] > 0 {
				i = k
			}
		}
		if c != s.kept {
			conditions = append(conditions, c)
		}
		if i < 0 {
			continue // fixes a sought parameter: no row is replaced
		}
		free[i]--
		left, right := true, true
		for _, v := range p.Conditions[c].At {
			left, right = left && v.X == p.A, right && v.X == p.B
		}
		if left == right { // an interior point, or both ends
			left = lower[i] <= upper[i]
		}
		t := 0.0
		if left {
			t = grid[min(lower[i], len(grid)-1)]
			if s.layout == added {
				t = -1
			}
			if c != s.kept {
				lower[i]++
			}
		} else {
			t = grid[max(len(grid)-1-upper[i], 0)]
			if s.layout == added {
				t = 1
			}
			if c != s.kept {
				upper[i]++
			}
		}
		if c == s.kept && s.layout == added {
			extra = append(extra, row{i, t})
		}
	}
	for i, u := range p.Unknowns {
		if s.layout == added {
			counts[i] = s.n + u.Order
			for _, t := range inner {
				rows = append(rows, row{i, t})
			}
			continue
		}
		counts[i] = s.n + 2
		for j := lower[i]; j < len(grid)-upper[i]; j++ {
			rows = append(rows, row{i, grid[j]})
		}
	}
	return append(rows, extra...), counts, conditions
}

// differs reports whether rows replaced are not the same as conditions added: the equation holds at an end, or misses
// an interior node.
func (s *scheme) differs(p *bvp.Problem) bool {
	rows, _, _ := s.place(p)
	for _, r := range rows {
		if r.t == -1 || r.t == 1 {
			return true
		}
	}
	return len(rows) != s.n*len(p.Unknowns)
}

// solve solves the problem by the scheme; nil where that has no solution. start is where Newton's iteration begins, of
// no account for linear problems.
func (s *scheme) solve(p *bvp.Problem, linear bool, start curve, parameters []float64) *polynomial {
	rows, counts, conditions := s.place(p)
	q := &polynomial{p: p, basis: s.basis, counts: counts}
	size := 0
	from := make([]int, len(counts))
	for i, n := range counts {
		from[i] = size
		size += n
		if n < p.Unknowns[i].Order {
			return nil
		}
	}
	size += len(p.Parameters)
	if size != len(rows)+len(conditions) {
		return nil // too few nodes for so many conditions
	}
	q.c = make([]float64, size)
	copy(q.c[size-len(parameters):], parameters)
	if !linear && !q.fit(from, start) {
		return nil
	}
	w := newWork(q, s.known, from, rows, conditions, equationOf(p, start))
	if q.c = w.newton(q.c, linear); q.c == nil {
		return nil
	}
	return q
}

// newton solves the equations from c by damped steps, by one step where they are linear; nil without a solution.
func (w *work) newton(c []float64, linear bool) []float64 {
	norm := w.assemble(c)
	trial := make([]float64, len(c))
	for range 40 {
		if !bvp.Finite(norm) {
			return nil
		}
		step := w.solveStep()
		if step == nil {
			return nil
		}
		change, largest := 0.0, 0.0
		for i, v := range step {
			change, largest = math.Max(change, math.Abs(v)), math.Max(largest, math.Abs(c[i]))
			if !bvp.Finite(v) {
				return nil
			}
		}
		for damping := 1.0; ; damping /= 2 {
			if damping < 1e-3 {
				return nil
			}
			for i := range trial {
				trial[i] = c[i] - damping*step[i]
			}
			if linear {
				return trial
			}
			if next := w.assemble(trial); next <= norm*(1-damping/4) || change <= 1e-9*largest {
				norm = next
				break
			}
		}
		copy(c, trial)
		if change <= 1e-10*largest {
			return c
		}
	}
	return nil
}

// solveStep solves the linear equations that were assembled last; nil where they are singular.
func (w *work) solveStep() []float64 {
	if w.sparse {
		return eliminate(w.jacobian.RawMatrix().Data, w.f)
	}
	w.lu.Factorize(w.jacobian)
	copy(w.step, w.f)
	if !w.lu.SolveVec(w.step) {
		return nil
	}
	return w.step
}

// work is the linear algebra of one solve: residuals and their derivatives by the coefficients and sought parameters.
type work struct {
	p        *bvp.Problem
	rows     []placed
	conds    []imposed
	jacobian *mat.Dense
	f, step  []float64
	lu       blocks.LU
	in       []float64
	f1, df   []float64
	// sparse says that the matrix has few entries, near its diagonal.
	sparse bool
}

// placed is a row of an equation: the rows of the basis for every entry of the jet, in the coefficients of its unknown.
type placed struct {
	equation int
	x        float64
	entries  []entry
}

// entry is a linear form in some coefficients.
type entry struct {
	from int
	row  []float64
}

type imposed struct {
	condition *bvp.Condition
	entries   []entry
}

func newWork(q *polynomial, cache map[rowKey][][]float64, from []int, rows []row, conditions, equation []int) *work {
	p := q.p
	n := len(q.c)
	w := &work{p: p, jacobian: mat.NewDense(n, n, nil), f: make([]float64, n), step: make([]float64, n)}
	most := p.Jet()
	derivatives := func(key rowKey) [][]float64 {
		if at, ok := cache[key]; ok {
			return at
		}
		at := make([][]float64, key.order+1)
		for k := range at {
			at[k] = make([]float64, key.count)
		}
		q.basis(key.t, at)
		scale := 1.0
		for k := range at {
			for j := range at[k] {
				at[k][j] *= scale
			}
			scale *= 2 / (p.B - p.A)
		}
		if cache != nil {
			cache[key] = at
		}
		return at
	}
	jetAt := func(t float64) []entry {
		out := make([]entry, 0, p.Jet())
		for i, u := range p.Unknowns {
			for _, row := range derivatives(rowKey{t, u.Order, q.counts[i]}) {
				out = append(out, entry{from[i], row})
			}
		}
		return out
	}
	known := map[float64][]entry{} // rows of several unknowns stand at one node
	jet := func(t float64) []entry {
		e, ok := known[t]
		if !ok {
			e = jetAt(t)
			known[t] = e
		}
		return e
	}
	for _, r := range rows {
		x := p.A + (p.B-p.A)*(1+r.t)/2
		if r.t == 1 {
			x = p.B
		}
		w.rows = append(w.rows, placed{equation[r.unknown], x, jet(r.t)})
	}
	for _, c := range conditions {
		m := imposed{condition: &p.Conditions[c]}
		for _, v := range m.condition.At {
			m.entries = append(m.entries, jet((2*v.X - p.A - p.B) / (p.B - p.A))[p.JetOffset(v.Unknown)+v.Derivative])
		}
		most = max(most, len(m.entries))
		w.conds = append(w.conds, m)
	}
	w.in = make([]float64, most+len(p.Parameters))
	w.f1, w.df = make([]float64, len(p.Unknowns)), make([]float64, len(p.Unknowns)*(p.Jet()+len(p.Parameters)))
	return w
}

// assemble works the residuals and the matrix out and returns the residuals' norm.
func (w *work) assemble(c []float64) float64 {
	p := w.p
	par := len(p.Parameters)
	first := len(c) - par
	sum := 0.0
	values := func(entries []entry) []float64 {
		in := w.in[:len(entries)+par]
		for i, e := range entries {
			s := 0.0
			for j, v := range e.row {
				s += v * c[e.from+j]
			}
			in[i] = s
		}
		copy(in[len(entries):], c[first:])
		return in
	}
	put := func(i int, f float64, slopes []float64, entries []entry) {
		row := w.jacobian.RawRowView(i)
		clear(row)
		for k, e := range entries {
			if slopes[k] == 0 {
				continue
			}
			to := row[e.from : e.from+len(e.row)]
			for j, v := range e.row {
				to[j] += slopes[k] * v
			}
		}
		copy(row[first:], slopes[len(entries):])
		// Rows of one size: what the norm and the pivots compare.
		largest := bvp.Largest(row)
		if largest == 0 {
			largest = 1
		}
		for j := range row {
			row[j] /= largest
		}
		w.f[i] = f / largest
		sum += f / largest * f / largest
	}
	i := 0
	for _, r := range w.rows {
		in := values(r.entries)
		p.Equations(r.x, in, w.f1, w.df)
		put(i, w.f1[r.equation], w.df[r.equation*len(in):(r.equation+1)*len(in)], r.entries)
		i++
	}
	dg := make([]float64, len(w.in))
	for _, m := range w.conds {
		in := values(m.entries)
		put(i, m.condition.Residual(in, dg[:len(in)]), dg[:len(in)], m.entries)
		i++
	}
	return math.Sqrt(sum)
}

// fit sets the coefficients so that the polynomials follow the start.
func (q *polynomial) fit(from []int, start curve) bool {
	jet := make([]float64, q.p.Jet())
	for i, n := range q.counts {
		a, y := mat.NewDense(n, n, nil), q.c[from[i]:from[i]+n]
		for j, t := range nodes.Interior(nodes.Chebyshev, n) {
			q.basis(t, [][]float64{a.RawRowView(j)})
			start(q.p.A+(q.p.B-q.p.A)*(1+t)/2, jet)
			y[j] = jet[q.p.JetOffset(i)]
		}
		var lu blocks.LU
		if lu.Factorize(a); !lu.SolveVec(y) {
			return false
		}
	}
	return true
}
