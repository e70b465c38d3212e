package solver_test

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/solver/adapt"
	"nodespan/solver/collocation"
	"nodespan/solver/table"
)

// The cases of BenchmarkStages, each kind of problem with its sheet.
var stageCases = []struct {
	name, text string
	nodes      int // of one polynomial; 0: chosen
}{
	{"smooth-10", "y'' + x y' - 4 y = sin(x); y(0) = 1; y(1) = 0", 10},
	{"smooth-64", "y'' + x y' - 4 y = sin(x); y(0) = 1; y(1) = 0", 64},
	{"smooth", "y'' + x y' - 4 y = sin(x); y(0) = 1; y(1) = 0", 0},
	{"nonlinear", "y'' + exp(y) = 0; y(0) = 0; y(1) = 0", 0},
	{"fourth-order", "w'''' + 10 w = 1; w(0) = 0; w'(0) = 0; w(1) = 0; w''(1) = 0", 0},
	{"layer-1e-2", "eps y'' - y' - y = 0; y(0) = 1; y(1) = 0; eps = 1e-2", 0},
	{"layer-1e-3", "eps y'' - y' - y = 0; y(0) = 1; y(1) = 0; eps = 1e-3", 0},
	{"layer-1e-4", "eps y'' - y' - y = 0; y(0) = 1; y(1) = 0; eps = 1e-4", 0},
	{"layer-1e-5", "eps y'' - y' - y = 0; y(0) = 1; y(1) = 0; eps = 1e-5", 0},
	{"layer-1e-6", "eps y'' - y' - y = 0; y(0) = 1; y(1) = 0; eps = 1e-6", 0},
	{"turning-1e-3", "eps y'' + x y' = -eps pi^2 cos(pi x) - pi x sin(pi x); y(-1) = -2; y(1) = 0; eps = 1e-3", 0},
	{"turning-1e-5", "eps y'' + x y' = -eps pi^2 cos(pi x) - pi x sin(pi x); y(-1) = -2; y(1) = 0; eps = 1e-5", 0},
	{"system-of-four", "p' = q; q' = r; r' = s; s' = -10 p + 1; p(0) = 0; q(0) = 0; p(1) = 0; r(1) = 0", 0},
	{"eigenvalues", "y'' + lambda y = 0; y(0) = 0; y(1) = 0; lambda = ?", 0},
	{"half-line", "f''' + f f''/2 = 0; f(0) = 0; f'(0) = 0; f'(inf) = 1", 0},
}

// stages adds up how long a solve was at each stage, and what it did there.
type stages struct {
	open  []adapt.Stage
	since time.Time
	spent [adapt.Rounding + 1]time.Duration
	begun time.Time
	// Of Newton's iterations in their order: the grid and the time.
	grids []*collocation.Grid
	took  []time.Duration
}

func (s *stages) told(stage adapt.Stage, begins bool, g *collocation.Grid) {
	now := time.Now()
	s.spent[s.open[len(s.open)-1]] += now.Sub(s.since)
	s.since = now
	switch {
	case begins:
		s.open = append(s.open, stage)
		if stage == adapt.Iterating {
			s.grids, s.begun = append(s.grids, g), now
		}
	default:
		s.open = s.open[:len(s.open)-1]
		if stage == adapt.Iterating {
			s.took = append(s.took, now.Sub(s.begun))
		}
	}
}

// BenchmarkStages tells where the time of a solve goes, in microseconds of the fastest run: the final solve (Newton's
// iteration on the mesh of the answer), the finer one that judges it, the estimate without rounding, the estimate of
// rounding, the choice of degree and mesh, and the table of the answer. flop are the multiplications and additions that
// the final solve takes with one Jacobian, Gflop/s the rate that it reaches by that count; meshes is the number of
// meshes that were solved on.
func BenchmarkStages(b *testing.B) {
	for _, c := range stageCases {
		b.Run(c.name, func(b *testing.B) {
			sh := sheettest.Read(b, strings.ReplaceAll(c.text, "; ", "\n"))
			p := sh.Problem()
			o := solver.Options{Nodes: c.nodes}
			b.ReportAllocs()
			best, total, shown := &stages{}, time.Duration(math.MaxInt64), time.Duration(math.MaxInt64)
			for b.Loop() {
				begin := time.Now()
				st := &stages{open: []adapt.Stage{adapt.Choosing}, since: begin}
				o.Context = adapt.Watch(context.Background(), st.told)
				s := solver.MustSolve(p, o)
				end := time.Now()
				st.spent[adapt.Choosing] += end.Sub(st.since)
				if !s.Usable() {
					b.Fatal(s.Message)
				}
				if all := end.Sub(begin); all < total {
					best, total = st, all
				}
				table.New(s, s.Points())
				shown = min(shown, time.Since(end))
			}
			micro := func(d time.Duration, unit string) { b.ReportMetric(float64(d.Nanoseconds())/1e3, unit) }
			last := len(best.took) - 1
			final, finer := best.took[last-1], best.took[last]
			micro(total, "µs-all")
			micro(final, "µs-final")
			micro(finer, "µs-finer")
			micro(best.spent[adapt.Judging], "µs-estimate")
			micro(best.spent[adapt.Rounding], "µs-rounding")
			micro(best.spent[adapt.Choosing]+best.spent[adapt.Iterating]-final-finer, "µs-choosing")
			micro(shown, "µs-table")
			b.ReportMetric(float64(len(best.took)), "meshes")
			g := best.grids[last-1]
			assembly, residual := g.Work()
			factor, substitution := g.System().Work()
			flop := 2 * (assembly + 2*residual + factor + 2*substitution)
			b.ReportMetric(flop, "flop")
			b.ReportMetric(flop/float64(final.Nanoseconds()), "Gflop/s")
		})
	}
}
