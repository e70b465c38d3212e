package working

import (
	"errors"
	"fmt"
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// linearisation holds the equations and conditions as linear ones: of a linear problem as it is, of a nonlinear one
// around a solution.
type linearisation struct {
	// a[i][j][d][h] is ∂F/∂y_j^(d) of the equation of unknown i at place h of Working.at; p[i][q][h] that by parameter
	// q.
	a [][][][]float64
	p [][][]float64
	// rhs[i][h] is the right side: a·y_old - F.
	rhs [][]float64
	// jets[h] is what it was taken around: jet and parameters.
	jets [][]float64
	// weights[r] are the derivatives of condition r by its point values and then the parameters, value[r] its right
	// side.
	weights [][]float64
	value   []float64
}

func newLinearisation(w *Working) *linearisation {
	p := w.Problem
	l := &linearisation{}
	for range w.Unknowns {
		var row [][][]float64
		for _, u := range w.Unknowns {
			row = append(row, table(u.Order+1, len(w.at)))
		}
		l.a = append(l.a, row)
		l.p = append(l.p, table(max(len(p.Parameters), 1), len(w.at))[:len(p.Parameters)])
	}
	l.rhs = table(len(w.Unknowns), len(w.at))
	l.jets = table(len(w.at), p.Jet()+len(p.Parameters))
	for _, c := range p.Conditions {
		l.weights = append(l.weights, make([]float64, len(c.At)+len(p.Parameters)))
	}
	l.value = make([]float64, len(p.Conditions))
	return l
}

// around fills the linearisation. jet writes jet and parameters at reference point s.
func (w *Working) around(jet func(s float64, in []float64)) error {
	p, l := w.Problem, w.lin
	inputs := p.Jet() + len(p.Parameters)
	f, df := make([]float64, len(p.Unknowns)), make([]float64, len(p.Unknowns)*inputs)
	for h, s := range w.at {
		in := l.jets[h]
		jet(s, in)
		p.Equations(w.x(s), in, f, df)
		for i := range w.Unknowns {
			r := w.eq[i]
			if l.write(w, i, h, in, f[r], df[r*inputs:(r+1)*inputs]) {
				continue
			}
			if w.isNode(h) {
				return fmt.Errorf("the equation has no value at the node %s = %s", w.variable(), short(w.x(s)))
			}
			l.blank(i, h) // a carrier, whose row goes to a condition: what is finite there by chance means nothing
		}
	}
	return w.aroundConditions(jet)
}

// write records the equation of unknown i at the h-th point, f its residual there for the input in, df its derivatives.
// It reports whether all of it is finite.
func (l *linearisation) write(w *Working, i, h int, in []float64, f float64, df []float64) bool {
	p := w.Problem
	sum, ok := -f, bvp.Finite(f)
	for j, u := range w.Unknowns {
		for d := 0; d <= u.Order; d++ {
			v := df[p.JetOffset(j)+d]
			l.a[i][j][d][h] = v
			sum += v * in[p.JetOffset(j)+d]
			ok = ok && bvp.Finite(v)
		}
	}
	for q := range p.Parameters {
		v := df[p.Jet()+q]
		l.p[i][q][h] = v
		sum += v * in[p.Jet()+q]
		ok = ok && bvp.Finite(v)
	}
	l.rhs[i][h] = sum
	return ok
}

// blank leaves the equation of unknown i without a value at the h-th point.
func (l *linearisation) blank(i, h int) {
	l.rhs[i][h] = math.NaN()
	for j := range l.a[i] {
		for d := range l.a[i][j] {
			l.a[i][j][d][h] = math.NaN()
		}
	}
	for q := range l.p[i] {
		l.p[i][q][h] = math.NaN()
	}
}

// aroundConditions linearises the conditions.
func (w *Working) aroundConditions(jet func(s float64, in []float64)) error {
	p, l := w.Problem, w.lin
	in := make([]float64, p.Jet()+len(p.Parameters))
	for r, c := range p.Conditions {
		v := make([]float64, len(c.At)+len(p.Parameters))
		for k, at := range c.At {
			jet(w.reference(at.X), in)
			v[k] = in[p.JetOffset(at.Unknown)+at.Derivative]
		}
		copy(v[len(c.At):], in[p.Jet():])
		if len(c.At) == 0 {
			jet(w.From, in)
			copy(v, in[p.Jet():])
		}
		sum := -c.Residual(v, l.weights[r])
		for k, d := range l.weights[r] {
			sum += d * v[k]
		}
		if !bvp.Finite(sum) {
			return fmt.Errorf("the condition %s has no value here", c.Text)
		}
		l.value[r] = sum
	}
	return nil
}

// isNode reports whether place h of Working.at is a node.
func (w *Working) isNode(h int) bool {
	for _, k := range w.Unknowns[0].Nodes {
		if w.where[0][h] == k {
			return true
		}
	}
	return false
}

// zero is the jet of a linear problem's linearisation.
func zero(_ float64, in []float64) { clear(in) }

// start is the jet that Newton's iteration starts from.
func (w *Working) start(s float64, in []float64) {
	p := w.Problem
	w.Options.Start(w.x(s), in[:p.Jet()])
	copy(in[p.Jet():], w.Options.Parameters)
}

// pair finds which equation belongs to which unknown: the one that holds its highest derivative.
func (w *Working) pair() {
	p := w.Problem
	n := len(p.Unknowns)
	w.eq = make([]int, n)
	for i := range w.eq {
		w.eq[i] = i
	}
	if n == 1 || n > 6 {
		return
	}
	inputs := p.Jet() + len(p.Parameters)
	f, df, in := make([]float64, n), make([]float64, n*inputs), make([]float64, inputs)
	share := table(n, n) // equation × unknown
	for _, s := range w.at {
		if w.Linear {
			clear(in)
		} else {
			w.start(s, in)
		}
		p.Equations(w.x(s), in, f, df)
		for r := range n {
			total := 0.0
			for i, u := range p.Unknowns {
				total += math.Abs(df[r*inputs+p.JetOffset(i)+u.Order])
			}
			for i, u := range p.Unknowns {
				if v := math.Abs(df[r*inputs+p.JetOffset(i)+u.Order]) / total; bvp.Finite(v) {
					share[r][i] += v
				}
			}
		}
	}
	best := math.Inf(-1)
	perm := make([]int, n)
	used := make([]bool, n)
	var try func(i int, sum float64)
	try = func(i int, sum float64) {
		if i == n {
			if sum > best+1e-9 {
				best = sum
				copy(w.eq, perm)
			}
			return
		}
		for k := range n {
			r := (i + k) % n // the order of the sheet first
			if !used[r] && share[r][i] > 0 {
				used[r], perm[i] = true, r
				try(i+1, sum+share[r][i])
				used[r] = false
			}
		}
	}
	try(0, 0)
}

// errSingular is the answer where the rows do not fix one solution.
var errSingular = errors.New("the operator with its condition rows has no inverse: with these nodes the equations do " +
	"not fix one polynomial")

// solve returns the solution of a·y = b.
func solve(a [][]float64, b []float64) ([]float64, error) {
	var lu blocks.LU
	lu.Factorize(dense(a))
	y := append([]float64(nil), b...)
	if !lu.SolveVec(y) || !bvp.AllFinite(y) {
		return nil, errSingular
	}
	return y, nil
}

// iterate fills the linearisation; for a nonlinear problem by Newton's iteration, carried out on the stable route.
func (w *Working) iterate() error {
	if w.Linear {
		return w.around(zero)
	}
	jet := w.start
	var before []float64
	for w.Iterations = 1; w.Iterations <= 40; w.Iterations++ {
		if err := w.around(jet); err != nil {
			return err
		}
		B, rhs := w.stable.system(w)
		v, err := solve(B, rhs)
		if err != nil {
			return err
		}
		moved := math.Inf(1)
		if before != nil {
			moved = w.stable.distance(w, v, before)
		}
		before = v
		jet = func(s float64, in []float64) { w.stable.jet(w, v, s, in) }
		if moved <= 1e-13 {
			return w.around(jet)
		}
	}
	// Rounding may keep the last digits moving.
	again, err := w.settled(before)
	if err != nil || !again {
		return errors.New("with these nodes Newton's iteration does not converge: take more of them")
	}
	return nil
}

// settled takes v as converged where one more step moves it by rounding alone.
func (w *Working) settled(v []float64) (bool, error) {
	if err := w.around(func(s float64, in []float64) { w.stable.jet(w, v, s, in) }); err != nil {
		return false, err
	}
	B, rhs := w.stable.system(w)
	next, err := solve(B, rhs)
	if err != nil {
		return false, err
	}
	return w.stable.distance(w, next, v) <= 1e-10, nil
}

// Equation returns the number of the equation that belongs to unknown i.
func (w *Working) Equation(i int) int { return w.eq[i] }

// StartFromValues sets o.Start to the polynomials through values at the points, as a program that knows the values
// alone would start.
func (w *Working) StartFromValues(o *Options, values []func(x float64) float64) {
	var y [][]float64
	for i := range w.Unknowns {
		u := &w.Unknowns[i]
		v := make([]float64, len(u.X))
		for k, x := range u.X {
			v[k] = values[i](x)
		}
		y = append(y, v)
	}
	o.Start = func(x float64, jet []float64) {
		for i, u := range w.Unknowns {
			for d := 0; d <= u.Order; d++ {
				weights, _, _ := w.row(i, d, w.reference(x))
				jet[w.Problem.JetOffset(i)+d] = dot(weights, y[i])
			}
		}
	}
}

// reach returns what the terms of each number of the solution y of a y = b come to: |a⁻¹| (|a| |y| + |b|), by which an
// elimination's rounding is bounded, number by number (N. J. Higham, Accuracy and Stability of Numerical Algorithms,
// 2nd edition, 2002, section 7.2, from memory). It is nil where there is no inverse.
func reach(a [][]float64, y, b []float64) [][]float64 {
	inverse, ok := blocks.Inverse(dense(a))
	if !ok {
		return nil
	}
	out := table(len(y), 1)
	for k, r := range a {
		size := math.Abs(b[k])
		for j, v := range r {
			size += math.Abs(v * y[j])
		}
		for i := range out {
			out[i][0] += math.Abs(inverse.At(i, k)) * size
		}
	}
	return out
}
