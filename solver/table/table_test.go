package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// exponential is the solution of T” = T and v' = T with T = e^x, v = e^x: a curve of three errors.
type exponential struct{ err float64 }

func (e exponential) Points() []float64 { return []float64{0, 0.5, 1} }

func (e exponential) At(x float64, jet []float64) {
	for i := range jet {
		jet[i] = math.Exp(x)
	}
}

func (e exponential) ErrorAt(x float64, err []float64) {
	for i := range err {
		err[i] = e.err * float64(i)
	}
}

var pair = &solver.Problem{A: 0, B: 1, Unknowns: []solver.Unknown{{Name: "T_s", Order: 2}, {Name: "theta", Order: 1}}}

func TestBuild(t *testing.T) {
	got := build(pair, exponential{1e-6}, nil)
	e, s := math.E, math.Sqrt(math.E)
	want := &Table{
		Columns: []string{"x", "T_s", "T_s'", "theta"},
		Rows:    [][]float64{{0, 1, 1, 1}, {0.5, s, s, s}, {1, e, e, e}},
		Errors:  [][]float64{{0, 1e-6, 3e-6}, {0, 1e-6, 3e-6}, {0, 1e-6, 3e-6}}, // the jet is T, T', T'', θ, θ'
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v\nwant %v", got, want)
	}
	at := []float64{1, 0.25}
	got = build(pair, exponential{}, at)
	if len(got.Rows) != 2 || got.Rows[0][0] != 1 || got.Rows[1][0] != 0.25 || got.Rows[1][1] != math.Exp(0.25) {
		t.Errorf("at %v: %v", at, got.Rows)
	}
	if got := build(pair, exponential{}, []float64{}); len(got.Rows) != 0 {
		t.Errorf("at no point: %v", got.Rows)
	}
	defer func() {
		if recover() == nil {
			t.Error("a point outside the interval did not panic")
		}
	}()
	build(pair, exponential{}, []float64{1.5})
}

// An unknown has no value beyond its own interval, and what is prescribed as zero is zero, with no error.
func TestBuildLayers(t *testing.T) {
	p := *pair
	p.Own = [][2]float64{{0, 0.5}, {0.5, 1}}
	zero := func(x float64, unknown, derivative int) bvp.Condition {
		return bvp.Condition{At: []bvp.PointValue{{X: x, Unknown: unknown, Derivative: derivative}},
			Residual: func(in, _ []float64) float64 { return in[0] }}
	}
	p.Conditions = []bvp.Condition{zero(0, 0, 1), zero(1, 1, 0)}
	got := build(&p, exponential{1e-6}, nil)
	s := math.Sqrt(math.E)
	var text [][]string
	for i := range got.Rows {
		var row []string
		for j := range got.Columns {
			row = append(row, got.Cell(i, j).String())
		}
		text = append(text, row)
	}
	want := [][]string{{"0", "1", "0", ""},
		{"0.5", Honest(s, 0).String(), Honest(s, 1e-6).String(), Honest(s, 3e-6).String()}, {"1", "", "", "0"}}
	if !reflect.DeepEqual(text, want) {
		t.Errorf("got %v\nwant %v", text, want)
	}
	for i, errors := range [][]float64{{0, 0, math.NaN()}, {0, 1e-6, 3e-6}, {math.NaN(), math.NaN(), 0}} {
		for j, e := range errors {
			if e != got.Errors[i][j] && !(math.IsNaN(e) && math.IsNaN(got.Errors[i][j])) {
				t.Errorf("errors of row %d: %v, want %v", i, got.Errors[i], errors)
				break
			}
		}
	}
}

// A point has eight digits, or as many as tell it from its neighbours.
func TestPlace(t *testing.T) {
	table := &Table{Rows: [][]float64{{1.0 / 3}, {0.12345678912}, {0.12345678901}, {0.12345678901}, {2}, {2}}}
	for i, want := range []string{"0.33333333", "0.1234567891", "0.123456789", "0.12345679", "2", "2"} {
		if got := table.Place(i); got.String() != want {
			t.Errorf("row %d: %s, want %s", i, got, want)
		}
	}
}

func TestColumns(t *testing.T) {
	got := Columns(&solver.Problem{Variable: "r", Unknowns: []solver.Unknown{{Name: "w", Order: 7},
		{Name: "q", Order: 1}}})
	want := []string{"r", "w", "w'", "w''", "w'''", "w''''", "w^(5)", "w^(6)", "q"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestWrite(t *testing.T) {
	table := &Table{
		Columns: []string{"x", "T_s", "theta'", "w^(5)", "q1", "heat_a_2"},
		Rows: [][]float64{
			{0, 1, 1.0 / 3, -1.5e-9, 4, math.NaN()},
			{0.5, 2.0 / 3, 0, 12345.678, math.Inf(-1), 2},
		},
		Errors: [][]float64{
			{0, 1e-8, 1e-12, 0.5, 1},
			{2e-10, 1e-3, 20, 0, math.Inf(1)},
		},
	}
	for f, want := range map[Format]string{
		TSV: "x\tT_s\ttheta'\tw^(5)\tq1\theat_a_2\n" +
			"0\t1\t0.33333333\t-1.500e-9\t4.0\tnan\n" +
			"0.5\t0.6666666667\t0.000\t1.235e4\t-inf\t?\n",
		CSV: "x,T_s,theta',w^(5),q1,heat_a_2\r\n" +
			"0,1,0.33333333,-1.500e-9,4.0,nan\r\n" +
			"0.5,0.6666666667,0.000,1.235e4,-inf,?\r\n",
		Markdown: `| x | T\_s | theta' | w^(5) | q1 | heat\_a\_2 |` + "\n" +
			"| ---: | ---: | ---: | ---: | ---: | ---: |\n" +
			"| 0 | 1 | 0.33333333 | -1.500e-9 | 4.0 | nan |\n" +
			"| 0.5 | 0.6666666667 | 0.000 | 1.235e4 | -inf | ? |\n",
		LaTeX: `\begin{tabular}{rrrrrr}
\hline
$x$ & $T_{s}$ & $\theta'$ & $w^{(5)}$ & $q_{1}$ & $\mathrm{heat}_{a,2}$ \\
\hline
$0$ & $1$ & $0.33333333$ & $-1.500\times10^{-9}$ & $4.0$ & nan \\
$0.5$ & $0.6666666667$ & $0.000$ & $1.235\times10^{4}$ & $-\infty$ & ? \\
\hline
\end{tabular}
`,
	} {
		var b bytes.Buffer
		if err := table.Write(&b, f); err != nil {
			t.Errorf("%s: %v", f, err)
		}
		if got := b.String(); got != want {
			t.Errorf("%s:\n%s\nwant\n%s", f, got, want)
		}
	}
	if len(Formats()) != 4 {
		t.Error("a format without a test")
	}
}

// A CSV reader gets back what was written, also where a name needs quotes.
func TestCSVIsRead(t *testing.T) {
	table := &Table{Columns: []string{`a,"b"`, "y"}, Rows: [][]float64{{0.1, 2.5}}, Errors: [][]float64{{1e-3}}}
	var b bytes.Buffer
	if err := table.Write(&b, CSV); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(&b).ReadAll()
	if want := [][]string{{`a,"b"`, "y"}, {"0.1", "2.500"}}; err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%q, %v", got, err)
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, fmt.Errorf("disk full") }

func TestWriteReportsErrors(t *testing.T) {
	table := build(pair, exponential{}, nil)
	for _, f := range Formats() {
		if err := table.Write(brokenWriter{}, f); err == nil || err.Error() != "disk full" {
			t.Errorf("%s: %v", f, err)
		}
	}
	if err := NewReply(&solver.Solution{Problem: pair}, table, nil).WriteJSON(brokenWriter{}); err == nil {
		t.Error("json: no error")
	}
}

func TestReply(t *testing.T) {
	s := &solver.Solution{
		Problem: pair, Status: solver.Short, Message: "reached 1e-3 <of> 1e-8", Method: solver.One, Degree: 6,
		Elements: 1,
		Found:    []solver.Found{{Name: "lambda", Value: 9.869604401089358, Error: 1e-12}},
		Seconds:  0.25,
	}
	table := build(pair, exponential{1e-9}, []float64{0})
	table.Errors[0][1] = math.Inf(1)
	off := 1e-300
	var b bytes.Buffer
	if err := NewReply(s, table, &off).WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	want := `{"status":"short-of-tolerance","message":"reached 1e-3 <of> 1e-8",` +
		`"method":"one","degree":6,"elements":1,` +
		`"columns":["x","T_s","T_s'","theta"],"rows":[[0,1,1,1]],"errors":[[0,null,3.0000000000000004e-9]],` +
		`"found":{"lambda":{"value":9.869604401089358,"error":1e-12}},"exactError":1e-300,"seconds":0.25}` + "\n"
	if b.String() != want {
		t.Errorf("got  %s\nwant %s", b.String(), want)
	}
	// Read again and printed again it is the same.
	var back Reply
	if err := json.Unmarshal(b.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	b.Reset()
	if err := back.WriteJSON(&b); err != nil || b.String() != want {
		t.Errorf("read again: %s, %v", b.String(), err)
	}
	if got := back.Table().Cell(0, 2).String(); got != "?" {
		t.Errorf("an error that is not a number printed %s", got)
	}
}

func TestReplyOfNothing(t *testing.T) {
	s := &solver.Solution{Problem: pair, Status: solver.Failed, Message: "no solution"}
	var b bytes.Buffer
	if err := NewReply(s, New(s, nil), nil).WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	want := `{"status":"failed","message":"no solution","method":"","degree":0,"elements":0,` +
		`"columns":["x","T_s","T_s'","theta"],"rows":[],"errors":[],"found":{},"seconds":0}` + "\n"
	if b.String() != want {
		t.Errorf("got  %s\nwant %s", b.String(), want)
	}
	if _, ok := ExactError(s, nil); ok {
		t.Error("an unusable solution was compared with the exact one")
	}
}

func TestReplyOfEigenvalues(t *testing.T) {
	for _, e := range [][]solver.Found{{}, {{Value: 1, Error: 0}, {Value: 4, Error: 1e-9}}} {
		s := &solver.Solution{Problem: pair, Eigenvalues: e}
		r := NewReply(s, New(s, nil), nil)
		data, err := json.Marshal(r.Found)
		want := `{"eigenvalues":[]}`
		if len(e) > 0 {
			want = `{"eigenvalues":[{"value":1,"error":0},{"value":4,"error":1e-9}]}`
		}
		if err != nil || string(data) != want {
			t.Errorf("%s, %v; want %s", data, err, want)
		}
		var back FoundSet
		if err := json.Unmarshal(data, &back); err != nil || !reflect.DeepEqual(back, r.Found) {
			t.Errorf("read again: %v, %v", back, err)
		}
	}
}

func TestExactError(t *testing.T) {
	c := exponential{}
	for name, k := range map[string]struct {
		exact func(x float64, unknown int) (float64, bool)
		want  float64
		ok    bool
	}{
		"none": {func(float64, int) (float64, bool) { return 0, false }, 0, false},
		"same": {func(x float64, _ int) (float64, bool) { return math.Exp(x), true }, 0, true},
		// Only between the nodes is it wrong: at 0.6 and its neighbours.
		"between": {func(x float64, _ int) (float64, bool) {
			if x > 0.5 && x < 1 {
				return math.Exp(x) + 0.125, true
			}
			return math.Exp(x), true
		}, 0.125, true},
		"second only": {func(x float64, i int) (float64, bool) { return math.Exp(x) - 2, i == 1 }, 2, true},
		"hole": {func(x float64, _ int) (float64, bool) {
			if x == 0 {
				return math.NaN(), true
			}
			return math.Exp(x), true
		}, 0, true},
	} {
		got, ok := exactError(pair, c, k.exact)
		if ok != k.ok || math.Abs(got-k.want) > 1e-15 {
			t.Errorf("%s: %v, %v; want %v, %v", name, got, ok, k.want, k.ok)
		}
	}
}

// unbounded is an exponential whose last point is at infinity.
type unbounded struct{ exponential }

func (unbounded) Points() []float64 { return []float64{0, 0.5, math.Inf(1)} }

// The exact solution is looked at in each node and at four places between two of them, and not at infinity.
func TestExactErrorPlaces(t *testing.T) {
	for _, k := range []struct {
		c    curve
		want []float64
	}{
		{exponential{}, []float64{0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}},
		{unbounded{}, []float64{0, 0.1, 0.2, 0.3, 0.4, 0.5}},
	} {
		var at []float64
		exactError(pair, k.c, func(x float64, i int) (float64, bool) {
			if i == 0 {
				at = append(at, math.Round(x*1e12)/1e12)
			}
			return 0, true
		})
		if !reflect.DeepEqual(at, k.want) {
			t.Errorf("looked at %v, want %v", at, k.want)
		}
	}
}

// What each format is called as a file.
func TestFile(t *testing.T) {
	got := ""
	for _, f := range append(Formats(), "other") {
		ending, media := f.File()
		got += ending + " " + media + "\n"
	}
	if want := "tsv text/tab-separated-values\ncsv text/csv\nmd text/markdown\ntex application/x-tex\n" +
		"txt text/plain\n"; got != want {
		t.Error(got)
	}
}

// Words that are numbers are set as numbers, and nothing else is.
func TestWriteWords(t *testing.T) {
	lines := [][]string{{"nodes", "a_b"}, {"1.5", "-2e-7"}, {"50 %", "inf"}}
	for f, want := range map[Format]string{
		TSV: "nodes\ta_b\n1,5\t-2e-7\n50 %\tinf\n",
		LaTeX: "\\begin{tabular}{rr}\n\\hline\nnodes & a\\_b \\\\\n\\hline\n$1{,}5$ & $-2\\times10^{-7}$ \\\\\n" +
			"50 \\% & $\\infty$ \\\\\n\\hline\n\\end{tabular}\n",
	} {
		var b bytes.Buffer
		if err := WriteWords(&b, f, lines, Options{Comma: true}); err != nil || b.String() != want {
			t.Errorf("%s: %v\n%q\n%q", f, err, b.String(), want)
		}
	}
}

// Every printed cell is a number that a program reads back within its error.
func TestCellsAreRead(t *testing.T) {
	table := build(pair, exponential{1e-6}, []float64{0, 0.1, 0.2, 1})
	for i, row := range table.Rows {
		for j, v := range row {
			s := table.Cell(i, j).String()
			got, err := strconv.ParseFloat(s, 64)
			if err != nil || math.Abs(got-v) > 3e-6 {
				t.Errorf("%v was printed as %q", v, s)
			}
			if j == 2 && !strings.Contains(s, ".") {
				t.Errorf("%v ± 1e-6 was printed as %q", v, s)
			}
		}
	}
}
