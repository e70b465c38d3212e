package slips_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"nodespan/expr/numbers"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/solver/slips"
)

// TestDifferencesAreNoSlip: numbers of finite differences on few steps are named as such. Those of order 2 are worked
// out here, by the central differences of every textbook for y” + y = x; those of order 4 are this project's own.
func TestDifferencesAreNoSlip(t *testing.T) {
	const text = "y'' + 9 y = 9 x; y(0)=1; y(2)=0"
	p := pose(t, text)
	const n = 8
	h := 2.0 / n
	// (y[i-1] - 2 y[i] + y[i+1])/h² + 9 y[i] = 9 x[i]: eliminated downwards, solved upwards.
	var c, d, y [n + 1]float64
	y[0] = 1
	for i := 1; i < n; i++ {
		diagonal := -2 + 9*h*h
		right := 9 * float64(i) * h * h * h
		if i == 1 {
			right -= y[0]
		} else {
			diagonal -= c[i-1]
			right -= d[i-1]
		}
		c[i], d[i] = 1/diagonal, right/diagonal
	}
	for i := n - 1; i > 0; i-- {
		y[i] = d[i] - c[i]*y[i+1]
	}
	var table strings.Builder
	for i, v := range y {
		fmt.Fprintf(&table, "%.2f\t%.6f\n", float64(i)*h, v)
	}
	if v := p.judge(t, table.String()); !v.Coarse || v.Slip != "" ||
		!strings.Contains(v.Sentence, "this is no slip: just these numbers come out of second-order differences "+
			"with 8 steps; they are correct of their order, 2") {
		t.Errorf("%s\n%s", v.Sentence, table.String())
	}

	sh := sheettest.Read(t, text)
	s := solver.MustSolve(sh.Problem(), solver.Options{Method: solver.Differences, Order: 4, Nodes: 7})
	table.Reset()
	jet := make([]float64, 3)
	for i := range n + 1 {
		s.At(float64(i)*h, jet)
		fmt.Fprintf(&table, "%.2f\t%.6f\n", float64(i)*h, jet[0])
	}
	if v := p.judge(t, table.String()); !v.Coarse || v.Slip != "" ||
		!strings.Contains(v.Sentence, "fourth-order differences with 8 steps") {
		t.Errorf("%s\n%s", v.Sentence, table.String())
	}
}

// On an unbounded interval, and of an eigenvalue problem, the errors are told and slips are not looked for.
func TestNotLookedFor(t *testing.T) {
	for _, c := range []struct {
		text string
		f    func(x float64) float64
		want string
	}{
		{"y'' = y; y(0)=1; y(inf)=0", func(x float64) float64 { return 2 * math.Exp(-x) },
			"slips are not looked for on an unbounded interval"},
		{"y'' = y; y(0)=1; y(-inf)=0", func(x float64) float64 { return 2 * math.Exp(x) },
			"slips are not looked for on an unbounded interval"},
		{"y'' + lambda y = 0; y(0)=0; y(1)=0; lambda=?", func(x float64) float64 { return 2 * math.Sin(x) },
			"slips are not looked for in eigenvalue problems"},
	} {
		sh := sheettest.Read(t, c.text)
		s := solver.MustSolve(sh.Problem(), solver.Options{})
		at := []float64{0, 0.25, 0.5, 1}
		if strings.Contains(c.text, "-inf") {
			at = []float64{-1, -0.5, -0.25, 0}
		}
		var table strings.Builder
		for _, x := range at {
			fmt.Fprintf(&table, "%v\t%.5f\n", x, c.f(x))
		}
		tab, err := numbers.Read(table.String())
		if err != nil {
			t.Fatal(err)
		}
		v, err := slips.Judge(s, tab, slips.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if v.Right || v.Slip != "" || v.Coarse || v.Tried > 0 || !strings.Contains(v.Sentence, c.want) {
			t.Errorf("%s: %d tried: %s", c.text, v.Tried, v.Sentence)
		}
	}
}

// TestCoarseBesideAnother: few nodes on the upper one of two solutions are no slip, though what is solved from nothing
// leads to the lower one (the exponential source, Frank-Kamenetskii 1955).
func TestCoarseBesideAnother(t *testing.T) {
	const text = "y'' + 2 exp(y) = 0; y(0) = 0; y(1) = 0; guess y = 16 x (1 - x)"
	p := pose(t, text)
	s := solver.MustSolve(sheettest.Problem(t, text), solver.Options{Method: solver.One, Nodes: 6})
	var table strings.Builder
	jet := make([]float64, 3)
	for _, x := range []float64{0, 0.2, 0.35, 0.5, 0.65, 0.8, 1} {
		s.At(x, jet)
		fmt.Fprintf(&table, "%v\t%.6f\n", x, jet[0])
	}
	if v := p.judge(t, table.String()); !v.Coarse || v.Slip != "" || jet[0] > 1e-9 {
		t.Errorf("%s\n%s", v.Sentence, table.String())
	}
}
