package sheet

import (
	"math"
	"testing"

	"nodespan/expr/notation"
)

func read(t *testing.T, text string, o Options) *Sheet {
	t.Helper()
	s, err := Read(text, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestWith(t *testing.T) {
	p := read(t, `eps y'' = if(x < m, 1, 2) y
		y(0) = a
		y(L) = 2 b
		eps = 1e-3; a = 3; b = a/2; L = 2; m = L/2
		unused = 7`, Options{}).Problem()
	names := ""
	for _, c := range p.Constants {
		names += c.Name + " "
	}
	// Constants that others depend on come before those; derived and unused ones are not offered.
	if names != "eps a L " {
		t.Fatalf("constants %q", names)
	}
	q := p.With([]float64{0.5, 7, 4})
	if q.A != 0 || q.B != 4 || len(q.Breaks) != 1 || q.Breaks[0] != 2 {
		t.Errorf("[%g, %g] with breaks %v", q.A, q.B, q.Breaks)
	}
	if p.B != 2 || p.Breaks[0] != 1 || p.Constants[0].Value != 1e-3 {
		t.Error("the original changed")
	}
	f := make([]float64, 1)
	q.Equations(3, []float64{1, 0, 1}, f, nil)
	if f[0] != 0.5-2 {
		t.Errorf("residual %g", f[0])
	}
	// b = a/2 follows a: y(4) = 2 b = 7.
	last := q.Conditions[1]
	if last.At[0].X != 4 || last.Residual([]float64{7}, nil) != 0 {
		t.Errorf("condition at %g, residual %g", last.At[0].X, last.Residual([]float64{7}, nil))
	}
	if q.Constants[1].Value != 7 || q.With([]float64{1e-3, 3, 2}).B != 2 {
		t.Error("With does not go on from With")
	}
	if p.With([]float64{1e-3, 3, 0}) != nil {
		t.Error("an empty interval makes a problem")
	}
}

func TestWithDivisionByZero(t *testing.T) {
	p := read(t, "y'' = c y; y(0) = 0; y(1) = 1; c = 1/a; a = 2", Options{}).Problem()
	if p.With([]float64{0}) != nil {
		t.Error("1/0 makes a problem")
	}
}

func TestGuess(t *testing.T) {
	p := read(t, `u''' = u v
		v'' = u
		w'' = v
		u(0) = 1; u'(0) = 0; u(2) = 3
		v(1) = 4; v'(0) = 1
		w'(0) = 0; w'(2) = w(2)
		guess u = x^3 + sin(a x)
		a = 2`, Options{}).Problem()
	jet := make([]float64, p.Jet())
	for i := range jet {
		jet[i] = math.NaN()
	}
	const x = 0.7
	p.Guess(x, jet)
	want := []float64{
		x*x*x + math.Sin(2*x), 3*x*x + 2*math.Cos(2*x), 6*x - 4*math.Sin(2*x), 6 - 8*math.Cos(2*x),
		4, 0, 0, // v has one value
		0, 0, 0, // w has none
	}
	for i := range want {
		if math.Abs(jet[i]-want[i]) > 1e-14*math.Max(1, math.Abs(want[i])) {
			t.Errorf("entry %d is %g, want %g", i, jet[i], want[i])
		}
	}
	p = read(t, "u'' = v; v'' = u; u(1) = 1; u(3) = 2; v(1) = 2; 2 v(3) = 12; guess u = 0", Options{}).Problem()
	jet = jet[:p.Jet()]
	p.Guess(2, jet)
	// v runs straight from 2 to 6.
	for i, want := range []float64{0, 0, 0, 4, 2, 0} {
		if jet[i] != want {
			t.Errorf("entry %d is %g, want %g", i, jet[i], want)
		}
	}
}

func TestReading(t *testing.T) {
	s := read(t, `k T'' = 0
		T(0) = 20
		k = 2*m in [1, 9]
		m = 1.5
		0 < x < 1
		T'(1) = q
		q = ?
		T(1) = 5
		exact T = 20 - 15 x
		guess T = 20
		f = T^2
		break x = 0.5`, Options{Set: map[string]string{"m": "2"}})
	want := []Kind{KindEquation, KindCondition, KindConstant, KindConstant, KindDomain, KindCondition, KindSought,
		KindCondition,
		KindExact, KindGuess, KindAbbreviation, KindBreak}
	lines := s.Reading()
	if len(lines) != len(want) {
		t.Fatalf("%d lines, want %d", len(lines), len(want))
	}
	for i, l := range lines {
		if l.Kind != want[i] {
			t.Errorf("line %d is read as %s, want %s", i+1, l.Kind, want[i])
		}
	}
	k, m := lines[2], lines[3]
	if k.Name != "k" || !k.HasValue || k.Value != 4 || k.Range == nil || *k.Range != [2]float64{1, 9} {
		t.Errorf("k: %+v", k)
	}
	if m.Name != "m" || !m.HasValue || m.Value != 2 || m.Range != nil {
		t.Errorf("m: %+v", m) // its value is not the one in the text
	}
	if c := s.Constants[0]; c.Name != "k" || !c.Derived || s.Text[c.ValueSpan.From.Offset:c.ValueSpan.To] != "2*m" {
		t.Errorf("k: %+v", c)
	}
	if v, ok := s.Exact(0.4, 0); !ok || v != 14 {
		t.Errorf("exact: %g %v", v, ok)
	}
	if _, ok := s.Exact(0.4, 1); ok || s.HasExact(-1) || s.HasExact(7) {
		t.Error("an exact solution for no unknown")
	}
}

// TestConstantsBothWays holds govaluate's value of every constant of every sheet against the tape's.
func TestConstantsBothWays(t *testing.T) {
	compared := 0
	for _, f := range readFiles(t) {
		if f.expect != "read" {
			continue
		}
		s := read(t, f.body, f.options())
		for _, name := range s.model.order {
			tp, err := s.model.compile([]notation.Node{s.model.formula(name)}, s.model.base)
			if err != nil {
				t.Fatal(err)
			}
			out := make([]float64, 1)
			tp.Eval(make([]float64, tp.Inputs()), out)
			compared++
			if want := s.model.base.values[name]; math.Abs(out[0]-want) > 1e-15*math.Abs(want) {
				t.Errorf("%s: %s is %g on the tape, %g by govaluate", f.name, name, out[0], want)
			}
		}
	}
	if compared < 50 {
		t.Errorf("%d constants compared", compared)
	}
}

// TestOwnScratch uses two problems of one sheet by turns: neither disturbs the other.
func TestOwnScratch(t *testing.T) {
	s := read(t, "y'' = k y + x; y(0) = 0; y(1) = 1; k = 2", Options{})
	p, q := s.Problem(), s.Problem()
	done := make(chan bool)
	for _, r := range []struct {
		f    func(x float64, in, f, df []float64)
		x    float64
		want float64
	}{{p.Equations, 1, -3}, {q.Equations, 5, -7}} {
		go func() {
			ok := true
			f, df := make([]float64, 1), make([]float64, 3)
			for range 2000 {
				r.f(r.x, []float64{1, 0, 0}, f, df)
				ok = ok && f[0] == r.want && df[0] == -2 && df[2] == 1
			}
			done <- ok
		}()
	}
	for range 2 {
		if !<-done {
			t.Error("a value changed under way")
		}
	}
}

// A sheet that nobody could read otherwise has plain inferences alone, told in a line.
func TestSummary(t *testing.T) {
	for _, c := range []struct {
		text, summary string
		plain         bool
	}{
		{"k = 2; L = 0.24\nk T'' = x; T(0) = 9; T(L) = 19", "x from 0 to 0.24 · T, order 2 · 2 constants", true},
		{"u' = w; w'' = -u; u(0) = 0; w(0) = 1; w(1) = 0; 0 < t < 1", "t from 0 to 1 · u, order 1; w, order 2", true},
		{"f''' + f f'' = 0; f(0) = 0; f'(0) = 0; f'(inf) = 1", "x from 0 to infinity · f, order 3", true},
		{"y'' + 1/x y = 0; y(1) = 0; y(2) = 1", "x from 1 to 2 · y, order 2", false},
		{"y'' + lambda y = 0; y(0) = 0; y(1) = 0", "x from 0 to 1 · y, order 2 · lambda sought", false},
	} {
		s, err := Read(c.text, Options{})
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		plain := true
		for _, i := range s.Inferences {
			plain = plain && i.Plain
		}
		if got := s.Summary(); got != c.summary || plain != c.plain {
			t.Errorf("%s: %q, plain %t, want %q, %t: %v", c.text, got, plain, c.summary, c.plain, s.Inferences)
		}
	}
}
