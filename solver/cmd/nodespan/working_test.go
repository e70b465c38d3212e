package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// A sheet whose answer is a parabola: y = x(1-x)/2, which any number of nodes gives.
const parabola = "y'' = -1\ny(0) = y(1) = 0\n"

func TestWorking(t *testing.T) {
	var out, errs bytes.Buffer
	if status := run([]string{"-working", "-nodes", "1"}, strings.NewReader(parabola), &out, &errs); status != solved {
		t.Fatal(status, errs.String())
	}
	for _, want := range []string{"\n    D2\n", "y'' = -1", "\n    A_all\n", "\n    B_sol\n",
		"takes row 1 (y at x = 0)"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

func TestWorkingJSON(t *testing.T) {
	var out, errs bytes.Buffer
	if status := run([]string{"-working", "-nodes", "1", "-out", "json"}, strings.NewReader(parabola), &out,
		&errs); status != solved {
		t.Fatal(status, errs.String())
	}
	var got struct {
		Matrices []struct {
			Name   string
			Values [][]float64
		}
		Columns []string
		Rows    [][]float64
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	// Points 0, 1/2, 1: the second difference, as every handbook has it.
	for _, m := range got.Matrices {
		if m.Name == "D2" {
			if v := m.Values[1]; v[0] != 4 || v[1] != -8 || v[2] != 4 {
				t.Errorf("D2 at the middle: %v", v)
			}
			if len(got.Rows) != 3 || got.Rows[1][1] != 0.125 {
				t.Errorf("table %v", got.Rows)
			}
			return
		}
	}
	t.Error("no D2")
}

func TestNoWorking(t *testing.T) {
	for _, c := range []struct{ sheet, want string }{
		{"y'' + lambda y = 0\ny(0) = y(1) = 0\nlambda = ?", "nodespan: this is an eigenvalue problem: the working is " +
			"laid out for problems with one solution\n"},
		{"y'' = y\ny(0) = 1\ny(inf) = 0", "nodespan: the working needs a finite interval: one polynomial cannot " +
			"reach to infinity\n"},
		{"k = if(x < 0.4, 1, 2)\n(k y')' = 1\ny(0) = y(1) = 0", "nodespan: the working is that of one polynomial, " +
			"and a coefficient of this problem jumps inside the interval, where one polynomial cannot follow\n"},
	} {
		var out, errs bytes.Buffer
		status := run([]string{"-working"}, strings.NewReader(c.sheet), &out, &errs)
		if status != noSolution || !strings.HasPrefix(errs.String(), c.want) || out.Len() > 0 {
			t.Errorf("status %d, %q, want %q", status, errs.String(), c.want)
		}
	}
}

func TestScript(t *testing.T) {
	for language, want := range map[string]string{"python": "import numpy as np\n",
		"octave": "function p = powers(s, d, n)\n"} {
		var out, errs bytes.Buffer
		if status := run([]string{"-script", language}, strings.NewReader(parabola), &out, &errs); status != solved ||
			!strings.Contains(out.String(), want) {
			t.Errorf("%s: status %d, %s\n%s", language, status, errs.String(), out.String())
		}
	}
}
