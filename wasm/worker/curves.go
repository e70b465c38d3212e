package worker

import (
	"math"
	"sort"

	"nodespan/expr/figure"
	"nodespan/expr/plot"
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
	drawn := s.drawing()
	c := &wire.Curves{
		Variable: s.Problem.VariableName(), Unit: s.sheet.Unit(s.Problem.VariableName(), 0), WholeA: a, WholeB: b,
		Nodes: drawn.Nodes, Mesh: s.Mesh,
	}
	nodes := drawn.AtNodes()
	for i, k := range drawn.Columns {
		c.Columns = append(c.Columns, wire.Column{Label: k.Label, Unit: k.Unit, Derivative: k.Derivative,
			Nodes: nodes[i]})
	}
	add := func(x0, x1 float64, most, strip int) {
		if !(x0 < x1) {
			return
		}
		x, y, exact := drawn.Sample(x0, x1, plot.Sampling{Max: most})
		r := drawn.Residual(x0, x1, 0, strip)
		skip := 0 // the first point is there already
		if n := len(c.X); n > 0 && len(x) > 0 && x[0] == c.X[n-1] {
			skip = 1
		}
		c.X = append(c.X, x[skip:]...)
		for i := range c.Columns {
			c.Columns[i].Y = append(c.Columns[i].Y, y[i][skip:]...)
			if exact[i] != nil {
				c.Columns[i].Exact = append(c.Columns[i].Exact, exact[i][skip:]...)
			}
		}
		c.ResidualX, c.Residual = append(c.ResidualX, r.X[skip:]...), append(c.Residual, r.Y[skip:]...)
	}
	add(a, from, pointsBeside, stripBeside)
	add(from, to, pointsSeen, stripSeen)
	add(to, b, pointsBeside, stripBeside)
	c.Worst = worst(c)
	return c
}

// drawing returns what is drawn of the solution.
func (s *solved) drawing() *figure.Curves {
	if s.drawn == nil {
		s.drawn = figure.NewCurves(s.sheet, s.Solution, true)
	}
	return s.drawn
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
