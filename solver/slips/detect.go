package slips

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// likely is a family and number of nodes.
type likely struct {
	rule rule
	n    int
}

// detect returns the families whose nodes the points are, on the problem's interval or on a reference interval, with or
// without the ends; and the exact places of the points where these differ from what is written.
func detect(p *bvp.Problem, xs []float64, unit float64) (found []likely, points [][]float64) {
	sorted := slices.Clone(xs)
	slices.Sort(sorted)
	sorted = slices.Compact(sorted)
	intervals := []reference{{p.A, p.B, ""}}
	for _, r := range references {
		if !r.is(p) {
			intervals = append(intervals, r)
		}
	}
	for _, in := range intervals {
		length := in.b - in.a
		if math.IsInf(length, 0) || unit > 0.1*length {
			continue
		}
		slack := 0.51*unit + 1e-9*length
		for _, r := range rules {
			for n := max(1, len(sorted)-2); n <= len(sorted) && n <= mostDetected; n++ {
				all := []float64{in.a}
				for _, t := range r.interior(n) {
					all = append(all, in.a+length*(1+t)/2)
				}
				all = append(all, in.b)
				// The nodes, without the ends that the table leaves out.
				from, to := 0, len(all)
				if math.Abs(all[0]-sorted[0]) > slack {
					from++
				}
				if math.Abs(all[to-1]-sorted[len(sorted)-1]) > slack {
					to--
				}
				if to-from != len(sorted) {
					continue
				}
				fits, exact := true, true
				place := map[float64]float64{}
				for i, x := range sorted {
					d := math.Abs(all[from+i] - x)
					fits, exact = fits && d <= slack, exact && d <= 1e-12*length
					place[x] = all[from+i]
				}
				if !fits {
					continue
				}
				if l := (likely{r, n}); !slices.Contains(found, l) {
					found = append(found, l)
				}
				if exact {
					continue
				}
				q := make([]float64, len(xs))
				for i, x := range xs {
					q[i] = place[x]
				}
				points = append(points, q)
			}
		}
	}
	return found, points
}

// mostDetected bounds the numbers of nodes that are recognised.
const mostDetected = 64

// regular reports whether the points lie on a grid of their unit that a person would choose: few distinct steps.
func regular(xs []float64, unit float64) bool {
	sorted := slices.Clone(xs)
	slices.Sort(sorted)
	var steps []float64
	for i := 1; i < len(sorted); i++ {
		h := sorted[i] - sorted[i-1]
		if !slices.ContainsFunc(steps, func(o float64) bool { return math.Abs(o-h) <= 0.1*unit }) {
			steps = append(steps, h)
		}
	}
	return len(steps) <= max(1, len(sorted)/4)
}

// intervals returns the smallest number of equal steps that all points lie on, 0 when there is none up to a limit.
func intervals(p *bvp.Problem, xs []float64) int {
	for k := 2; k <= mostSteps; k++ {
		on := true
		for _, x := range xs {
			s := (x - p.A) / (p.B - p.A) * float64(k)
			on = on && math.Abs(s-math.Round(s)) <= 1e-6 && s > -0.5 && s < float64(k)+0.5
		}
		if on {
			return k
		}
	}
	return 0
}

const mostSteps = 200
