package report

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// wanted is what a formula of a report is: a value, or nothing.
type wanted struct {
	kind, formula string
	value         float64
	none          bool
}

// curve is a problem with its solution.
type curve struct {
	text string
	a, b float64
	y, d func(float64) float64
}

// curves makes problems with closed forms.
func aCurve(r *rand.Rand) curve {
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	round := func(v float64) float64 { return math.Round(v*1e4) / 1e4 }
	switch r.IntN(4) {
	case 0: // sin(w x + p)
		w, p, l := round(1+14*r.Float64()), round(6*r.Float64()), round(1+r.Float64())
		for math.Abs(math.Sin(w*l)) < 0.2 {
			w = round(w + 0.1)
		}
		y := func(x float64) float64 { return math.Sin(w*x + p) }
		return curve{text: fmt.Sprintf("y'' = -%s^2 y; 0<x<%s; y(0) = sin(%s); y(%s) = sin(%s*%s+%s)", num(w), num(l),
			num(p), num(l), num(w), num(l), num(p)), a: 0, b: l,
			y: y, d: func(x float64) float64 { return w * math.Cos(w*x+p) }}
	case 1: // cosh(k(x-c)) - s
		k, c := round(1+5*r.Float64()), round(0.2+0.6*r.Float64())
		s := round(math.Cosh(k*0.3) + 0.3*r.Float64())
		y := func(x float64) float64 { return math.Cosh(k*(x-c)) - s }
		return curve{text: fmt.Sprintf("y'' = %s^2 (y + %s); 0<x<1; y(0) = cosh(%s*%s)-%s; y(1) = cosh(%s*(1-%s))-%s",
			num(k), num(s), num(k), num(c), num(s), num(k), num(c), num(s)),
			a: 0, b: 1, y: y, d: func(x float64) float64 { return k * math.Sinh(k*(x-c)) }}
	case 2: // a decaying oscillation, exp(-a x) cos(w x)
		a, w := round(0.5+2*r.Float64()), round(4+10*r.Float64())
		y := func(x float64) float64 { return math.Exp(-a*x) * math.Cos(w*x) }
		return curve{text: fmt.Sprintf("y'' + 2*%s y' + (%s^2+%s^2) y = 0; 0<x<2; y(0)=1; y'(0) = -%s", num(a), num(a),
			num(w), num(a)), a: 0, b: 2,
			y: y, d: func(x float64) float64 { return math.Exp(-a*x) * (-a*math.Cos(w*x) - w*math.Sin(w*x)) }}
	}
	// a cubic
	c1, c2 := round(0.1+0.4*r.Float64()), round(0.5+0.4*r.Float64())
	y := func(x float64) float64 { return (x - c1) * (x - c2) * (x + 0.5) }
	return curve{text: fmt.Sprintf("y'' = 6 x + 2 (0.5 - %s - %s); 0<x<1; y(0) = %s*%s*0.5; y(1) = (1-%s)*(1-%s)*1.5",
		num(c1), num(c2), num(c1), num(c2), num(c1), num(c2)),
		a: 0, b: 1, y: y, d: func(x float64) float64 {
			return (x-c2)*(x+0.5) + (x-c1)*(x+0.5) + (x-c1)*(x-c2)
		}}
}

// roots finds the sign changes of g by dense sampling.
func roots(g func(float64) float64, a, b float64) []float64 {
	const n = 20000
	var out []float64
	x0, v0 := a, g(a)
	for i := 1; i <= n; i++ {
		x1 := a + (b-a)*float64(i)/n
		v1 := g(x1)
		if v0*v1 < 0 {
			l, r := x0, x1
			for range 100 {
				m := l + (r-l)/2
				if g(m)*v0 > 0 {
					l = m
				} else {
					r = m
				}
			}
			out = append(out, r)
		}
		if v1 != 0 {
			x0, v0 = x1, v1
		}
	}
	return out
}

// integrate is Gauss's rule of three points on many parts between the cuts.
func integrate(f func(float64) float64, a, b float64, cuts ...float64) float64 {
	all := append([]float64{a, b}, cuts...)
	slices.Sort(all)
	sum, c := 0.0, 0.0
	for i := range len(all) - 1 {
		l, r := all[i], all[i+1]
		if l < a || r > b {
			continue
		}
		const n = 1000
		g := func(t float64) float64 { // more points towards the ends
			t = math.Min(math.Max(t, 0), 1)
			return f(l+(r-l)*t*t*t*(10+t*(6*t-15))) * (r - l) * 30 * t * t * (1 - t) * (1 - t)
		}
		const h = 1.0 / n / 2
		for j := range n {
			m := h * float64(2*j+1)
			t := h*(5*g(m-h*math.Sqrt(0.6))+8*g(m)+5*g(m+h*math.Sqrt(0.6)))/9 - c
			s := sum + t
			c = (s - sum) - t
			sum = s
		}
	}
	return sum
}

// top is the largest value by dense sampling and golden section between the cuts, and its place.
func top(f func(float64) float64, a, b float64, cuts ...float64) (best, at float64) {
	all := append([]float64{a, b}, cuts...)
	slices.Sort(all)
	best = math.Inf(-1)
	try := func(x float64) {
		if v := f(x); v > best {
			best, at = v, x
		}
	}
	for i := range len(all) - 1 {
		l, r := math.Nextafter(all[i], 1e9), math.Nextafter(all[i+1], -1e9)
		const n = 4000
		k := 0
		most := math.Inf(-1)
		for j := 0; j <= n; j++ {
			if v := f(l + (r-l)*float64(j)/n); v > most {
				most, k = v, j
			}
		}
		lo, hi := l+(r-l)*float64(max(k-1, 0))/n, l+(r-l)*float64(min(k+1, n))/n
		for range 200 {
			p, q := lo+(hi-lo)*0.381966, lo+(hi-lo)*0.618034
			if f(p) > f(q) {
				hi = q
			} else {
				lo = p
			}
		}
		try((lo + hi) / 2)
		try(l)
		try(r)
	}
	return best, at
}

// questions are formulas of reports with their values.
func (c *curve) questions(r *rand.Rand) []wanted {
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	y, d, a, b := c.y, c.d, c.a, c.b
	var out []wanted
	add := func(kind, formula string, v float64) { out = append(out, wanted{kind, formula, v, false}) }
	none := func(kind, formula string) { out = append(out, wanted{kind, formula, math.NaN(), true}) }
	cut := math.Round((a+(b-a)*(0.2+0.6*r.Float64()))*1e3) / 1e3
	lvl := math.Round((y(a)+(y(b)-y(a))*r.Float64())*1e3) / 1e3
	ys := roots(y, a, b)
	yl := roots(func(x float64) float64 { return y(x) - lvl }, a, b)
	ds := roots(d, a, b)
	abs := func(x float64) float64 { return math.Abs(y(x)) }
	add("integral abs", "integral(abs(y))", integrate(abs, a, b, ys...))
	add("integral", "integral(y)", integrate(y, a, b))
	add("integral min", fmt.Sprintf("integral(min(y, %s))", num(lvl)),
		integrate(func(x float64) float64 { return math.Min(y(x), lvl) }, a, b, yl...))
	add("integral max", "integral(max(y, y'))", integrate(func(x float64) float64 { return math.Max(y(x), d(x)) }, a, b,
		roots(func(x float64) float64 { return y(x) - d(x) }, a, b)...))
	add("integral if", fmt.Sprintf("integral(if(y < %s, 1, 0))", num(lvl)), integrate(func(x float64) float64 {
		if y(x) < lvl {
			return 1
		}
		return 0
	}, a, b, yl...))
	add("integral sign", "integral(x sign(y'))",
		integrate(func(x float64) float64 { return x * math.Copysign(1, d(x)) }, a, b, ds...))
	add("integral power", "integral(abs(y)^1.5)", integrate(func(x float64) float64 { return math.Pow(abs(x), 1.5) }, a,
		b, ys...))
	add("integral nested", "integral(abs(abs(y) - 0.2))",
		integrate(func(x float64) float64 { return math.Abs(abs(x) - 0.2) }, a, b,
			append(roots(func(x float64) float64 { return abs(x) - 0.2 }, a, b), ys...)...))
	add("mean weight", "mean(abs(y'), x)", integrate(func(x float64) float64 { return x * math.Abs(d(x)) }, a, b,
		ds...)/((b*b-a*a)/2))
	m := integrate(y, a, b) / (b - a)
	add("variance", "mean((y - mean(y))^2)", integrate(func(x float64) float64 { return (y(x) - m) * (y(x) - m) }, a,
		b)/(b-a))
	add("deviation", "mean(abs(y - mean(y)))", integrate(func(x float64) float64 { return math.Abs(y(x) - m) }, a, b,
		roots(func(x float64) float64 { return y(x) - m }, a, b)...)/(b-a))
	narrow := math.Pow(10, -1-4*r.Float64())
	at := math.Round((a+(b-a)*(0.1+0.8*r.Float64()))*1e4) / 1e4
	bump := func(x float64) float64 { return math.Exp(-math.Pow((x-at)/narrow, 2)) * y(x) }
	add("integral narrow", fmt.Sprintf("integral(exp(-((x-%s)/%s)^2) y)", num(at), num(narrow)),
		integrate(bump, a, b, math.Max(a, at-8*narrow), math.Min(b, at+8*narrow), at))
	if b2 := 30 * narrow; b2 < b-a {
		v, _ := top(func(x float64) float64 { return bump(x) }, math.Max(a, at-8*narrow), math.Min(b, at+8*narrow), at)
		if y(at) > 0.05 {
			add("largest narrow", fmt.Sprintf("largest(exp(-((x-%s)/%s)^2) y)", num(at), num(narrow)), v)
		}
	}
	best, place := top(y, a, b)
	add("largest", "largest(y)", best)
	_ = place
	left := func(x float64) float64 {
		if x < cut {
			return y(x)
		}
		return 0
	}
	right := func(x float64) float64 { return y(x) - left(x) }
	v, _ := top(left, a, b, cut)
	add("largest if left", fmt.Sprintf("largest(if(x < %s, y, 0))", num(cut)), v)
	v, _ = top(right, a, b, cut)
	add("largest if right", fmt.Sprintf("largest(if(x > %s, y, 0))", num(cut)), v)
	v, _ = top(func(x float64) float64 { return -left(x) }, a, b, cut)
	add("smallest if", fmt.Sprintf("smallest(if(x < %s, y, 0))", num(cut)), -v)
	step := func(x float64) float64 {
		if y(x) < lvl {
			return d(x)
		}
		return -d(x)
	}
	v, _ = top(step, a, b, yl...)
	add("largest jump in y", fmt.Sprintf("largest(if(y < %s, y', -y'))", num(lvl)), v)
	v, _ = top(abs, a, b, ys...)
	add("largest abs", "largest(abs(y))", v)
	v, _ = top(func(x float64) float64 { return -abs(x) }, a, b, ys...)
	add("smallest abs", "smallest(abs(y))", -v)
	if len(ys) > 0 {
		k := r.IntN(len(ys))
		add("zero", fmt.Sprintf("zero(y, %d)", k+1), ys[k])
		none("zero touching", "zero(y^2)")
		none("zero touching", "zero(abs(y))")
		none("pole", "integral(1/y)")
		none("pole", "largest(abs(1/y))")
		none("pole", "largest(1/y)")
	}
	none("zero too many", fmt.Sprintf("zero(y, %d)", len(ys)+1))
	if len(ds) > 0 {
		add("zero slope", "zero(y')", ds[0])
	}
	if len(yl) > 0 {
		add("zero level", fmt.Sprintf("zero(y - %s)", num(lvl)), yl[0])
		add("zero jump", fmt.Sprintf("zero(if(x < %s, -1, 1) (2 + sin(y)))", num(cut)), cut)
	}
	add("integral root", "integral(sqrt(abs(y)))", math.NaN())
	add("sum", fmt.Sprintf("largest(abs(y)) - integral(abs(y), %s, %s)/2", num(a), num(cut)), func() float64 {
		v, _ := top(abs, a, b, ys...)
		return v - integrate(abs, a, cut, ys...)/2
	}())
	return out
}

// sharp are the kinds in which claims are held to ten times the error in the median.
var sharp = []string{
	"deviation", "integral", "integral abs", "integral max", "integral min", "integral narrow", "integral nested",
	"integral power", "integral(u v)", "integral(u)", "integral(u^# + (v/#)^#)", "mean weight", "variance",
}

// TestCampaign asks many formulas of many solutions whose closed forms are known; the wanted values come from the
// closed forms by dense sampling and a rule of three points. A claim covers the miss, and no number is given where
// there is none. REPORTS says how many problems are made. What is claimed is held against the true error where it is
// more than 32 rounding units, and more than the accuracy of the wanted value.
func TestCampaign(t *testing.T) {
	n := 12
	if v, err := strconv.Atoi(os.Getenv("REPORTS")); err == nil {
		n = v
	}
	ratios := map[string][]float64{}
	var all []float64
	asked, given, unsolved := 0, 0, 0
	for i := range n {
		r := rand.New(rand.NewPCG(uint64(i), 7))
		c := aCurve(r)
		tol := []float64{1e-4, 1e-6, 1e-8, 1e-10}[i%4]
		q := c.questions(r)
		if i%3 == 2 {
			c.text, q = others(r)
		}
		var text strings.Builder
		text.WriteString(c.text)
		for _, w := range q {
			text.WriteString("\nreport " + w.formula)
		}
		sh := sheettest.Read(t, text.String())
		s := solver.MustSolve(sh.Problem(), solver.Options{Tol: tol})
		if s.Status != solver.Solved {
			unsolved++
			continue
		}
		for k, g := range All(sh, s) {
			w := q[k]
			switch {
			case math.IsNaN(w.value) && !w.none:
				continue
			case w.none:
				if g.Fault == "" {
					t.Errorf("%s\n%s = %v ± %.1e, and there is none", c.text, w.formula, g.Value, g.Error)
				}
				continue
			}
			asked++
			if g.Fault != "" {
				t.Logf("%s tol %g\n%s: %s, want %v", c.text, tol, w.formula, g.Fault, w.value)
				ratios["no number: "+w.kind] = append(ratios["no number: "+w.kind], 1)
				continue
			}
			given++
			miss := math.Abs(g.Value - w.value)
			floor := 2e-14 * math.Max(1, math.Abs(w.value))
			if !(miss <= g.Error+floor) {
				t.Errorf("%s tol %g\n%s = %.15g ± %.1e, want %.15g (off by %.1e)", c.text, tol, w.formula, g.Value,
					g.Error, w.value, miss)
			}
			// else it is rounding, as in solver/cmd/campaign
			if g.Error > math.Max(floor, 32*0x1p-52*math.Abs(w.value)) {
				ratios[w.kind] = append(ratios[w.kind], g.Error/math.Max(miss, floor))
				all = append(all, g.Error/math.Max(miss, floor))
			}
		}
	}
	var kinds []string
	for k := range ratios {
		kinds = append(kinds, k)
	}
	slices.Sort(kinds)
	for _, k := range kinds {
		list := ratios[k]
		slices.Sort(list)
		t.Logf("%-20s %4d  claimed over true: median %.2g, largest %.2g", k, len(list), list[len(list)/2],
			list[len(list)-1])
		if m := list[len(list)/2]; m > 10 && len(list) >= 20 && slices.Contains(sharp, k) {
			t.Errorf("%s: the claims are larger than the errors by %.2g in the median", k, m)
		}
	}
	slices.Sort(all)
	median := all[len(all)/2]
	t.Logf("%d asked, %d given; %d problems of %d not solved; claimed over true: median %.2g", asked, given, unsolved,
		n, median)
	if (asked-given)*100 > asked || unsolved*100 > n || median > 10 {
		t.Error("too few numbers are given, or their claims are too large")
	}
}
