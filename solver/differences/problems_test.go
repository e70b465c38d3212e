package differences

import (
	"math"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

// sample is a problem with a closed form: exact returns derivative d of unknown u at x.
type sample struct {
	name  string
	p     *bvp.Problem
	exact func(x float64, u, d int) float64
	par   []float64
}

// sine returns the d-th derivative of sin(w x).
func sine(w, x float64, d int) float64 {
	return math.Pow(w, float64(d)) * math.Sin(w*x+float64(d)*math.Pi/2)
}

// samples are problems whose closed forms are checked by substitution: a sine, an exponential or a rational
// function in equations of every kind that the package is asked for.
func samples() []sample {
	exp := func(x float64, _, _ int) float64 { return math.Exp(x) }
	sin3 := func(x float64, _, d int) float64 { return sine(3, x, d) }
	return []sample{
		{name: "first order", exact: exp, p: bvptest.Scalar(1, 0, 1, func(_ float64, y []float64) (float64, []float64) {
			return y[1] - y[0], []float64{-1, 1}
		}, bvptest.Given(0, 0, 0, 1))},
		{name: "first order, condition inside", exact: exp,
			p: bvptest.Scalar(1, 0, 1, func(_ float64, y []float64) (float64, []float64) {
				return y[1] - y[0], []float64{-1, 1}
			}, bvptest.Given(0.3, 0, 0, math.Exp(0.3)))},
		{name: "values at both ends", exact: sin3,
			p: bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
				return y[2] + 9*y[0], []float64{9, 0, 1}
			}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, math.Sin(3)))},
		{name: "slopes at both ends", exact: sin3,
			p: bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
				return y[2] + 9*y[0], []float64{9, 0, 1}
			}, bvptest.Given(0, 0, 1, 3), bvptest.Given(1, 0, 1, 3*math.Cos(3)))},
		{name: "slope inside", exact: sin3, p: bvptest.Scalar(2, 0, 1,
			func(x float64, y []float64) (float64, []float64) {
				return y[2] + x*y[1] + 9*y[0] - x*3*math.Cos(3*x), []float64{9, x, 1}
			}, bvptest.Given(0.25, 0, 1, 3*math.Cos(0.75)), bvptest.Given(1, 0, 0, math.Sin(3)))},
		{name: "periodic", exact: func(x float64, _, d int) float64 { return sine(1, x, d) },
			p: bvptest.Scalar(2, 0, 2*math.Pi, func(x float64, y []float64) (float64, []float64) {
				return y[2] - y[0] + 2*math.Sin(x), []float64{-1, 0, 1}
			}, bvptest.Equal(0, 2*math.Pi, 0, 0), bvptest.Equal(0, 2*math.Pi, 0, 1))},
		{name: "nonlinear", exact: func(x float64, _, d int) float64 { // y″ = 3 y²/2, y = 4/(1+x)²
			return []float64{4 / (1 + x) / (1 + x), -8 / math.Pow(1+x, 3), 24 / math.Pow(1+x, 4)}[d]
		}, p: bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
			return y[2] - 1.5*y[0]*y[0], []float64{-3 * y[0], 0, 1}
		}, bvptest.Given(0, 0, 0, 4), bvptest.Given(1, 0, 0, 1))},
		{name: "singular end", exact: func(x float64, _, d int) float64 { // sinh(3x)/x, a catalyst pellet
			if d > 1 || x == 0 {
				return math.NaN()
			}
			return []float64{math.Sinh(3*x) / x / math.Sinh(3),
				(3*x*math.Cosh(3*x) - math.Sinh(3*x)) / x / x / math.Sinh(3)}[d]
		}, p: bvptest.Scalar(2, 0, 1, func(x float64, y []float64) (float64, []float64) {
			return y[2] + 2/x*y[1] - 9*y[0], []float64{-9, 2 / x, 1}
		}, bvptest.Given(0, 0, 1, 0), bvptest.Given(1, 0, 0, 1))},
		{name: "third order", exact: exp, p: bvptest.Scalar(3, 0, 1, func(_ float64, y []float64) (float64, []float64) {
			return y[3] - y[0], []float64{-1, 0, 0, 1}
		}, bvptest.Given(0, 0, 0, 1), bvptest.Given(0, 0, 1, 1), bvptest.Given(1, 0, 0, math.E))},
		{name: "fourth order, clamped", exact: sin3,
			p: bvptest.Scalar(4, 0, 1, func(_ float64, y []float64) (float64, []float64) {
				return y[4] - 81*y[0], []float64{-81, 0, 0, 0, 1}
			}, bvptest.Given(0, 0, 0, 0), bvptest.Given(0, 0, 1, 3), bvptest.Given(1, 0, 0, math.Sin(3)),
				bvptest.Given(1, 0, 1, 3*math.Cos(3)))},
		{name: "fourth order, free end", exact: sin3,
			p: bvptest.Scalar(4, 0, 1, func(_ float64, y []float64) (float64, []float64) {
				return y[4] + 4*y[0] - 85*y[0], []float64{-81, 0, 0, 0, 1}
			}, bvptest.Given(0, 0, 0, 0), bvptest.Given(0, 0, 1, 3), bvptest.Given(1, 0, 2, sine(3, 1, 2)),
				bvptest.Given(1, 0, 3, sine(3, 1, 3)))},
		{name: "sixth order", exact: func(x float64, _, d int) float64 { return sine(6, x, d) },
			p: bvptest.Scalar(6, 0, 1, func(_ float64, y []float64) (float64, []float64) {
				return y[6]/46656 + y[0], []float64{1, 0, 0, 0, 0, 0, 1. / 46656}
			}, bvptest.Given(0, 0, 0, 0), bvptest.Given(0, 0, 1, 6), bvptest.Given(0, 0, 2, 0),
				bvptest.Given(1, 0, 0, math.Sin(6)), bvptest.Given(1, 0, 1, sine(6, 1, 1)),
				bvptest.Given(1, 0, 2, sine(6, 1, 2)))},
		{name: "sought number", exact: func(x float64, _, d int) float64 { return sine(2.5, x, d) },
			par: []float64{6.25},
			p: func() *bvp.Problem {
				p := bvptest.Scalar(2, 0, 1, nil, bvptest.Given(0, 0, 0, 0), bvptest.Given(0, 0, 1, 2.5),
					bvptest.Given(1, 0, 0, math.Sin(2.5)))
				p.Parameters = []bvp.Parameter{{Name: "k", Guess: 5, HasGuess: true}}
				p.Guess = func(x float64, jet []float64) { jet[0], jet[1], jet[2] = 3*x*(1-x), 3-6*x, -6 }
				p.Equations = func(_ float64, in, f, df []float64) {
					f[0] = in[2] + in[3]*in[0]
					if df != nil {
						copy(df, []float64{in[3], 0, 1, in[0]})
					}
				}
				return p
			}()},
		// u' = 2v, v' = −2u
		{name: "first-order system",
			exact: func(x float64, u, d int) float64 { return sine(2, x, d+u) / math.Pow(2, float64(u)) },
			p: &bvp.Problem{A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "u", Order: 1}, {Name: "v", Order: 1}},
				Equations: func(_ float64, in, f, df []float64) {
					// In an order and a form in which neither equation is the one of its own unknown.
					f[0], f[1] = in[3]+2*in[0], in[1]-2*in[2]
					if df != nil {
						copy(df, []float64{2, 0, 0, 1, 0, 1, -2, 0})
					}
				}, Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 1, 0, math.Cos(2))}}},
		// u″ = −4u, v' = −2u
		{name: "mixed orders", exact: func(x float64, u, d int) float64 {
			return sine(2, x, d+u) / math.Pow(2,
				float64(u))
		},
			p: &bvp.Problem{A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "u", Order: 2}, {Name: "v", Order: 1}},
				Equations: func(_ float64, in, f, df []float64) {
					f[0], f[1] = in[2]-2*in[4], in[4]+2*in[0]
					if df != nil {
						copy(df, []float64{0, 0, 1, 0, -2, 2, 0, 0, 0, 1})
					}
				}, Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, math.Sin(2)),
					bvptest.Given(0, 1, 0, 1)}}},
		{name: "break with a flux", exact: func(x float64, _, d int) float64 {
			// (k y')' = −9 k sin(3x) … k = 1 left of 0.4 and 2 right of it, y = sin(3x) on the left; on the right
			// the flux k y' is continuous: y = sin(3x)/2 + c with c from continuity.
			if x <= 0.4 {
				return sine(3, x, d)
			}
			v := sine(3, x, d) / 2
			if d == 0 {
				v += math.Sin(1.2) / 2
			}
			return v
		}, p: func() *bvp.Problem {
			k := func(x float64) float64 {
				if x < 0.4 {
					return 1
				}
				return 2
			}
			p := bvptest.Scalar(2, 0, 1, func(x float64, y []float64) (float64, []float64) {
				return k(x)*y[2] + 9*math.Sin(3*x), []float64{0, 0, k(x)}
			}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, (math.Sin(3)+math.Sin(1.2))/2))
			p.Breaks = []float64{0.4}
			p.Continuity = func(x float64, in, f, df []float64) {
				f[0], f[1] = in[0], k(x)*in[1]
				if df != nil {
					copy(df, []float64{1, 0, 0, 0, k(x), 0})
				}
			}
			return p
		}()},
		{name: "eighth order", exact: func(x float64, _, d int) float64 { return sine(9, x, d) },
			p: bvptest.Scalar(8, 0, 1, func(_ float64, y []float64) (float64, []float64) {
				w8 := math.Pow(9, 8)
				return y[8]/w8 - y[0], []float64{-1, 0, 0, 0, 0, 0, 0, 0, 1 / w8}
			}, bvptest.Given(0, 0, 0, 0), bvptest.Given(0, 0, 1, 9), bvptest.Given(0, 0, 2, 0),
				bvptest.Given(0, 0, 3, sine(9, 0, 3)), bvptest.Given(1, 0, 0, sine(9, 1, 0)),
				bvptest.Given(1, 0, 1, sine(9, 1, 1)),
				bvptest.Given(1, 0, 2, sine(9, 1, 2)), bvptest.Given(1, 0, 3, sine(9, 1, 3)))},
	}
}
