package slips

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// change is what a slip does to a problem. The zero value does nothing.
type change struct {
	// equation and conditions multiply the k-th derivative, there and there; nil: by 1.
	equation, conditions []float64
	// from says which derivative stands for the k-th in the equations (and in the conditions if exchanged there too);
	// nil: itself.
	from     []int
	fromAlso bool
	// coefficients says where coefficients are evaluated; nil: at x.
	coefficients func(x float64) float64
	// mirrored conditions are taken at the other end.
	mirrored []bool
	// lowered says which derivative stands for each derivative in the conditions; nil: itself. It applies to the
	// conditions in loweredIn.
	lowered   func(k int) int
	loweredIn []bool
}

// apply returns the problem with the change; p itself is not changed.
func (c *change) apply(p *bvp.Problem) *bvp.Problem {
	q := *p
	q.Continuity, q.With, q.Constants, q.Rounding = nil, nil, nil, nil
	q.Equations = c.equations(p)
	switch {
	case c.coefficients != nil:
		q.Formulas = nil // they change elsewhere
	case c.equation != nil || c.from != nil:
		q.Formulas = p.Formulas.Still()
	}
	q.Conditions = slices.Clone(p.Conditions)
	for i := range q.Conditions {
		q.Conditions[i] = c.condition(p, i)
	}
	return &q
}

func (c *change) equations(p *bvp.Problem) bvp.Residuals {
	if c.equation == nil && c.from == nil && c.coefficients == nil {
		return p.Equations
	}
	n, jet, width := len(p.Unknowns), p.Jet(), p.Jet()+len(p.Parameters)
	source, scale := make([]int, jet), make([]float64, jet)
	for u := range p.Unknowns {
		o := p.JetOffset(u)
		for k := range p.Unknowns[u].Order + 1 {
			source[o+k], scale[o+k] = o+k, 1
			if c.from != nil && k < len(c.from) && c.from[k] <= p.Unknowns[u].Order {
				source[o+k] = o + c.from[k]
			}
			if c.equation != nil {
				scale[o+k] = c.equation[k]
			}
		}
	}
	in, rows := make([]float64, width), make([]float64, n*width)
	return func(x float64, given, f, df []float64) {
		if c.coefficients != nil {
			x = c.coefficients(x)
		}
		for k, s := range source {
			in[k] = scale[k] * given[s]
		}
		copy(in[jet:], given[jet:])
		if df == nil {
			p.Equations(x, in, f, nil)
			return
		}
		p.Equations(x, in, f, rows)
		for i := range n {
			to, row := df[i*width:(i+1)*width], rows[i*width:(i+1)*width]
			clear(to[:jet])
			for k, s := range source {
				if row[k] != 0 {
					to[s] += scale[k] * row[k]
				}
			}
			copy(to[jet:], row[jet:])
		}
	}
}

func (c *change) condition(p *bvp.Problem, i int) bvp.Condition {
	old := p.Conditions[i]
	new := old
	new.At = slices.Clone(old.At)
	scale := make([]float64, len(old.At))
	for k := range new.At {
		v := &new.At[k]
		scale[k] = 1
		if c.conditions != nil {
			scale[k] = c.conditions[v.Derivative]
		}
		if c.fromAlso && v.Derivative < len(c.from) && c.from[v.Derivative] <= p.Unknowns[v.Unknown].Order {
			v.Derivative = c.from[v.Derivative]
		}
		if c.lowered != nil && c.loweredIn[i] {
			v.Derivative = c.lowered(v.Derivative)
		}
		if c.mirrored != nil && c.mirrored[i] {
			switch v.X {
			case p.A:
				v.X = p.B
			case p.B:
				v.X = p.A
			}
		}
	}
	if c.conditions == nil {
		return new
	}
	in := make([]float64, len(scale)+len(p.Parameters))
	new.Rounding = nil
	new.Residual = func(given, dg []float64) float64 {
		copy(in, given)
		for k, s := range scale {
			in[k] *= s
		}
		g := old.Residual(in, dg)
		if dg != nil {
			for k, s := range scale {
				dg[k] *= s
			}
		}
		return g
	}
	return new
}

// uses is what occurs in a problem, found by trying a few points.
type uses struct {
	linear bool
	// equation and conditions say which derivatives occur there.
	equation, conditions []bool
	// variable says that the equations depend on x itself.
	variable bool
}

// jetsTried is how many arguments are tried to find out what a problem depends on.
const jetsTried = 5

func inspect(p *bvp.Problem, around curve) uses {
	most := 0
	for _, u := range p.Unknowns {
		most = max(most, u.Order)
	}
	u := uses{linear: true, equation: make([]bool, most+1), conditions: make([]bool, most+1)}
	n, width := len(p.Unknowns), p.Jet()+len(p.Parameters)
	in, in2 := make([]float64, width), make([]float64, width)
	f, f2 := make([]float64, n), make([]float64, n)
	df, df2 := make([]float64, n*width), make([]float64, n*width)
	// Arguments that are not special: near the solution, moved by irregular amounts.
	vary := func(to, from []float64, seed int) {
		for k := range to {
			to[k] = from[k] + (0.3+math.Abs(from[k]))*0.25*math.Sin(float64(7*k+13*seed+1))
		}
	}
	for i := range jetsTried {
		x := p.A + (p.B-p.A)*(0.5+0.45*math.Sin(float64(3*i+1)))
		around(x, in[:p.Jet()])
		vary(in2, in, i)
		p.Equations(x, in, f, df)
		p.Equations(x, in2, f2, df2)
		for e := range n {
			for k := range width {
				a, b := df[e*width+k], df2[e*width+k]
				u.linear = u.linear && math.Abs(a-b) <= 1e-12*(math.Abs(a)+math.Abs(b))
			}
			for v, unknown := range p.Unknowns {
				for k := range unknown.Order + 1 {
					u.equation[k] = u.equation[k] || df2[e*width+p.JetOffset(v)+k] != 0
				}
			}
		}
		p.Equations(x+0.01*(p.B-p.A), in2, f, nil)
		for e := range n {
			u.variable = u.variable || math.Abs(f[e]-f2[e]) > 1e-13*math.Max(math.Abs(f[e]), math.Abs(f2[e]))
		}
	}
	u.linear = u.linear && len(p.Parameters) == 0
	for i := range p.Conditions {
		c := &p.Conditions[i]
		w := len(c.At) + len(p.Parameters)
		a, b, da, db := make([]float64, w), make([]float64, w), make([]float64, w), make([]float64, w)
		vary(a, a, 3)
		vary(b, a, 5)
		c.Residual(a, da)
		c.Residual(b, db)
		for k, v := range c.At {
			u.linear = u.linear && math.Abs(da[k]-db[k]) <= 1e-12*(math.Abs(da[k])+math.Abs(db[k]))
			u.conditions[v.Derivative] = u.conditions[v.Derivative] || db[k] != 0
		}
	}
	return u
}
