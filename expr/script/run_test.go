//go:build !js

package script_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/lesson"
	"nodespan/expr/script"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver/nodes"
	"nodespan/solver/table"
	"nodespan/solver/working"
	"nodespan/testdata"
	"nodespan/testdata/demos"
)

// These tests run the programs. They need Debian's python3 with python3-numpy, and octave; where these are missing they
// fail.

// interpreter returns a Python that has numpy.
func interpreter(t *testing.T) string {
	t.Helper()
	for _, p := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(p, "-c", "import numpy").Run() == nil {
			return p
		}
	}
	t.Fatal("no python3 with numpy here; on Debian: apt-get install python3-numpy")
	return ""
}

// write writes programs in the named language.
func write(language string) func(*lesson.Lesson) (string, error) {
	return func(l *lesson.Lesson) (string, error) {
		to, _ := script.ByName(language)
		return to.Write(l)
	}
}

// result is what a program printed: its table, and its matrices by name.
type result struct {
	columns  []string
	table    [][]float64
	matrices map[string][][]float64
}

// parse reads what a program printed: the table, then for each matrix a line @name and its rows.
func parse(t *testing.T, text string) result {
	t.Helper()
	r := result{matrices: map[string][][]float64{}}
	name := ""
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		if n, ok := strings.CutPrefix(line, "@"); ok {
			name = n
			r.matrices[name] = nil
			continue
		}
		cells := strings.Split(line, "\t")
		if r.columns == nil {
			r.columns = cells
			continue
		}
		row := make([]float64, len(cells))
		for i, c := range cells {
			var err error
			if row[i], err = strconv.ParseFloat(strings.TrimSpace(c), 64); err != nil {
				t.Fatalf("%q in %q", c, line)
			}
		}
		if name == "" {
			r.table = append(r.table, row)
		} else {
			r.matrices[name] = append(r.matrices[name], row)
		}
	}
	return r
}

// A task is a lesson whose program is to be run, and how near the numbers must be.
type task struct {
	name          string
	l             *lesson.Lesson
	table, matrix float64
}

const separator = "@@@"

// pythonRunner runs every file named in its arguments with a name space of its own.
const pythonRunner = `
import sys
import numpy as np
for path in sys.argv[1:]:
    print("` + separator + `")
    space = {"__name__": "__main__"}
    with open(path + ".names") as f:
        names = f.read().split()
    with open(path) as f:
        exec(compile(f.read(), path, "exec"), space)
    for name in names:
        value = np.asarray(space[name], dtype=float)
        print("@" + name)
        for row in value.reshape(len(value), -1):
            print(*(repr(float(v)) for v in row), sep="\t")
`

// run writes the programs into files, has them run at once, and compares what each printed.
func run(t *testing.T, tasks []task, write func(*lesson.Lesson) (string, error), start func(files []string) *exec.Cmd) {
	t.Helper()
	if len(tasks) == 0 {
		t.Fatal("no programs")
	}
	dir := t.TempDir()
	var files []string
	for i, k := range tasks {
		program, err := write(k.l)
		if err != nil {
			t.Fatalf("%s: %v", k.name, err)
		}
		var names []string
		for _, m := range k.l.Working.Matrices {
			names = append(names, m.Name)
		}
		file := filepath.Join(dir, fmt.Sprintf("program%d", i))
		for name, text := range map[string]string{file: program, file + ".names": strings.Join(names, "\n")} {
			if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		files = append(files, file)
	}
	cmd := start(files)
	var words strings.Builder
	cmd.Stderr = &words
	out, err := cmd.Output()
	parts := strings.Split(string(out), separator+"\n")[1:]
	if err != nil || len(parts) != len(tasks) {
		at := tasks[max(len(parts)-1, 0)]
		program, _ := write(at.l)
		t.Fatalf("%s: %v\n%s\n%s", at.name, err, words.String(), program)
	}
	for i, k := range tasks {
		t.Run(k.name, func(t *testing.T) { compare(t, k.l, parse(t, parts[i]), k.table, k.matrix) })
	}
}

func runPython(t *testing.T, tasks []task) {
	t.Helper()
	python := interpreter(t)
	run(t, tasks, write("python"), func(files []string) *exec.Cmd {
		return exec.Command(python, append([]string{"-c", pythonRunner}, files...)...)
	})
}

func runOctave(t *testing.T, tasks []task) {
	t.Helper()
	octave, err := exec.LookPath("octave-cli")
	if err != nil {
		t.Fatal("no octave-cli here; on Debian: apt-get install octave")
	}
	run(t, tasks, write("octave"), func(files []string) *exec.Cmd {
		var b strings.Builder
		for i, f := range files {
			fmt.Fprintf(&b, "printf(\"%s\\n\"); source(\"%s\");\n", separator, f)
			for _, m := range tasks[i].l.Working.Matrices {
				fmt.Fprintf(&b, "printf(\"@%s\\n\"); printf([repmat(\"%%.17g\\t\", 1, columns(%s) - 1), "+
					"\"%%.17g\\n\"], %s');\n", m.Name, m.Name, m.Name)
			}
			b.WriteString("clear -all\n")
		}
		all := filepath.Join(filepath.Dir(files[0]), "all.m")
		if err := os.WriteFile(all, []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
		return exec.Command(octave, "--norc", "--quiet", all)
	})
}

// compare holds what a program computed against the working: the table to 1e-10 of each column's largest value, each
// matrix to 1e-9 of its largest entry.
func compare(t *testing.T, l *lesson.Lesson, r result, tableTol, matrixTol float64) {
	t.Helper()
	if !slices.Equal(r.columns, l.Working.Columns) {
		t.Fatalf("columns %q, want %q", r.columns, l.Working.Columns)
	}
	close(t, "node table", transpose(r.table), transpose(l.Working.Rows), tableTol)
	if s := l.Solution; s.Usable() {
		close(t, "solver's node table", transpose(r.table), transpose(table.New(s, nil).Rows), tableTol)
	}
	for _, m := range l.Working.Matrices {
		got, want := r.matrices[m.Name], m.Values
		if len(got) == 1 && len(want) == 1 || len(got) == len(want) {
			// as it is
		} else {
			got = transpose(got)
		}
		if strings.HasPrefix(m.Name, "check") { // rounding, here and there: compare with the sizes of the terms
			for i := range want {
				if v := math.Abs(got[i][0]); !(v <= 1e-9*want[i][1]) {
					t.Errorf("%s, row %d: %g, terms of %g", m.Name, i, v, want[i][1])
				}
			}
			continue
		}
		size := largest(want)
		if len(got) != len(want) {
			t.Errorf("%s: %d rows, want %d", m.Name, len(got), len(want))
			continue
		}
		for i := range want {
			if len(got[i]) != len(want[i]) {
				t.Errorf("%s: %d columns, want %d", m.Name, len(got[i]), len(want[i]))
				break
			}
			for j, v := range want[i] {
				if math.IsNaN(v) { // a place without a number
					continue
				}
				if !(math.Abs(got[i][j]-v) <= matrixTol*size) {
					t.Errorf("%s[%d, %d] = %.17g, want %.17g (largest entry %g)", m.Name, i, j, got[i][j], v, size)
				}
			}
		}
	}
}

// close compares rows, each relative to its largest entry.
func close(t *testing.T, what string, got, want [][]float64, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d columns, want %d", what, len(got), len(want))
		return
	}
	for i := range want {
		size := largest(want[i : i+1])
		if len(got[i]) != len(want[i]) {
			t.Errorf("%s: %d rows, want %d", what, len(got[i]), len(want[i]))
			return
		}
		for j, v := range want[i] {
			if !(math.Abs(got[i][j]-v) <= tol*size) {
				t.Errorf("%s, column %d, row %d: %.17g, want %.17g", what, i, j, got[i][j], v)
			}
		}
	}
}

func largest(rows [][]float64) float64 {
	top := 0.0
	for _, r := range rows {
		for _, v := range r {
			if a := math.Abs(v); a > top && !math.IsInf(a, 0) {
				top = a
			}
		}
	}
	return top
}

func transpose(rows [][]float64) [][]float64 {
	if len(rows) == 0 {
		return nil
	}
	out := make([][]float64, len(rows[0]))
	for j := range out {
		for i := range rows {
			out[j] = append(out[j], rows[i][j])
		}
	}
	return out
}

func lessonOf(t *testing.T, text string, o lesson.Options) *lesson.Lesson {
	t.Helper()
	sh := sheettest.Read(t, text)
	l, err := lesson.New(sh, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func demoTasks(t *testing.T) []task {
	var tasks []task
	for _, d := range demos.All() {
		tasks = append(tasks, task{d.Name, lessonOf(t, d.Sheet, lesson.Options{}), 1e-10, 1e-9})
	}
	return tasks
}

func TestPythonDemos(t *testing.T) { runPython(t, demoTasks(t)) }

func TestPythonProblems(t *testing.T) {
	var tasks []task
	for _, p := range testdata.Problems("smooth", "condition", "high-order", "system") {
		k := task{p.ID, lessonOf(t, p.Sheet, lesson.Options{}), 1e-10, 1e-9}
		if k.l.Working.Unknowns[0].Order > 4 {
			// beyond order 4 the derivatives of powers lose more digits than the working promises
			k.table, k.matrix = 1e-7, 1e-7
		}
		tasks = append(tasks, k)
	}
	runPython(t, tasks)
}

// The reference problems of other kinds that one polynomial can follow: singular at an end, nonlinear, with several
// answers.
func TestPythonMoreProblems(t *testing.T) {
	var tasks []task
	for _, p := range testdata.Problems("singular", "nonlinear", "multiple") {
		sh := sheettest.Read(t, p.Sheet)
		l, err := lesson.New(sh, lesson.Options{Nodes: 8})
		if (err != nil) != (p.ID == "perturbed-20-eps-0p005") { // one polynomial of degree 9 cannot follow its corner
			t.Errorf("%s: %v", p.ID, err)
		}
		if err != nil {
			continue
		}
		tasks = append(tasks, task{p.ID, l, 1e-10, 1e-9})
	}
	if len(tasks) < 15 {
		t.Fatalf("only %d problems have a working", len(tasks))
	}
	runPython(t, tasks)
}

func TestPythonFamilies(t *testing.T) {
	var tasks []task
	for _, f := range nodes.Families() {
		for _, n := range []int{1, 2, 7} {
			for _, i := range []int{1, 6} {
				d := demos.All()[i]
				tasks = append(tasks, task{fmt.Sprintf("%s-%v-%d", d.Name, f, n),
					lessonOf(t, d.Sheet, lesson.Options{Family: f, Nodes: n}), 1e-10, 1e-9})
			}
		}
	}
	runPython(t, tasks)
}

func TestPythonReferences(t *testing.T) {
	var tasks []task
	for _, r := range []working.Reference{working.Unit, working.Symmetric, working.Own} {
		for _, d := range demos.All() {
			if d.Name == "lift-cable" && r == working.Own { // powers of 310 m have no digits left
				continue
			}
			tasks = append(tasks, task{fmt.Sprintf("%s-%d", d.Name, r),
				lessonOf(t, d.Sheet, lesson.Options{Reference: r, Nodes: 3}), 1e-10, 1e-9})
		}
	}
	runPython(t, tasks)
}

// odd are sheets with names that a program needs for itself, functions that numpy lacks, choices, ranges and guesses.
var odd = map[string]string{
	"names": "lambda = 2\nb = 3 in [1, 5]\nscale = 0.5\nT_s = 2 b\nV1 = 1\nrow1 = 1\ny'' - lambda y = b scale V1 " +
		"row1 T_s x\ny(0) = lambda\ny(1) = b",
	"variable": "T'' + (1/r) T' = r\nT'(0) = 0\nT(2) = 1",
	"unknowns": "A'' = b + s\nb'' = A\ns' = x\nA(0) = 1\nA(1) = 0\nb(0) = 0\nb'(1) = 1\ns(1) = 2",
	"special":  "y'' + erf(x) y = J0(x) + gamma(x + 1) - I1(x) + airyAi(x)\ny(0) = 1\ny(1) = K0(1)",
	"choice":   "y'' - min(x, 2) y = max(x, 0) - |x| + heaviside(x + 2)\ny(0) = 0\ny(1) = 1",
	"guess":    "y'' = -exp(y)\ny(0) = y(1) = 0\nguess y = 20 x (1 - x)",
	"sought":   "y'' + 10 x y = -mu y^3\nmu = ? near 3\ny(0) = 0\ny(1) = 0\ny'(0) = 1",
	"swapped":  "u' - v'' = 0\nu' = x - v\nu(0) = 1\nv(0) = 0\nv(1) = 1",
	"plain":    "y''' = 0\ny(0) = 1\ny'(2) = 3\ny''(1) = 1\n0 <= x <= 2",
	"euler":    "e = 2\ny'' = e^x + pi y\ny(0) = e\ny(pi/2) = 1",
}

func oddTasks(t *testing.T) []task {
	var tasks []task
	for name, text := range odd {
		tasks = append(tasks, task{name, lessonOf(t, text, lesson.Options{}), 1e-10, 1e-9})
	}
	return tasks
}

func TestPythonOdd(t *testing.T) { runPython(t, oddTasks(t)) }

func TestOctave(t *testing.T) {
	tasks := append(demoTasks(t), oddTasks(t)...)
	for _, p := range testdata.Problems("system", "condition") {
		switch p.ID {
		case "mixed-orders-nonlinear", "unknown-frequency", "two-species-pellet", "ends-tied-together", "four-streams":
			tasks = append(tasks, task{p.ID, lessonOf(t, p.Sheet, lesson.Options{Family: nodes.Radau}), 1e-10, 1e-9})
		}
	}
	for _, f := range nodes.Families() {
		tasks = append(tasks, task{f.String(), lessonOf(t, demos.All()[0].Sheet, lesson.Options{Family: f}), 1e-10,
			1e-9})
	}
	runOctave(t, tasks)
}
