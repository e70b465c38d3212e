package several

import (
	"context"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// Limits of an integration. Trajectories are starts of a search and no answers: a few digits are enough.
const (
	flowTol       = 1e-6
	mostFlowSteps = 500
	// escaped is the size, in the sizes of the unknowns, at which a trajectory counts as gone to infinity.
	escaped = 1e9
	// endGap is how far from a singular end, in parts of the interval, an integration begins and ends.
	endGap = 1e-4
)

// flow integrates the equations of a problem as an initial value problem, by the pair of orders 5 and 4 of J. R.
// Dormand and P. J. Prince (J. Comput. Appl. Math. 6, 1980, 19–26).
type flow struct {
	p              *bvp.Problem
	ctx            context.Context
	sizes          []float64 // of the unknowns
	state, inputs  int
	top            []int // place of each highest derivative in the jet
	in, f, df, lin []float64
	k              [7][]float64
	trial          []float64
}

// trajectory is what an integration has passed: points in the order of its direction, and the jet at each.
type trajectory struct {
	x    []float64
	jets [][]float64
	// parameters are the sought numbers that belong to it.
	parameters []float64
}

func newFlow(p *bvp.Problem, sizes []float64, ctx context.Context) *flow {
	n := len(p.Unknowns)
	w := &flow{p: p, ctx: ctx, sizes: sizes, state: p.State(), inputs: p.Jet() + len(p.Parameters)}
	w.in, w.f, w.df = make([]float64, w.inputs), make([]float64, n), make([]float64, n*w.inputs)
	w.lin = make([]float64, n*(n+1))
	for i, u := range p.Unknowns {
		w.top = append(w.top, p.JetOffset(i)+u.Order)
	}
	for i := range w.k {
		w.k[i] = make([]float64, w.state)
	}
	w.trial = make([]float64, w.state)
	return w
}

// load writes a state into the jet, leaving the highest derivatives as they are.
func (w *flow) load(z []float64) {
	s := 0
	for i, u := range w.p.Unknowns {
		copy(w.in[w.p.JetOffset(i):], z[s:s+u.Order])
		s += u.Order
	}
}

// rate writes the derivative of a state, for which it solves the equations for the highest derivatives.
func (w *flow) rate(x float64, z, out []float64) bool {
	w.load(z)
	n := len(w.top)
	const iterations = 8
	for range iterations {
		budget.Spend(w.ctx, w.p.EvaluationWork())
		w.p.Equations(x, w.in, w.f, w.df)
		for r := range n {
			for c, at := range w.top {
				w.lin[r*(n+1)+c] = w.df[r*w.inputs+at]
			}
			w.lin[r*(n+1)+n] = w.f[r]
		}
		collocation.Eliminate(w.lin, n)
		off, size := 0.0, 0.0
		for c, at := range w.top {
			w.in[at] -= w.lin[c*(n+1)+n]
			off = math.Max(off, math.Abs(w.lin[c*(n+1)+n]))
			size = math.Max(size, math.Abs(w.in[at]))
		}
		if !bvp.Finite(size) || !bvp.Finite(off) {
			for _, at := range w.top {
				w.in[at] = 0
			}
			return false
		}
		if off <= 1e-10*size {
			break
		}
	}
	s := 0
	for i, u := range w.p.Unknowns {
		copy(out[s:s+u.Order], w.in[w.p.JetOffset(i)+1:])
		s += u.Order
	}
	return true
}

// The pair's coefficients.
var (
	dpC = [7]float64{0, 1.0 / 5, 3.0 / 10, 4.0 / 5, 8.0 / 9, 1, 1}
	dpA = [7][6]float64{
		{},
		{1.0 / 5},
		{3.0 / 40, 9.0 / 40},
		{44.0 / 45, -56.0 / 15, 32.0 / 9},
		{19372.0 / 6561, -25360.0 / 2187, 64448.0 / 6561, -212.0 / 729},
		{9017.0 / 3168, -355.0 / 33, 46732.0 / 5247, 49.0 / 176, -5103.0 / 18656},
		{35.0 / 384, 0, 500.0 / 1113, 125.0 / 192, -2187.0 / 6784, 11.0 / 84},
	}
	dpE = [7]float64{71.0 / 57600, 0, -71.0 / 16695, 71.0 / 1920, -17253.0 / 339200, 22.0 / 525, -1.0 / 40}
)

// run integrates from a state at from to the stops in turn (ordered in its direction), and returns the trajectory; it
// is cut short where the solution escapes. ok says that the last stop was reached.
func (w *flow) run(from float64, z, parameters []float64, stops []float64) (t *trajectory, ok bool) {
	copy(w.in[w.p.Jet():], parameters)
	t = &trajectory{parameters: slices.Clone(parameters)}
	z = slices.Clone(z)
	if !w.rate(from, z, w.k[0]) {
		return t, false
	}
	t.add(from, w.in[:w.p.Jet()])
	whole := w.p.B - w.p.A
	sign := 1.0
	if stops[len(stops)-1] < from {
		sign = -1
	}
	x, h, steps := from, whole/64, 0
	for _, stop := range stops {
		for (stop-x)*sign > 0 {
			if steps++; steps > mostFlowSteps || h < 1e-9*whole || budget.Over(w.ctx) {
				return t, false
			}
			step := h
			last := step >= (stop-x)*sign
			if last {
				step = (stop - x) * sign
			}
			err, fine := w.step(x, sign*step, z)
			if !fine || err > 1 {
				if !fine {
					err = 1e5
				}
				h = step * math.Max(0.1, 0.9*math.Pow(err, -0.2))
				w.rate(x, z, w.k[0]) // as before the step, with its highest derivatives
				continue
			}
			x += sign * step
			if last {
				x = stop
			}
			copy(z, w.trial)
			copy(w.k[0], w.k[6])
			t.add(x, w.in[:w.p.Jet()])
			if w.far(z) {
				return t, false
			}
			if grow := math.Min(5, 0.9*math.Pow(math.Max(err, 1e-10), -0.2)); !last || grow < 1 {
				h = math.Min(step*grow, whole/16)
			}
		}
	}
	return t, true
}

// step sets trial to the state a step further, and returns its error in parts of what is allowed.
func (w *flow) step(x, h float64, z []float64) (err float64, ok bool) {
	for i := 1; i < 7; i++ {
		for s := range z {
			sum := 0.0
			for j := range i {
				sum += dpA[i][j] * w.k[j][s]
			}
			w.trial[s] = z[s] + h*sum
		}
		if !w.rate(x+dpC[i]*h, w.trial, w.k[i]) {
			return 0, false
		}
	}
	whole := w.p.B - w.p.A
	s := 0
	for i, u := range w.p.Unknowns {
		unit := w.sizes[i]
		for range u.Order {
			e := 0.0
			for j := range 7 {
				e += dpE[j] * w.k[j][s]
			}
			allowed := flowTol * (1e-3*unit + math.Max(math.Abs(z[s]), math.Abs(w.trial[s])))
			err = math.Max(err, math.Abs(e*h)/allowed)
			unit /= whole
			s++
		}
	}
	return err, bvp.Finite(err)
}

func (w *flow) far(z []float64) bool {
	s := 0
	for i, u := range w.p.Unknowns {
		if !(math.Abs(z[s]) < escaped*w.sizes[i]) {
			return true
		}
		s += u.Order
	}
	return false
}

func (t *trajectory) add(x float64, jet []float64) {
	t.x = append(t.x, x)
	t.jets = append(t.jets, slices.Clone(jet))
}

// jet writes the jet at x, by cubic polynomials between the points passed.
func (t *trajectory) jet(p *bvp.Problem, x float64, out []float64) {
	last := len(t.x) - 1
	if last == 0 {
		copy(out, t.jets[0])
		return
	}
	forward := t.x[last] > t.x[0]
	k, _ := slices.BinarySearchFunc(t.x, x, func(at, x float64) int {
		if at == x {
			return 0
		}
		if at < x == forward {
			return -1
		}
		return 1
	})
	k = min(max(k, 1), last)
	h := t.x[k] - t.x[k-1]
	s := math.Min(math.Max((x-t.x[k-1])/h, 0), 1)
	a, b := t.jets[k-1], t.jets[k]
	at := 0
	for _, u := range p.Unknowns {
		for d := range u.Order {
			i := at + d
			out[i] = (1+2*s)*(1-s)*(1-s)*a[i] + s*(1-s)*(1-s)*h*a[i+1] + s*s*(3-2*s)*b[i] - s*s*(1-s)*h*b[i+1]
		}
		out[at+u.Order] = (1-s)*a[at+u.Order] + s*b[at+u.Order]
		at += u.Order + 1
	}
}
