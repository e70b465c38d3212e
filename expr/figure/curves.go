package figure

import (
	"math"

	"nodespan/expr/plot"
	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/derived"
)

// Curves are the functions of a solution that are drawn, on the page and in files: its unknowns, their derivatives
// below the order if wanted, and beside them the exact solutions that the sheet has.
type Curves struct {
	Columns []Column
	// A and B are the ends of what is drawn; an unbounded interval has finite ones.
	A, B float64
	// Nodes are the points of the node table.
	Nodes []float64

	sheet    *sheet.Sheet
	s        *solver.Solution
	jet      []float64
	exact    int // how many exact curves there are
	residual func(x float64) float64
}

// Column is one function.
type Column struct {
	Label, Unit         string
	Unknown, Derivative int
	place               int // in the jet
	exact               int // which exact curve belongs to it, -1 for none
}

// NewCurves returns those of a usable solution.
func NewCurves(sh *sheet.Sheet, s *solver.Solution, derivatives bool) *Curves {
	p := s.Problem
	c := &Curves{Nodes: s.Points(), sheet: sh, s: s, jet: make([]float64, p.Jet()), residual: derived.Residual(s)}
	c.A, c.B = c.Nodes[0], c.Nodes[len(c.Nodes)-1]
	for i, u := range p.Unknowns {
		for k := range u.Order {
			if k > 0 && !derivatives {
				break
			}
			column := Column{bvp.Derivative(u.Name, k), sh.Unit(u.Name, k), i, k, p.JetOffset(i) + k, -1}
			if k == 0 && sh.HasExact(i) {
				column.exact = c.exact
				c.exact++
			}
			c.Columns = append(c.Columns, column)
		}
	}
	return c
}

// at writes every column at x, and then the exact solutions.
func (c *Curves) at(x float64, out []float64) {
	c.s.At(x, c.jet)
	for i, k := range c.Columns {
		out[i] = c.value(k, x)
		if k.exact < 0 {
			continue
		}
		v, ok := c.sheet.Exact(x, k.Unknown)
		if !ok {
			v = math.NaN()
		}
		out[len(c.Columns)+k.exact] = v
	}
}

// value is a column's at x, where the jet is known; none where the unknown does not count.
func (c *Curves) value(k Column, x float64) float64 {
	if lo, hi := c.s.Problem.Counts(k.Unknown); x < lo || x > hi {
		return math.NaN()
	}
	return c.jet[k.place]
}

// Sample samples the columns from a to b: y has one curve for each column, exact too, nil where the sheet has no exact
// solution.
func (c *Curves) Sample(a, b float64, s plot.Sampling) (x []float64, y, exact [][]float64) {
	s.Seeds = append(c.Nodes[:len(c.Nodes):len(c.Nodes)], c.s.Mesh...)
	n := len(c.Columns)
	x, y = plot.Sample(c.at, n+c.exact, a, b, s)
	exact = make([][]float64, n)
	for i, k := range c.Columns {
		if k.exact >= 0 {
			exact[i] = y[n+k.exact]
		}
	}
	return x, y[:n], exact
}

// AtNodes returns the values of each column at the nodes.
func (c *Curves) AtNodes() [][]float64 {
	out := make([][]float64, len(c.Columns))
	for _, x := range c.Nodes {
		c.s.At(x, c.jet)
		for i, k := range c.Columns {
			out[i] = append(out[i], c.value(k, x))
		}
	}
	return out
}

// ResidualAt is what is left of the equations at x, relative to the size of their terms (package derived).
func (c *Curves) ResidualAt(x float64) float64 { return c.residual(x) }

// Residual samples what is left of the equations, from a to b.
func (c *Curves) Residual(a, b, width float64, most int) plot.Curve {
	return plot.SampleLog(c.residual, a, b, plot.Sampling{Seeds: c.s.Mesh, Width: width, Height: 200, Tol: 0.5,
		Max: most})
}
