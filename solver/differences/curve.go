package differences

import "math"

// Curve is a difference solution read back as a function: near each point the polynomial through the nearest mesh
// values, one degree higher than the order of the differences asks for.
type Curve struct {
	g *grid
	v *vector
}

// Order returns the order of the differences.
func (c *Curve) Order() int { return c.g.order }

// Mesh returns the mesh points, ascending, breaks once.
func (c *Curve) Mesh() []float64 {
	var x []float64
	for i, s := range c.g.stretches {
		for k := 0; k <= s.n; k++ {
			if k > 0 || i == 0 {
				x = append(x, s.at(float64(k)))
			}
		}
		x[len(x)-1] = c.end(i)
	}
	return x
}

// end returns the right end of stretch i, free of rounding.
func (c *Curve) end(i int) float64 {
	if i+1 < len(c.g.stretches) {
		return c.g.stretches[i+1].a
	}
	return c.g.p.B
}

// Unknowns returns how many numbers the discrete problem has, sought parameters included.
func (c *Curve) Unknowns() int { return c.g.points*c.g.n + c.g.par }

// Parameters returns the sought parameters.
func (c *Curve) Parameters() []float64 { return c.g.parameters(c.v) }

// At writes the jet at x. At a break the stretch on its left counts.
func (c *Curve) At(x float64, jet []float64) {
	i := findStretch(c.g.stretches, x)
	s := c.g.stretches[i]
	t := (x - s.a) / s.h
	// Rounding in x − a must not turn a mesh point into a place beside it.
	if r := math.Round(t); math.Abs(t-r) <= 1e-15*(math.Abs(x)+math.Abs(s.a))/s.h {
		t = r
	}
	(&reader{c: c}).at(i, t, jet)
}

// reader evaluates a curve. With a memory it reuses the weights of mesh points and mid-points; a reader belongs to
// one goroutine.
type reader struct {
	c      *Curve
	memory map[nearby][]float64
}

// nearby is a place relative to the first of the count mesh points that surround it.
type nearby struct {
	t     float64
	count int
}

func (c *Curve) reader() *reader { return &reader{c, map[nearby][]float64{}} }

// at writes the jet at t mesh widths from the left end of a stretch.
func (r *reader) at(stretch int, t float64, jet []float64) {
	g := r.c.g
	s := g.stretches[stretch]
	count := min(g.maxOrder+g.order+1, s.n+1)
	start := nearest(t, count, s.n)
	rel := t - float64(start)
	key := nearby{rel, count}
	w := r.memory[key]
	if w == nil {
		x := make([]float64, count)
		for i := range x {
			x[i] = float64(i)
		}
		w = Weights(rel, x, g.maxOrder)
		if r.memory != nil && len(r.memory) < 1000 {
			r.memory[key] = w
		}
	}
	first := s.first + start
	entry := 0
	for i, u := range g.p.Unknowns {
		f := 1.0
		for d := 0; d <= u.Order; d++ {
			sten := stencil{0, w[d*count : (d+1)*count]}
			sum, _ := sten.apply(r.c.v.y, first, g.n, i, d)
			jet[entry] = sum * f
			f /= s.h
			entry++
		}
	}
}
