package worker

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"nodespan/testdata/demos"
	"nodespan/wasm/wire"
)

// ask sends one request and returns every reply to it.
func ask(t *testing.T, d *Handler, q wire.Request) []wire.Reply {
	t.Helper()
	q.ID = 7
	var replies []wire.Reply
	d.Handle(q, func(r wire.Reply) {
		back, err := wire.DecodeReply(r.Encode()) // what the page would see
		if err != nil {
			t.Fatal(err)
		}
		replies = append(replies, *back)
	})
	for i, r := range replies {
		if r.ID != 7 || r.Last != (i == len(replies)-1) {
			t.Fatalf("reply %d of %d: ID %d, last %v", i+1, len(replies), r.ID, r.Last)
		}
	}
	return replies
}

// answer solves a sheet and returns its reading and its answer.
func answer(t *testing.T, d *Handler, q wire.Request) (r *wire.Reading, a *wire.Answer) {
	t.Helper()
	q.Kind = wire.Solve
	for _, reply := range ask(t, d, q) {
		if reply.Reading != nil {
			r = reply.Reading
		}
		if reply.Answer != nil {
			a = reply.Answer
		}
	}
	if r == nil {
		t.Fatalf("no reading of %q", q.Sheet)
	}
	return r, a
}

func flat(runs []wire.Run) string {
	var b strings.Builder
	for _, r := range runs {
		b.WriteString(r.Text)
		if r.Math != nil {
			r.Math.Walk(func(e *wire.Element) { b.WriteString(e.Text) })
		}
	}
	return b.String()
}

func TestDemos(t *testing.T) {
	for _, demo := range demos.All() {
		d := New()
		r, a := answer(t, d, wire.Request{Sheet: demo.Sheet})
		if len(r.Faults) > 0 {
			t.Errorf("%s: %+v", demo.Name, r.Faults)
			continue
		}
		if a == nil || a.Status != "solved" {
			t.Errorf("%s: not solved: %+v", demo.Name, a)
			continue
		}
		if testing.Verbose() {
			fmt.Printf("%s: %s\n", demo.Name, flat(a.Headline))
			for _, n := range a.Notes {
				fmt.Println("   ", flat(n))
			}
			fmt.Println("   ", a.Chosen)
			fmt.Println("   ", len(a.Curves.X), "points", len(a.Table.Rows), "rows")
			for _, i := range r.Inferences {
				fmt.Println("    -", i.Text)
			}
		}
		for _, l := range r.Lines {
			if l.Math == nil || l.Span.From >= l.Span.To || l.Span.To > len(demo.Sheet) {
				t.Errorf("%s: a line of the reading without its place or its formula: %+v", demo.Name, l)
			}
		}
		c := a.Curves
		for i := 1; i < len(c.X); i++ {
			if !(c.X[i-1] < c.X[i]) {
				t.Fatalf("%s: samples do not ascend at %g", demo.Name, c.X[i])
			}
		}
		for _, k := range c.Columns {
			if len(k.Y) != len(c.X) || len(k.Nodes) != len(c.Nodes) {
				t.Errorf("%s: %s has %d values at %d points", demo.Name, k.Label, len(k.Y), len(c.X))
			}
		}
		if c.X[0] != c.WholeA || c.X[len(c.X)-1] != c.WholeB {
			t.Errorf("%s: the samples do not reach the ends", demo.Name)
		}
	}
}

// The number of the headline against closed forms, worked by hand from the sheets' own numbers.
func TestHeadlines(t *testing.T) {
	d := New()
	value := func(name string) float64 {
		for _, demo := range demos.All() {
			if demo.Name == name {
				if _, a := answer(t, d, wire.Request{Sheet: demo.Sheet}); a != nil {
					s := d.kept[len(d.kept)-1]
					jet := make([]float64, s.Problem.Jet())
					s.At(s.notable().x, jet)
					return jet[0]
				}
			}
		}
		t.Fatalf("no demo %s", name)
		return 0
	}
	m := math.Sqrt(2 * 14 / (48 * 0.002))
	for _, c := range []struct {
		name string
		want float64
	}{
		// Straight fin with an insulated tip: theta/theta_b = 1/cosh(mL); F. P. Incropera and others, Fundamentals of
		// Heat and Mass Transfer, chapter 3 (from memory).
		{"stove-pipe-fin", 21 + (240-21)/math.Cosh(m*0.09)},
		// First-order reaction in a sphere: c(0)/c(1) = phi/sinh(phi); R. Aris, The Mathematical Theory of Diffusion
		// and Reaction in Permeable Catalysts, 1975 (from memory).
		{"filter-pellet", 2.6 / math.Sinh(2.6)},
		// Its own exact line, at 1/2.
		{"smoke-in-the-flue", (math.Exp(7.5) - math.Exp(3.75)) / (math.Exp(7.5) - 1)},
	} {
		if got := value(c.name); math.Abs(got-c.want) > 1e-8*math.Max(1, math.Abs(c.want)) {
			t.Errorf("%s: %.12g, want %.12g", c.name, got, c.want)
		}
	}
}

func TestFaults(t *testing.T) {
	d := New()
	r, a := answer(t, d, wire.Request{Sheet: "y'' + foo y = 0\ny(0) = 1, y(1) = 0"})
	if a != nil || r.Incomplete || len(r.Faults) == 0 || r.Faults[0].Line != 1 || r.Faults[0].Column != 7 {
		t.Errorf("an unknown name: %+v, %+v", r, a)
	}
	r, a = answer(t, d, wire.Request{Sheet: "y'' + y = 0\ny(0) = 1"})
	if a != nil || !r.Incomplete {
		t.Errorf("a condition still to come: %+v, %+v", r, a)
	}
}

// A worker that was started afresh knows no solution; the request itself brings the sheet along.
func TestWithoutMemory(t *testing.T) {
	q := wire.Request{Sheet: "y'' = -y\ny(0) = 0\ny(a) = 1\na = pi/2", Kind: wire.Value, Point: "a/3"}
	replies := ask(t, New(), q)
	if len(replies) != 1 || !strings.HasPrefix(flat(replies[0].Value.Runs), "y\u00a0=\u00a00.500") {
		t.Fatalf("%+v", replies)
	}
	q.Kind, q.Export = wire.Export, &wire.ExportOptions{What: "table", Format: "tsv"}
	copied := ask(t, New(), q)[0]
	if n := strings.Count(copied.Text, "\n"); copied.Rows < 3 || n != copied.Rows+1 ||
		!strings.HasPrefix(copied.Text, "x\ty\ty'\n") {
		t.Errorf("%d rows:\n%s", copied.Rows, copied.Text)
	}
	q.Export.Format = "nonsense"
	if r := ask(t, New(), q)[0]; r.Rows != 0 || r.Text != "" {
		t.Errorf("a format that is not there: %+v", r)
	}
	q.Kind, q.From, q.To = wire.Window, 0.5, 0.6
	c := ask(t, New(), q)[0].Curves
	inside := 0
	for _, x := range c.X {
		if x >= 0.5 && x <= 0.6 {
			inside++
		}
	}
	if inside < 20 || c.X[0] != 0 || c.X[len(c.X)-1] != math.Pi/2 {
		t.Errorf("%d samples in the window, from %g to %g", inside, c.X[0], c.X[len(c.X)-1])
	}
}

func TestValueRefused(t *testing.T) {
	d := New()
	for _, c := range []struct{ point, want string }{
		{"2", "x = 2 is outside the interval from 0 to 1."},
		{"1/0", "finite"},
		{"foo", "foo"},
		{"", ""},
		{"(", ""},
	} {
		v := ask(t, d, wire.Request{Sheet: "y'' = -y\ny(0) = 0\ny(1) = 1", Kind: wire.Value, Point: c.point})[0].Value
		if v.Fault == "" || !strings.Contains(v.Fault, c.want) || len(v.Runs) > 0 {
			t.Errorf("%q: %+v", c.point, v)
		}
	}
}

func TestSet(t *testing.T) {
	r, _ := answer(t, New(), wire.Request{Sheet: "(y' + 1)' = \\frac{1}{2} \\left(\\frac{x}{2} + y(x)\\right)\ny(0) " +
		"= 0, y(1) = 1"})
	primes, brackets, tallBrackets := 0, 0, 0
	r.Lines[0].Math.Walk(func(e *wire.Element) {
		if e.Tag == "msup" {
			t.Errorf("a raised prime is left in %s", e)
		}
		for _, a := range e.Attrs {
			if a.Name == "lspace" {
				primes++
			}
		}
		if e.Tag == "mo" && (e.Text == "(" || e.Text == ")") {
			if len(e.Attrs) == 0 {
				tallBrackets++
			} else {
				brackets++
			}
		}
	})
	power := &wire.Element{Tag: "msup", Children: []*wire.Element{{Tag: "mi", Text: "x"}, {Tag: "mrow",
		Children: []*wire.Element{{Tag: "mn", Text: "2"}}}}}
	if got := set(power); got.Tag != "msup" || len(got.Children[1].Attrs) > 0 {
		t.Errorf("a power is set as %s", got)
	}
	if primes != 2 || brackets < 2 || tallBrackets != 2 {
		t.Errorf("%d primes, %d small and %d tall brackets in %s", primes, brackets, tallBrackets, r.Lines[0].Math)
	}
}

// The whole of what the worker does between a keystroke and the redrawn figure, on twenty nodes.
func BenchmarkSolve(b *testing.B) {
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		q := wire.Request{Kind: wire.Solve, Sheet: fmt.Sprintf("%s\nz = %d", demos.All()[0].Sheet, i),
			Method: wire.Method{Name: "one", Nodes: 20}}
		New().Handle(q, func(r wire.Reply) { r.Encode() })
	}
}

// What the answer tells first, and whether it is told at all, by kind of problem.
func TestAnswers(t *testing.T) {
	for _, c := range []struct{ sheet, status, headline string }{
		{"y'' + lambda y = 0\ny(0) = 0, y(pi) = 0\nlambda = ?", "solved", "λ\u00a0=\u00a01.000"},
		{"y'' + lambda exp(y) = 0\ny(0) = 0, y(1) = 0, y(0.5) = 0.3\nlambda = ?", "solved", "λ\u00a0=\u00a01.86"},
		// L. Howarth 1938: 0.33206 (from memory)
		{"f''' + f f''/2 = 0\nf(0) = f'(0) = 0\nf'(inf) = 1", "solved", "f″(0)\u00a0=\u00a00.332"},
		{"y'' + y = 0\ny(0) = 0, y(pi) = 1", "failed", "There is no solution"},
		{"eps y'' + x y' = 0\ny(-1) = 0, y(1) = 2\neps = 1e-5", "short-of-tolerance", "12 nodes are too few"},
		{"y'' = -4 y\ny(0) = 0, y(pi) = 1, y'(0) = 3", "", ""},
		{"y'' = y\ny(0) = 1, y'(pi/3) = 0", "solved", "y(1.0472)\u00a0=\u00a00.62"},
	} {
		m := wire.Method{}
		if strings.HasPrefix(c.sheet, "eps") {
			m = wire.Method{Name: "one", Nodes: 12}
		}
		r, a := answer(t, New(), wire.Request{Sheet: c.sheet, Method: m})
		switch {
		case c.status == "" && (a != nil || len(r.Faults) == 0):
			t.Errorf("%q: taken as a problem: %+v", c.sheet, a)
		case c.status != "" && (a == nil || a.Status != c.status ||
			!strings.HasPrefix(strings.ReplaceAll(flat(a.Headline), "\u2061", ""), c.headline)):
			t.Errorf("%q: %+v\n%s", c.sheet, r, flat(a.Headline))
		case a != nil && a.Usable != (a.Curves != nil && a.Table != nil):
			t.Errorf("%q: usable is %v", c.sheet, a.Usable)
		}
	}
}

func TestHeadings(t *testing.T) {
	_, a := answer(t, New(), wire.Request{Sheet: "theta_s'' = -theta_s\nv'''' = theta_s\ntheta_s(0) = 0, theta_s(1) " +
		"= 1, v(0) = v'(0) = 0, v(1) = v'(1) = 0"})
	var heads []string
	for _, c := range a.Table.Columns {
		s := ""
		for _, r := range c {
			s += r.Style + ":" + r.Text + " "
		}
		heads = append(heads, strings.TrimSpace(s))
	}
	want := "symbol:x|symbol:θ below:s|symbol:θ below:s :′|symbol:v|symbol:v :′|symbol:v :″|symbol:v :‴"
	if got := strings.Join(heads, "|"); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// The working says why it has another number of nodes than the answer, and follows it where it can be read.
func TestWorkingFollows(t *testing.T) {
	one := func(n int) wire.Method { return wire.Method{Name: "one", Nodes: n} }
	for _, c := range []struct {
		q      wire.Request
		why    string
		follow int
		rows   int
	}{
		{wire.Request{Used: one(6)}, "The answer took 6 interior nodes; here are 5", 6, 7},
		{wire.Request{Used: one(6), Follow: true}, "These are the 6 interior nodes", 6, 8},
		{wire.Request{Used: one(5)}, "", 0, 7},
		{wire.Request{Used: one(31)}, "too large to be read; here are 5", 0, 7},
		{wire.Request{Used: one(31), Follow: true}, "too large to be read; here are 5", 0, 7},
		{wire.Request{Used: wire.Method{Name: "pieces", Nodes: 4, Elements: 3}}, "The answer took 3 pieces", 0, 7},
		{wire.Request{Used: wire.Method{Name: "differences", Nodes: 50}}, "finite differences", 0, 7},
		{wire.Request{Used: one(8), Method: one(8)}, "", 0, 10},
	} {
		q := c.q
		q.Kind, q.Sheet = wire.Working, "y'' = y\ny(0) = 1\ny(1) = 0"
		var got *wire.Lesson
		New().Handle(q, func(r wire.Reply) { got = r.Lesson })
		if got == nil || got.Fault != "" || got.Follow != c.follow || !strings.Contains(got.Why, c.why) ||
			(c.why == "") != (got.Why == "") {
			t.Errorf("%+v: %+v", c.q, got)
			continue
		}
		rows := 0
		for _, s := range got.Steps {
			for _, m := range s.Matrices {
				if m.Name == "A" {
					rows = len(m.Rows)
				}
			}
		}
		if rows != c.rows {
			t.Errorf("%+v: %d rows of A, want %d", c.q, rows, c.rows)
		}
	}
}

// What stands at neither end is told in the middle.
func TestNotableInTheMiddle(t *testing.T) {
	d := New()
	answer(t, d, wire.Request{Sheet: "y'' = -1\ny(1) = 0\ny(3) = 0"})
	if e := d.kept[len(d.kept)-1].notable(); e.x != 2 {
		t.Errorf("told at %g", e.x)
	}
}
