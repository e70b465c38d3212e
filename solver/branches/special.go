package branches

import (
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
)

// Limits of locating.
const (
	locatedTol  = 1e-10
	looserTol   = 1e-7 // where locatedTol cannot be met, as happens close to another branch
	foldNodes   = 8    // an even number: none in the middle, where a bifurcation point may be
	mostNarrows = 4
	// lebesgue bounds by how much an interpolation in Chebyshev points makes errors larger.
	lebesgue = 2.5
	testTol  = 1e-6 // of the test function while a branch is followed
	// worstLocated is the error, in parts of the range, beyond which nothing is said to have been located.
	worstLocated = 1e-5
	// pairs of b and c: where a pole of one test function hides a zero, another has its poles elsewhere
	pairs = 2
	// loosest is the tolerance to which that of the test function may be loosened; its error counts.
	loosest = 2e-6
)

// special looks for folds and bifurcations on a branch; departs says that its first point is a bifurcation already.
func (t *tracer) special(line []*pathPoint, departs bool) {
	fold := make([]bool, len(line)) // between i-1 and i
	for i := 2; i < len(line) && !budget.Over(t.within); i++ {
		a, b, c := line[i-2], line[i-1], line[i]
		if (b.constant-a.constant)*(c.constant-b.constant) < 0 {
			if f, behind := t.fold(a, b, c); f != nil && !t.turns(a, c) {
				t.pitchfork(b, *f)
			} else if f != nil {
				t.out.Folds = append(t.out.Folds, *f)
				if behind {
					fold[i] = true
				} else {
					fold[i-1] = true
				}
			}
		}
	}
	first := 0
	if departs {
		first = 1
	}
	for t.pair = range pairs {
		before, known := 0.0, false
		for i := first; i < len(line) && !budget.Over(t.within); i++ {
			g, _, ok := t.test(line[i], 0, testTol)
			if known && ok && g*before < 0 && !fold[i] {
				t.bifurcation(line[i-1], line[i])
			}
			before, known = g, ok
		}
	}
}

// goToLocated is goTo with as small a tolerance as can be met.
func (t *tracer) goToLocated(a *pathPoint, d direction, s float64) *pathPoint {
	for tol := math.Min(locatedTol, t.o.Solve.Tol); tol <= looserTol; tol *= 10 {
		if p := t.goTo(a, d, s, tol); p != nil {
			return p
		}
	}
	return nil
}

// turns reports whether the test function changes its sign between two points, as it does across a fold; where the
// constant is stationary because another branch crosses, it does not.
func (t *tracer) turns(a, c *pathPoint) bool {
	for t.pair = range pairs {
		g, _, ok1 := t.test(a, 0, testTol)
		h, _, ok2 := t.test(c, 0, testTol)
		if ok1 && ok2 && g*h > 0 {
			continue
		}
		return true
	}
	return false
}

// pitchfork records a bifurcation point at which the branch at hand is the one that turns, and prepares the other one.
func (t *tracer) pitchfork(b *pathPoint, f Special) {
	if !t.fresh(f) {
		return
	}
	t.out.Bifurcations = append(t.out.Bifurcations, f)
	b = t.between(b, b, 1, 0, f)
	d := direction{d: make([]float64, len(b.sample)), weights: t.metric(b),
		jet: func(_ float64, jet []float64) { clear(jet) }}
	d.d[len(d.d)-1] = t.unit
	for _, sign := range []float64{1, -1} {
		if next := t.goTo(b, d, sign*firstStep, t.o.Solve.Tol); next != nil && !t.passed(next) {
			t.todo = append(t.todo, departure{b, next})
		}
	}
}

// between is the bifurcation point itself, from a solution on either side, in the parts p and q.
func (t *tracer) between(a, b *pathPoint, p, q float64, f Special) *pathPoint {
	m := &pathPoint{s: a.s, constant: f.Constant, err: f.Error, located: &f, jet: mixed(t.base, a.jet, b.jet, p, q)}
	for i := range a.sample {
		m.sample = append(m.sample, p*a.sample[i]+q*b.sample[i])
	}
	m.sample[len(m.sample)-1] = f.Constant
	return m
}

// mixed is p a + q b.
func mixed(of *bvp.Problem, a, b func(x float64, jet []float64), p, q float64) func(x float64, jet []float64) {
	other := make([]float64, of.Jet())
	return func(x float64, jet []float64) {
		a(x, jet)
		b(x, other)
		for i, v := range other {
			jet[i] = p*jet[i] + q*v
		}
	}
}

// fresh reports whether a bifurcation point is not known yet.
func (t *tracer) fresh(f Special) bool {
	for _, other := range t.out.Bifurcations {
		near := math.Abs(other.Constant-f.Constant) <= 1e-5*t.unit
		if near && math.Abs(other.Value-f.Value) <= 1e-5*(1+math.Abs(f.Value)) {
			return false
		}
	}
	return true
}

// fold locates the stationary value of the constant near b, between a and c; behind says that it lies behind b.
func (t *tracer) fold(a, b, c *pathPoint) (f *Special, behind bool) {
	d, _ := t.towards(a, c)
	place := func(p *pathPoint) float64 {
		off := make([]float64, len(p.sample))
		for i := range off {
			off[i] = p.sample[i] - b.sample[i]
		}
		return inner(d.weights, off, d.d)
	}
	sa, sc := place(a), place(c)
	// The parabola through the three.
	da, dc := (a.constant-b.constant)/sa, (c.constant-b.constant)/sc
	bend := (dc - da) / (sc - sa)
	mid := -(da - bend*sa) / (2 * bend)
	half := math.Min(-sa, sc) / 2
	best := math.Inf(1)
	for range mostNarrows {
		x := make([]float64, foldNodes)
		y, errs, pts := make([]float64, foldNodes), 0.0, make([]*pathPoint, foldNodes)
		for i := range x {
			x[i] = mid + half*math.Cos(math.Pi*(float64(i)+0.5)/foldNodes)
			if pts[i] = t.goToLocated(b, d, x[i]); pts[i] == nil {
				return f, behind
			}
			y[i], errs = pts[i].constant, math.Max(errs, pts[i].err)
		}
		at, top, ok := newton(x, y).stationary(mid, half)
		if !ok {
			half /= 3
			continue
		}
		// What an interpolation of lower degree says.
		_, rough, fair := newton(x[1:foldNodes-1], y[1:foldNodes-1]).stationary(mid, half)
		err := lebesgue*errs + 4*rounding*math.Abs(top)
		if fair {
			err += math.Abs(top - rough)
		} else {
			err = math.Inf(1)
		}
		if err < best {
			best = err
			p := t.goToLocated(b, d, at)
			if p == nil {
				p = pts[foldNodes/2] // another branch crosses there
			}
			f = &Special{Constant: top, Error: err, Highest: bend < 0}
			f.Value, f.ValueError = t.against(p)
			v0, e0 := t.against(pts[0])
			v1, e1 := t.against(pts[foldNodes-1])
			// The place of a stationary value is known to the error of the slope over the curvature.
			off := 4 * (errs + math.Abs(top-rough)) / half / (2 * math.Abs(bend))
			f.ValueError += off * (math.Abs(v1-v0) + e0 + e1) / math.Abs(x[0]-x[foldNodes-1])
			behind = at > 0
		}
		if math.Abs(top-rough) <= errs {
			break
		}
		if half /= 3; err <= best && err < 1e-2*math.Abs(a.constant-b.constant) {
			mid = at
		}
	}
	if best > worstLocated*t.unit {
		return nil, behind
	}
	return f, behind
}

const rounding = 1.0 / (1 << 53)

// polynomial is one in Newton's form: its points and divided differences.
type polynomial struct{ x, c []float64 }

//go:noinline
func newton(x, y []float64) polynomial {
	c := slices.Clone(y)
	for k := 1; k < len(x); k++ {
		for i := len(x) - 1; i >= k; i-- {
			c[i] = (c[i] - c[i-1]) / (x[i] - x[i-k])
		}
	}
	return polynomial{x, c}
}

// at evaluates the polynomial and two derivatives.
//
//go:noinline
func (p polynomial) at(s float64) (v, d1, d2 float64) {
	for i := len(p.x) - 1; i >= 0; i-- {
		d2 = d2*(s-p.x[i]) + 2*d1
		d1 = d1*(s-p.x[i]) + v
		v = v*(s-p.x[i]) + p.c[i]
	}
	return v, d1, d2
}

// solve takes Newton's iteration to where f over df vanishes, from mid; false where that is far away.
func (p polynomial) solve(mid, half float64, step func(s float64) float64) (at float64, ok bool) {
	at = mid
	const most = 50
	for range most {
		d := step(at)
		if !(math.Abs(d) <= 2*half) {
			return 0, false
		}
		at += d
		if math.Abs(d) <= 1e-14*half {
			break
		}
	}
	return at, math.Abs(at-mid) <= 1.5*half
}

// zero returns a zero near mid, and the slope there.
func (p polynomial) zero(mid, half float64) (at, slope float64, ok bool) {
	at, ok = p.solve(mid, half, func(s float64) float64 {
		v, d1, _ := p.at(s)
		return -v / d1
	})
	_, slope, _ = p.at(at)
	return at, slope, ok
}

// stationary returns the place and the value of a stationary point near mid.
func (p polynomial) stationary(mid, half float64) (at, value float64, ok bool) {
	at, ok = p.solve(mid, half, func(s float64) float64 {
		_, d1, d2 := p.at(s)
		return -d1 / d2
	})
	value, _, _ = p.at(at)
	return at, value, ok
}

// test evaluates the test function at a point, whose curve is disturbed by the given part of its errors, and the null
// function that belongs to it.
func (t *tracer) test(a *pathPoint, disturbed, tol float64) (g, err float64, ok bool) {
	s := t.null(a, disturbed, tol)
	if s == nil {
		return 0, 0, false
	}
	f := s.Found[len(s.Found)-1]
	return f.Value, f.Error, true
}

// null solves the bordered linearised equations at a point.
func (t *tracer) null(a *pathPoint, disturbed, tol float64) *solver.Solution {
	if t.lift.of(a.constant) == nil {
		return nil
	}
	q := t.nullProblem(a, disturbed)
	o := t.o.Solve
	o.Context, o.Progress, o.Near = t.part(), nil, true
	for o.Tol = tol; o.Tol <= loosest; o.Tol *= 10 {
		if s, err := solver.Solve(q, o); err == nil && s.Status == solver.Solved {
			return s
		}
	}
	return nil
}

// nullProblem is that problem: linear, with one sought number more.
func (t *tracer) nullProblem(a *pathPoint, disturbed float64) *bvp.Problem {
	p := t.lift.of(a.constant)
	n, J, P := len(p.Unknowns), p.Jet(), len(p.Parameters)
	q := &bvp.Problem{Variable: p.Variable, A: p.A, B: p.B, Unknowns: p.Unknowns, Breaks: p.Breaks,
		Work: p.EvaluationWork()}
	for range P + 1 {
		q.Parameters = append(q.Parameters, bvp.Parameter{Name: "g", Guess: 0, HasGuess: true})
	}
	around := t.around(a, disturbed)
	in, f, full := make([]float64, J+P), make([]float64, max(n, p.State())), make([]float64, max(n, p.State())*(J+P))
	linear := func(of bvp.Residuals, border bool) bvp.Residuals {
		return func(x float64, at, out, df []float64) {
			around(x, in)
			m := len(out)
			of(x, in, f[:m], full[:m*(J+P)])
			for r := range m {
				row := full[r*(J+P) : (r+1)*(J+P)]
				b := 0.0
				if border {
					b = t.border(r, x)
				}
				out[r] = b * at[J+P]
				for k, w := range row {
					out[r] += w * at[k]
				}
				if df != nil {
					copy(df[r*(J+P+1):], row)
					df[r*(J+P+1)+J+P] = b
				}
			}
		}
	}
	q.Equations = linear(p.Equations, true)
	if p.Continuity != nil {
		q.Continuity = linear(p.Continuity, false)
	}
	for _, c := range p.Conditions {
		q.Conditions = append(q.Conditions, linearised(c, around, p))
	}
	q.Conditions = append(q.Conditions, t.normed())
	q.Guess = func(_ float64, jet []float64) { clear(jet) }
	return q
}

// around returns the jet of a point's curve and the sought numbers, each changed by a part of its error.
func (t *tracer) around(a *pathPoint, disturbed float64) func(x float64, in []float64) {
	J := t.base.Jet()
	errs := make([]float64, J)
	return func(x float64, in []float64) {
		a.jet(x, in[:J])
		if disturbed != 0 {
			a.s.ErrorAt(x, errs)
			for i, e := range errs {
				in[i] += disturbed * e
			}
		}
		for i, f := range a.s.Found[:len(a.s.Found)-1] {
			in[J+i] = f.Value + disturbed*f.Error
		}
	}
}

// border is b, which is generic: no symmetry of a problem is to make it useless.
func (t *tracer) border(r int, x float64) float64 {
	s := (x - t.base.A) / (t.base.B - t.base.A)
	return math.Cos(1+0.7*float64(r)+(2.3+1.9*float64(t.pair))*s) + 0.4*s
}

// normed is the condition c(φ) = 1, with weights as generic as border.
func (t *tracer) normed() bvp.Condition {
	n := len(t.base.Unknowns)
	k := make([]float64, 0, n*len(places))
	for j := range places {
		for i := range n {
			k = append(k, math.Sin(0.9+(1.7-0.8*float64(t.pair))*float64(j)+0.6*float64(i))+0.3)
		}
	}
	return bvp.Condition{At: t.samples, Text: "the null function is normed", Residual: func(in, dg []float64) float64 {
		sum := -1.0
		for i, w := range k {
			sum += w * in[i]
		}
		if dg != nil {
			clear(dg)
			copy(dg, k)
		}
		return sum
	}}
}

// linearised is a condition linearised around a curve.
func linearised(c bvp.Condition, around func(x float64, in []float64), p *bvp.Problem) bvp.Condition {
	m, P := len(c.At), len(p.Parameters)
	in := make([]float64, p.Jet()+P)
	at, row := make([]float64, m+P), make([]float64, m+P)
	for i, v := range c.At {
		around(v.X, in)
		at[i] = in[p.JetOffset(v.Unknown)+v.Derivative]
	}
	if m == 0 {
		around(p.A, in)
	}
	copy(at[m:], in[p.Jet():])
	c.Residual(at, row)
	return bvp.Condition{At: c.At, Text: c.Text, Residual: func(in, dg []float64) float64 {
		sum := 0.0
		for i, w := range row {
			sum += w * in[i]
		}
		if dg != nil {
			copy(dg, row)
			dg[m+P] = 0
		}
		return sum
	}}
}

// probe is a value of the test function at a distance from a point of a branch.
type probe struct {
	s, g float64
	p    *pathPoint
}

// bifurcation locates a zero of the test function between two points, and prepares the branches that leave there.
func (t *tracer) bifurcation(a, b *pathPoint) {
	d, length := t.towards(a, b)
	mid, ok := t.near(a, d, length)
	if !ok {
		return
	}
	half := length / 4
	var f Special
	var from *locating
	best := math.Inf(1)
	for range mostNarrows {
		n, ok := t.located(a, d, mid, half)
		if !ok {
			break
		}
		if n.f.Error < best {
			f, from, best = n.f, &n, n.f.Error
		}
		if n.rough <= n.noise {
			break
		}
		mid, half = n.s, half/3
	}
	if from == nil || best > worstLocated*t.unit || !t.inRange(f.Constant) {
		return
	}
	if !t.fresh(f) {
		return
	}
	t.out.Bifurcations = append(t.out.Bifurcations, f)
	t.depart(f, from.sides)
}

// probe evaluates the test function at a distance from a.
func (t *tracer) probe(a *pathPoint, d direction, s, tol float64) (q probe, ok bool) {
	q.s = s
	if tol < testTol {
		q.p = t.goToLocated(a, d, s)
	} else {
		q.p = t.goTo(a, d, s, tol)
	}
	if q.p == nil {
		return q, false
	}
	q.g, _, ok = t.test(q.p, 0, tol)
	return q, ok
}

// near closes in on a zero of the test function a little: the equations of a branch are singular where another crosses.
// It is false where the change of sign is one of a pole.
func (t *tracer) near(a *pathPoint, d direction, length float64) (s float64, ok bool) {
	lo, ok1 := t.probe(a, d, 0, testTol)
	hi, ok2 := t.probe(a, d, length, testTol)
	if !ok1 || !ok2 || lo.g*hi.g > 0 {
		return 0, false
	}
	whole := math.Max(math.Abs(lo.g), math.Abs(hi.g))
	const most, enough = 8, 0.03
	for range most {
		s = lo.s + (hi.s-lo.s)*lo.g/(lo.g-hi.g)
		q, ok := t.probe(a, d, s, testTol)
		if !ok {
			return s, math.Min(math.Abs(lo.g), math.Abs(hi.g)) < 0.3*whole // so near that it is singular
		}
		if math.Abs(q.g) > 1.5*whole {
			return 0, false
		}
		if math.Abs(q.g) <= enough*whole {
			return s, true
		}
		if q.g*lo.g > 0 {
			lo = q
		} else {
			hi = q
		}
	}
	return s, false
}

// locating is what an interpolation of the test function says: the bifurcation point, its distance, what a lower degree
// and what errors make of that, and the nearest points solved for.
type locating struct {
	f               Special
	s, rough, noise float64
	sides           [2]probe
}

// located interpolates the test function, the constant and the value in an even number of Chebyshev points around mid,
// so that none is at the bifurcation point itself.
func (t *tracer) located(a *pathPoint, d direction, mid, half float64) (n locating, ok bool) {
	const points = foldNodes
	tol := math.Min(locatedTol, t.o.Solve.Tol)
	var x, g, constant, value [points]float64
	errG, errC, errV := 0.0, 0.0, 0.0
	for i := range points {
		x[i] = mid + half*math.Cos(math.Pi*(float64(i)+0.5)/points)
		q, ok := t.probe(a, d, x[i], tol)
		if !ok {
			return n, false
		}
		g[i], constant[i] = q.g, q.p.constant
		v, e := t.against(q.p)
		value[i], errV, errC = v, math.Max(errV, e), math.Max(errC, q.p.err)
		if k := i - points/2 + 1; k == 0 || k == 1 {
			n.sides[k] = q
		}
		if i == 0 || i == points/2 {
			_, e0, ok1 := t.test(q.p, 0, tol)
			up, _, ok2 := t.test(q.p, 1, tol)
			down, _, ok3 := t.test(q.p, -1, tol)
			if !ok1 || !ok2 || !ok3 {
				return n, false
			}
			errG = math.Max(errG, e0+math.Abs(up-q.g)+math.Abs(down-q.g))
		}
	}
	all := newton(x[:], g[:])
	s, slope, ok1 := all.zero(mid, half)
	lower, _, ok2 := newton(x[1:points-1], g[1:points-1]).zero(mid, half)
	if !ok1 || !ok2 {
		return n, false
	}
	n.s, n.rough, n.noise = s, math.Abs(s-lower), lebesgue*errG/math.Abs(slope)
	off := n.rough + n.noise
	c, move, _ := newton(x[:], constant[:]).at(s)
	v, change, _ := newton(x[:], value[:]).at(s)
	c5, _, _ := newton(x[1:points-1], constant[1:points-1]).at(s)
	v5, _, _ := newton(x[1:points-1], value[1:points-1]).at(s)
	n.f = Special{Constant: c, Error: lebesgue*errC + off*math.Abs(move) + math.Abs(c-c5) + 4*rounding*math.Abs(c),
		Value: v, ValueError: lebesgue*errV + off*math.Abs(change) + math.Abs(v-v5) + 4*rounding*math.Abs(v)}
	return n, true
}

// depart puts the branches that leave a bifurcation point in the direction of the null function into the list. To first
// order, solution and null function are linear in the test function.
func (t *tracer) depart(f Special, sides [2]probe) {
	phi, psi := t.null(sides[0].p, 0, testTol), t.null(sides[1].p, 0, testTol)
	if phi == nil || psi == nil {
		return
	}
	a, b := sides[0].g, sides[1].g
	p, q := -b/(a-b), a/(a-b)
	from := t.between(sides[0].p, sides[1].p, p, q, f)
	null := mixed(t.base, phi.At, psi.At, p, q)
	jet := make([]float64, t.base.Jet())
	d := direction{weights: t.metric(from)}
	for _, v := range t.samples {
		null(v.X, jet)
		d.d = append(d.d, jet[t.base.JetOffset(v.Unknown)])
	}
	for i := range len(phi.Found) - 1 {
		d.d = append(d.d, p*phi.Found[i].Value+q*psi.Found[i].Value)
	}
	d.d = append(d.d, 0)
	length := math.Sqrt(inner(d.weights, d.d, d.d))
	for i := range d.d {
		d.d[i] /= length
	}
	d.jet = func(x float64, jet []float64) {
		null(x, jet)
		for i := range jet {
			jet[i] /= length
		}
	}
	for _, sign := range []float64{1, -1} {
		for _, step := range []float64{0.03, 0.1, 0.01} {
			next := t.goTo(from, d, sign*step, t.o.Solve.Tol)
			if next == nil {
				continue
			}
			if _, far := t.towards(from, next); far > 3*step || t.passed(next) {
				continue
			}
			t.todo = append(t.todo, departure{from, next})
			break
		}
	}
}
