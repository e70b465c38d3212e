package unbounded_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand"
	"runtime"
	"slices"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// posed is a problem with a closed form: want gives unknown i at x. ill says that it has no or many solutions.
type posed struct {
	sheet string
	want  func(i int, x float64) float64
	reach float64 // a length in which everything that happens has happened
	at    []float64
	ill   bool
	// slow marks an algebraic approach, which need not reach the tolerance.
	slow bool
}

func sech(x float64) float64 { return 1 / math.Cosh(x) }

func between(r *rand.Rand, a, b float64) float64 { return a + (b-a)*r.Float64() }

// decades spreads over powers of ten.
func decades(r *rand.Rand, a, b float64) float64 {
	return math.Exp(between(r, math.Log(a), math.Log(b)))
}

// The families of problems on half lines and whole lines. All are manufactured: the solution is chosen, and the
// equation and the conditions are made to suit it.
var families = []struct {
	name string
	make func(r *rand.Rand) posed
}{
	{"limits", func(r *rand.Rand) posed {
		// y'' + p y' − q y = f for y = L + A exp(−r x), q > 0: one mode grows, one falls.
		p, q, l, a, s := between(r, -3, 3), decades(r, 0.01, 100), between(r, -2, 2), between(r, -3, 3),
			decades(r, 0.05, 20)
		return posed{
			sheet: fmt.Sprintf("y'' + (%v) y' - %v y = (%v) exp(-%v x) - (%v); y(0) = %v; y(inf) = %v; 0 <= x < inf", p,
				q, a*(s*s-p*s-q), s, q*l, l+a, l),
			want: func(_ int, x float64) float64 { return l + a*math.Exp(-s*x) }, reach: 40 / s}
	}},
	{"rates", func(r *rand.Rand) posed {
		// A fast unknown with a limit and a slow one without a condition at infinity.
		k, s, v0, v1 := decades(r, 0.2, 50), decades(r, 0.003, 3), between(r, -2, 2), between(r, -2, 2)
		return posed{
			sheet: fmt.Sprintf("u'' = %v u; v'' = -%v v'; u(0) = 1; u(inf) = 0; v(0) = %v; v'(0) = %v; 0 <= x < inf",
				k*k, s, v0, v1),
			want: func(i int, x float64) float64 {
				if i == 0 {
					return math.Exp(-k * x)
				}
				return v0 - v1/s*math.Expm1(-s*x)
			}, reach: 40 / math.Min(k, s)}
	}},
	{"driven", func(r *rand.Rand) posed {
		// v' = −s v + u or v' = u, driven by a decaying u.
		k, s := decades(r, 0.1, 10), decades(r, 0.01, 1)
		if r.Intn(3) == 0 {
			return posed{
				sheet: fmt.Sprintf("u'' = %v u; v' = u; u(0) = 1; u(inf) = 0; v(0) = 0; 0 <= x < inf", k*k),
				want: func(i int, x float64) float64 {
					if i == 0 {
						return math.Exp(-k * x)
					}
					return -math.Expm1(-k*x) / k
				}, reach: 40 / k}
		}
		return posed{
			sheet: fmt.Sprintf("u' = -%v u; v' = -%v v + u; u(0) = 1; v(0) = 0; 0 <= x < inf", k, s),
			want: func(i int, x float64) float64 {
				if i == 0 {
					return math.Exp(-k * x)
				}
				return math.Exp(-s*x) * -math.Expm1((s-k)*x) / (k - s)
			}, reach: 40 / math.Min(k, s)}
	}},
	{"algebraic", func(r *rand.Rand) posed {
		// y' = c/(1 + x/s)^p.
		c, s, p := between(r, 0.2, 3), decades(r, 0.1, 10), float64(2+r.Intn(4))
		return posed{
			sheet: fmt.Sprintf("y' = %v/(1 + x/%v)^%v; y(0) = 0; 0 <= x < inf", c, s, p),
			want:  func(_ int, x float64) float64 { return c * s / (p - 1) * (1 - math.Pow(1+x/s, 1-p)) },
			reach: 1000 * s, slow: true}
	}},
	{"powers", func(r *rand.Rand) posed {
		// y'' = n (n + 1) y/(s + x)²: modes (s + x)^−n and (s + x)^(n + 1).
		s, n := decades(r, 0.3, 3), float64(1+r.Intn(4))
		return posed{
			sheet: fmt.Sprintf("y'' = %v y/(%v + x)^2; y(0) = 1; y(inf) = 0; 0 <= x < inf", n*(n+1), s),
			want:  func(_ int, x float64) float64 { return math.Pow(1+x/s, -n) }, reach: 1000 * s, slow: true}
	}},
	{"whole line", func(r *rand.Rand) posed {
		a, k, c, w := between(r, -3, 3), decades(r, 0.3, 3), between(r, -20, 20), decades(r, 0.3, 3)
		y := func(x float64) float64 { return a * sech((x-c)/w) }
		return posed{
			sheet: fmt.Sprintf("y'' - %v y = (%v) sech((x - (%v))/%v) (%v - %v sech((x - (%v))/%v)^2); y(-inf) = "+
				"0; y(inf) = 0",
				k*k, a, c, w, 1/(w*w)-k*k, 2/(w*w), c, w),
			want: func(_ int, x float64) float64 { return y(x) }, reach: 40*w + 25,
			at: []float64{-1000, -30, c, c + w, -1}}
	}},
	{"oscillating", func(r *rand.Rand) posed {
		// Damped, from data at 0; or a beam on a soft bed, with two growing modes.
		if r.Intn(2) == 0 {
			z, o := decades(r, 0.02, 0.7), decades(r, 0.3, 10)
			d := o * math.Sqrt(1-z*z)
			return posed{
				sheet: fmt.Sprintf("y'' + %v y' + %v y = 0; y(0) = 1; y'(0) = 0; 0 <= x < inf", 2*z*o, o*o),
				want: func(_ int, x float64) float64 {
					return math.Exp(-z*o*x) * (math.Cos(d*x) + z*o/d*math.Sin(d*x))
				}, reach: 40 / (z * o)}
		}
		b, p := decades(r, 0.1, 10), between(r, 0.5, 2)
		return posed{
			sheet: fmt.Sprintf("v'''' + 4 b^4 v = 0; b = %v; v(0) = %v; v'(0) = 0; v(inf) = 0; v'(inf) = 0; "+
				"0 <= x < inf", b, p),
			want: func(_ int, x float64) float64 {
				return p * math.Exp(-b*x) * (math.Cos(b*x) + math.Sin(b*x))
			}, reach: 40 / b}
	}},
	{"front", func(r *rand.Rand) posed {
		k, l := decades(r, 0.2, 5), between(r, 0.5, 3)
		if r.Intn(2) == 0 {
			return posed{
				sheet: fmt.Sprintf("y'' = 2 (%v)^2 y (y^2/%v - 1); y(0) = 0; y(inf) = %v; 0 <= x < inf", k, l*l, l),
				want:  func(_ int, x float64) float64 { return l * math.Tanh(k*x) }, reach: 40 / k}
		}
		return posed{
			sheet: fmt.Sprintf("y' = %v (%v - y^2); y(0) = 0", k/l, l*l) + "; -inf < x < inf",
			want:  func(_ int, x float64) float64 { return l * math.Tanh(k*x) }, reach: 40 / k,
			at: []float64{-100 / k, -1 / k}}
	}},
	{"pulse", func(r *rand.Rand) posed {
		// y'' = k² y − 2 (k/A)² y³ falls from y(0) = A sech(c), with the slope that says on which side.
		k, a, c := decades(r, 0.2, 5), between(r, 0.5, 3), between(r, 0.4, 1.5)
		return posed{
			sheet: fmt.Sprintf("y'' = %v y - %v y^3; y(0) = %v; y(inf) = 0; 0 <= x < inf; guess y = %v exp(-%v x)", k*k,
				2*k*k/(a*a), a*sech(c), a*sech(c), k),
			want: func(_ int, x float64) float64 { return a * sech(k*x+c) }, reach: 40 / k}
	}},
	{"layer of flow", func(r *rand.Rand) posed {
		// f''' + f f'' − f'² − M f' = 0 over a stretching wall with suction: f = w + (1 − exp(−m x))/m.
		w, m0 := between(r, -0.5, 1.5), between(r, 0, 3)
		m := (w + math.Sqrt(w*w+4*(1+m0))) / 2
		return posed{
			sheet: fmt.Sprintf("f''' + f f'' - f'^2 - %v f' = 0; f(0) = %v; f'(0) = 1; f'(inf) = 0; 0 <= x < inf", m0,
				w),
			want: func(_ int, x float64) float64 { return w - math.Expm1(-m*x)/m }, reach: 40 / m}
	}},
	{"far pulse", func(r *rand.Rand) posed {
		x0, w, a := decades(r, 20, 5000), decades(r, 0.3, 5), between(r, 0.5, 2)
		at := []float64{x0, x0 - w, x0 + 2*w, x0 + 100}
		switch r.Intn(3) {
		case 0:
			k := decades(r, 0.3, 3)
			return posed{
				sheet: fmt.Sprintf("y'' - %v y = %v sech((x - %v)/%v) (%v - %v sech((x - %v)/%v)^2); y(0) = 0; "+
					"y(inf) = 0; 0 <= x < inf",
					k*k, a, x0, w, 1/(w*w)-k*k, 2/(w*w), x0, w),
				want: func(_ int, x float64) float64 {
					return a*sech((x-x0)/w) - a*sech(x0/w)*math.Exp(-k*x)
				}, reach: 2*x0 + 100*w, at: at}
		case 1:
			return posed{
				sheet: fmt.Sprintf("y' = %v sech((x - %v)/%v)^2; y(0) = 0; 0 <= x < inf", a/w, x0, w),
				want:  func(_ int, x float64) float64 { return a * (math.Tanh((x-x0)/w) + math.Tanh(x0/w)) },
				reach: 2*x0 + 100*w, at: at}
		}
		k := decades(r, 0.3, 3)
		return posed{
			sheet: fmt.Sprintf("u'' = u; y' = -%v y + %v sech((x - %v)/%v) (1 - tanh((x - %v)/%v)/%v); u(0) = 1; "+
				"u(inf) = 0; y(0) = 0; 0 <= x < inf", k, a*k, x0, w, x0, w, w*k),
			want: func(i int, x float64) float64 {
				if i == 0 {
					return math.Exp(-x)
				}
				return a*sech((x-x0)/w) - a*sech(x0/w)*math.Exp(-k*x)
			}, reach: 2*x0 + 100*w, at: at}
	}},
	{"growing", func(r *rand.Rand) posed {
		// Polynomial growth under exponential approach: y = c + s x + A exp(−k x).
		c, s, a, k := between(r, -2, 2), between(r, -2, 2), between(r, -2, 2), decades(r, 0.1, 10)
		want := func(_ int, x float64) float64 { return c + s*x + a*math.Exp(-k*x) }
		if r.Intn(2) == 0 {
			return posed{sheet: fmt.Sprintf("y'' + %v y' = %v; y(0) = %v; y'(0) = %v; 0 <= x < inf", k, k*s, c+a,
				s-a*k), want: want, reach: 40 / k}
		}
		return posed{sheet: fmt.Sprintf("y'' = %v (y - (%v) - (%v) x); y(0) = %v; y'(inf) = %v; 0 <= x < inf", k*k, c,
			s, c+a, s), want: want, reach: 40 / k}
	}},
	{"surplus freedom", func(r *rand.Rand) posed {
		// Both modes fall: one condition at infinity holds for all of a family of solutions.
		s, q, a := decades(r, 0.05, 20), decades(r, 0.05, 20), between(r, 0.5, 2)
		switch r.Intn(5) {
		case 0:
			return posed{sheet: fmt.Sprintf("y'' + %v y' + %v y = 0; y(0) = %v; y(inf) = 0; 0 <= x < inf", s+q, s*q, a),
				ill: true}
		case 1:
			return posed{sheet: fmt.Sprintf("y'' + %v y' = 0; y(0) = %v; y'(inf) = 0; 0 <= x < inf", s, a), ill: true}
		case 2:
			return posed{sheet: fmt.Sprintf("u'' = %v u; v'' + %v v' = 0; u(0) = 1; u(inf) = 0; v(0) = %v; v'(inf) = "+
				"0; 0 <= x < inf", q*q, s, a), ill: true}
		case 3:
			return posed{sheet: fmt.Sprintf("y'' + %v y'/(1 + x) + %v y/(1 + x)^2 = 0; y(0) = %v; y(inf) = 0; "+
				"0 <= x < inf", 4+s, 2+s, a), ill: true}
		}
		return posed{sheet: fmt.Sprintf("y'' + %v y' + %v y = 0; y(0) = %v; y(inf) = 0; 0 <= x < inf", s, s*s*(0.3+q),
			a), ill: true}
	}},
	{"surplus conditions", func(r *rand.Rand) posed {
		s, a := decades(r, 0.05, 20), between(r, 0.5, 2)
		switch r.Intn(4) {
		case 0: // a limit that no solution has
			return posed{sheet: fmt.Sprintf("y'' + %v y' + %v y = 0; y(0) = 0; y(inf) = %v; 0 <= x < inf", 3*s, 2*s*s,
				a), ill: true}
		case 1: // a growing mode with all data at the left
			return posed{sheet: fmt.Sprintf("y'' = %v y; y(0) = %v; y'(0) = 0; 0 <= x < inf", s*s, a), ill: true}
		case 2: // no limit
			return posed{sheet: fmt.Sprintf("y'' + %v y = 0; y(0) = %v; y(inf) = 0; 0 <= x < inf", s*s, a), ill: true}
		}
		return posed{sheet: fmt.Sprintf("y'''' = %v y; y(0) = %v; y'(0) = 0; y''(0) = 0; y(inf) = 0; 0 <= x < inf",
			s*s*s*s, a), ill: true}
	}},
}

var (
	rows   = flag.Int("rows", 2, "problems of each family")
	only   = flag.String("family", "", "one family alone")
	seed   = flag.Int64("seed", 2, "of the random numbers")
	spoken = flag.Bool("spoken", false, "say what each run was")
)

// Manufactured problems: what is claimed covers the true error at every point asked for, beyond the last mesh point
// too.
func TestCampaign(t *testing.T) {
	n := *rows
	if runtime.GOOS == "js" {
		n = 1
	}
	for _, f := range families {
		if *only != "" && *only != f.name {
			continue
		}
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewSource(*seed))
			solved, worst, total := 0, 0.0, 0.0
			var ratios []float64
			for range n {
				q := f.make(r)
				tol := []float64{1e-4, 1e-6, 1e-8, 1e-10}[r.Intn(4)]
				sh := sheettest.Read(t, q.sheet)
				s := solver.MustSolve(sh.Problem(), solver.Options{Tol: tol})
				worst, total = math.Max(worst, s.Seconds), total+s.Seconds
				if *spoken {
					t.Logf("%.0e %s: %s %.3f s: %s", tol, q.sheet, s.Status, s.Seconds, s.Message)
				}
				if q.ill {
					if s.Status == solver.Solved {
						t.Errorf("%.0e %s: “solved”: %s", tol, q.sheet, s.Message)
					}
					continue
				}
				if s.Status != solver.Solved {
					if !q.slow {
						t.Logf("%.0e %s: %s: %s", tol, q.sheet, s.Status, s.Message)
					}
				} else {
					solved++
				}
				if s.Status != solver.Failed && s.Usable() {
					if ratio, ok := covered(t, q, s, tol); ok {
						ratios = append(ratios, ratio)
					}
				}
			}
			slices.Sort(ratios)
			median := 0.0
			if len(ratios) > 0 {
				median = ratios[len(ratios)/2]
			}
			t.Logf("%s: %d of %d solved, claimed/true median %.2g, %.2f s in all, longest %.2f s", f.name, solved, n,
				median, total, worst)
		})
	}
}

// covered holds the claims to the closed form, and returns claimed over true at the point with the largest true error.
func covered(t *testing.T, q posed, s *solver.Solution, tol float64) (ratio float64, ok bool) {
	p := s.Problem
	jet, claimed := make([]float64, p.Jet()), make([]float64, p.Jet())
	at := append(slices.Clone(s.Points()), q.at...)
	for j := range 200 {
		at = append(at, q.reach*math.Pow(10, -4+8*float64(j)/200))
	}
	most := 0.0
	for _, x := range at {
		s.At(x, jet)
		s.ErrorAt(x, claimed)
		for i := range p.Unknowns {
			k := p.JetOffset(i)
			w := q.want(i, x)
			off := math.Abs(jet[k] - w)
			slack := 2e-15 * math.Max(1, math.Abs(w)) // rounding of the truth itself
			if off > claimed[k]+slack {
				t.Errorf("%.0e %s (%s): %s(%v) = %.15g ± %.2g, true %.15g, off by %.2g; last point %v", tol, q.sheet,
					s.Status, p.Unknowns[i].Name, x, jet[k], claimed[k], w, off, s.Mesh[len(s.Mesh)-1])
				return 0, false
			}
			if s.Status == solver.Solved && off > 2*tol*math.Max(1, math.Abs(w)) && x <= s.Mesh[len(s.Mesh)-1] {
				t.Errorf("%.0e %s: solved, but %s(%v) is off by %.2g", tol, q.sheet, p.Unknowns[i].Name, x, off)
				return 0, false
			}
			if x <= q.reach && off > most && off > 1e-14 {
				most, ratio = off, claimed[k]/off
			}
		}
	}
	return ratio, ratio > 0
}
