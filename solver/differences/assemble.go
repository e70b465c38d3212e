package differences

import (
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// assembler writes residuals and Jacobians of a grid. It has scratch space: one per goroutine.
type assembler struct {
	g             *grid
	in, f, df     []float64
	sizes, gsizes []float64   // of the terms that each entry of in, or of gin, is summed from
	scale         [][]float64 // of each row of each element, set by assemble
	// Sizes of each row's terms, the closing rows last: in differences of mesh values (what rounding may disturb),
	// and in the jet (what the data may disturb).
	terms, data [][]float64
	gin, gdg    []float64
	c, c2       []float64
	dc, dc2     []float64
}

func (g *grid) newAssembler() *assembler {
	J := g.jet + g.par
	a := &assembler{g: g, in: make([]float64, J), f: make([]float64, g.n), df: make([]float64, g.n*J),
		sizes: make([]float64, J)}
	for _, rows := range append(g.rows[:len(g.rows):len(g.rows)], len(g.p.Conditions)) {
		a.scale = append(a.scale, make([]float64, rows))
		a.terms = append(a.terms, make([]float64, rows))
		a.data = append(a.data, make([]float64, rows))
	}
	a.c, a.c2 = make([]float64, g.s), make([]float64, g.s)
	a.dc, a.dc2 = make([]float64, g.s*J), make([]float64, g.s*J)
	return a
}

// residual writes minus the residual of v to rhs, with the row scales of the last assemble; false when a number is
// not finite.
func (a *assembler) residual(v *vector, rhs *blocks.RHS) bool { return a.run(v, nil, rhs) }

// assemble writes the Jacobian at v into sys, which must be fresh, and minus the residual to rhs. The largest entry
// of each row is scaled to about one.
func (a *assembler) assemble(v *vector, sys *blocks.System, rhs *blocks.RHS) bool {
	return a.run(v, sys, rhs)
}

func (a *assembler) run(v *vector, sys *blocks.System, rhs *blocks.RHS) bool {
	for i := range a.g.sites {
		if !a.runSite(&a.g.sites[i], v, sys, rhs) {
			return false
		}
	}
	for i := range a.g.breaks {
		if !a.runBreak(i, v, sys, rhs) {
			return false
		}
	}
	for i := range a.g.taps {
		if !a.runTap(i, v, sys, rhs) {
			return false
		}
	}
	return a.runConditions(v, sys, rhs)
}

// line is a matrix row of an element, addressed by global point and unknown.
type line struct {
	row           []float64
	base, own, S  int
	n, borderFrom int
}

func (g *grid) lineOf(sys *blocks.System, element, row int) line {
	S := g.n * g.width
	own := g.n * (g.start[element+1] - g.start[element] - g.width)
	width := own + 2*S + g.border()
	return line{sys.Element(element)[row*width : (row+1)*width], g.start[element] * g.n, own, S, g.n, own + 2*S}
}

//go:noinline
func (l *line) add(point, unknown int, c float64) {
	k := point*l.n + unknown - l.base
	switch {
	case k < l.S:
		k += l.own
	case k < l.S+l.own:
		k -= l.S
	}
	l.row[k] += c
}

// finish scales the row to largest entry one and notes the sizes of its terms: terms and data are those before
// scaling.
func (a *assembler) finish(l *line, element, row int, terms, data float64) bool {
	big := 0.0
	for _, c := range l.row {
		big = math.Max(big, math.Abs(c))
	}
	if !bvp.Finite(big) {
		return false
	}
	sc := blocks.PowerOfTwo(big)
	for i := range l.row {
		l.row[i] *= sc
	}
	a.scale[element][row] = sc
	a.terms[element][row], a.data[element][row] = (terms+data)*sc, data*sc
	return true
}

// runSite writes the rows of a site; without a system, their residuals alone.
func (a *assembler) runSite(s *site, v *vector, sys *blocks.System, rhs *blocks.RHS) bool {
	g := a.g
	st := g.stretches[s.stretch]
	a.siteJet(s, v)
	df := a.df
	if sys == nil {
		df = nil
	}
	g.p.Equations(st.at(float64(s.twice)/2), a.in, a.f, df)
	for k, r := range s.shape.eqs {
		row := s.row + k
		if !bvp.Finite(a.f[r]) || sys != nil && !a.siteRow(s, row, r, sys) {
			return false
		}
		rhs.Element[s.element][row] = -a.f[r] * a.scale[s.element][row]
	}
	return true
}

// siteJet reads the jet at a site off v, with the sizes of what each entry is summed from.
func (a *assembler) siteJet(s *site, v *vector) {
	g := a.g
	st := g.stretches[s.stretch]
	point, inv := st.first+s.twice/2, 1/st.h
	entry := 0
	for i, u := range g.p.Unknowns {
		f := 1.0
		for d := 0; d <= u.Order; d++ {
			sum, size := s.shape.stencils[entry].apply(v.y, point, g.n, i, d)
			a.in[entry], a.sizes[entry] = sum*f, size*f
			f *= inv
			entry++
		}
	}
	copy(a.in[g.jet:], g.parameters(v))
}

// siteRow writes the derivatives of equation r at a site into a row.
func (a *assembler) siteRow(s *site, row, r int, sys *blocks.System) bool {
	g := a.g
	st := g.stretches[s.stretch]
	point, inv := st.first+s.twice/2, 1/st.h
	dr := a.df[r*(g.jet+g.par) : (r+1)*(g.jet+g.par)]
	l := g.lineOf(sys, s.element, row)
	data, terms := math.Abs(a.f[r]), 0.0
	entry := 0
	for i, u := range g.p.Unknowns {
		f := 1.0
		for d := 0; d <= u.Order; d++ {
			if c := dr[entry]; c != 0 {
				data += math.Abs(c * a.in[entry])
				terms += math.Abs(c) * a.sizes[entry]
				l.addStencil(&s.shape.stencils[entry], point, i, c*f)
			}
			f *= inv
			entry++
		}
	}
	for q, c := range dr[g.jet:] {
		l.row[l.borderFrom+len(g.taps)+q] += c
		data += math.Abs(c * a.in[g.jet+q])
	}
	return a.finish(&l, s.element, row, terms, data)
}

// addStencil adds c times a stencil of unknown i, whose start is counted from a mesh point.
//
//go:noinline
func (l *line) addStencil(s *stencil, point, i int, c float64) {
	for m, w := range s.weights {
		l.add(point+s.start+m, i, c*w)
	}
}

// runBreak writes the rows of a break: the continuous quantities from both sides agree.
func (a *assembler) runBreak(i int, v *vector, sys *blocks.System, rhs *blocks.RHS) bool {
	g := a.g
	b, sd := g.breaks[i], g.sides[i]
	left, sizeL := a.breakJet(sd.left, g.stretches[b.stretch].h, v)
	right, sizeR := a.breakJet(sd.right, g.stretches[b.stretch+1].h, v)
	continuity(a, g.stretches[b.stretch+1].a, left, right)
	for k := range g.s {
		row, res := b.row+k, a.c2[k]-a.c[k]
		if !bvp.Finite(res) || sys != nil && !a.breakRow(i, k, sizeL, sizeR, sys) {
			return false
		}
		rhs.Element[b.element][row] = -res * a.scale[b.element][row]
	}
	return true
}

// breakJet reads the jet on one side of a break off v, the highest derivatives being 0, and the sizes of what each
// entry is summed from.
func (a *assembler) breakJet(state []stencil, h float64, v *vector) (jet, sizes []float64) {
	g := a.g
	jet, sizes = make([]float64, g.jet+g.par), make([]float64, g.jet+g.par)
	k := 0
	for u, un := range g.p.Unknowns {
		for d := range un.Order {
			f := math.Pow(h, -float64(d))
			sum, size := state[k].apply(v.y, 0, g.n, u, d)
			jet[g.jetAt[u]+d], sizes[g.jetAt[u]+d] = sum*f, size*f
			k++
		}
	}
	copy(jet[g.jet:], g.parameters(v))
	return jet, sizes
}

// breakRow writes the derivatives of the k-th continuous quantity of a break into its row.
func (a *assembler) breakRow(i, k int, sizeL, sizeR []float64, sys *blocks.System) bool {
	g := a.g
	b, sd := g.breaks[i], g.sides[i]
	J := g.jet + g.par
	hl, hr := g.stretches[b.stretch].h, g.stretches[b.stretch+1].h
	left, right := a.dc[k*J:(k+1)*J], a.dc2[k*J:(k+1)*J]
	l := g.lineOf(sys, b.element, b.row+k)
	terms := 0.0
	for e := range g.jet {
		terms += math.Abs(left[e])*sizeL[e] + math.Abs(right[e])*sizeR[e]
	}
	state := 0
	for u, un := range g.p.Unknowns {
		for d := range un.Order {
			e := g.jetAt[u] + d
			l.addStencil(&sd.left[state], 0, u, -left[e]*math.Pow(hl, -float64(d)))
			l.addStencil(&sd.right[state], 0, u, right[e]*math.Pow(hr, -float64(d)))
			state++
		}
	}
	for q := range g.par {
		l.row[l.borderFrom+len(g.taps)+q] += right[g.jet+q] - left[g.jet+q]
	}
	return a.finish(&l, b.element, b.row+k, terms, math.Abs(a.c[k])+math.Abs(a.c2[k]))
}

// continuity evaluates the quantities that are continuous across a break from both sides.
func continuity(a *assembler, x float64, left, right []float64) {
	g := a.g
	if g.p.Continuity != nil {
		g.p.Continuity(math.Nextafter(x, math.Inf(-1)), left, a.c, a.dc)
		g.p.Continuity(math.Nextafter(x, math.Inf(1)), right, a.c2, a.dc2)
		return
	}
	clear(a.dc)
	clear(a.dc2)
	row, entry := 0, 0
	for _, u := range g.p.Unknowns {
		for range u.Order {
			a.c[row], a.c2[row] = left[entry], right[entry]
			a.dc[row*(g.jet+g.par)+entry], a.dc2[row*(g.jet+g.par)+entry] = 1, 1
			row++
			entry++
		}
		entry++
	}
}

// apply returns the sum of a stencil, whose start is relative to the given point, over the values of an unknown,
// and the sum of the sizes of its terms. A derivative (d > 0) is summed from differences to the middle value: the
// weights cancel in exact arithmetic only, and what their rounding leaves then multiplies a difference, not the
// value itself. Terms on either side of the middle are paired: where the values lie on a line they cancel exactly,
// instead of leaving the same rounding at every point.
func (s *stencil) apply(y []float64, point, n, unknown, d int) (sum, size float64) {
	at := (point+s.start)*n + unknown
	last := len(s.weights) - 1
	middle := 0.0
	if d > 0 {
		middle = y[at+len(s.weights)/2*n]
	}
	for i := 0; i < last-i; i++ {
		left := s.weights[i] * (y[at+i*n] - middle)
		right := s.weights[last-i] * (y[at+(last-i)*n] - middle)
		sum += left + right
		size += math.Abs(left) + math.Abs(right)
	}
	if last%2 == 0 {
		t := s.weights[last/2] * (y[at+last/2*n] - middle)
		sum += t
		size += math.Abs(t)
	}
	return sum, size
}

// runTap writes the row that makes a border unknown the point value of a condition.
func (a *assembler) runTap(i int, v *vector, sys *blocks.System, rhs *blocks.RHS) bool {
	g := a.g
	t := &g.taps[i]
	value, size := t.stencil.apply(v.y, 0, g.n, t.value.Unknown, t.value.Derivative)
	res := v.q[i] - value
	if !bvp.Finite(res) {
		return false
	}
	if sys != nil {
		l := g.lineOf(sys, t.element, t.row)
		for k, w := range t.stencil.weights {
			l.add(t.stencil.start+k, t.value.Unknown, -w)
		}
		l.row[l.borderFrom+i]++
		if !a.finish(&l, t.element, t.row, size, math.Abs(v.q[i])) {
			return false
		}
	}
	rhs.Element[t.element][t.row] = -res * a.scale[t.element][t.row]
	return true
}

// runConditions writes the closing rows.
func (a *assembler) runConditions(v *vector, sys *blocks.System, rhs *blocks.RHS) bool {
	g := a.g
	S := g.n * g.width
	width := 2*S + g.border()
	last := g.points - g.width
	par := g.parameters(v)
	for r, c := range g.p.Conditions {
		a.gin, a.gsizes = a.gin[:0], a.gsizes[:0]
		for i, pl := range g.ends[r] {
			value, size := 0.0, 0.0
			switch {
			case pl.tap >= 0:
				value = v.q[pl.tap]
			case pl.last:
				value, size = pl.stencil.apply(v.y, last, g.n, c.At[i].Unknown, c.At[i].Derivative)
			default:
				value, size = pl.stencil.apply(v.y, 0, g.n, c.At[i].Unknown, c.At[i].Derivative)
			}
			a.gin, a.gsizes = append(a.gin, value), append(a.gsizes, size)
		}
		a.gin = append(a.gin, par...)
		var dg []float64
		if sys != nil {
			a.gdg = append(a.gdg[:0], a.gin...)
			dg = a.gdg
		}
		res := c.Residual(a.gin, dg)
		if !bvp.Finite(res) {
			return false
		}
		rhs.Closing[r] = -res
		if sys == nil {
			continue
		}
		row := sys.Closing()[r*width : (r+1)*width]
		data, terms := math.Abs(res), 0.0
		for i, pl := range g.ends[r] {
			data += math.Abs(dg[i] * a.gin[i])
			if pl.tap >= 0 {
				row[2*S+pl.tap] += dg[i]
				continue
			}
			terms += math.Abs(dg[i]) * a.gsizes[i]
			from := 0
			if pl.last {
				from = S
			}
			for k, w := range pl.stencil.weights {
				row[from+(pl.stencil.start+k)*g.n+c.At[i].Unknown] += dg[i] * w
			}
		}
		for q := range par {
			row[2*S+len(g.taps)+q] += dg[len(c.At)+q]
			data += math.Abs(dg[len(c.At)+q] * par[q])
		}
		e := len(g.rows)
		a.terms[e][r], a.data[e][r] = terms+data, data
	}
	return true
}

// disturb writes to rhs a disturbance of every row of the last assemble by one part in 2^53 of the sizes given,
// with the signs that sign returns.
//
//go:noinline
func (a *assembler) disturb(sizes [][]float64, rhs *blocks.RHS, sign func() float64) {
	const unit = 1.0 / (1 << 53)
	for e, t := range sizes {
		to := rhs.Closing
		if e < len(rhs.Element) {
			to = rhs.Element[e]
		}
		for i, s := range t {
			to[i] = unit * s * sign()
		}
	}
}
