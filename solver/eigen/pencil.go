package eigen

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// pencil is a discretised eigenvalue problem: the matrix of the collocation equations as a polynomial in the parameter,
// A(λ) = Σ B_j t^j with λ = unit·(shift + t).
type pencil struct {
	p           *bvp.Problem
	grid        *collocation.Grid
	unit, shift float64
	b           []*mat.Dense
	lu          blocks.LU // of b[0]
	rows        []int     // the rows that the parameter occurs in
	columns     []float64 // what each entry of a vector is divided by in these matrices: a power of two near its size
}

// frozen is the problem with the parameter fixed: square and linear. The equations (and the continuity conditions right
// of a break) have 1 added, so that the residual of the zero vector shows by what the assembler scaled each row.
func frozen(p *bvp.Problem, lambda float64) *bvp.Problem {
	out := &bvp.Problem{Variable: p.Variable, A: p.A, B: p.B, Unknowns: p.Unknowns, Breaks: p.Breaks}
	jet := p.Jet()
	freeze := func(r bvp.Residuals, count int, add func(x float64) float64) bvp.Residuals {
		v := make([]float64, jet+1)
		d := make([]float64, count*(jet+1))
		return func(x float64, in, f, df []float64) {
			copy(v, in)
			v[jet] = lambda
			r(x, v, f, d)
			for i := range count {
				f[i] = add(x)
				if df != nil {
					copy(df[i*jet:(i+1)*jet], d[i*(jet+1):])
				}
			}
		}
	}
	out.Equations = freeze(p.Equations, len(p.Unknowns), func(float64) float64 { return 1 })
	if p.Continuity != nil {
		out.Continuity = freeze(p.Continuity, p.State(), func(x float64) float64 {
			for _, b := range p.Breaks {
				if x == math.Nextafter(b, math.Inf(1)) {
					return 1
				}
			}
			return 0
		})
	}
	for _, c := range p.Conditions {
		k := len(c.At)
		old := c.Residual
		c.Rounding = nil
		c.Residual = func(in, dg []float64) float64 {
			v, d := append(append([]float64(nil), in...), lambda), make([]float64, k+1)
			old(v, d)
			copy(dg, d[:k])
			return 0
		}
		out.Conditions = append(out.Conditions, c)
	}
	return out
}

// matrix returns A(λ), dense, on the mesh: columns u_0, z_0, u_1, z_1, …, z_E, q; rows element by element, then the
// conditions. ok is false when a coefficient is not finite.
func matrix(p *bvp.Problem, m collocation.Mesh, lambda float64) (a *mat.Dense, g *collocation.Grid, ok bool) {
	fp := frozen(p, lambda)
	g = collocation.NewGrid(fp, m)
	sys, v := g.System(), g.NewVector()
	rhs := sys.NewRHS()
	if !g.NewAssembler().Assemble(v, sys, rhs) {
		return nil, g, false
	}
	size := g.Unknowns()
	a = mat.NewDense(size, size, nil)
	S := p.State()
	border := len(v.Q)
	qAt := size - border
	row, col := 0, 0
	for e := range g.Elements() {
		k := len(v.U[e])
		w := k + 2*S + border
		block := sys.Element(e)
		for i := range sys.Rows(e) {
			line := block[i*w : (i+1)*w]
			scale := 1.0
			if r := rhs.Element[e][i]; r != 0 {
				scale = -1 / r
			}
			dst := a.RawRowView(row)
			zNext := col + k + S
			if e+1 < g.Elements() {
				zNext += len(v.U[e+1])
			}
			for j := range k + S {
				dst[col+j] = line[j] * scale
			}
			for j := range S {
				dst[zNext+j] = line[k+S+j] * scale
			}
			for j := range border {
				dst[qAt+j] = line[k+2*S+j] * scale
			}
			row++
		}
		col += k + S
	}
	w := 2*S + border
	zFirst, zLast := len(v.U[0]), qAt-S
	for i := range sys.ClosingRows() {
		line := sys.Closing()[i*w : (i+1)*w]
		dst := a.RawRowView(row)
		for j := range S {
			dst[zFirst+j] += line[j]
			dst[zLast+j] += line[S+j]
		}
		copy(dst[qAt:], line[2*S:])
		row++
	}
	return a, g, bvp.AllFinite(a.RawMatrix().Data)
}

// vector turns a dense vector into one of the grid.
func vector(g *collocation.Grid, d []float64) *blocks.Solution {
	v := g.NewVector()
	at := 0
	for e := range v.U {
		at += copy(v.U[e], d[at:at+len(v.U[e])])
		at += copy(v.Z[e], d[at:at+len(v.Z[e])])
	}
	at += copy(v.Z[len(v.U)], d[at:at+len(v.Z[0])])
	copy(v.Q, d[at:])
	return v
}

// dense is the inverse of vector.
func dense(g *collocation.Grid, v *blocks.Solution) []float64 {
	d := make([]float64, 0, g.Unknowns())
	for e := range v.U {
		d = append(append(d, v.U[e]...), v.Z[e]...)
	}
	return append(append(d, v.Z[len(v.U)]...), v.Q...)
}

// newPencil samples A(λ) at degree + 1 values and expands it about the shift. It reports false when a coefficient is
// not finite there or A(unit·shift) is singular.
func newPencil(p *bvp.Problem, m collocation.Mesh, degree int, unit, shift float64) (*pencil, bool) {
	pc := &pencil{p: p, unit: unit, shift: shift}
	n := degree + 1
	var samples []*mat.Dense
	t := make([]float64, n)
	for i := range n {
		t[i] = float64(i) - float64(degree)/2
		if degree == 1 {
			t[i] *= 2 // −1 and 1
		}
		a, g, ok := matrix(p, m, unit*(shift+t[i]))
		if !ok {
			return nil, false
		}
		pc.grid = g
		samples = append(samples, a)
	}
	vander := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			vander.Set(i, j, math.Pow(t[i], float64(j)))
		}
	}
	inverse, ok := blocks.Inverse(vander)
	if !ok {
		return nil, false
	}
	size, _ := samples[0].Dims()
	for j := range n {
		b := mat.NewDense(size, size, nil)
		dst := b.RawMatrix().Data
		for i, s := range samples {
			c := inverse.At(j, i)
			for k, v := range s.RawMatrix().Data {
				dst[k] += c * v
			}
		}
		pc.b = append(pc.b, b)
	}
	// Columns and rows of like size, and rounding of the differences wiped out.
	pc.columns = sizes(pc.grid)
	for _, b := range pc.b {
		for r := range size {
			for k, row := 0, b.RawRowView(r); k < size; k++ {
				row[k] *= pc.columns[k]
			}
		}
	}
	for r := range size {
		big := bvp.Largest(pc.b[0].RawRowView(r))
		if big == 0 {
			return nil, false
		}
		occurs := false
		for j, b := range pc.b {
			row := b.RawRowView(r)
			for k := range row {
				row[k] /= big
			}
			if j > 0 {
				if bvp.Largest(row) < 1e-15 {
					clear(row)
				} else {
					occurs = true
				}
			}
		}
		if occurs {
			pc.rows = append(pc.rows, r)
		}
	}
	pc.lu.Factorize(pc.b[0])
	if c := pc.lu.Cond(); math.IsInf(c, 0) || math.IsNaN(c) || c > 1e15 {
		return nil, false
	}
	return pc, true
}

// sizes returns powers of two near the sizes that the entries of a vector of the grid have for a function of size 1:
// derivatives go with powers of the length.
func sizes(g *collocation.Grid) []float64 {
	p := g.P
	length := math.Exp2(math.Round(math.Log2(p.B - p.A)))
	v := g.NewVector()
	for e := range v.U { // û is scaled by the element already
		for i := range v.U[e] {
			v.U[e][i] = 1
		}
	}
	for e := range v.Z {
		at := 0
		for _, u := range p.Unknowns {
			for d := range u.Order {
				v.Z[e][at+d] = math.Pow(length, -float64(d))
			}
			at += u.Order
		}
	}
	for i := range v.Q {
		v.Q[i] = 1
	}
	for i, t := range g.Taps() {
		v.Q[i] = math.Pow(length, -float64(t.Derivative))
	}
	return dense(g, v)
}

// values returns the finite eigenvalues of the discrete problem.
func (pc *pencil) values() ([]complex128, bool) {
	size, _ := pc.b[0].Dims()
	degree := len(pc.b) - 1
	var small *mat.Dense
	if degree == 1 {
		// B₀ v = −t B₁ v; with B₁ = E R (its nonzero rows R), 1/t is an eigenvalue of −R B₀⁻¹ E.
		k := len(pc.rows)
		if k == 0 {
			return nil, true
		}
		e := mat.NewDense(size, k, nil)
		r := mat.NewDense(k, size, nil)
		for i, row := range pc.rows {
			e.Set(row, i, 1)
			r.SetRow(i, pc.b[1].RawRowView(row))
		}
		x, ok := pc.lu.Solve(e)
		if !ok {
			return nil, false
		}
		small = blocks.Product(r, x)
		floats.Scale(-1, small.RawMatrix().Data)
	} else {
		// μ = 1/t: μ^d B₀ + μ^(d−1) B₁ + … + B_d, by its companion matrix.
		small = mat.NewDense(degree*size, degree*size, nil)
		for j := 1; j <= degree; j++ {
			x, ok := pc.lu.Solve(pc.b[j])
			if !ok {
				return nil, false
			}
			for i := range size {
				floats.ScaleTo(small.RawRowView(i)[(j-1)*size:j*size], -1, x.RawRowView(i))
			}
		}
		for i := size; i < degree*size; i++ {
			small.Set(i, i-size, 1)
		}
	}
	if !bvp.AllFinite(small.RawMatrix().Data) {
		return nil, false
	}
	mu, ok := blocks.Eigenvalues(small)
	if !ok {
		return nil, false
	}
	largest := 0.0
	for _, v := range mu {
		largest = math.Max(largest, cmplx.Abs(v))
	}
	var out []complex128
	for _, v := range mu {
		if cmplx.Abs(v) > 1e-12*largest {
			out = append(out, complex(pc.unit, 0)*(complex(pc.shift, 0)+1/v))
		}
	}
	return out, true
}

// space returns m independent functions of the null space of A(λ), nearly: by inverse iteration.
func (pc *pencil) space(lambda float64, m int) ([]*collocation.Curve, bool) {
	size, _ := pc.b[0].Dims()
	a := mat.NewDense(size, size, nil)
	t := lambda/pc.unit - pc.shift
	power := 1.0
	for _, b := range pc.b {
		floats.AddScaled(a.RawMatrix().Data, power, b.RawMatrix().Data)
		power *= t
	}
	var lu blocks.LU
	lu.Factorize(a)
	if math.IsInf(lu.Cond(), 0) {
		for i := range size { // exactly singular: any tiny disturbance will do
			row := a.RawRowView(i)
			row[i] += 1e-15 * bvp.Largest(row)
		}
		lu.Factorize(a)
	}
	x := mat.NewDense(size, m, nil)
	for i := range size {
		for j := range m {
			x.Set(i, j, pseudo(i*(j+2)+7*j))
		}
	}
	for range 3 {
		y, ok := lu.Solve(x)
		if !ok || !bvp.AllFinite(y.RawMatrix().Data) {
			return nil, false
		}
		orthonormalise(y)
		x = y
	}
	var out []*collocation.Curve
	for j := range m {
		d := blocks.Column(x, j)
		floats.Mul(d, pc.columns)
		out = append(out, pc.grid.Curve(vector(pc.grid, d)))
	}
	return out, true
}

// orthonormalise the columns (modified Gram-Schmidt, twice).
func orthonormalise(a *mat.Dense) {
	n, m := a.Dims()
	for j := range m {
		for range 2 {
			for i := range j {
				dot := 0.0
				for r := range n {
					dot += a.At(r, i) * a.At(r, j)
				}
				for r := range n {
					a.Set(r, j, a.At(r, j)-dot*a.At(r, i))
				}
			}
			norm := 0.0
			for r := range n {
				norm = math.Hypot(norm, a.At(r, j))
			}
			if norm > 0 {
				for r := range n {
					a.Set(r, j, a.At(r, j)/norm)
				}
			}
		}
	}
}
