package eigen

import (
	"cmp"
	"math"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"nodespan/solver/adapt"
	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// separate reads the eigenvalues off the solutions of the closed problems. The solutions y_i of a group satisfy A y_i +
// Σ_l Λ_il A' y_l = 0 with a small matrix Λ, so that its eigenvalues are those of the problem, and its left
// eigenvectors combine the y_i to eigenfunctions. Where these cannot be told apart the eigenvalue is multiple, and the
// y_i serve themselves.
func separate(sols []*adapt.Answer, mean, unit float64) ([]mode, bool) {
	m := len(sols)
	if m == 1 {
		par := sols[0].Curve.Grid().Parameters(sols[0].Curve.V)
		// ρ is near 1: rounding of it is part of the error whatever two solutions agree on.
		est, one := sols[0].Estimate, 1.0/(1<<52)
		rounded := one
		if len(est.Rounded) > 0 {
			rounded += est.Rounded[0]
		}
		return []mode{{mean + unit*(par[0]-1), unit * (est.Parameters[0] + one), unit * rounded, 1, sols[0]}}, true
	}
	lambda := mat.NewDense(m, m, nil) // the transpose of Λ, less the mean
	err := 0.0
	for i, sol := range sols {
		par := sol.Curve.Grid().Parameters(sol.Curve.V)
		lambda.Set(i, i, unit*(par[0]-1))
		sum := unit * sol.Estimate.Parameters[0]
		quality := FunctionError(sol)
		for j, at := range others(m, i) {
			nu := unit * (par[1+j] - 1)
			lambda.Set(at, i, nu)
			sum += unit*sol.Estimate.Parameters[1+j] + math.Abs(nu)*quality
		}
		err = math.Max(err, sum)
	}
	err *= float64(m)
	if !bvp.AllFinite(lambda.RawMatrix().Data) {
		return nil, false
	}
	values, ok := blocks.Eigenvalues(lambda)
	if !ok {
		return nil, false
	}
	order := make([]int, m)
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(i, j int) bool { return cmp.Less(real(values[order[i]]), real(values[order[j]])) })
	gap := math.Inf(1) // the smallest distance between two
	split := true
	for i, at := range order {
		if math.Abs(imag(values[at])) > err {
			split = false
		}
		if i > 0 {
			gap = math.Min(gap, real(values[at])-real(values[order[i-1]]))
		}
	}
	var out []mode
	if !split || gap <= 10*err {
		spread := real(values[order[m-1]]) - real(values[order[0]])
		for i, at := range order {
			e := err + math.Min(spread, 10*err) + math.Abs(imag(values[at]))
			out = append(out, mode{mean + real(values[at]), e, e, m, sols[i]})
		}
		return out, true
	}
	for _, at := range order {
		c, ok := eigenvector(lambda, real(values[at]))
		if !ok {
			return nil, false
		}
		out = append(out, mode{mean + real(values[at]), err, err, 1, combined(sols, c, err/gap)})
	}
	return out, true
}

// eigenvector returns that of a matrix which belongs to a simple eigenvalue, of length 1, by inverse iteration.
func eigenvector(a *mat.Dense, value float64) ([]float64, bool) {
	m, _ := a.Dims()
	shifted := blocks.Copy(a)
	// Off by a little, so that the equations are not singular: each step then gains about as many digits.
	value += 1e-10 * math.Max(math.Abs(value), blocks.Norm(a))
	for i := range m {
		shifted.Set(i, i, shifted.At(i, i)-value)
	}
	var lu blocks.LU
	lu.Factorize(shifted)
	v := make([]float64, m)
	for i := range v {
		v[i] = 1 / float64(i+1) // along no eigenvector of note
	}
	for range 4 {
		if !lu.SolveVec(v) {
			return nil, false
		}
		floats.Scale(1/floats.Norm(v, 2), v)
	}
	return v, bvp.AllFinite(v)
}

// others lists 0 … m−1 without i.
func others(m, i int) []int {
	var out []int
	for j := range m {
		if j != i {
			out = append(out, j)
		}
	}
	return out
}

// combined is a combination of answers on one mesh, with its error estimate; mixing is the relative error of the
// coefficients.
func combined(sols []*adapt.Answer, c []float64, mixing float64) *adapt.Answer {
	var curves []*collocation.Curve
	for _, sol := range sols {
		curves = append(curves, sol.Curve)
	}
	first := sols[0].Estimate
	out := *sols[0]
	out.Curve = blend(curves, c)
	est := &adapt.Estimate{Mesh: first.Mesh, Floor: make([]float64, len(first.Floor)),
		Scale: make([]float64, len(first.Scale)), Parameters: first.Parameters, Sought: first.Sought}
	for range first.Local {
		est.Local = append(est.Local, make([]float64, len(first.Floor)))
	}
	largestC := bvp.Largest(c)
	for j, sol := range sols {
		f := math.Abs(c[j])
		for i := range est.Floor {
			est.Floor[i] += f * sol.Estimate.Floor[i]
			est.Scale[i] += f * sol.Estimate.Scale[i]
			for e := range est.Local {
				est.Local[e][i] += f*sol.Estimate.Local[e][i] + mixing*largestC*sol.Estimate.Scale[i]
			}
		}
	}
	out.Estimate = est
	return &out
}
