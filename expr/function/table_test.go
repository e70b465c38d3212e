package function

import (
	"math"
	"testing"
)

// TestFacts: every function has each of its facts.
func TestFacts(t *testing.T) {
	names := map[string]string{}
	for _, f := range All() {
		lacks := func(what string, missing bool) {
			if missing {
				t.Errorf("%s has no %s", f.Name, what)
			}
		}
		for _, n := range append([]string{f.Name}, f.Aliases...) {
			if of, ok := names[n]; ok {
				t.Errorf("%s is a name of %s and of %s", n, of, f.Name)
			}
			names[n] = f.Name
		}
		lacks("number of arguments", f.Args < 1)
		lacks("rounding", f.Rounding == 0)
		lacks("LaTeX", f.LaTeX == "")
		lacks("display", f.Display == "")
		for language, c := range map[string]Code{"Python": f.Python, "Octave": f.Octave} {
			lacks("way to be written in "+language, c.Call == "" && (c.Lacks == "" || !f.Derived))
		}
		if f.Name == "min" || f.Name == "max" || f.Name == "if" {
			continue // operations of the tape
		}
		lacks("value", !f.HasValue())
		lacks("enclosure", f.enclose == nil)
		lacks("derivative", f.Ordered == nil && f.Slope == nil || f.Ordered != nil && f.Above == 0)
		lacks("differential", f.Ordered == nil && f.Of == nil && f.Differential == "")
	}
	if f, ok := ByName("J1"); !ok || f.Of.Name != "besselJ" || f.At(0, 1) != math.Jn(1, 1) {
		t.Error("J1 is not besselJ of order 1")
	}
}

// TestSwitches: a function that has no switch has a value and no jump anywhere between −50 and 50, but for the gamma
// function, whose poles no formula of the argument tells of.
func TestSwitches(t *testing.T) {
	for _, f := range All() {
		if !f.HasValue() || f.Switch.At != "" || f.Name == "gamma" || f.Name == "polygamma" {
			continue
		}
		const h = 1e-4
		for x := -50.0; x < 50; x += 0.0137 {
			v, w := f.At(1, x), f.At(1, x+h)
			if math.IsInf(v, 0) && v == w {
				continue // beyond doubles
			}
			most := 2 * h * (math.Abs(f.SlopeAt(1, x, v)) + math.Abs(f.SlopeAt(1, x+h, w)))
			if !(math.Abs(v-w) <= most+1e-6*(1+math.Abs(v))) {
				t.Fatalf("%s is %g at %g and %g at %g, and has no switch", f.Name, v, x, w, x+h)
			}
		}
	}
}

// TestBeyond: extended numbers give what doubles do where both serve.
func TestBeyond(t *testing.T) {
	for _, f := range All() {
		if f.beyond == nil {
			continue
		}
		for _, x := range []float64{0.3, 1.7, 12, 60} {
			v := f.Value(x)
			got, slope := f.Beyond(0, Widen(x)), f.SlopeBeyond(0, Widen(x), Widen(v))
			want := f.SlopeAt(0, x, v)
			near := func(a, b float64) bool { return math.Abs(a-b) <= 4e-14*math.Abs(b) }
			if g, s := got.Narrow(), slope.Narrow(); !near(g, v) || !near(s, want) {
				t.Errorf("%s at %g: %v with the slope %v, want %v and %v", f.Name, x, g, s, v, want)
			}
		}
	}
}
