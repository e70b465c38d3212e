package ladder

import (
	"math"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

func exactly(f func(x float64) float64) func(float64, int) (float64, bool) {
	return func(x float64, _ int) (float64, bool) { return f(x), true }
}

// runge is y″ = f with the solution 1/(1 + a² x²) on [−1, 1]: poles at ±i/a, on the Bernstein ellipse ρ = (1 + √(1 +
// a²))/a.
func runge(a float64) (*bvp.Problem, func(float64) float64) {
	y := func(x float64) float64 { return 1 / (1 + a*a*x*x) }
	y2 := func(x float64) float64 {
		q := 1 + a*a*x*x
		return (6*a*a*x*x - 2) * a * a / (q * q * q)
	}
	return bvptest.Scalar(2, -1, 1, func(x float64, in []float64) (float64, []float64) {
		return in[2] - y2(x),
			[]float64{0, 0, 1}
	},
		bvptest.Given(-1, 0, 0, y(-1)), bvptest.Given(1, 0, 0, y(1))), y
}

// pole is y″ = f with the solution 1/(c − x) on [−1, 1]: one pole, on the Bernstein ellipse ρ = c + √(c² − 1).
func pole(c float64) (*bvp.Problem, func(float64) float64) {
	y := func(x float64) float64 { return 1 / (c - x) }
	return bvptest.Scalar(2, -1, 1, func(x float64, in []float64) (float64, []float64) {
		return in[2] - 2/math.Pow(c-x, 3), []float64{0, 0, 1}
	}, bvptest.Given(-1, 0, 0, y(-1)), bvptest.Given(1, 0, 0, y(1))), y
}

// wave is y″ + 9 y = 0 with the solution sin(3x).
func wave() (*bvp.Problem, func(float64) float64) {
	return bvptest.Scalar(2, 0, 1, func(_ float64, in []float64) (float64, []float64) {
			return in[2] + 9*in[0], []float64{9, 0, 1}
		}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, math.Sin(3))),
		func(x float64) float64 { return math.Sin(3 * x) }
}

// layer is eps y″ + y' = 0 with a layer at 0.
func layer(eps float64) (*bvp.Problem, func(float64) float64) {
	return bvptest.Scalar(2, 0, 1, func(_ float64, in []float64) (float64, []float64) {
			return eps*in[2] + in[1],
				[]float64{0, 1, eps}
		},
			bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 1)),
		func(x float64) float64 { return math.Expm1(-x/eps) / math.Expm1(-1/eps) }
}
