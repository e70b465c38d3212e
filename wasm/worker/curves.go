package worker

import (
	"math"
	"sort"

	"nodespan/solver/table"
	"nodespan/wasm/plot"
	"nodespan/wasm/wire"
)

// How many points a curve may have: in the part that is looked at, and in each part beside it, which
// is there for the moment of moving on.
const (
	pointsSeen   = 1600
	pointsBeside = 300
	stripSeen    = 400 // the residual strip is low, and its dips are endless
	stripBeside  = 100
)

// curves samples the solution, densely from from to to and sparsely beside; 0 and 0 mean the whole interval.
func (s *solved) curves(from, to float64) *wire.Curves {
	a, b := s.ab()
	if !(from < to) {
		from, to = a, b
	}
	width := to - from
	from, to = math.Max(a, from-width/4), math.Min(b, to+width/4)
	c := &wire.Curves{
		Variable: table.Variable(s.Problem), WholeA: a, WholeB: b,
		Nodes: s.Points(), Mesh: s.Mesh,
	}

	// The columns of the table, then the exact solutions that the sheet gives.
	p := s.Problem
	jet := make([]float64, p.Jet())
	var places []int // in the jet, of each column
	var exact []int  // unknown, of each exact solution
	for i, u := range p.Unknowns {
		for k := range u.Order {
			places = append(places, p.JetOffset(i)+k)
			c.Columns = append(c.Columns, wire.Column{Label: table.Derivative(u.Name, k), Derivative: k})
		}
		if s.sheet.HasExact(i) {
			exact = append(exact, i)
		}
	}
	f := func(x float64, out []float64) {
		s.At(x, jet)
		for i, k := range places {
			out[i] = jet[k]
		}
		for i, unknown := range exact {
			v, ok := s.sheet.Exact(x, unknown)
			if !ok {
				v = math.NaN()
			}
			out[len(places)+i] = v
		}
	}
	y := make([][]float64, len(places)+len(exact))
	add := func(x0, x1 float64, most, strip int) {
		if !(x0 < x1) {
			return
		}
		x, part := plot.Sample(f, len(y), x0, x1, plot.Sampling{Seeds: append(c.Nodes[:len(c.Nodes):len(c.Nodes)], c.Mesh...), Max: most})
		r := plot.SampleLog(s.residual, x0, x1, plot.Sampling{Seeds: c.Mesh, Height: 200, Tol: 0.5, Max: strip})
		if n := len(c.X); n > 0 && len(x) > 0 && x[0] == c.X[n-1] {
			x, r.X, r.Y = x[1:], r.X[1:], r.Y[1:]
			for i := range part {
				part[i] = part[i][1:]
			}
		}
		c.X = append(c.X, x...)
		for i := range y {
			y[i] = append(y[i], part[i]...)
		}
		c.ResidualX, c.Residual = append(c.ResidualX, r.X...), append(c.Residual, r.Y...)
	}
	add(a, from, pointsBeside, stripBeside)
	add(from, to, pointsSeen, stripSeen)
	add(to, b, pointsBeside, stripBeside)

	for i := range places {
		c.Columns[i].Y = y[i]
	}
	c.Worst = worst(c)
	for i, unknown := range exact {
		for j := range c.Columns {
			if c.Columns[j].Derivative == 0 && places[j] == p.JetOffset(unknown) {
				c.Columns[j].Exact = y[len(places)+i]
			}
		}
	}
	for _, x := range c.Nodes {
		s.At(x, jet)
		for i, k := range places {
			c.Columns[i].Nodes = append(c.Columns[i].Nodes, jet[k])
		}
	}
	return c
}

// worst returns the gap between neighbouring points of the node table in which the residual is largest; nil where it is
// everywhere so small that it says nothing.
func worst(c *wire.Curves) []float64 {
	const small = 1e-12
	most, at := 0.0, math.NaN()
	for i, r := range c.Residual {
		if r > most && !math.IsInf(r, 0) {
			most, at = r, c.ResidualX[i]
		}
	}
	if most < small || len(c.Nodes) < 2 {
		return nil
	}
	k := min(max(sort.SearchFloat64s(c.Nodes, at), 1), len(c.Nodes)-1)
	return []float64{c.Nodes[k-1], c.Nodes[k]}
}

// rounding is where a relative residual stops to say anything: a quarter of the distance from 1 to the next number.
const rounding = 5e-17

// residual is what is left of the equations at x, relative to the size of their terms: the largest of them.
func (s *solved) residual(x float64) float64 {
	if s.terms == nil {
		s.measure()
	}
	s.Residual(x, s.left)
	largest := 0.0
	for i, r := range s.left {
		if math.IsNaN(r) {
			return math.NaN()
		}
		largest = math.Max(largest, math.Abs(r)/s.terms[i])
	}
	return math.Max(largest, rounding)
}

// measure finds how large the terms of each equation are on the interval, so that a residual means the
// same in any units: the largest value of
//
//	sum over the entries y of the jet of |dF/dy y|
//
// at the points of the node table; 1 where that is 0.
func (s *solved) measure() {
	p := s.Problem
	jets, inputs := p.Jet(), p.Jet()+len(p.Parameters)
	in, f, df := make([]float64, inputs), make([]float64, len(p.Unknowns)), make([]float64, len(p.Unknowns)*inputs)
	for i, found := range s.Found {
		in[jets+i] = found.Value
	}
	s.terms, s.left = make([]float64, len(p.Unknowns)), make([]float64, len(p.Unknowns))
	for _, x := range s.Points() {
		s.At(x, in[:jets])
		p.Equations(x, in, f, df)
		for i := range s.terms {
			sum := 0.0
			for j, v := range in {
				sum += math.Abs(df[i*inputs+j] * v)
			}
			if !math.IsNaN(sum) && !math.IsInf(sum, 0) {
				s.terms[i] = math.Max(s.terms[i], sum)
			}
		}
	}
	for i, t := range s.terms {
		if t == 0 {
			s.terms[i] = 1
		}
	}
}
