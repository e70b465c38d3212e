package worker

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"nodespan/solver/nodes"
	"nodespan/wasm/wire"
)

// The fin's closed form: T = 20 + 160 cosh(3 (1/2 − x))/cosh(3/2).
const finSheet = "T'' = m^2 (T - 20)\nT(0) = 180\nT'(L) = 0\nm = 3\nL = 0.5"

func climb(t *testing.T, d *Handler, q wire.Request) (partial int, last *wire.Ladder) {
	t.Helper()
	q.ID, q.Kind = 7, wire.Climb
	ended := false
	d.Climb(context.Background(), q, func(r wire.Reply) {
		back, err := wire.DecodeReply(r.Encode())
		if err != nil || back.ID != 7 || ended {
			t.Fatalf("%v, %+v", err, back)
		}
		if ended = back.Last; !ended {
			partial++
		}
		last = back.Ladder
	}, func() {})
	if !ended || last == nil {
		t.Fatalf("the climb of %q has no end", q.Sheet)
	}
	return partial, last
}

// holdFit holds the line that a series' rate stands for to the errors that it was read from, which scatter about it,
// and its slope to the rate.
func holdFit(t *testing.T, s wire.LadderSeries) {
	t.Helper()
	first, sum := slices.IndexFunc(s.Rungs, func(r wire.Rung) bool { return float64(r.Unknowns) == s.FitX[0] }), 0.0
	last := len(s.FitX) - 1
	for i, y := range s.FitY {
		off := math.Log10(s.Rungs[first+i].Error / y)
		if sum += off; !(math.Abs(off) < 1) {
			t.Errorf("%s: the line is at %.2g for %v, whose error is %.2g", s.Name, y, s.FitX[i],
				s.Rungs[first+i].Error)
		}
	}
	if !(math.Abs(sum) < 1e-9*float64(last+1)) {
		t.Errorf("%s: the line passes by the middle, by %g digits", s.Name, sum/float64(last+1))
	}
	fell := math.Log10(s.FitY[0] / s.FitY[last])
	rate := fmt.Sprintf("%.2g digits a node", fell/float64(s.Rungs[first+last].Nodes-s.Rungs[first].Nodes))
	if s.Choice.Name != "one" {
		h := func(k int) float64 { // the number of steps: of differences one more than points between the ends
			if s.Choice.Name == "pieces" {
				return float64(s.Rungs[k].Elements)
			}
			return float64(s.Rungs[k].Nodes + 1)
		}
		rate = fmt.Sprintf("order %.1f", fell/math.Log10(h(first+last)/h(first)))
	}
	if s.Rate != rate {
		t.Errorf("%s: the line falls by %s, the rate is %s", s.Name, rate, s.Rate)
	}
}

func TestClimb(t *testing.T) {
	d := New()
	q := wire.Request{Sheet: finSheet, Method: wire.Method{Name: "one", Nodes: 7}}
	_, l := climb(t, d, q)
	if len(l.Series) != 4 || l.Reason != "" || l.Sentence == "" || !strings.Contains(l.Against, "finer") {
		t.Fatalf("%d series, %q, %q, %q", len(l.Series), l.Reason, l.Sentence, l.Against)
	}
	if !strings.Contains(l.Resolution, "even interior Legendre nodes") || !strings.Contains(l.Resolution, "Lebesgue") {
		t.Errorf("of seven nodes: %q", l.Resolution)
	}
	one, second, fourth := l.Series[0], l.Series[2], l.Series[3]
	if one.Choice.Name != "one" || one.FirstMet < 0 || one.Rungs[one.FirstMet].Error > 1e-8 || one.PlateauFrom < 0 ||
		len(one.FitX) == 0 {
		t.Errorf("one polynomial: %+v", one)
	}
	// Orders 2 and 4 are those of the classical difference formulas; package ladder holds the fit closer.
	if second.Choice != (wire.Method{Name: "differences"}) || !strings.HasPrefix(second.Rate, "order 1.9") &&
		!strings.HasPrefix(second.Rate, "order 2.0") {
		t.Errorf("%+v falls by %s", second.Choice, second.Rate)
	}
	if fourth.Choice != (wire.Method{Name: "differences", Order: 4}) || !strings.HasPrefix(fourth.Rate, "order 3.9") &&
		!strings.HasPrefix(fourth.Rate, "order 4.") {
		t.Errorf("%+v falls by %s", fourth.Choice, fourth.Rate)
	}
	for _, s := range l.Series {
		holdFit(t, s)
		for i, r := range s.Rungs {
			if i > 0 && r.Unknowns <= s.Rungs[i-1].Unknowns || r.Unknowns < l.From || r.Unknowns > l.To {
				t.Errorf("%s: rung %d has %d unknowns, beside %d … %d", s.Name, i, r.Unknowns, l.From, l.To)
			}
		}
	}

	// A rung, solved as the method sentence says it, has the error that the ladder tells, against the closed form.
	exact := func(x float64) float64 { return 20 + 160*math.Cosh(3*(0.5-x))/math.Cosh(1.5) }
	for _, s := range l.Series {
		rung := s.Rungs[min(2, len(s.Rungs)-1)]
		m := s.Choice
		m.Nodes, m.Elements = rung.Nodes, rung.Elements
		_, a := answer(t, d, wire.Request{Sheet: finSheet, Method: m})
		if a == nil || !a.Usable {
			t.Errorf("%s: no answer for %+v", s.Name, m)
			continue
		}
		worst := 0.0
		for i, x := range a.Curves.X {
			worst = math.Max(worst, math.Abs(a.Curves.Columns[0].Y[i]-exact(x)))
		}
		if worst/180 > 1.3*rung.Error || worst/180 < rung.Error/1.3 {
			t.Errorf("%s, %s: %g measured, %g told", s.Name, rung.Words, worst/180, rung.Error)
		}
	}

	// Another number of nodes asks for another verdict, not for another climb.
	q.Method.Nodes = 2
	if n, again := climb(t, d, q); n != 0 || !strings.Contains(again.Resolution, "Two interior") ||
		again.Sentence != l.Sentence {
		t.Errorf("climbed again: %d parts, %q", n, again.Resolution)
	}
	if _, all := climb(t, d, wire.Request{Sheet: finSheet, Others: true}); len(all.Series) != 3+len(nodes.Families()) {
		t.Errorf("with the other families %d series", len(all.Series))
	}
	if _, none := climb(t, d, wire.Request{Sheet: "y'' + lambda y = 0\ny(0) = y(1) = 0\nlambda = ?"}); none.Reason ==
		"" {
		t.Error("a ladder for an eigenvalue problem")
	}
}

// A climb that is given up ends with an empty reply, so that the page knows that the worker is free.
func TestClimbGivenUp(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var replies []wire.Reply
	New().Climb(ctx, wire.Request{Sheet: finSheet}, func(r wire.Reply) { replies = append(replies, r) }, func() {})
	if len(replies) != 1 || !replies[0].Last || replies[0].Ladder != nil {
		t.Errorf("%+v", replies)
	}
}

// Runge's function as the solution of a first-order problem: at equispaced nodes it wiggles (C. Runge, 1901), at
// Legendre's not.
func TestWiggleIsTold(t *testing.T) {
	sheet := "y' + 50 x y/(1 + 25 x^2) = 0\ny(0) = 1\n-1 < x < 1"
	for family, wiggles := range map[string]bool{"equispaced": true, "": false, "chebyshev": false} {
		_, l := climb(t, New(), wire.Request{Sheet: sheet, Method: wire.Method{Name: "one", Family: family, Nodes: 24}})
		if got := l.Series[0].WiggleFrom >= 0; got != wiggles || strings.Contains(l.Resolution, "wiggle") != wiggles {
			t.Errorf("family %q: wiggle from %d; %s", family, l.Series[0].WiggleFrom, l.Resolution)
		}
	}
}

func TestAgreement(t *testing.T) {
	d := New()
	a := ask(t, d, wire.Request{Kind: wire.Agree, Sheet: finSheet, Point: "L/2"})[0].Agreement
	if a == nil || len(a.Lines) != 2 || a.Fault != "" {
		t.Fatalf("%+v", a)
	}
	for _, l := range a.Lines {
		if l.Loud || !strings.Contains(l.Text, "digits everywhere") || !strings.Contains(l.Text, "T(0.25)") {
			t.Errorf("%+v", l)
		}
	}
	for _, sheet := range []string{"y'' + lambda y = 0\ny(0) = y(1) = 0\nlambda = ?", "y'' = y\ny(0) = 1\ny(inf) = 0"} {
		a := ask(t, d, wire.Request{Kind: wire.Agree, Sheet: sheet})[0].Agreement
		if a.Fault != "" || len(a.Lines) != 2 || a.Lines[0].Loud || a.Lines[1].Loud ||
			strings.Contains(sheet, "lambda") != strings.Contains(a.Lines[0].Text, "in λ to 1") {
			t.Errorf("%s: %+v", sheet, a)
		}
	}
	if a := ask(t, d, wire.Request{Kind: wire.Agree, Sheet: finSheet,
		Point: "7"})[0].Agreement; !strings.Contains(a.Fault, "outside") {
		t.Errorf("outside the interval: %+v", a)
	}
}

func TestExactness(t *testing.T) {
	const right = "y'' + y = 0\ny(0) = 0\ny(pi/2) = 1\nexact y = sin(x)"
	e := ask(t, New(), wire.Request{Kind: wire.Exact, Sheet: right})[0].Exactness
	if e == nil || len(e.Lines) != 1 || e.Lines[0].Loud || len(e.X) < 100 || len(e.Y) != len(e.X) {
		t.Fatalf("%+v", e)
	}
	// sin(x)² leaves 2 cos(2x) + sin(x)², which is 2 at 0 and −1 at π/2.
	e = ask(t, New(), wire.Request{Kind: wire.Exact, Sheet: strings.Replace(right, "= sin(x)", "= sin(x)^2",
		1)})[0].Exactness
	if len(e.Lines) != 2 || !e.Lines[0].Loud || !strings.Contains(e.Lines[0].Text,
		"does not satisfy the equation: its sides differ by 2.0") {
		t.Errorf("%+v", e.Lines)
	}
	// The largest of sin − sin² is 1/4, at π/6.
	if !strings.Contains(e.Lines[1].Text, "at most 0.25, at x = 0.52") {
		t.Errorf("%+v", e.Lines)
	}
	if e := ask(t, New(), wire.Request{Kind: wire.Exact, Sheet: finSheet})[0].Exactness; e != nil {
		t.Errorf("without an exact solution: %+v", e)
	}
	// A wrong one is no measure for the ladder.
	if _, l := climb(t, New(), wire.Request{Sheet: strings.Replace(right, "= sin(x)", "= sin(x)^2",
		1)}); !strings.Contains(l.Against, "finer") || l.Series[0].FirstMet < 0 {
		t.Errorf("%s %s", l.Against, l.Sentence)
	}
	if _, l := climb(t, New(), wire.Request{Sheet: right}); !strings.Contains(l.Against, "exact") {
		t.Error(l.Against)
	}
}

func TestCompare(t *testing.T) {
	d := New()
	const sheet = "y'' + y = 0\ny(0) = 0\ny(2) = 1" // sin(x)/sin(2)
	c := ask(t, d, wire.Request{Kind: wire.Compare, Sheet: sheet,
		Numbers: "x\ty\n0.5\t0.5272\n1\t0.9254\n"})[0].Comparison
	if c == nil || c.Fault != "" || len(c.Rows) != 2 || c.Rows[0].Wrong || c.Rows[1].Wrong || c.Verdict.Loud {
		t.Fatalf("%+v", c)
	}
	// With the sign of y flipped: sinh(x)/sinh(2).
	c = ask(t, d, wire.Request{Kind: wire.Compare, Sheet: sheet,
		Numbers: "0.5 0.143677\n1 0.324027\n1.5 0.587086\n"})[0].Comparison
	if !c.Rows[1].Wrong || !c.Verdict.Loud || !strings.Contains(c.Verdict.Text, "sign") {
		t.Errorf("%+v", c)
	}
	if len(c.Columns) != 1 || c.Columns[0].Label != "y" || len(c.Columns[0].X) != 3 {
		t.Errorf("for the figure: %+v", c.Columns)
	}
	if c := ask(t, d, wire.Request{Kind: wire.Compare, Sheet: sheet,
		Numbers: "0.5 one"})[0].Comparison; !strings.Contains(c.Fault, "not a number") {
		t.Errorf("%+v", c)
	}
}

// Eigenfunctions are chosen by number; eigenvalues of a string are (n π)² (handbook formula).
func TestModes(t *testing.T) {
	sheet := "y'' + lambda y = 0\ny(0) = 0\ny(1) = 0\nlambda = ?"
	_, a := answer(t, New(), wire.Request{Sheet: sheet, Method: wire.Method{Mode: 3}})
	if a == nil || len(a.Modes) != 5 || !strings.HasPrefix(a.Modes[2], "3: λ = 88.826") {
		t.Fatalf("%+v", a)
	}
	if !strings.HasPrefix(strings.ReplaceAll(flat(a.Headline), "\u2009", ""), "λ\u00a0=\u00a088.826") {
		t.Errorf("%q", flat(a.Headline))
	}
	for i, x := range a.Curves.Nodes {
		if y := a.Curves.Columns[0].Nodes[i]; math.Abs(y-math.Sin(3*math.Pi*x)) > 1e-7 {
			t.Errorf("at %g: %g", x, y)
		}
	}
}

// The figure shades the gap in which the residual is largest, and none where it is rounding.
func TestWorstGap(t *testing.T) {
	_, a := answer(t, New(), wire.Request{Sheet: finSheet, Method: wire.Method{Name: "one", Nodes: 4}})
	w := a.Curves.Worst
	if len(w) != 2 || !(w[0] < w[1]) {
		t.Fatalf("%v", w)
	}
	most, at := 0.0, 0.0
	for i, r := range a.Curves.Residual {
		if r > most {
			most, at = r, a.Curves.ResidualX[i]
		}
	}
	if at < w[0] || at > w[1] {
		t.Errorf("largest at %g, shaded %v", at, w)
	}
	// A cubic: four nodes are exact.
	if _, a := answer(t, New(), wire.Request{Sheet: "y'' = x\ny(0) = 0\ny(1) = 0",
		Method: wire.Method{Name: "one", Nodes: 4}}); a.Curves.Worst != nil {
		t.Errorf("rounding is shaded: %v", a.Curves.Worst)
	}
}
