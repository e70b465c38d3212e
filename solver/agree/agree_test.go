package agree_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/solver/agree"
)

// Whatever method is first, the others confirm it, and the digits that they claim to share are shared with the closed
// form.
func TestMethodsAgree(t *testing.T) {
	sheets := []struct{ text string }{
		{"y'' - y = x\ny(0) = 0, y(1) = 0\nexact y = sinh(x)/sinh(1) - x"},
		{"y'' + 4 y' + 5 y = 0\ny(0) = 1\ny'(2) = 0\nexact y = exp(-2 x) (cos(x) + sin(x) (2 cos(2) + " +
			"sin(2))/(cos(2) - 2 sin(2)))"},
		{"v'''' = 24\nv(0) = v'(0) = v(1) = v'(1) = 0\nexact v = x^2 (1 - x)^2"},
		{"y'' = 3 y^2/2\ny(0) = 4, y(1) = 1\nexact y = 4/(1 + x)^2"},
	}
	for _, c := range sheets {
		for _, m := range []solver.Method{solver.One, solver.Pieces, solver.Differences} {
			sh, s := sheettest.Solved(t, c.text, solver.Options{Method: m, Tol: 1e-8})
			r := agree.Compare(s, agree.Options{At: []float64{0.5}})
			want := 7.0
			if s.Status != solver.Solved { // fourth differences of order 2 drown in rounding, and say so
				want = 3
			}
			if r.Disagree || r.Digits < want || len(r.Checks) != 2 {
				t.Errorf("%s, %s first: %s", c.text, m, told(r))
				continue
			}
			for _, k := range r.Checks {
				if len(k.Points) != 1 || k.Method == m {
					t.Errorf("%s: %+v", k.How, k.Points)
					continue
				}
				exact, _ := sh.Exact(0.5, 0)
				worse := math.Max(math.Abs(k.Points[0].First-exact), math.Abs(k.Points[0].Second-exact))
				if off := worse / math.Abs(exact); off > 3*math.Pow(10, -k.Points[0].Digits)+math.Pow(10, -want) {
					t.Errorf("%s, %s first, %s: said to agree to %.1f digits, off by %.1e", c.text, m, k.How,
						k.Points[0].Digits, off)
				}
			}
		}
	}
}

// told is a comparison in short.
func told(r *agree.Report) string {
	out := fmt.Sprintf("disagree %v, %.1f digits", r.Disagree, r.Digits)
	for _, c := range r.Checks {
		out += fmt.Sprintf("; %s: %s, %.1f digits, excess %.2g at %g, sought %v", c.How, c.Solution.Status, c.Digits,
			c.Excess, c.ExcessX, c.Sought)
	}
	return out
}

// A first solution that is not one of its problem is called out, by every method.
func TestDisagreementIsLoud(t *testing.T) {
	_, s := sheettest.Solved(t, "y'' - y = x\ny(0) = 0, y(1) = 0", solver.Options{})
	s.Problem = sheettest.Read(t, "y'' - 1.0001 y = x\ny(0) = 0, y(1) = 0").Problem()
	r := agree.Compare(s, agree.Options{})
	if !r.Disagree || len(r.Checks) != 2 || !(r.Checks[0].Excess > 1) || !(r.Checks[1].Excess > 1) {
		t.Error(told(r))
	}
}

// Of the two answers the second method goes for the one in question (the reference set's pair "two answers").
func TestSameBranch(t *testing.T) {
	_, s := sheettest.Solved(t, "y'' = (3/2) y^2\ny(0) = 4, y(1) = 1\nguess y = 4 - 3 x - 52 x (1 - x)",
		solver.Options{})
	if r := agree.Compare(s, agree.Options{}); r.Disagree || r.Digits < 6 {
		t.Error(told(r))
	}
}

// Infinity and eigenvalues: the second methods know neither. The cut-off is elsewhere, and the eigenvalue a sought
// number.
func TestBeyondBounded(t *testing.T) {
	for _, text := range []string{
		"y'' = y\ny(0) = 1\ny(inf) = 0",
		"2 f''' + f f'' = 0\nf(0) = 0\nf'(0) = 0\nf'(inf) = 1",
		"u'' = 2 u^3 - 2 u\nu(0) = 0\nu(inf) = 1",
		"y'' = y - 2 exp(-x^2)\ny(-inf) = 0\ny(inf) = 0",
		"y'' + lambda y = 0\ny(0) = y(1) = 0\nlambda = ?",
		"(r R')' + lambda r R = 0\nR'(0) = 0\nR(1) = 0\nlambda = ?",
		"w'''' = lambda w\nw(0) = w'(0) = 0\nw''(1) = w'''(1) = 0\nlambda = ?",
		"y'' + (lambda - x^2) y = 0\ny(-inf) = 0\ny(inf) = 0\nlambda = ?",
	} {
		_, s := sheettest.Solved(t, text, solver.Options{})
		r := agree.Compare(s, agree.Options{})
		t.Log(text, told(r))
		if r.Disagree || r.Digits < 6 {
			t.Errorf("%s: %s", text, told(r))
		}
		if len(s.Eigenvalues) > 0 && (len(r.Checks[0].Sought) != 1 || !(r.Checks[0].Sought[0] >= 6)) {
			t.Errorf("%s: %s", text, told(r))
		}
	}
}

// An eigenvalue that is not its problem's is called out.
func TestWrongEigenvalueIsLoud(t *testing.T) {
	_, s := sheettest.Solved(t, "y'' + lambda y = 0\ny(0) = y(1) = 0\nlambda = ?", solver.Options{})
	s.Problem = sheettest.Read(t, "y'' + (lambda + 0.001) y = 0\ny(0) = y(1) = 0\nlambda = ?").Problem()
	r := agree.Compare(s, agree.Options{})
	if c := r.Checks[0]; !r.Disagree || !(c.Excess > 1) || !math.IsNaN(c.ExcessX) {
		t.Error(told(r))
	}
}

func TestExactSolutions(t *testing.T) {
	for _, c := range []struct {
		text         string
		satisfies    bool
		residual, at float64 // of the equation, its largest
		misses       int
		by           float64
		largest, rms float64 // of the computed solution against it; 0: tiny
		says         string
	}{
		// sinh(x)/sinh(1) − x is right.
		{"y'' - y = x\ny(0) = 0, y(1) = 0\nexact y = sinh(x)/sinh(1) - x", true, 0, 0, 0, 0, 0, 0,
			"satisfies the equation and the conditions"},
		// With + x it leaves y'' − y − x = −2x, misses y(1) = 0 by 2, and is 2x above the answer: in the mean square
		// 2/√3.
		{"y'' - y = x\ny(0) = 0, y(1) = 0\nexact y = sinh(x)/sinh(1) + x", false, 2, 1, 1, 2, 2, 2 / math.Sqrt(3),
			"misses y(1) = 0 by 2"},
		// Satisfies the equation, and not the condition y(0) = 1 by 1/10: the answer is 1, it is 1.1 − x/10.
		{"y'' = 0\ny(0) = 1, y(1) = 1\nexact y = 1.1 - x/10", false, 0, 0, 1, 0.1, 0.1, 0.1 / math.Sqrt(3),
			"misses y(0) = 1 by 0.1"},
		// Right where it has a value: sin(x)/x has none at 0.
		{"y'' + (2/x) y' + y = 0\ny'(0) = 0\ny(1) = sin(1)\nexact y = sin(x)/x", true, 0, 0, 0, 0, 0, 0, "satisfies"},
		// One of two unknowns.
		{"u' = v, v' = -u\nu(0) = 0\nv(0) = 1\n0 <= x <= 2\nexact u = sin(x)", true, 0, 0, 0, 0, 0, 0, "satisfies"},
		// With a sought number, in the equation and in a condition: y = x − x², k = −2.
		{"y'' = k\ny(0) = 0, y(1) = 0, y'(0) - y'(1) + k y(1/2) = 3/2\nk = ?\nexact y = x - x^2", true, 0, 0, 0, 0, 0,
			0,
			"satisfies"},
	} {
		sh, s := sheettest.Solved(t, c.text, solver.Options{Tol: 1e-10})
		r := agree.Exact(s, sh.ExactJet())
		if r.Satisfies != c.satisfies || len(r.Misses) != c.misses || !strings.Contains(r.Sentence, c.says) {
			t.Errorf("%s: %s", c.text, r.Sentence)
			continue
		}
		if c.residual > 0 && (math.Abs(math.Abs(r.Absolute)/r.ResidualX-c.residual) > 1e-6 || r.ResidualX > c.at) {
			t.Errorf("%s: residual %g at %g", c.text, r.Absolute, r.ResidualX)
		}
		if c.misses > 0 && math.Abs(math.Abs(r.Misses[0].By)-c.by) > 1e-9 {
			t.Errorf("%s: misses by %g", c.text, r.Misses[0].By)
		}
		if math.Abs(r.Largest-c.largest) > 1e-8 || math.Abs(r.RMS-c.rms) > 1e-4*c.rms+1e-8 || len(r.Curve) < 100 {
			t.Errorf("%s: largest %g, root mean square %g, %d points", c.text, r.Largest, r.RMS, len(r.Curve))
		}
	}
}

// Differences that are judged by themselves raise no false alarm where their meshes see nothing of what happens: near
// resonance, and where the solution oscillates faster than they do. They say so, or agree.
func TestNoFalseAlarm(t *testing.T) {
	for _, text := range []string{
		"y'' + (2 pi)^2 (1 - 3.83e-07) y = exp(x) (1 + (2 pi)^2 (1 - 3.83e-07))\ny(0) = 1\ny(1) = exp(1)",
		"y'' + pi^2 (1 + 1e-5) y = exp(x) (1 + pi^2 (1 + 1e-5))\ny(0) = 1\ny(1) = exp(1)",
		"y'' + y = (1 - 3220.73^2) sin(3220.73 x)\ny(0) = 0\ny(1) = sin(3220.73)",
		"y'' + 300^2 y = 0\ny(0) = 0\ny(1) = 1",
	} {
		for _, tol := range []float64{1e-3, 1e-6} {
			_, s := sheettest.Solved(t, text, solver.Options{Tol: tol})
			if s.Status != solver.Solved {
				t.Errorf("%s: %s", text, s.Message)
			}
			r := agree.Compare(s, agree.Options{Methods: []solver.Method{solver.Differences}})
			t.Log(text, told(r))
			if r.Disagree {
				t.Errorf("%s: %s", text, told(r))
			}
		}
	}
}

// Differences on meshes that do not see a narrow source are not solved by a reference that does not either, and are no
// second opinion of their own: one of 0.0005, whose integral over its formula is 2.
func TestNarrowSource(t *testing.T) {
	const text = "y'' = (1 - tanh((x - 0.7059)/0.0005)^2)/0.0005\ny(0) = 0\ny(1) = 0"
	// y = s ln cosh((x − a)/s) and a straight line; far from a, |x − a| − s ln 2 and the line.
	want := -0.7059 * (1 - 0.7059) * 2 * 0.3 / 0.7059
	for _, alone := range []bool{false, true} {
		for _, n := range []int{0, 30} {
			s := solver.MustSolve(sheettest.Read(t, text).Problem(), solver.Options{Method: solver.Differences,
				Tol:   1e-3,
				Nodes: n,
				Order: 4, Alone: alone})
			if s.Status != solver.Solved {
				continue
			}
			jet := make([]float64, 3)
			if s.At(0.3, jet); math.Abs(jet[0]-want) > 1e-3 {
				t.Errorf("alone %v, %d points: y(0.3) = %g, want %g: %s", alone, n, jet[0], want, s.Message)
			}
		}
	}
}

// A condition of a program's problem need not have words: it is called by its number.
func TestConditionWithoutWords(t *testing.T) {
	sh, s := sheettest.Solved(t, "y'' = 0\ny(0) = 1, y(1) = 1\nexact y = 1.1 - x/10", solver.Options{})
	for i := range s.Problem.Conditions {
		s.Problem.Conditions[i].Text = ""
	}
	if r := agree.Exact(s, sh.ExactJet()); !strings.Contains(r.Sentence, "misses condition 1 by 0.1") {
		t.Error(r.Sentence)
	}
}
