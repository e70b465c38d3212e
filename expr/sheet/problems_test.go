package sheet

import (
	"math"
	"strings"
	"testing"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
	"nodespan/testdata"
)

// TestBenchmarkReads reads every sheet of the benchmark. The columns of its reference values are the
// unknowns with their derivatives below the order, which an independent reader (sheetcheck.py) found.
func TestBenchmarkReads(t *testing.T) {
	for _, b := range testdata.Problems() {
		t.Run(b.ID, func(t *testing.T) {
			s, err := Read(b.Sheet, Options{})
			if err != nil {
				t.Fatal(err)
			}
			checkPlaces(t, s)
			p := s.Problem()
			columns := b.Reference.At[0].Values
			state := 0
			for _, u := range s.Unknowns {
				for k := range u.Order {
					if _, ok := columns[u.Name+strings.Repeat("'", k)]; !ok {
						t.Errorf("no reference column for %s of order %d", u.Name, k)
					}
					state++
				}
			}
			if state != len(columns) {
				t.Errorf("total order %d, want %d", state, len(columns))
			}
			if p.A != b.Reference.At[0].X {
				t.Errorf("left end %v, want %v", p.A, b.Reference.At[0].X)
			}
			if b.Kind == "infinite" {
				if !math.IsInf(p.B, 1) {
					t.Errorf("right end %v, want infinity", p.B)
				}
			} else if last := b.Reference.At[len(b.Reference.At)-1].X; p.B != last {
				t.Errorf("right end %v, want %v", p.B, last)
			}
			want := state
			if len(b.Reference.Eigenvalues) > 0 {
				if !s.Eigenvalue || len(p.Parameters) != 1 || p.Parameters[0].Name != b.Reference.Parameter {
					t.Errorf("not read as an eigenvalue problem for %s", b.Reference.Parameter)
				}
			} else {
				want += len(b.Reference.Found)
				if s.Eigenvalue || len(p.Parameters) != len(b.Reference.Found) {
					t.Errorf("%d sought parameters, want %d", len(p.Parameters), len(b.Reference.Found))
				}
			}
			if len(p.Conditions) != want {
				t.Errorf("%d conditions, want %d", len(p.Conditions), want)
			}
			if b.Kind == "nonlinear" && s.Linear {
				t.Error("read as linear")
			}
			checkConditions(t, s, p, b)
			checkDerivatives(t, p)
			checkNoAllocation(t, p)
			checkWith(t, p)
			checkExact(t, s, p)
		})
	}
}

// checkConditions puts the reference values at the ends into the conditions.
func checkConditions(t *testing.T, s *Sheet, p *bvp.Problem, b testdata.Problem) {
	checked := 0
	for i := range p.Conditions {
		c := &p.Conditions[i]
		in := make([]float64, len(c.At)+len(p.Parameters))
		size := 0.0
		known := true
		for k, v := range c.At {
			value, ok := referenceAt(b, s, v)
			known = known && ok
			in[k] = value
		}
		for k, q := range p.Parameters {
			in[len(c.At)+k] = b.Reference.Found[q.Name]
			if len(b.Reference.Eigenvalues) > 0 {
				in[len(c.At)+k] = b.Reference.Eigenvalues[0]
			}
		}
		if !known {
			continue
		}
		checked++
		dg := make([]float64, len(in))
		g := c.Residual(in, dg)
		for k := range in {
			size += math.Abs(in[k] * dg[k])
		}
		// The reference is rounded to a double, a condition that ties several values adds their roundings up.
		if math.Abs(g) > 1e-13*(1+size) {
			t.Errorf("condition %q: residual %g at the reference values", c.Text, g)
		}
	}
	if checked == 0 && b.Kind != "infinite" {
		t.Error("no condition was checked")
	}
}

// referenceAt returns what the reference has for a value in a condition.
func referenceAt(b testdata.Problem, s *Sheet, v bvp.PointValue) (float64, bool) {
	for _, at := range b.Reference.At {
		if at.X == v.X {
			y, ok := at.Values[s.Unknowns[v.Unknown].Name+strings.Repeat("'", v.Derivative)]
			return y, ok
		}
	}
	return 0, false
}

// checkDerivatives holds the derivatives of everything in a problem against central differences.
func checkDerivatives(t *testing.T, p *bvp.Problem) {
	inputs := p.Jet() + len(p.Parameters)
	check := func(what string, rows int, f bvp.Residuals) {
		compared := 0
		value, df := make([]float64, rows), make([]float64, rows*inputs)
		up, down := make([]float64, rows), make([]float64, rows)
		everyProbe(p, 12, func(x float64, in []float64) {
			for i := range df {
				df[i] = math.NaN() // every entry is written
			}
			f(x, in, value, df)
			f(x, in, up, nil)
			for i := range up {
				if up[i] != value[i] && !(math.IsNaN(up[i]) && math.IsNaN(value[i])) {
					t.Errorf("%s %d: value %g without derivatives, %g with", what, i, up[i], value[i])
				}
			}
			for k := range inputs {
				at := in[k]
				h := 1e-5 * max(1, math.Abs(at))
				in[k] = at + h
				f(x, in, up, nil)
				in[k] = at - h
				f(x, in, down, nil)
				in[k] = at
				for i := range rows {
					d, want := df[i*inputs+k], (up[i]-down[i])/(2*h)
					if math.IsNaN(value[i]) || math.IsInf(value[i], 0) || math.IsNaN(want) {
						continue
					}
					// Truncation h² times a third derivative, and rounding of f over h; coefficients as large as 1e6
					// enter through the scale.
					tolerance := 1e-6*(math.Abs(d)+math.Abs(want)) + 1e-9*(1+math.Abs(value[i]))/h*1e-3
					compared++
					if !(math.Abs(d-want) <= tolerance) {
						t.Errorf("%s %d by input %d at x = %g: %g, differences give %g", what, i, k, x, d, want)
					}
				}
			}
		})
		if compared == 0 {
			t.Errorf("%s: no derivative was compared", what)
		}
	}
	check("equation", len(p.Unknowns), p.Equations)
	if p.Continuity != nil {
		check("continuity", p.State(), p.Continuity)
		df, f := make([]float64, p.State()*inputs), make([]float64, p.State())
		everyProbe(p, 12, func(x float64, in []float64) {
			p.Continuity(x, in, f, df)
			for k, u := range p.Unknowns {
				for i := range p.State() {
					if d := df[i*inputs+p.JetOffset(k)+u.Order]; d != 0 {
						t.Errorf("continuity %d depends on the highest derivative of %s: %g", i, u.Name, d)
					}
				}
			}
		})
	}
	for i := range p.Conditions {
		c := &p.Conditions[i]
		n := len(c.At) + len(p.Parameters)
		in, dg := make([]float64, n), make([]float64, n)
		everyProbe(p, 6, func(_ float64, jet []float64) {
			for k := range in {
				in[k] = 2 * jet[k%len(jet)] * float64(1+k)
			}
			g := c.Residual(in, dg)
			for k := range in {
				at := in[k]
				h := 1e-5 * max(1, math.Abs(at))
				in[k] = at + h
				up := c.Residual(in, nil)
				in[k] = at - h
				down := c.Residual(in, nil)
				in[k] = at
				want := (up - down) / (2 * h)
				if math.IsNaN(g) || math.IsNaN(want) {
					continue
				}
				if !(math.Abs(dg[k]-want) <= 1e-6*(math.Abs(dg[k])+math.Abs(want))+1e-7*(1e-4+math.Abs(g))) {
					t.Errorf("condition %q by input %d: %g, differences give %g", c.Text, k, dg[k], want)
				}
			}
		})
	}
}

func checkNoAllocation(t *testing.T, p *bvp.Problem) {
	inputs := p.Jet() + len(p.Parameters)
	n := len(p.Unknowns)
	in, f, df := make([]float64, inputs), make([]float64, n), make([]float64, n*inputs)
	values, dg := make([][]float64, len(p.Conditions)), make([][]float64, len(p.Conditions))
	for i := range p.Conditions {
		values[i] = make([]float64, len(p.Conditions[i].At)+len(p.Parameters))
		dg[i] = make([]float64, len(values[i]))
	}
	if a := testing.AllocsPerRun(10, func() {
		p.Equations(0.5, in, f, df)
		p.Equations(0.5, in, f, nil)
		for i := range p.Conditions {
			p.Conditions[i].Residual(values[i], dg[i])
			p.Conditions[i].Residual(values[i], nil)
		}
	}); a != 0 {
		t.Errorf("%v allocations", a)
	}
}

// checkWith holds Problem.With against the problem itself, for the same values of its constants.
func checkWith(t *testing.T, p *bvp.Problem) {
	if len(p.Constants) == 0 {
		if p.With != nil {
			t.Error("With without Constants")
		}
		return
	}
	values := make([]float64, len(p.Constants))
	for i, c := range p.Constants {
		values[i] = c.Value
	}
	q := p.With(values)
	if q == nil || q.A != p.A || q.B != p.B || len(q.Breaks) != len(p.Breaks) ||
		len(q.Conditions) != len(p.Conditions) {
		t.Fatal("With the same values makes another problem")
	}
	n := len(p.Unknowns)
	f, g := make([]float64, n), make([]float64, n)
	everyProbe(p, 5, func(x float64, in []float64) {
		p.Equations(x, in, f, nil)
		q.Equations(x, in, g, nil)
		for i := range f {
			if f[i] != g[i] && !math.IsNaN(f[i]) {
				t.Errorf("equation %d: %g, With the same values %g", i, f[i], g[i])
			}
		}
	})
}

// checkExact puts exact solutions into equations and conditions, and holds govaluate's values of
// exact solutions and guesses against the tape's.
func checkExact(t *testing.T, s *Sheet, p *bvp.Problem) {
	all := true
	for i := range s.Unknowns {
		all = all && s.HasExact(i)
		for _, tree := range []notation.Node{s.model.exact[i], s.model.guess[i]} {
			if tree == nil {
				continue
			}
			tp, err := s.model.compile([]notation.Node{tree}, s.model.base)
			if err != nil {
				t.Fatal(err)
			}
			everyProbe(p, 20, func(x float64, in []float64) {
				out := make([]float64, 1)
				tp.Eval(append(append([]float64{}, in...), x), out)
				want, err := tape.Evaluate(tree, func(n notation.Node) (float64, bool) {
					if named(s.Variable)(n) {
						return x, true
					}
					return s.model.base.values.leaf(n)
				})
				// The two round differently where terms cancel.
				if err != nil || !(math.Abs(out[0]-want) <= 1e-12*(1+math.Abs(want))) {
					t.Errorf("tape gives %g at %g, govaluate %g (%v)", out[0], x, want, err)
				}
			})
		}
	}
	if !all {
		return
	}
	jet := s.exactJet(t, p)
	inputs := p.Jet() + len(p.Parameters)
	f, df := make([]float64, len(p.Unknowns)), make([]float64, len(p.Unknowns)*inputs)
	everyProbe(p, 20, func(x float64, _ []float64) {
		in := jet(x)
		p.Equations(x, in, f, df)
		for i := range f {
			size := 1.0
			for k := range in {
				size += math.Abs(in[k] * df[i*inputs+k])
			}
			if !(math.Abs(f[i]) <= 1e-11*size) {
				t.Errorf("the exact solution leaves %g in equation %d at %g", f[i], i, x)
			}
		}
	})
	checked := 0
	for i := range p.Conditions {
		c := &p.Conditions[i]
		in := make([]float64, len(c.At))
		finite := true
		for k, v := range c.At {
			in[k] = jet(v.X)[p.JetOffset(v.Unknown)+v.Derivative]
			finite = finite && !math.IsNaN(in[k]) // sinh(r)/r has no value at 0
		}
		if !finite {
			continue
		}
		checked++
		if g := c.Residual(in, nil); !(math.Abs(g) <= 1e-11) {
			t.Errorf("the exact solution leaves %g in %q", g, c.Text)
		}
	}
	if checked == 0 {
		t.Error("the exact solution was checked in no condition")
	}
}

// exactJet returns the exact solution with its derivatives.
func (s *Sheet) exactJet(t *testing.T, p *bvp.Problem) func(x float64) []float64 {
	var trees []notation.Node
	for i, u := range s.Unknowns {
		tree := s.model.exact[i]
		for range u.Order + 1 {
			trees = append(trees, tree)
			tree = tape.Total(tree, s.Variable)
		}
	}
	tp, err := s.model.compile(trees, s.model.base)
	if err != nil {
		t.Fatal(err)
	}
	return func(x float64) []float64 {
		in := make([]float64, tp.Inputs())
		in[len(in)-1] = x
		out := make([]float64, len(trees))
		tp.Eval(in, out)
		return out
	}
}

// everyProbe calls f at all of the probes.
func everyProbe(p *bvp.Problem, times int, f func(x float64, in []float64)) {
	probe(p, p.Jet()+len(p.Parameters), times, func(x float64, in []float64) bool { f(x, in); return false })
}
