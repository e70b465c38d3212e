package adapt

import (
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
)

// Estimate is what is known of the error of a solution: on each element of its mesh, for each entry of the jet, the
// largest difference to a finer solution; and what rounding may have done.
type Estimate struct {
	Mesh []float64
	// Local[e][entry] is the largest difference on element e, enlarged by the safety that judge chose.
	Local [][]float64
	// Besides[e][entry] is what Local holds that neither the difference to the finer solution nor Response shows.
	Besides [][]float64
	// Response is the error as the linearised problem answers to the residual (see response), to be added to the
	// solution; nil where that is no more than the difference to the finer solution.
	Response *collocation.Curve
	// Floor[entry] is the estimated effect of rounding over the interval.
	Floor []float64
	// Part[e][entry] is the part of the floor that reaches element e. From initial values rounding grows along with the
	// solution; nil stands for all of it everywhere.
	Part [][]float64
	// Parameters holds the estimated errors of the sought parameters, Sought their values.
	Parameters, Sought []float64
	// Rounded is the part of Parameters that is rounding.
	Rounded []float64
	// Scale[entry] is the largest absolute value over the interval.
	Scale  []float64
	values bool // errors of derivatives do not count, see Options.Values
	// remnant is what the tails of layers in long elements do to the unknowns, relative to their largest values (see
	// addRemnants).
	remnant float64
	room    *scratch
}

// At writes the estimated error of each entry of the jet at x: the largest of the element there and its neighbours,
// because the difference of two solutions can vanish by accident where neither is exact.
func (est *Estimate) At(x float64, err []float64) {
	e := findElement(est.Mesh, x)
	for i := range err {
		v := est.Local[e][i]
		if e > 0 {
			v = math.Max(v, est.Local[e-1][i])
		}
		if e+1 < len(est.Local) {
			v = math.Max(v, est.Local[e+1][i])
		}
		floor := est.Floor[i]
		if est.Part != nil {
			floor *= est.Part[e][i]
		}
		err[i] = v + floor
	}
}

// Rest writes the part of the estimated error of each entry of the jet at x that Besides holds, and rounding.
func (est *Estimate) Rest(x float64, rest []float64) {
	bare := *est
	bare.Local = est.Besides
	bare.At(x, rest)
}

// localise sets the parts of the floor of an initial value problem from its size on each element of the grid where it
// was measured, and the solution there.
func (est *Estimate) localise(g *collocation.Grid, floors [][]float64, solution *collocation.Curve) {
	side := startOf(g.P)
	if side == 0 {
		return
	}
	sizes := measures(solution)
	E := g.Elements()
	first, last, step := 0, E-1, 1
	if side < 0 {
		first, last, step = E-1, 0, -1
	}
	for e := first + step; (last-e)*step >= 0; e += step {
		for i, v := range floors[e-step] {
			floors[e][i] = math.Max(floors[e][i], v)
		}
	}
	est.Part = make([][]float64, len(est.Local))
	for c := range est.Part {
		est.Part[c] = make([]float64, len(est.Floor))
	}
	for e := range E {
		part := est.Part[findElement(est.Mesh, (g.Mesh.X[e]+g.Mesh.X[e+1])/2)]
		for i := range part {
			for _, of := range [][2]float64{{floors[e][i], floors[last][i]}, {sizes[e][i], sizes[last][i]}} {
				if of[1] > 0 {
					part[i] = math.Max(part[i], of[0]/of[1])
				}
			}
		}
	}
}

// difference measures coarse against fine, whose mesh must contain the coarse mesh.
func difference(coarse, fine *collocation.Curve, safety float64, w *scratch) *Estimate {
	g, f := coarse.Grid(), fine.Grid()
	jet := g.P.Jet()
	est := &Estimate{Mesh: g.Mesh.X, Floor: make([]float64, jet), Scale: make([]float64, jet), room: w}
	est.Local = rows(g.Elements(), jet)
	e := 0
	for fe, k := range f.Mesh.Nodes {
		x0, x1 := f.Mesh.X[fe], f.Mesh.X[fe+1]
		for g.Mesh.X[e+1] <= x0 {
			e++
		}
		x := w.at.crowded(x0, x1, samples(max(k, g.Mesh.Nodes[e])))
		w.a, w.b = room(w.a, len(x)*jet), room(w.b, len(x)*jet)
		a, b := w.a, w.b
		coarse.AtAll(e, x, a)
		fine.AtAll(fe, x, b)
		local := est.Local[e]
		for j, i := 0, 0; j < len(a); j++ {
			d := math.Abs(a[j] - b[j])
			if !(d <= local[i]) { // NaN counts
				local[i] = d
			}
			if v := math.Abs(b[j]); v > est.Scale[i] {
				est.Scale[i] = v
			}
			if i++; i == jet {
				i = 0
			}
		}
	}
	for _, l := range est.Local {
		for i := range l {
			l[i] *= safety
		}
	}
	pa, pb := g.Parameters(coarse.V), f.Parameters(fine.V)
	for i := range pa {
		est.Parameters = append(est.Parameters, safety*math.Abs(pa[i]-pb[i]))
		est.Sought = append(est.Sought, pb[i])
	}
	return est
}

// addWaves adds to each entry of the jet the largest of the last two Legendre coefficients of any element of the finer
// solution. An element far longer than a layer carries what is left of it to its other end without damping it (the
// stability function of Gauss collocation tends to ±1), as a wave with a zero at every node: just the last coefficient.
// Such a wave is in both solutions alike; the equation, integrated, carries its size to every other place, the layer
// itself too.
func (est *Estimate) addWaves(fine *collocation.Curve) {
	g := fine.Grid()
	waves := make([]float64, g.P.Jet())
	for e := range g.Elements() {
		for i := range waves {
			series := fine.Series(e, i)
			for _, v := range series[max(len(series)-2, 0):] {
				waves[i] = math.Max(waves[i], math.Abs(v))
			}
		}
	}
	for _, l := range est.Local {
		for i := range l {
			l[i] += waves[i]
		}
	}
}

// addRemnants adds what the tails of layers do that the finer solution itself does not see, as the linearised problem
// answers to its residual near the ends of long elements (see collocation.Assembler.Remnants).
func (est *Estimate) addRemnants(fine *collocation.Curve, r newton.Result) {
	rhs := r.System.NewRHS()
	if !r.Assembler.Remnants(fine, rhs) {
		return
	}
	g := fine.Grid()
	v := g.NewVector()
	r.System.SolveTo(v, rhs)
	c := g.Curve(v)
	jet, most := make([]float64, g.P.Jet()), make([]float64, g.P.Jet())
	const points = 4
	for e, l := range est.Local {
		clear(most)
		x0, x1 := est.Mesh[e], est.Mesh[e+1]
		for j := range points + 1 {
			c.At(x0+(x1-x0)*float64(j)/points, jet)
			for i, d := range jet {
				most[i] = math.Max(most[i], math.Abs(d))
			}
		}
		for i, d := range most {
			l[i] += d
			if s := est.Scale[i]; s > 0 && i == entryOfFunction(g, i) {
				est.remnant = math.Max(est.remnant, d/s)
			}
		}
	}
	for i, d := range g.Parameters(v) {
		est.Parameters[i] += math.Abs(d)
	}
}

// samples is the number of sample intervals for a polynomial with k nodes: twice the degree resolves its extremes.
func samples(k int) int { return 2*k + 6 }

// addRounding estimates the effect of rounding on a solution: the linearised problem is answered for disturbances of
// every row by the most that rounding may do to it, with random signs. Counted is a multiple of the root of the mean
// square of the answers: rounding errors spread evenly up to these bounds have 0.58 of that as their standard
// deviation, so that the multiple is 4.5 of these. It returns the problem's condition number in the same terms:
// relative change of the solution per relative change of the data.
func (est *Estimate) addRounding(curve *collocation.Curve, r newton.Result) (condition float64) {
	g, solution := curve.Grid(), curve.V
	const unit = 1.0 / (1 << 53)
	const trials = 8
	multiple := 2.6
	if startOf(g.P) != 0 {
		multiple *= 2 // measured on y” = y: what grows within one element leaves more
	}
	sign := blocks.Signs(1)
	J := len(est.Floor)
	floors, largest := rows(g.Elements(), J), make([]float64, J)
	most := make([]float64, J) // on an element, in one trial
	par := make([]float64, len(est.Parameters))
	bounds := r.Assembler.Rounding(solution, r.System, trials)
	answers := r.System.SolveOver(bounds.Disturb(0, trials, sign))
	for trial := range answers {
		for i, d := range g.Parameters(&answers[trial]) {
			par[i] += d * d
		}
	}
	sampler := g.NewSampler()
	for e, k := range g.Mesh.Nodes {
		x := est.room.at.equal(g.Mesh.X[e], g.Mesh.X[e+1], min(k+2, 16))
		est.room.a = room(est.room.a, len(x)*J)
		jets := est.room.a
		sampler.Place(e, x)
		for trial := range answers {
			sampler.Jets(&answers[trial], jets)
			clear(most)
			raise(most, jets, 1)
			for i, d := range most {
				floors[e][i] += d * d
				largest[i] = math.Max(largest[i], d)
			}
		}
	}
	for _, floor := range floors {
		for i, sum := range floor {
			floor[i] = multiple * math.Sqrt(sum/trials)
			est.Floor[i] = math.Max(est.Floor[i], floor[i])
		}
	}
	for i := range est.Floor {
		if est.Scale[i] > est.Floor[i] && i == entryOfFunction(g, i) {
			condition = math.Max(condition, largest[i]/(unit*est.Scale[i]))
		}
		est.Floor[i] += 4 * unit * math.Max(est.Scale[i], bounds.Sizes[i])
	}
	for i, v := range g.Parameters(solution) {
		par[i] = multiple*math.Sqrt(par[i]/trials) + unit*math.Abs(v)
		est.Parameters[i] += par[i]
	}
	est.Rounded = par
	est.localise(g, floors, curve)
	return math.Max(condition, 1)
}

// discountRounding takes from the difference to the finer solution, enlarged by safety in Local, what rounding makes of
// it: that is in the floor, and does not count twice. Half of the floor is more than two standard deviations (see
// addRounding).
func (est *Estimate) discountRounding(safety float64) {
	const part = 0.5
	for e, l := range est.Local {
		for i, floor := range est.Floor {
			if est.Part != nil {
				floor *= est.Part[e][i]
			}
			if d := l[i] - est.Besides[e][i]; d > 0 {
				l[i] -= math.Min(d, safety*part*floor)
			}
		}
	}
	for i, rounded := range est.Rounded {
		if d := est.Parameters[i] - rounded; d > 0 {
			est.Parameters[i] -= math.Min(d, safety*part*rounded)
		}
	}
}

// entryOfFunction returns i when entry i of the jet is an unknown itself, and −1 when it is a derivative.
//
//go:noinline
func entryOfFunction(g *collocation.Grid, i int) int {
	for u := range g.P.Unknowns {
		if g.P.JetOffset(u) == i {
			return i
		}
	}
	return -1
}

// smallest is where numbers begin to lose digits because they are small.
const smallest = 1e-290

// largest returns the largest size of an unknown: what one that vanishes is measured against.
func (est *Estimate) largest(g *collocation.Grid) float64 {
	size := 0.0
	for i := range g.P.Unknowns {
		size = math.Max(size, est.Scale[g.P.JetOffset(i)])
	}
	return size
}

// relative returns the largest estimated error over the interval of any entry of the state, relative to the entry's
// largest value. An entry that vanishes to within rounding is measured against the unknown itself over the length of
// the interval. The error of a sought number counts as it is below 1 and relative to the number above, as Options.Tol
// of package solver says.
func (est *Estimate) relative(g *collocation.Grid) float64 {
	worst := 0.0
	length := g.Mesh.X[len(g.Mesh.X)-1] - g.Mesh.X[0]
	at := 0
	for _, u := range g.P.Unknowns {
		natural := est.Scale[at]
		if natural <= est.Floor[at] || natural < smallest {
			if other := est.largest(g); est.Floor[at] <= 1e-8*other {
				natural = other // it vanishes, and not because nothing is known of it
			}
		}
		for d := range u.Order {
			if est.values && d > 0 {
				break
			}
			scale := math.Max(est.Scale[at+d], 1e-9*natural)
			err := est.Floor[at+d]
			if est.Scale[at+d] <= err || est.Scale[at+d] < smallest {
				scale = math.Max(scale, natural)
			}
			most := 0.0
			for _, l := range est.Local {
				if !(l[at+d] <= most) {
					most = l[at+d]
				}
			}
			err += most
			if scale == 0 {
				scale = 1
			}
			if v := err / scale; !(v <= worst) {
				worst = v
			}
			natural /= length
		}
		at += u.Order + 1
	}
	for i, e := range est.Parameters {
		if v := e / math.Max(1, math.Abs(est.Sought[i])); !(v <= worst) {
			worst = v
		}
	}
	return worst
}

// vectorOf returns a vector on grid g read off a curve.
func vectorOf(g *collocation.Grid, c *collocation.Curve) *blocks.Solution {
	v := g.NewVector()
	g.FillFrom(v, c)
	copy(g.Parameters(v), c.Grid().Parameters(c.V))
	return v
}

func findElement(mesh []float64, x float64) int {
	lo, hi := 0, len(mesh)-1
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if mesh[mid] < x {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// floorOf returns the part of the relative error that is rounding.
func floorOf(est *Estimate, g *collocation.Grid) float64 {
	bare := *est
	bare.Local = nil
	bare.Parameters = nil
	return bare.relative(g)
}
