//go:build !js

package script

import (
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/expr/typeset"
)

// These tests need a Python with numpy, and none runs within a browser.

// numpy returns a Python that has numpy.
func numpy(t *testing.T) string {
	for _, p := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(p, "-c", "import numpy").Run() == nil {
			return p
		}
	}
	t.Fatal("no python3 with numpy here; on Debian: apt-get install python3-numpy")
	return ""
}

// TestPythonRuns runs printed formulas and compares with the tape: every function at points of its domain, and
// operators.
func TestPythonRuns(t *testing.T) {
	interpreter := numpy(t)
	points := map[string][]float64{
		"ln": {0.3, 7}, "log10": {0.3, 7}, "sqrt": {0.3, 7}, "acosh": {1.2, 7}, "asin": {-0.4, 0.9},
		"acos": {-0.4, 0.9}, "atanh": {-0.4, 0.9},
		"Y0": {0.02, 0.3, 7, 30}, "Y1": {0.02, 0.3, 7, 30}, "K0": {0.02, 0.3, 7, 30}, "K1": {0.02, 0.3, 7, 30},
		"J0": {-2, 0.3, 30}, "J1": {-2, 0.3, 30}, "airyAi": {-9, -2, 0.3, 5}, "gamma": {-1.5, 0.3, 7},
	}
	var trees []notation.Node
	var at [][]float64
	x := &notation.Name{Name: "x"}
	for f, args := range notation.Functions {
		if args == 1 {
			p := points[f]
			if p == nil {
				p = []float64{-1.5, 0.3, 2.5}
			}
			trees, at = append(trees, &notation.Call{Func: f, Args: []notation.Node{x}}), append(at, p)
		}
	}
	names := &notation.Names{Variable: "x"}
	for _, formula := range []string{"-x^2 + (-x)^3/2/x - (x - (1 - x))", "2^x^2*3/(2 x)",
		"if(x < 0.4, x, 1/x) + min(x, 1) max(x, 1)", "e^(-x) pi", "x^-2"} {
		n, err := notation.ParseExpr(formula, names)
		if err != nil {
			t.Fatal(err)
		}
		trees, at = append(trees, n), append(at, []float64{-1.5, 0.3, 2.5})
	}

	var program strings.Builder
	program.WriteString("import math\nimport numpy as np\n\n" + python.Definitions(trees...) + "\n")
	var want []float64
	var from []notation.Node
	for i, n := range trees {
		text, err := python.Code(n, nil)
		if err != nil {
			t.Fatal(err)
		}
		tp, err := tape.Compile([]notation.Node{n}, 1, func(n notation.Node) (tape.Leaf, bool) {
			switch n.(*notation.Name).Name {
			case "pi":
				return tape.Leaf{Value: math.Pi, Constant: true}, true
			case "e":
				return tape.Leaf{Value: math.E, Constant: true}, true
			}
			return tape.Leaf{}, true
		})
		if err != nil {
			t.Fatal(err)
		}
		list := make([]string, len(at[i]))
		for j, p := range at[i] {
			list[j] = strconv.FormatFloat(p, 'g', -1, 64)
			out := make([]float64, 1)
			tp.Eval([]float64{p}, out)
			want, from = append(want, out[0]), append(from, n)
		}
		fmt.Fprintf(&program, "x = np.array([%s])\nfor v in %s: print(repr(float(v)))\n", strings.Join(list, ", "),
			text)
	}
	cmd := exec.Command(interpreter, "-c", program.String())
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	lines := strings.Fields(string(out))
	if len(lines) != len(want) {
		t.Fatalf("%d numbers, want %d:\n%s", len(lines), len(want), out)
	}
	for i, line := range lines {
		got, err := strconv.ParseFloat(line, 64)
		if err != nil || !(math.Abs(got-want[i]) <= 2e-12*math.Max(math.Abs(want[i]), 0.1)) {
			t.Errorf("%s: Python says %s, the tape %.17g", typeset.Plain(from[i]), line, want[i])
		}
	}
}
