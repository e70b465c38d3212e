package sheet

import (
	"math"
	"testing"
)

// TestContinuity checks what takes the place of derivatives across a break. The formulas are those of
// mechanics and heat transfer: the flux k T', the moment EI v” and the shear force (EI v”)' + P v'
// of a beam column with the axial force P (handbooks, from memory).
func TestContinuity(t *testing.T) {
	const conditions2 = "\ny(0) = 0\ny(1) = 0\n"
	const conditions4 = "\ny(0) = y''(0) = y(1) = y''(1) = 0\n"
	jump := func(x float64) float64 { // if(x < 0.4, 2, 5)
		if x < 0.4 {
			return 2
		}
		return 5
	}
	type jet = []float64
	for _, c := range []struct {
		name, text string
		want       func(x float64, y jet) []float64 // nil: the state itself
	}{
		{"flux", "(k y')' = 1" + conditions2 + "k = if(x < 0.4, 2, 5)",
			func(x float64, y jet) []float64 { return jet{y[0], jump(x) * y[1]} }},
		{"flux with a factor", "1/(1 + x) ((1 + x) k y')' = y" + conditions2 + "k = if(x < 0.4, 2, 5)",
			func(x float64, y jet) []float64 { return jet{y[0], (1 + x) * jump(x) * y[1]} }},
		{"flux on the right", "y = -(k y')'" + conditions2 + "k = if(x < 0.4, 2, 5)",
			func(x float64, y jet) []float64 { return jet{y[0], jump(x) * y[1]} }},
		{"flux of a fluid that moves", "(k y' - w y)' = 1" + conditions2 + "k = if(x < 0.4, 2, 5); w = 3 k",
			func(x float64, y jet) []float64 { return jet{y[0], jump(x) * (y[1] - 3*y[0])} }},
		{"two fluxes", "(k y')' - (w y)' = 1" + conditions2 + "k = if(x < 0.4, 2, 5); w = 3 k",
			func(x float64, y jet) []float64 { return jet{y[0], jump(x) * (y[1] - 3*y[0])} }},
		{"nonlinear flux", "(k(y) y')' = 1" + conditions2 + "k(u) = if(x < 0.4, 2, 5)*(1 + u^2)",
			func(x float64, y jet) []float64 { return jet{y[0], jump(x) * (1 + y[0]*y[0]) * y[1]} }},
		{"moment and shear force", "(EI y'')'' = 1" + conditions4 + "EI = if(x < 0.4, 2, 5)*(1 + x)",
			func(x float64, y jet) []float64 {
				k := jump(x)
				return jet{y[0], y[1], k * (1 + x) * y[2], k*(1+x)*y[3] + k*y[2]}
			}},
		{"nested", "((EI y'')')' = 1" + conditions4 + "EI = if(x < 0.4, 2, 5)",
			func(x float64, y jet) []float64 { return jet{y[0], y[1], jump(x) * y[2], jump(x) * y[3]} }},
		{"beam column", "(EI y'')'' + (P y')' = 1" + conditions4 + "EI = if(x < 0.4, 2, 5); P = 2 EI",
			func(x float64, y jet) []float64 {
				return jet{y[0], y[1], jump(x) * y[2], jump(x) * (y[3] + 2*y[1])}
			}},
		{"plate on a disc", "1/x (x (1/x (x D y')')')' = 1" + "\nx in [0.1, 1]\ny(0.1) = y''(0.1) = y(1) = " +
			"y''(1) = 0\n" + "D = if(x < 0.4, 2, 5)",
			func(x float64, y jet) []float64 {
				// x D y', then (x D y')'/x = D (y'' + y'/x), then x times its derivative.
				d := jump(x)
				return jet{y[0], x * d * y[1], d * (y[2] + y[1]/x), x * d * (y[3] + y[2]/x - y[1]/(x*x))}
			}},
		{"bare", "k y'' = 1" + conditions2 + "k = if(x < 0.4, 2, 5)", nil},
		{"no break", "(k y')' = 1" + conditions2 + "k = 1 + x", nil},
		{"derivative of the unknown itself", "(y')' = if(x < 0.4, 2, 5)" + conditions2, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Read(c.text, Options{})
			if err != nil {
				t.Fatal(err)
			}
			p := s.Problem()
			if (p.Continuity != nil) != (c.want != nil) {
				t.Fatalf("continuity given: %v", p.Continuity != nil)
			}
			if c.want == nil {
				return
			}
			got := make([]float64, p.State())
			y := []float64{0.7, -1.3, 2.1, 0.4, 5}[:p.Jet()]
			for _, x := range []float64{0.2, math.Nextafter(0.4, 0), math.Nextafter(0.4, 1), 0.9} {
				p.Continuity(x, y, got, nil)
				want := c.want(x, y)
				for i := range want {
					// A sign or the order of the operations may differ by rounding; a sign of the whole does not
					// matter.
					if math.Abs(math.Abs(got[i])-math.Abs(want[i])) > 1e-14*math.Abs(want[i]) {
						t.Errorf("at %v: quantity %d is %v, want %v", x, i, got[i], want[i])
					}
				}
			}
			checkDerivatives(t, p)
		})
	}
}

// TestContinuityOfTwo checks that in a system each unknown's flux takes its own place.
func TestContinuityOfTwo(t *testing.T) {
	s, err := Read(`(a u' + b v')' = u
		(c v')' = v
		u(0) = 0; u(1) = 1; v(0) = 0; v(1) = 1
		a = if(x < 0.4, 2, 5); b = 7; c = if(x < 0.4, 11, 13)`, Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := s.Problem()
	got := make([]float64, 4)
	y := []float64{0.7, -1.3, 2.1, 0.4, 5, 6} // u, u', u'', v, v', v''
	p.Continuity(0.5, y, got, nil)
	want := []float64{y[0], 5*y[1] + 7*y[4], y[3], 13 * y[4]}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-14*math.Abs(want[i]) {
			t.Errorf("quantity %d is %v, want %v", i, got[i], want[i])
		}
	}
}

// TestSides checks that the residual takes its side of a jump at the doubles next to the break, for
// every way to write the comparison.
func TestSides(t *testing.T) {
	for _, choice := range []string{
		"if(x < 0.4, 2, 5)", "if(x <= 0.4, 2, 5)", "if(x > 0.4, 5, 2)", "if(x >= 0.4, 5, 2)", "if(0.4 < x, 5, 2)",
		"if(0.4 >= x, 2, 5)", "if(5 x < 2, 2, 5)", "if(x^2 < 0.16, 2, 5)", "2 + 3 heaviside(x - 0.4)",
		"3.5 + 1.5 sign(x - 2/5)",
		"if(x < a, 2, 5)", "if(x < b/3, 2, 5)",
	} {
		s, err := Read("y'' = "+choice+"\ny(0) = 0\ny(1) = 0\na = 0.4\nb = 1.2", Options{})
		if err != nil {
			t.Errorf("%s: %v", choice, err)
			continue
		}
		p := s.Problem()
		if len(p.Breaks) != 1 || math.Abs(p.Breaks[0]-0.4) > 1e-15 {
			t.Errorf("%s: breaks %v", choice, p.Breaks)
			continue
		}
		f, y := make([]float64, 1), make([]float64, 3)
		for side, want := range map[float64]float64{0: -2, 1: -5} {
			p.Equations(math.Nextafter(p.Breaks[0], side), y, f, nil)
			if f[0] != want {
				t.Errorf("%s: residual %v beside the break towards %v, want %v", choice, f[0], side, want)
			}
		}
	}
}
