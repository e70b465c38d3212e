package branches_test

import (
	"math"
	"os"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/branches"
)

func follow(t *testing.T, text, constant string, from, to float64) *branches.Trace {
	t.Helper()
	sh, err := sheet.Read(text, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := branches.Follow(sh.Problem(), branches.Options{Constant: constant, From: from, To: to})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

const (
	plane    = "y'' + lam exp(y) = 0\nlam = 1\ny(0) = 0\ny(1) = 0"
	cylinder = "y'' + y'/r + lam exp(y) = 0\nlam = 1\ny'(0) = 0\ny(1) = 0"
	sphere   = "y'' + 2/r y' + lam exp(y) = 0\nlam = 1\ny'(0) = 0\ny(1) = 0"
	plate    = "y'' + lam/(1 - y)^2 = 0\nlam = 0.2\ny(-1) = 0\ny(1) = 0"
	pellet   = "c'' + 2/r c' = phi^2 c exp(gam b (1 - c)/(1 + b (1 - c)))\nphi = 0.1\ngam = 30\nb = 0.4\nc'(0) = 0\n" +
		"c(1) = 1"
	strut = "y'' + P sin(y) = 0\nP = 5\ny(0) = 0\ny(1) = 0"
)

// TestFolds holds folds to closed forms and published numbers, each within its claim and that below 1e-8.
func TestFolds(t *testing.T) {
	for _, c := range []struct {
		text, constant string
		from, to       float64
		folds          []float64
		digits         float64 // of the reference
		source         string
	}{
		{plane, "lam", 0.1, 5, []float64{3.5138307191251612}, 1e-15,
			"8 (t/cosh t)^2 with t tanh t = 1, worked out in 25 digits; D. A. Frank-Kamenetskii (1955)"},
		{cylinder, "lam", 0.1, 5, []float64{2}, 0, "closed form, exactly 2; D. A. Frank-Kamenetskii (1955)"},
		{sphere, "lam", 0.5, 4, []float64{3.321992, 1.664156, 2.108541}, 5e-7,
			"I. M. Gelfand, Some problems in the theory of quasilinear equations (1963); digits as published"},
		{plate, "lam", 0.05, 0.5, []float64{0.350004}, 5e-7, "J. A. Pelesko and D. H. Bernstein (2003), half length 1"},
		{pellet, "phi", 0.05, 1, []float64{0.56441, 0.218998}, 5e-6,
			"P. B. Weisz and J. S. Hicks (1962), gamma = 30, beta = 0.4"},
	} {
		if os.Getenv("PART") != "" && c.text != plane {
			continue // the race detector makes everything about ten times slower
		}
		b := follow(t, c.text, c.constant, c.from, c.to)
		if len(b.Folds) < len(c.folds) {
			t.Errorf("%s: %d folds of %d", c.text, len(b.Folds), len(c.folds))
			continue
		}
		for i, want := range c.folds {
			f := b.Folds[i]
			if off := math.Abs(f.Constant - want); !(off <= f.Error+c.digits) || f.Error > 1e-8 {
				t.Errorf("%s\nfold %.14g is off by %.1e, claimed %.1e (%s)", c.text, f.Constant, off, f.Error, c.source)
			}
			if high := i%2 == 0; f.Highest != high {
				t.Errorf("%s: fold %d is the highest: %v", c.text, i, f.Highest)
			}
		}
	}
}

// TestReverseFlow: S. P. Hastings and others; K. Stewartson, Proc. Camb. Phil. Soc. 50 (1954) 454–465: the boundary
// layer exists down to beta = −0.198838, and turns back there. On 0..8 the end of the interval shows in the eighth
// digit.
func TestReverseFlow(t *testing.T) {
	b := follow(t, "f''' + f f'' + beta (1 - f'^2) = 0\nbeta = 0\nf(0) = 0\nf'(0) = 0\nf'(8) = 1", "beta", -0.21, 0.2)
	for _, f := range b.Folds {
		if math.Abs(f.Constant+0.198838) <= 1e-6 && f.Error < 1e-8 && !f.Highest {
			return
		}
	}
	t.Errorf("folds: %+v", b.Folds)
}

// TestPitchforks: the strut buckles at (k pi)^2 (L. Euler, De curvis elasticis, 1744), and each branch leaves to both
// sides, however the trace begins.
func TestPitchforks(t *testing.T) {
	if os.Getenv("PART") != "" {
		return
	}
	b := follow(t, strut, "P", 5, 100)
	if len(b.Bifurcations) != 3 || len(b.Branches) != 7 || len(b.Folds) != 0 {
		t.Fatalf("%d bifurcations, %d branches, %d folds", len(b.Bifurcations), len(b.Branches), len(b.Folds))
	}
	for i, f := range b.Bifurcations {
		want := math.Pow(float64(i+1)*math.Pi, 2)
		if off := math.Abs(f.Constant - want); !(off <= f.Error+1e-14*want) || f.Error > 1e-8 {
			t.Errorf("%.14g is off by %.1e, claimed %.1e", f.Constant, off, f.Error)
		}
	}
	for _, line := range b.Branches {
		last := line[len(line)-1]
		if last.Constant != 100 || last.ConstantError > 1e-9 {
			t.Errorf("a branch ends at %v", last.Constant)
		}
	}
	b = follow(t, "y'' + P sin(y) = 0\nP = 20\ny(0) = 0\ny(1) = 0\nguess y = 2 sin(pi x)", "P", 5, 30)
	if len(b.Bifurcations) != 1 ||
		math.Abs(b.Bifurcations[0].Constant-math.Pi*math.Pi) > b.Bifurcations[0].Error+1e-13 {
		t.Errorf("from the buckled strut: %+v", b.Bifurcations)
	}
	below, above := false, false // the straight strut's branch leaves to both sides
	for _, line := range b.Branches[1:] {
		last := line[len(line)-1]
		below = below || last.Value == 0 && last.Constant < math.Pi*math.Pi
		above = above || last.Value == 0 && last.Constant > math.Pi*math.Pi
	}
	if len(b.Branches) != 3 || !below || !above {
		t.Errorf("from the buckled strut: %d branches, the straight one below %v, above %v", len(b.Branches), below,
			above)
	}
}

// TestRefusals: what cannot be followed is said.
func TestRefusals(t *testing.T) {
	for text, constant := range map[string]string{
		plane: "mu",
		"y'' = -q\nq = 1\ny(0) = 0\ny(L) = 0\nL = 2": "L",
	} {
		sh, err := sheet.Read(text, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := branches.Follow(sh.Problem(), branches.Options{Constant: constant, From: 1, To: 2}); err == nil {
			t.Errorf("%s is followed in %s", text, constant)
		}
	}
}

// TestWhy: past the fold of the plane layer (8 (t/cosh t)^2 with t tanh t = 1) and of the plate in a field there is no
// solution, and the message names the constant and where the branch turns back. What has a solution behind a fold is
// reached.
func TestWhy(t *testing.T) {
	for _, c := range []struct {
		text, constant string
		fold           float64
	}{
		{"y'' + lam exp(y) = 0\nlam = 4\ny(0) = 0\ny(1) = 0", "lam", 3.5138307191251612},
		{"y'' + lam/(1 - y)^2 = 0\nlam = 0.4\ny(-1) = 0\ny(1) = 0", "lam", 0.350004},
	} {
		sh, err := sheet.Read(c.text, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := sh.Problem()
		s, why := branches.Why(p, solver.MustSolve(p, solver.Options{}), solver.Options{})
		if s != nil || why == nil || why.Constant != c.constant || math.Abs(why.Fold.Constant-c.fold) > 5e-7 {
			t.Errorf("%s: %+v", c.text, why)
		}
	}
}

// TestFamily: the eigenvalues of y″ + lam (1 + a x) y = 0 at a = 0 are (k pi)^2, and fall as a grows (closed form, and
// R. Courant and D. Hilbert, Methods of Mathematical Physics I, 1953, section VI.2).
func TestFamily(t *testing.T) {
	sh, err := sheet.Read("y'' + lam (1 + a x) y = 0\na = 1\nlam = ?\ny(0) = 0\ny(1) = 0", sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, near, err := branches.Family(sh.Problem(), branches.Options{Constant: "a", From: 0, To: 10,
		Solve: solver.Options{Count: 2}})
	if err != nil || len(b.Branches) != 2 || len(near) != 0 {
		t.Fatal(err, len(near))
	}
	for k, line := range b.Branches {
		want := math.Pow(float64(k+1)*math.Pi, 2)
		if off := math.Abs(line[0].Value - want); !(off <= line[0].Error+1e-13*want) {
			t.Errorf("%v is off by %.1e, claimed %.1e", line[0].Value, off, line[0].Error)
		}
		if last := line[len(line)-1]; !(last.Value < line[0].Value) || last.Constant != 10 {
			t.Errorf("at the end %+v", last)
		}
	}
}
