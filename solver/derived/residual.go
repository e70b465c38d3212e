package derived

import (
	"math"

	"nodespan/solver"
)

// Residual returns what is left of the equations at x as a function of x, relative to the size of their terms: of all
// equations the largest of
//
//	|F| / max over the node table of Σ |∂F/∂y y|
//
// where y runs through the jet and the sought parameters, so that it means the same in any units. What cannot be told
// from 0 is put at a quarter of the distance from 1 to the next double, for a logarithmic scale.
func Residual(s *solver.Solution) func(x float64) float64 {
	p := s.Problem
	jets, n := p.Jet(), len(p.Unknowns)
	all := jets + len(p.Parameters)
	in, f, df := make([]float64, all), make([]float64, n), make([]float64, n*all)
	for i, found := range s.Sought() {
		in[jets+i] = found.Value
	}
	terms := make([]float64, n)
	for _, x := range s.Points() {
		s.At(x, in[:jets])
		p.Equations(x, in, f, df)
		for i := range terms {
			sum := 0.0
			for j, v := range in {
				sum += math.Abs(df[i*all+j] * v)
			}
			if !math.IsNaN(sum) && !math.IsInf(sum, 0) {
				terms[i] = math.Max(terms[i], sum)
			}
		}
	}
	for i, t := range terms {
		if t == 0 {
			terms[i] = 1
		}
	}
	const rounding = 5e-17
	return func(x float64) float64 {
		s.Residual(x, f)
		largest := rounding
		for i, r := range f {
			if math.IsNaN(r) {
				return r
			}
			largest = math.Max(largest, math.Abs(r)/terms[i])
		}
		return largest
	}
}
