package sheet

import (
	"math"
	"testing"
)

// Places where a formula switches are found however near they are to each other (to what cancels in the formula), and
// none where it only touches.
func TestSwitches(t *testing.T) {
	for _, c := range []struct {
		formula string
		want    []float64
	}{
		{"if(abs(x - 0.6) < 1e-3, 1, 0)", []float64{0.599, 0.6, 0.601}},
		{"if(abs(49740 (x - 0.05996)) < 1, 1, 0)", []float64{0.05996 - 1./49740, 0.05996, 0.05996 + 1./49740}},
		{"max(-1, min(1, (x - 0.3)/1e-6))", []float64{0.3 - 1e-6, 0.3 + 1e-6}},
		{"if((x - 0.25)^2 < 1e-12, 5, 0)", []float64{0.25 - 1e-6, 0.25 + 1e-6}},
		{"heaviside(x^2 - 1.4 x + 0.49 - 1e-10)", []float64{0.7 - 1e-5, 0.7 + 1e-5}},
		{"abs(exp(-((x - 0.4)/1e-4)^2) - 0.5)", []float64{0.4 - 1e-4*math.Sqrt(math.Ln2),
			0.4 + 1e-4*math.Sqrt(math.Ln2)}},
		{"abs((x - 0.5)^2)", nil},
		{"if(x < 2, 1, 0)", nil},
		{"sign(cos(2 pi x))", []float64{0.25, 0.75}},
	} {
		sh, err := Read("y'' = "+c.formula+"; y(0) = 0; y(1) = 0", Options{})
		if err != nil {
			t.Errorf("%s: %v", c.formula, err)
			continue
		}
		got := sh.Problem().Breaks
		if len(got) != len(c.want) {
			t.Errorf("%s switches at %.17g, want %.17g", c.formula, got, c.want)
			continue
		}
		for i, x := range c.want {
			if math.Abs(got[i]-x) > 1e-10 {
				t.Errorf("%s switches at %.17g, want %.17g", c.formula, got[i], x)
			}
		}
	}
}
