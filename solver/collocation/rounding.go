package collocation

import (
	"math"
	"math/bits"
	"slices"
	"sync"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// Rounding is what rounding may do to each equation, continuation and condition of a grid at a solution, in the row
// scales of the last Assemble: one bound for what differs from row to row, and for each trial the joint effect of the
// rounded constants.
type Rounding struct {
	own    *blocks.RHS
	shared []blocks.RHS
	// Sizes holds, for each entry of the jet, the largest size at a node of what it is added up from.
	Sizes []float64
}

// halfUnit is the largest relative error of a rounded number.
const halfUnit = 1.0 / (1 << 53)

// Rounding bounds the effect of rounding on the rows at v. Counted are the sums that make a jet (which also bound what
// elimination with pivoting, improved by a step of residual correction, leaves behind: N. J. Higham, Accuracy and
// Stability of Numerical Algorithms, 2nd edition, SIAM, 2002, section 12.2), the operations and constants of the
// formulas, the places of the nodes and of the conditions.
func (a *Assembler) Rounding(v *blocks.Solution, sys *blocks.System, trials int) *Rounding {
	g := a.g
	all := sys.NewRHSs(1 + trials)
	r := &Rounding{own: &all[0], shared: all[1:], Sizes: make([]float64, g.jet)}
	rows := make([][]float64, 2*trials)
	b := &bounder{Assembler: a, v: v, r: r, shared: rows[:trials], weights: rows[trials:]}
	J, most := g.jet+g.par+1, slices.Max(g.Mesh.Nodes)
	store := make([]float64, 2*J+(3+trials)*g.n+(2+trials)*g.jet+trials*g.n*combinations+most)
	cut := func(n int) (part []float64) {
		part, store = store[:n:n], store[n:]
		return part
	}
	b.off, b.in, b.own, b.f2, b.squares = cut(J), cut(J), cut(g.n), cut(g.n), cut(g.n)
	b.sizes, b.whole, b.sums, b.unit = cut(g.jet), cut(g.jet), cut(trials*g.n*combinations), cut(most)
	for t := range b.shared {
		b.shared[t], b.weights[t] = cut(g.n), cut(g.jet)
	}
	for e := range g.bases {
		b.combine(e)
		b.equations(e)
		b.states(e)
	}
	b.conditions()
	return r
}

// Disturb returns, for trials from one to before another, a disturbance of every row by its bound, with the signs that
// sign returns (±1), and by the constants' errors with the signs of the trial. Conditions and the places of breaks, few
// as they are, get signs such that any two of them agree in some trials and differ in others. Each trial can be had
// once.
func (r *Rounding) Disturb(from, to int, sign func() float64) []blocks.RHS {
	for trial := from; trial < to; trial++ {
		rhs := &r.shared[trial]
		for e, own := range r.own.Element {
			row := rhs.Element[e]
			for i, v := range own {
				row[i] += v * sign()
			}
		}
		for i, v := range r.own.Closing {
			rhs.Closing[i] += v * signOf(i, trial)
		}
	}
	return r.shared[from:to]
}

// signOf is the sign that number i of a few causes of error has in a trial. Any two of the first seven agree in some
// of six trials and differ in others.
func signOf(i, trial int) float64 {
	if bits.OnesCount(uint((i+1)&(trial+1)))%2 == 1 {
		return -1
	}
	return 1
}

// bounder is the work of Assembler.Rounding.
type bounder struct {
	*Assembler
	v       *blocks.Solution
	r       *Rounding
	in, off []float64 // the point of a formula, and the errors of its numbers
	own, f2 []float64 // of each equation
	shared  [][]float64
	sizes   []float64 // of each entry of the jet at a point
	whole   []float64 // the same with the errors of the weights
	unit    []float64 // zeros
	// What the errors of a basis's weights do: they are the same on every element that has it, and add up from element
	// to element. See combine.
	weights [][]float64 // for each trial, to each entry of the jet at a point
	sums    []float64   // for each trial, unknown and combination
	squares []float64   // for each unknown, the sum of squares of its values
	signs   []float64   // see signsOf
}

// combinations is how many sums of an element's values, with random signs, stand for those that the errors of single
// weights make: each row of weights takes one of them, times a sign of its own.
const combinations = 8

// offWeights is the error of a weight in units of halfUnit times the largest one beside it: a weight is a sum of
// products itself. Measured on y” + ω² y = 0 over 300 waves, where all of it adds up.
const offWeights = 1.5

// table holds signs (±1), the same in every process; it grows as larger bases ask for more.
var table struct {
	sync.Mutex
	signs []float64
}

// signsFor returns the first n signs of the table.
func signsFor(n int) []float64 {
	table.Lock()
	defer table.Unlock()
	if len(table.signs) < n {
		table.signs = make([]float64, 2*n)
		sign := blocks.Signs(1)
		for i := range table.signs {
			table.signs[i] = sign()
		}
	}
	return table.signs[:n]
}

// signsOf returns the signs of a basis: for each trial and combination one of each value, then for each trial and fold
// one of each row of weights and of the end's.
func (b *bounder) signsOf(basis *basis) []float64 {
	return signsFor(len(b.shared) * (combinations*basis.k + (b.g.maxOrder+1)*(basis.k+1)))
}

// combine sums up the values of element e with the signs of its basis, and their squares.
func (b *bounder) combine(e int) {
	k := b.g.bases[e].k
	b.signs = b.signsOf(b.g.bases[e])
	n := len(b.shared) * combinations
	for i := range b.g.n {
		own := b.v.U[e][i*k : (i+1)*k]
		b.squares[i] = blocks.Dot(own, own)
		blocks.DotRows(b.sums[i*n:(i+1)*n], b.signs, k, own)
	}
}

// weigh writes to b.weights, for each trial, what the errors of a row of weights of element e and of its place s do to
// the jet there. Row k is the end.
func (b *bounder) weigh(e, row int, s float64) {
	g := b.g
	basis := g.bases[e]
	_, h := g.element(e)
	k, z, trials := basis.k, b.v.Z[e], len(b.shared)
	signs := b.signs[trials*combinations*k:]
	for i, u := range g.P.Unknowns {
		inv := 1.0
		state := z[g.stateAt[i] : g.stateAt[i]+u.Order]
		for d := range u.Order {
			if d > 0 {
				inv /= h
			}
			fold := u.Order - d
			size := offWeights * halfUnit * basis.largest[fold][row] * inv
			place := 0.0
			if row < k && d+1 < u.Order {
				place = halfUnit * h * s * taylor(state[d+1:], h*s)
			}
			for t, w := range b.weights {
				sum := b.sums[(i*trials+t)*combinations+(row+fold)%combinations]
				own := signs[t*(g.maxOrder+1)*(k+1):]
				w[g.jetAt[i]+d] = size*sum*own[fold*(k+1)+row] + place*own[row]
			}
		}
	}
}

// pointSizes writes, for each entry of the jet at s in element e, the size of what point adds up: the Taylor part
// without signs, and the root of the sum of squares of the integral's terms, whose many rounding errors add up like
// random numbers. To b.whole it writes the same with the errors of the weights, which are rounded in units of the
// largest one beside them: a small one of a large value counts.
func (b *bounder) pointSizes(e int, s float64, weights func(fold int) (w []float64, largest float64)) {
	g := b.g
	_, h := g.element(e)
	k, z := g.bases[e].k, b.v.Z[e]
	for i, u := range g.P.Unknowns {
		own := b.v.U[e][i*k : (i+1)*k]
		inv := 1.0
		for d := 0; d <= u.Order; d++ {
			if d > 0 {
				inv /= h
			}
			sum := 0.0
			row, largest := weights(u.Order - d)
			for j, w := range row {
				sum += w * w * own[j] * own[j]
			}
			t, hs := 0.0, h*s
			for j := u.Order - d - 1; j >= 0; j-- {
				t = t*hs/float64(j+1) + math.Abs(z[g.stateAt[i]+d+j])
			}
			b.sizes[g.jetAt[i]+d] = math.Sqrt(sum)*inv + t
			b.whole[g.jetAt[i]+d] = math.Sqrt(sum+largest*largest*b.squares[i])*inv + t
		}
	}
}

// equations bounds the rows of element e that hold the equations.
func (b *bounder) equations(e int) {
	g, p := b.g, b.g.P
	basis := g.bases[e]
	k := basis.k
	x0, h := g.element(e)
	b.elementJets(e, b.v, b.jets)
	b.moveToPlaces(e, b.v, b.jets)
	unit := b.unit[:k]
	copy(b.in[g.jet:], g.Parameters(b.v))
	clear(b.off)
	for node, s := range basis.s {
		unit[node] = 1
		b.pointSizes(e, s, func(fold int) ([]float64, float64) {
			if fold == 0 {
				return unit, 0
			}
			return basis.integral[fold][node*k : (node+1)*k], basis.largest[fold][node]
		})
		unit[node] = 0
		for i, v := range b.sizes {
			b.off[i] = halfUnit * v
			b.r.Sizes[i] = math.Max(b.r.Sizes[i], b.whole[i])
		}
		copy(b.in, b.jets[node*g.jet:(node+1)*g.jet])
		x, _, off := nodeAt(x0, h, s, k)
		b.in[g.jet+g.par], b.off[g.jet+g.par] = x, off
		if p.Rounding != nil {
			p.Rounding(b.in, b.off, b.own, b.shared)
			p.Equations(x, b.in[:g.jet+g.par], b.f, b.df)
		} else {
			b.terms(x, off)
		}
		b.weigh(e, node, s)
		for r, v := range b.own {
			row := r*k + node
			sc := b.scale[e][row]
			b.r.own.Element[e][row] = finite(v) * sc
			by := b.derivatives(r)[:g.jet]
			for t, shared := range b.shared {
				b.r.shared[t].Element[e][row] = finite(shared[r]+blocks.Dot(by, b.weights[t])) * sc
			}
		}
	}
}

// terms bounds the equations at a node by the sizes of their terms and by how much they change over the error of the
// node's place.
func (b *bounder) terms(x, place float64) {
	g := b.g
	in, J := b.in[:g.jet+g.par], g.jet+g.par
	g.P.Equations(x, in, b.f, b.df)
	at := x + place
	if at == x {
		at = math.Nextafter(x, math.Inf(1))
	}
	g.P.Equations(at, in, b.f2, nil)
	for r, f := range b.f {
		sum := halfUnit * math.Abs(f)
		for i, off := range b.off[:g.jet] {
			sum += math.Abs(b.df[r*J+i]) * off
		}
		b.own[r] = sum + math.Abs(b.f2[r]-f)*place/(at-x)
	}
}

// states bounds the rows that carry the state on, and those of the values at points inside.
func (b *bounder) states(e int) {
	g := b.g
	basis := g.bases[e]
	own := g.n * basis.k
	_, h := g.element(e)
	rows := b.r.own.Element[e][own:]
	b.pointSizes(e, 1, func(fold int) ([]float64, float64) { return basis.end[fold], basis.largest[fold][basis.k] })
	next := b.v.Z[e+1]
	left, right, off := b.beside(e)
	if g.isBreak[e+1] {
		b.breaks(e, b.whole, rows)
	} else {
		b.weigh(e, basis.k, 1)
		for i, u := range g.P.Unknowns {
			hd := 1.0
			for d := range u.Order {
				row := g.stateAt[i] + d
				rows[row] = halfUnit * (math.Abs(next[row]) + b.sizes[g.jetAt[i]+d]) * hd
				for t, r := range b.r.shared {
					r.Element[e][own+row] = b.weights[t][g.jetAt[i]+d] * hd
				}
				if off != 0 {
					// On the stretch between the rounded place and the true one the slope is that of the wrong side.
					at := g.jetAt[i] + d + 1
					b.move(e, own+row, off*(right[at]-left[at])*hd)
				}
				hd *= h
			}
		}
	}
	for c, ti := range g.tapOf[e] {
		t := g.taps[ti]
		b.pointSizes(e, t.s, func(fold int) ([]float64, float64) { return t.weights[fold], largestOf(t.weights[fold]) })
		rows[g.s+c] = halfUnit * (math.Abs(b.v.Q[ti]) + b.whole[g.jetAt[t.value.Unknown]+t.value.Derivative]) *
			math.Pow(h, float64(t.value.Derivative))
	}
}

// beside returns the jets on both sides of a break behind element e, and by how much its place may be off; 0 where
// there is no break, or one whose place is exact.
func (b *bounder) beside(e int) (left, right []float64, off float64) {
	g := b.g
	x := g.Mesh.X[e+1]
	if e+1 >= len(g.bases) || bvp.Exact(x) || !slices.Contains(g.P.Breaks, x) {
		return nil, nil, 0
	}
	// The place is found from numbers that are rounded themselves: c + w, and the two beside.
	const roundings = 4
	left, right = make([]float64, g.jet), make([]float64, g.jet)
	b.point(e, b.v, 1, left, g.bases[e].end)
	b.point(e+1, b.v, 0, right, g.bases[e+1].weightsAt(0, g.maxOrder))
	return left, right, roundings * halfUnit * x
}

// move adds to a row of element e what the place of the break behind it does, whose effects on all rows have one sign.
func (b *bounder) move(e, row int, effect float64) {
	effect = finite(effect)
	place := len(b.g.P.Conditions) + slices.Index(b.g.P.Breaks, b.g.Mesh.X[e+1])
	for t := range b.r.shared {
		b.r.shared[t].Element[e][row] += effect * signOf(place, t)
	}
}

// breaks bounds the rows of a break by the sizes of the quantities' terms on both sides, and by what its place moves.
func (b *bounder) breaks(e int, sizes, rows []float64) {
	g := b.g
	J := g.jet + g.par
	b.continuity(e, b.v, b.dc, b.dc2)
	own := g.n * g.bases[e].k
	for row := range g.s {
		sum := math.Abs(b.c[row]) + math.Abs(b.c2[row])
		for i := range g.jet {
			sum += math.Abs(b.dc[row*J+i])*sizes[i] + math.Abs(b.dc2[row*J+i]*b.Assembler.in[i])
		}
		rows[row] = finite(halfUnit*sum) * b.scale[e][own+row]
	}
	left, right, off := b.beside(e)
	if off == 0 {
		return
	}
	x := g.Mesh.X[e+1]
	before, after := b.rates(e, x, -1, left), b.rates(e+1, x, 1, right)
	for row := range g.s {
		b.move(e, own+row, off*(after[row]-before[row])*b.scale[e][own+row])
	}
}

// conditions bounds the closing rows.
func (b *bounder) conditions() {
	g := b.g
	par := g.Parameters(b.v)
	own := make([]float64, 1)
	shared := make([][]float64, len(b.shared))
	for t := range shared {
		shared[t] = make([]float64, 1)
	}
	for r, c := range g.P.Conditions {
		in := make([]float64, 0, len(c.At)+len(par))
		for _, pl := range g.where[r] {
			in = append(in, b.closingValue(b.v, pl.column))
		}
		in = append(in, par...)
		dg, off := make([]float64, len(in)), make([]float64, len(in))
		val := c.Residual(in, dg)
		if c.Rounding != nil {
			c.Rounding(in, off, own, shared)
		} else {
			own[0] = halfUnit * math.Abs(val)
			for i, v := range in {
				own[0] += halfUnit * math.Abs(dg[i]*v)
			}
		}
		// Where the value is taken is a rounded number too.
		for i, at := range c.At {
			if !bvp.Exact(at.X) {
				own[0] += halfUnit * math.Abs(at.X*dg[i]*b.slope(at))
			}
		}
		b.r.own.Closing[r] = finite(own[0])
		for t := range shared {
			b.r.shared[t].Closing[r] = finite(shared[t][0])
		}
	}
}

// slope returns the derivative next above a point value; 0 above the highest.
func (b *bounder) slope(at bvp.PointValue) float64 {
	g := b.g
	if at.Derivative >= g.P.Unknowns[at.Unknown].Order {
		return 0
	}
	e := g.Find(at.X)
	s := (at.X - g.Mesh.X[e]) / (g.Mesh.X[e+1] - g.Mesh.X[e])
	jet := make([]float64, g.jet)
	var weights [][]float64
	if t := g.tap(at); t >= 0 {
		weights = g.taps[t].weights
	} else {
		weights = g.bases[e].weightsAt(s, g.maxOrder)
	}
	b.point(e, b.v, s, jet, weights)
	return jet[g.jetAt[at.Unknown]+at.Derivative+1]
}

// finite returns v, and 0 where it is not finite.
func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}
