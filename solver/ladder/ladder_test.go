package ladder

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/nodes"
)

func within(got, want, part float64) bool { return math.Abs(got-want) <= part*math.Abs(want) }

// A function that is analytic inside the Bernstein ellipse ρ is approximated geometrically, with log10 ρ digits per
// node (L. N. Trefethen, Approximation Theory and Approximation Practice, 2013, theorem 8.2); the nearest pole gives ρ.
func TestBernsteinEllipse(t *testing.T) {
	families := []nodes.Family{nodes.Legendre, nodes.Chebyshev, nodes.Lobatto, nodes.Radau}
	check := func(name string, p *bvp.Problem, y func(float64) float64, rho float64) {
		for _, exact := range []bool{true, false} {
			o := Options{Families: families, Methods: []solver.Method{solver.One}, MostNodes: 70}
			if exact {
				o.Exact = exactly(y)
			} else {
				o.Families = families[:1]
			}
			l := Climb(p, o)
			if len(l.Series) != len(o.Families) {
				t.Fatal(name, l.Reason)
			}
			for _, s := range l.Series {
				if s.Rate.Kind != Geometric || !within(s.Rate.DigitsPerNode, math.Log10(rho), 0.05) {
					t.Errorf("%s, %s, against %s: %+v, predicted %.4f digits per node", name, s.Family, l.Against,
						s.Rate, math.Log10(rho))
				}
				if s.WiggleFrom >= 0 {
					t.Errorf("%s, %s: wiggles", name, s.Family)
				}
			}
		}
	}
	for _, a := range []float64{1, 2, 3} {
		p, y := runge(a)
		check("poles at ±i/a", p, y, (1+math.Sqrt(1+a*a))/a)
	}
	for _, c := range []float64{1.2, 1.5} {
		p, y := pole(c)
		check("pole at c", p, y, c+math.Sqrt(c*c-1))
	}
}

// Differences of order p on N points err like N^−p, and k Gauss nodes per element like h^2k at the ends of the elements
// (C. de Boor and B. Swartz, SIAM J. Numer. Anal. 10, 1973, 582–606, theorem 4.1), like h^(k+2) in between for an
// equation of order 2.
func TestOrders(t *testing.T) {
	p, y := wave()
	q := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
		return y[2] - 1.5*y[0]*y[0], []float64{-3 * y[0], 0, 1}
	}, bvptest.Given(0, 0, 0, 4), bvptest.Given(1, 0, 0, 1))
	z := func(x float64) float64 { return 4 / (1 + x) / (1 + x) }
	for _, c := range []struct {
		name string
		p    *bvp.Problem
		y    func(float64) float64
	}{{"sin 3x", p, y}, {"4/(1 + x)²", q, z}} {
		o := Options{Exact: exactly(c.y), Methods: []solver.Method{solver.Differences}, MostUnknowns: 400}
		for i, s := range Climb(c.p, o).Series {
			if want := []float64{2, 4}[i]; s.Order != int(want) || s.Rate.Kind != Algebraic ||
				!within(s.Rate.Order, want, 0.05) {
				t.Errorf("%s, differences of order %d: %+v", c.name, s.Order, s.Rate)
			}
		}
		for k := 1; k <= 4; k++ {
			s := Climb(c.p, Options{Exact: exactly(c.y), Methods: []solver.Method{solver.Pieces}, PieceNodes: k,
				MostUnknowns: 300}).Series[0]
			if m := meshRate(&s); m.Kind != Algebraic || !within(m.Order, float64(2*k), 0.05) {
				t.Errorf("%s, %d nodes per element: at the ends of the elements %+v, theory %d", c.name, k, m, 2*k)
			}
			if want := float64(min(2*k, k+2)); s.Rate.Kind != Algebraic || !within(s.Rate.Order, want, 0.05) {
				t.Errorf("%s, %d nodes per element: %+v, theory %g", c.name, k, s.Rate, want)
			}
		}
	}
}

// The errors are those of the solver's own answers.
func TestAgainstSolver(t *testing.T) {
	p, y := wave()
	for _, s := range Climb(p, Options{Exact: exactly(y), MostUnknowns: 50, MostNodes: 12,
		Families: []nodes.Family{nodes.Chebyshev}}).Series {
		for _, r := range s.Rungs {
			o := solver.Options{Method: s.Method, Family: s.Family, Order: s.Order, Nodes: r.Nodes, Tol: 1e-3}
			if s.Method == solver.Pieces {
				o.Elements = r.Steps
			}
			a := solver.MustSolve(p, o)
			if !a.Usable() {
				continue
			}
			jet := make([]float64, p.Jet())
			most := 0.0
			for i := range 401 {
				x := (1 - math.Cos(math.Pi*float64(i)/400)) / 2
				a.At(x, jet)
				most = math.Max(most, math.Abs(jet[0]-y(x)))
			}
			// Two samples of one error curve: their largest values agree to a few per cent.
			if !within(most, r.Error, 0.1) && math.Abs(most-r.Error) > 1e-14 {
				t.Errorf("%s, order %d, %d nodes, %d steps: %g, the solver %g", s.Method, s.Order, r.Nodes, r.Steps,
					r.Error, most)
			}
		}
	}
}

// What the marks say of well known cases.
func TestMarks(t *testing.T) {
	p, y := wave()
	l := Climb(p, Options{Exact: exactly(y), Families: nodes.Families()})
	for _, s := range l.Series {
		first := s.FirstMet
		if first >= 0 && (s.Rungs[first].Relative > l.Tol || slices.ContainsFunc(s.Rungs[:first],
			func(r Rung) bool { return r.Relative <= l.Tol })) {
			t.Errorf("%s %s: rung %d is not the first to meet the tolerance", s.Method, s.Family, first)
		}
		if s.Method != solver.One {
			continue
		}
		if s.Family == nodes.Equispaced {
			if s.WiggleFrom < 0 {
				t.Error("equispaced nodes are not called wiggling")
			}
			continue
		}
		if s.WiggleFrom >= 0 || s.PlateauFrom < 0 || s.Plateau > 1e-13 || s.Rungs[s.PlateauFrom].Nodes > 16 {
			t.Errorf("%s: wiggle from %d, plateau %.1e from %d", s.Family, s.WiggleFrom, s.Plateau, s.PlateauFrom)
		}
	}
	q, z := runge(5)
	for _, s := range Climb(q, Options{Exact: exactly(z), Families: nodes.Families(),
		Methods: []solver.Method{solver.One}}).Series {
		if (s.WiggleFrom >= 0) != (s.Family == nodes.Equispaced) {
			t.Errorf("Runge's function, %s: wiggle from %d", s.Family, s.WiggleFrom)
		}
	}
}

func TestSentence(t *testing.T) {
	p, y := wave()
	l := Climb(p, Options{Exact: exactly(y), Tol: 1e-6, Methods: []solver.Method{solver.One, solver.Differences},
		Orders: []int{2}})
	const want = "Seven interior Legendre nodes give 6 digits; each further node adds about one until rounding ends " +
		"it at 14 digits; second-order differences with 100 points give 3 digits"
	if l.Sentence != want {
		t.Errorf("%q\nwant %q", l.Sentence, want)
	}
	q, z := runge(5)
	l = Climb(q, Options{Exact: exactly(z), Methods: []solver.Method{solver.One},
		Families: []nodes.Family{nodes.Equispaced}})
	if !strings.Contains(l.Sentence, "give not one digit; from 13 nodes on the polynomial wiggles and the "+
		"error grows") {
		t.Errorf("%q", l.Sentence)
	}
	l = Climb(q, Options{Exact: exactly(z), Methods: []solver.Method{solver.Pieces}, MostUnknowns: 40})
	if l.Sentence == "" || strings.Contains(l.Sentence, "node add") {
		t.Errorf("%q", l.Sentence)
	}
}

// Nonlinear problems, systems, sought numbers and breaks have ladders too, on the branch of the solution that was
// given.
func TestOtherProblems(t *testing.T) {
	bratu := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
		return y[2] + math.Exp(y[0]), []float64{math.Exp(y[0]), 0, 1}
	}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 0))
	upper := *bratu
	upper.Guess = func(x float64, jet []float64) { jet[0], jet[1], jet[2] = 16*x*(1-x), 16-32*x, -32 }
	// U. M. Ascher, R. M. M. Mattheij, R. D. Russell, Numerical Solution of Boundary Value Problems, 1988: y = −2
	// ln(cosh((x − ½) θ/2)/cosh(θ/4)), θ = √2 cosh(θ/4), with a lower and an upper root.
	closed := func(theta float64) func(float64) float64 {
		for range 200 {
			f := theta - math.Sqrt2*math.Cosh(theta/4)
			theta -= f / (1 - math.Sqrt2/4*math.Sinh(theta/4))
		}
		return func(x float64) float64 { return -2 * math.Log(math.Cosh((x-0.5)*theta/2)/math.Cosh(theta/4)) }
	}
	step := bvptest.Scalar(2, 0, 1, func(x float64, y []float64) (float64, []float64) {
		q := 0.0
		if x > 0.4 {
			q = 1
		}
		return y[2] + q, []float64{0, 0, 1}
	}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 0))
	step.Breaks = []float64{0.4}
	sought := bvptest.Scalar(2, 0, 1, nil, bvptest.Given(0, 0, 0, 0), bvptest.Given(0, 0, 1, 2.5),
		bvptest.Given(1, 0, 0, math.Sin(2.5)))
	sought.Parameters = []bvp.Parameter{{Name: "k", Guess: 5, HasGuess: true}}
	sought.Guess = func(x float64, jet []float64) { jet[0], jet[1], jet[2] = 3*x*(1-x), 3-6*x, -6 }
	sought.Equations = func(_ float64, in, f, df []float64) {
		f[0] = in[2] + in[3]*in[0]
		if df != nil {
			copy(df, []float64{in[3], 0, 1, in[0]})
		}
	}
	for _, c := range []struct {
		name string
		p    *bvp.Problem
		y    func(float64) float64
	}{{"lower Bratu", bratu, closed(1.5)}, {"upper Bratu", &upper, closed(11)},
		{"sought", sought, func(x float64) float64 { return math.Sin(2.5 * x) }}, {"step", step, nil}} {
		for _, exact := range []bool{false, true} {
			o := Options{}
			if exact {
				if c.y == nil {
					continue
				}
				o.Exact = exactly(c.y)
			}
			l := Climb(c.p, o)
			if len(l.Series) != 4 {
				t.Fatalf("%s: %d series: %s", c.name, len(l.Series), l.Reason)
			}
			if got := map[bool]string{true: "exact", false: "finer"}[exact]; l.Against != got {
				t.Errorf("%s: against %s", c.name, l.Against)
			}
			for _, s := range l.Series {
				if best := s.Rungs[s.Best()].Relative; best > []float64{1e-10, 1e-9, 1e-3,
					1e-6}[slices.IndexFunc(l.Series, func(o Series) bool {
					return o.Method == s.Method &&
						o.Order == s.Order
				})] {
					t.Errorf("%s, %s, order %d: the best rung has %.1e", c.name, s.Method, s.Order, best)
				}
			}
		}
	}
	for _, r := range Climb(step, Options{Methods: []solver.Method{solver.One}, MostNodes: 5}).Rungs() {
		if r.Steps != 2 || r.Unknowns != 2*r.Nodes+2 || r.Relative > 1e-14 {
			t.Errorf("a parabola on either side of a break: %+v", r)
		}
	}
}

// y″ = y with y = e^−x on a half line.
func TestUnbounded(t *testing.T) {
	p := bvptest.Scalar(2, 0, math.Inf(1), func(_ float64, y []float64) (float64, []float64) {
		return y[2] - y[0],
			[]float64{-1, 0, 1}
	},
		bvptest.Given(0, 0, 0, 1), bvptest.Given(math.Inf(1), 0, 0, 0))
	for _, o := range []Options{{}, {Exact: exactly(func(x float64) float64 { return math.Exp(-x) })}} {
		l := Climb(p, o)
		if len(l.Series) != 4 || l.Floor == 0 {
			t.Fatalf("%d series, floor %g, %s", len(l.Series), l.Floor, l.Reason)
		}
		if s := l.Series[0]; s.Rungs[s.Best()].Relative > 1e-9 || s.Rate.Kind != Geometric {
			t.Errorf("against %s: %+v", l.Against, s)
		}
		if s := l.Series[2]; !within(s.Rate.Order, 2, 0.05) {
			t.Errorf("differences: %+v", s.Rate)
		}
	}
}

func TestRefused(t *testing.T) {
	p, _ := wave()
	few := *p
	few.Conditions = few.Conditions[:1]
	few.Parameters = nil
	resonant := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
		return y[2] + math.Pi*math.Pi*y[0], []float64{math.Pi * math.Pi, 0, 1}
	}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 1))
	for _, c := range []*bvp.Problem{&few, resonant} {
		if l := Climb(c, Options{}); len(l.Series) > 0 || l.Reason == "" || l.Sentence == "" {
			t.Errorf("%+v", l)
		}
	}
}

func TestProgressAndCancel(t *testing.T) {
	p, y := wave()
	ctx, cancel := context.WithCancel(context.Background())
	var seen []Rung
	l := Climb(p, Options{Exact: exactly(y), Context: ctx, Each: func(r Rung) {
		if seen = append(seen, r); len(seen) == 7 {
			cancel()
		}
	}})
	if len(seen) != 7 || !slices.Equal(seen, l.Rungs()) {
		t.Errorf("%d rungs were told, %d returned", len(seen), len(l.Rungs()))
	}
}

// A full ladder to 40 nodes takes less than 20 ms natively: 5 ms, and 10 ms the first time, by BenchmarkClimb on a
// quiet machine. The limit here is for the race detector, for a browser's engine and for machines that others use too.
func TestTime(t *testing.T) {
	p, _ := wave()
	best := math.Inf(1)
	for range 5 {
		begin := time.Now()
		Climb(p, Options{})
		best = math.Min(best, time.Since(begin).Seconds())
	}
	t.Logf("%.1f ms", best*1e3)
	if best > 1.5 {
		t.Errorf("a ladder takes %.0f ms", best*1e3)
	}
}

func BenchmarkClimb(b *testing.B) {
	p, _ := wave()
	b.ReportAllocs()
	for b.Loop() {
		Climb(p, Options{})
	}
}

// No rung is measured against itself, nor one with more nodes than the reference against that: its error would be
// nothing.
func TestMeasuredAgainstFiner(t *testing.T) {
	p, _ := wave()
	o := Options{Families: []nodes.Family{nodes.Legendre}, Methods: []solver.Method{solver.One}, MostNodes: 40}
	l := Climb(p, o)
	if l.Reason != "" || len(l.Series) != 1 || len(l.Series[0].Rungs) < 20 {
		t.Fatalf("%s %+v", l.Reason, l.Series)
	}
	for _, r := range l.Series[0].Rungs {
		if r.Error == 0 {
			t.Errorf("%d nodes: the error is exactly 0", r.Nodes)
		}
	}
}

// meshRate returns the rate at the ends of the elements alone, where Gauss nodes are better than in between: order 2k
// for k nodes per element (C. de Boor and B. Swartz, SIAM J. Numer. Anal. 10, 1973, 582–606).
func meshRate(s *Series) Rate {
	last := len(s.Rungs)
	for i, r := range s.Rungs {
		if r.AtMesh < 1e-13 && r.Steps > 1 {
			last = i
			break
		}
	}
	return fit(s.Rungs[:last], func(r Rung) float64 { return r.AtMesh }, false)
}
