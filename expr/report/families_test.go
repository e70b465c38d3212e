package report

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
)

var digits = regexp.MustCompile(`[0-9.]+`)

// others makes problems of further kinds with reports in closed form: on half lines, with breaks, systems,
// eigenfunctions, far from 0.
func others(r *rand.Rand) (text string, out []wanted) {
	round := func(v float64) float64 { return math.Round(v*1e4) / 1e4 }
	add := func(formula string, v float64) {
		out = append(out, wanted{kind: strings.Trim(digits.ReplaceAllString(formula, "#"), " "), formula: formula,
			value: v})
	}
	none := func(formula string) {
		out = append(out, wanted{kind: "none", formula: formula, value: math.NaN(), none: true})
	}
	switch r.IntN(5) {
	case 0: // c exp(-k x) on a half line
		k, c := round(0.5+2*r.Float64()), round(1+2*r.Float64())
		lvl := round(c * (0.1 + 0.8*r.Float64()))
		at := round(0.2 + r.Float64())
		text = fmt.Sprintf("y'' = %v^2 y; 0<=x<inf; y(0)=%v; y(inf)=0", k, c)
		z := math.Log(c/lvl) / k
		y := func(x float64) float64 { return c * math.Exp(-k*x) }
		add("integral(y)", c/k)
		add("integral(y^2)", c*c/(2*k))
		add("integral(x y)", c/(k*k))
		add("integral(abs(y'))", c)
		add(fmt.Sprintf("integral(max(y, %v) - %v)", lvl, lvl), (c-lvl)/k-lvl*z)
		add(fmt.Sprintf("integral(if(x > %v, y, 0))", at), y(at)/k)
		add(fmt.Sprintf("zero(y - %v)", lvl), z)
		add(fmt.Sprintf("largest(if(x > %v, y, 0))", at), y(at))
		add("y(2)", y(2))
		add("integral(y, 1, 3)", (y(1)-y(3))/k)
		add("mean(y, exp(-x))", c/(k+1))
		add(fmt.Sprintf("integral(if(y > %v, 1, 0), 0, 30)", lvl), z)
		far := round(50 + 1000*r.Float64())
		add(fmt.Sprintf("integral(exp(-(x-%v)^2))", far), math.Sqrt(math.Pi))
		add(fmt.Sprintf("largest(exp(-(x-%v)^2))", far), 1)
		add(fmt.Sprintf("largest_at(exp(-(x-%v)^2))", far), far)
		add(fmt.Sprintf("zero(x - %v)", far), far)
		add("largest(x/(1+x))", 1)
		add("mean(y, exp(-x/30))", c/(k+1/30.0)/30)
		none("largest(x)")
		none("largest(ln(1+x))")
		none("largest_at(x/(1+x))")
		none("integral(1/(1+x))")
		none(fmt.Sprintf("integral(abs(y - %v))", lvl))
		none("zero(y)")
	case 1: // two conductivities
		k1, k2, c := round(0.5+2*r.Float64()), round(3+2*r.Float64()), round(0.2+0.6*r.Float64())
		q := 1 / (c/k1 + (1-c)/k2)
		text = fmt.Sprintf("k = if(x<%v, %v, %v); (k T')' = 0; 0<x<1; T(0)=0; T(1)=1", c, k1, k2)
		mid := q * c / k1
		add("largest(T')", q/k1)
		add("smallest(T')", q/k2)
		add("integral(T')", 1)
		add("integral(T'^2)", q*q*(c/k1/k1+(1-c)/k2/k2))
		add("mean(T)", mid*c/2+(1-c)*(mid+1)/2)
		add(fmt.Sprintf("zero(T' - %v)", round((q/k1+q/k2)/2)), c)
		add(fmt.Sprintf("integral(abs(T - %v))", round(mid/2)), func() float64 {
			l := round(mid / 2)
			z := l / mid * c
			return l*z/2 + (mid-l)*(c-z)/2 + (1-c)*((mid+1)/2-l)
		}())
		add(fmt.Sprintf("zero(T - %v)", round((mid+1)/2)), c+(round((mid+1)/2)-mid)/(1-mid)*(1-c))
		none("zero(T)")
		none("zero(T')")
		none(fmt.Sprintf("T'(%v)", c))
	case 2: // u' = v, v' = -w^2 u: u = sin(w x), v = w cos(w x)
		w := round(1 + 6*r.Float64())
		text = fmt.Sprintf("u' = v; v' = -%v^2 u; 0<x<1; u(0)=0; v(0)=%v", w, w)
		half := math.Pi / 2 / w
		add("integral(u)", (1-math.Cos(w))/w)
		add("integral(u^2 + (v/"+fmt.Sprint(w)+")^2)", 1)
		add("integral(u v)", math.Sin(w)*math.Sin(w)/2)
		add("largest(u^2)", func() float64 {
			if half < 1 {
				return 1
			}
			return math.Sin(w) * math.Sin(w)
		}())
		if half < 0.95 {
			add("zero(v)", half)
			add("largest_at(u, 0, "+fmt.Sprint(round(math.Min(1, 2*half)))+")", half)
			add("integral(u sign(v))", func() float64 {
				f := func(x float64) float64 { return math.Sin(w*x) * math.Copysign(1, math.Cos(w*x)) }
				return integrate(f, 0, 1, roots(func(x float64) float64 { return math.Cos(w * x) }, 0, 1)...)
			}())
		} else if half > 1.05 {
			none("zero(v)")
		}
		none("zero(u^2 + v^2)")
	case 3: // sin(pi x/L), the first eigenfunction, of either sign
		l := round(0.5 + 2*r.Float64())
		text = fmt.Sprintf("y'' + lambda y = 0; y(0)=0; y(%v)=0; lambda = ?", l)
		add("lambda", math.Pi*math.Pi/l/l)
		add("integral(abs(y)) / largest(abs(y))", 2*l/math.Pi)
		add("integral(y'^2) / integral(y^2) / lambda", 1)
		add("largest_at(abs(y))", l/2)
		add("zero(y')", l/2)
		add("mean(abs(y'))/largest(abs(y))", 2/l)
		none("zero(y)")
	case 4: // far from 0: cos(w (x - a))
		a := math.Round(math.Pow(10, 1+4*r.Float64()))
		w := round(2 + 6*r.Float64())
		text = fmt.Sprintf("y'' = -%v^2 y; %v<x<%v; y(%v)=1; y'(%v)=0", w, a, a+2, a, a)
		add("integral(y)", math.Sin(2*w)/w)
		add("zero(y)", a+math.Pi/2/w)
		add("integral(abs(y))", integrate(func(x float64) float64 { return math.Abs(math.Cos(w * x)) }, 0, 2,
			roots(func(x float64) float64 { return math.Cos(w * x) }, 0, 2)...))
		add(fmt.Sprintf("largest(if(x > %v, y^2, 0), %v, %v)", a+0.1, a, a+0.2),
			math.Pow(math.Max(math.Abs(math.Cos(w*0.1)), math.Abs(math.Cos(w*0.2))), 2))
		add("smallest_at(y)", a+math.Pi/w)
		if 3*math.Pi/w < 2 || math.Pi/w > 2 {
			out = out[:len(out)-1] // two places, or an end
		}
	}
	return text, out
}
