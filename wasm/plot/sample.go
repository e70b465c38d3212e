package plot

// Sampling says how finely to sample. The zero value is sensible.
type Sampling struct {
	// Width and Height are those of the picture in device pixels; 0 means 1600 and 800.
	Width, Height float64
	// Seeds are points that must be among the samples (nodes, mesh), in any order; those outside a … b are left out.
	// A layer narrower than a few pixels is found only if a seed lies in it or at its edge.
	Seeds []float64
	// Max bounds the number of points; 0 means 2000.
	Max int
	// Tol is the largest allowed deviation of the drawn line from the curve in device pixels; 0 means 0.3.
	Tol float64
}

// Sample evaluates f, which writes its n values at x into out, at ascending points from a to b, as many as
// the drawn lines need, and returns them: y[i][k] is value i at x[k]. Values that are not finite are kept: they are gaps.
func Sample(f func(x float64, out []float64), n int, a, b float64, s Sampling) (x []float64, y [][]float64) {
	return nil, nil
}

// SampleLog is Sample for the size of f on a logarithmic axis, as the residual strip has it: |f(x)| at each point.
func SampleLog(f func(x float64) float64, a, b float64, s Sampling) Curve { return Curve{} }
