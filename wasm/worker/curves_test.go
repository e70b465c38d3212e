package worker

import (
	"context"
	"math"
	"reflect"
	"slices"
	"testing"

	"nodespan/expr/figure"
	"nodespan/expr/plot"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/wasm/wire"
)

// TestOneResidual: the page's residual, that of a saved figure and the one told beside a value are the same function,
// also of eigenvalue problems and with sought numbers, and it is what the equations leave over the size of their terms.
// Of y” + λ y = 0 that is |y” + λ y| / max(|y”| + |λ y| + |y λ|): all three entries count, y by its factor λ and λ by
// its factor y.
func TestOneResidual(t *testing.T) {
	for _, text := range []string{
		"y'' + lambda y = 0; y(0)=0; y(2)=0; lambda=?",
		"y'' + omega^2 y = 0; y(0)=0; y'(0)=1; y(1)=0; omega=? near 3",
		"y'' + y = x; y(0)=0; y(1)=1",
		"u'' = lambda v; v'' = u; u(0)=0; u(1)=0; v(0)=0; v(1)=0; lambda=?",
	} {
		m := wire.Method{Name: "one", Nodes: 6} // few nodes: a residual that is not rounding
		d := New()
		s, reading := d.work(wire.Request{Kind: wire.Solve, Sheet: text, Method: m}, func(wire.Reply) {})
		if s == nil {
			t.Fatal(reading)
		}
		c := s.curves(0, 0)
		sh := sheettest.Read(t, text)
		fig := figure.New(sh, solver.MustSolve(sh.Problem(), options(m)), figure.Options{})
		// A dip below what is drawn is cut off; the logarithm that is sampled rounds.
		most := slices.Max(c.Residual)
		for _, drawn := range []plot.Curve{{X: c.ResidualX, Y: c.Residual}, fig.Residual.Line} {
			for i, x := range drawn.X {
				if r := s.drawing().ResidualAt(x); drawn.Y[i] > 1e-5*most && !(math.Abs(drawn.Y[i]-r) <= 1e-12*r) {
					t.Fatalf("%s: %v is drawn at %v, where the residual is %v", text, drawn.Y[i], x, r)
				}
			}
		}
		if len(c.ResidualX) < 50 || len(fig.Residual.Line.X) < 50 {
			t.Errorf("%s: %d and %d points", text, len(c.ResidualX), len(fig.Residual.Line.X))
		}
		if x := 0.3; s.drawing().ResidualAt(x) != figure.NewCurves(sh, s.Solution, false).ResidualAt(x) {
			t.Errorf("%s: two residuals", text)
		}
	}

	// By hand, for the first.
	d := New()
	s, _ := d.work(wire.Request{Kind: wire.Solve, Sheet: "y'' + lambda y = 0; y(0)=0; y(2)=0; lambda=?",
		Method: wire.Method{Name: "one", Nodes: 6}}, func(wire.Reply) {})
	lambda, size := s.Eigenvalues[0].Value, 0.0
	jet := make([]float64, 3)
	for _, x := range s.Points() {
		s.At(x, jet)
		size = math.Max(size, math.Abs(jet[2])+2*math.Abs(lambda*jet[0]))
	}
	for _, x := range []float64{0.1, 0.3, 1.234} {
		s.At(x, jet)
		want := math.Abs(jet[2]+lambda*jet[0]) / size
		if got := s.drawing().ResidualAt(x); !(math.Abs(got-want) <= 1e-12*want+1e-15) {
			t.Errorf("residual at %v: %v, want %v", x, got, want)
		}
	}
}

// TestLaddersOfTwoSheets: a handler that climbs one sheet's ladder and then another's measures each against its own
// reference: the second is what a fresh handler finds.
func TestLaddersOfTwoSheets(t *testing.T) {
	climb := func(d *Handler, text string) *wire.Ladder {
		var last *wire.Ladder
		d.Climb(context.Background(), wire.Request{Kind: wire.Climb, Sheet: text,
			Method: wire.Method{Name: "one", Nodes: 5}}, func(r wire.Reply) {
			if r.Last {
				last = r.Ladder
			}
		}, func() {})
		return last
	}
	for _, pair := range [][2]string{
		{"y'' = y; y(0)=0; y(1)=1", "y'' = 4 y; y(0)=1; y(1)=0"},
		{"y'' = -y; y(0)=0; y(1)=1; exact y = sin(x)/sin(1)", "y'' = y; y(0)=0; y(1)=1"},
		{"y'' = y; y(0)=0; y(1)=1", "y'' = -y; y(0)=0; y(1)=1; exact y = sin(x)/sin(1)"},
	} {
		d := New()
		climb(d, pair[0])
		got, want := climb(d, pair[1]), climb(New(), pair[1])
		if got == nil || !reflect.DeepEqual(got, want) {
			t.Errorf("after %q, %q is measured differently:\n%+v\n%+v", pair[0], pair[1], got, want)
		}
	}
}

// TestValueWithoutSolution: a value that is asked for where there is no solution says so, and everything else that is
// asked gets an empty last reply.
func TestValueWithoutSolution(t *testing.T) {
	for _, text := range []string{"y'' = sqrt(x - 2); y(0)=0; y(1)=0", "y'' = z"} {
		for _, kind := range []string{"value", "window"} {
			var got []wire.Reply
			q := wire.Request{ID: 7, Kind: wire.Value, Sheet: text, Point: "0.5"}
			if kind == "window" {
				q.Kind = wire.Window
			}
			New().Handle(q, func(r wire.Reply) { got = append(got, r) })
			if len(got) != 1 || !got[0].Last || got[0].ID != 7 || got[0].Curves != nil {
				t.Fatalf("%s of %q: %+v", kind, text, got)
			}
			if v := got[0].Value; kind == "value" && (v == nil || v.Fault != "There is no solution to read it from.") ||
				kind == "window" && v != nil {
				t.Errorf("%s of %q: %+v", kind, text, v)
			}
		}
	}
}

// What the error is measured by is said where an unknown is small over more than half of the interval.
func TestMeasure(t *testing.T) {
	steps := func(low int) *wire.Curves {
		c := &wire.Curves{Columns: []wire.Column{{Label: "y", Y: make([]float64, 11)}}}
		for i := range 11 {
			c.X = append(c.X, float64(i))
			if i > low {
				c.Columns[0].Y[i] = -7
			}
		}
		return c
	}
	const said = ", relative to the largest |y|"
	for low, want := range map[int]string{0: "", 4: "", 5: "", 6: said, 9: said} {
		if got := (&solved{}).measure(steps(low)); got != want {
			t.Errorf("small over %d of 10: %q, want %q", low, got, want)
		}
	}
}
