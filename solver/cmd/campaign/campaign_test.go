package main

import (
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/cmd/batch"
)

const rowFile = "../../../testdata/campaign.json"

// cases is how many of each family are solved here: a few, for a run with the race detector too; CAMPAIGN sets another
// number, as make test-go does for a run without it.
func cases(t *testing.T) int {
	n := 10
	if s := os.Getenv("CAMPAIGN"); s != "" {
		v, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		n = v
	}
	return n
}

// TestRows solves every row of testdata/campaign.json.
func TestRows(t *testing.T) {
	rows, err := batch.Load[Row](rowFile)
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for i := range rows {
		c, err := rows[i].asCase()
		if err != nil {
			t.Fatal(err)
		}
		if names[c.Name] {
			t.Errorf("two rows are called %q", c.Name)
		}
		names[c.Name] = true
		if v := Judge(c); v.Class != Fine {
			t.Errorf("%s: %s: %s\n%s", c.Name, v.Class, v.Fault, c.command())
		}
	}
	if len(rows) < 12 {
		t.Errorf("%d rows only", len(rows))
	}
}

// A floor is what a family is held to: the least percentages of solved and covered cases, the largest median of claimed
// over true error.
type floor struct{ solved, covered, ratio float64 }

// want is what every family is held to.
var want = floor{99, 100, 10}

// mostWork is after how much counted work a family has had its share of these tests, in units of package budget (about
// ten seconds). The dear ones, on unbounded intervals, come to a few tens of cases then; which they are is the same
// on every machine.
const mostWork = 6e9

// within judges up to n cases of a family, until they have taken so much work.
func (f *Family) within(seed uint64, n int, work float64) (out []Verdict) {
	const size = 10
	for i := 0; i < n && work > 0; i += size {
		for _, v := range f.run(seed, i, min(size, n-i), 2) {
			out = append(out, v)
			work -= v.Work
		}
	}
	return out
}

// TestFamilies solves cases of every family: all that is claimed is true, 99 of 100 are solved, and what is claimed is
// at most ten times the true error in the median.
func TestFamilies(t *testing.T) {
	n := cases(t)
	for i := range families {
		f := &families[i]
		t.Run(f.Name, func(t *testing.T) {
			all := f.within(1, n, mostWork)
			s := summarise(all)
			t.Log(heading)
			t.Log(s.line(f.Name))
			for i := range all {
				if v := &all[i]; v.Class != Fine && v.Class != Unsolved {
					t.Errorf("%s: %s: %s\n%s", v.Case.Name, v.Class, v.Fault, v.Case.command())
				}
			}
			// One case is always allowed to be the one in a hundred.
			if allowed := math.Max(1, float64(s.Must)*(1-want.solved/100)); float64(s.Must-s.Solved) > allowed {
				t.Errorf("%d of %d solved, want %.0f %%", s.Solved, s.Must, want.solved)
			}
			if float64(s.Covered) < float64(s.N)*want.covered/100 {
				t.Errorf("%d of %d claims are at least the true error, want %.0f %%", s.Covered, s.N, want.covered)
			}
			if s.N >= 40 && s.Median > want.ratio {
				t.Errorf("claimed over true error is %.1f in the median, want %.0f at most", s.Median, want.ratio)
			}
		})
	}
}

// TestTruths puts the truth of every family into the equations and conditions as the sheet is read: what is left is
// rounding.
func TestTruths(t *testing.T) {
	for i := range families {
		f := &families[i]
		checked := 0
		for k := range 12 {
			c := f.caseOf(2, k)
			if c.truth == nil {
				continue
			}
			sh, err := sheet.Read(c.Sheet, sheet.Options{})
			if err != nil {
				t.Errorf("%s: %v\n%s", c.Name, err, c.Sheet)
				continue
			}
			checked++
			p := sh.Problem()
			for _, a := range c.Asks {
				if a.place < p.A || a.place > p.B {
					t.Errorf("%s: %s is outside the interval\n%s", c.Name, a.What, c.Sheet)
				}
			}
			if at, worst := leftOverMost(c, p); worst > 1e-5 {
				t.Errorf("%s: at %s a relative residual of %.1e\n%s", c.Name, written(at), worst, c.Sheet)
			}
			for j := range p.Conditions {
				if worst := leftOverCondition(c, p, j); worst > 1e-9 {
					t.Errorf("%s: condition %d is off by %.1e\n%s", c.Name, j+1, worst, c.Sheet)
				}
			}
		}
		if checked == 0 && !f.checkedElsewhere {
			t.Errorf("%s: no truth was checked", f.Name)
		}
	}
}

// leftOverMost is the largest residual over the points of a case, relative to the sizes of the terms there; where these
// nearly vanish (in the middle of an odd feature), to 1e-5 of what they are elsewhere.
func leftOverMost(c *Case, p *bvp.Problem) (at, worst float64) {
	n := len(p.Unknowns)
	type place struct {
		x       float64
		f, size []float64
	}
	var all []place
	largest := make([]float64, n)
	for _, a := range c.Asks {
		if slices.Contains(c.kinks, a.place) {
			continue
		}
		f, size := leftOver(c.truth, p, a.place)
		all = append(all, place{a.place, f, size})
		for i := range size {
			largest[i] = math.Max(largest[i], size[i])
		}
	}
	for _, q := range all {
		for i := range q.f {
			if r := math.Abs(q.f[i]) / (q.size[i] + 1e-5*largest[i] + 1e-300); !(r <= worst) {
				at, worst = q.x, r
			}
		}
	}
	return at, worst
}

// leftOver is the residual of each equation at x, and the sum of the sizes of its terms.
func leftOver(t *truth, p *bvp.Problem, x float64) (f, size []float64) {
	m := p.Jet() + len(p.Parameters)
	in := make([]float64, m)
	for u := range p.Unknowns {
		for k := 0; k <= p.Unknowns[u].Order; k++ {
			in[p.JetOffset(u)+k] = t.value(p, u, k, x)
		}
	}
	n := len(p.Unknowns)
	f, size = make([]float64, n), make([]float64, n)
	df := make([]float64, n*m)
	p.Equations(x, in, f, df)
	p.Equations(x, make([]float64, m), size, nil)
	for i := range f {
		size[i] = math.Abs(size[i])
		for j := range in {
			size[i] += math.Abs(df[i*m+j] * in[j])
		}
	}
	return f, size
}

// leftOverCondition is what is left of a condition, relative to the sizes of its terms and of what the case asks for.
func leftOverCondition(k *Case, p *bvp.Problem, j int) float64 {
	t, c := k.truth, p.Conditions[j]
	var in []float64
	for _, v := range c.At {
		if math.IsInf(v.X, 0) {
			return 0
		}
		in = append(in, t.value(p, v.Unknown, v.Derivative, v.X))
	}
	in = append(in, make([]float64, len(p.Parameters))...)
	dg := make([]float64, len(in))
	r := c.Residual(in, dg)
	size := 1e-3
	for _, a := range k.Asks {
		size = math.Max(size, 1e-3*math.Abs(a.Want))
	}
	for i := range in {
		size += math.Abs(dg[i] * in[i])
	}
	return math.Abs(r) / size
}

// TestPlanted plants wrong answers, and the judge must find each: a campaign that finds nothing must not be one that
// looks at nothing.
func TestPlanted(t *testing.T) {
	row := func(sheet string, what string, want float64) *Row {
		return &Row{Name: "planted", Sheet: sheet, Source: "closed form", Ask: map[string]float64{what: want}}
	}
	const beam = "y'' = -2; y(0) = 0; y(1) = 0" // y = x (1 - x)
	for _, c := range []struct {
		row  *Row
		want Class
	}{
		{row(beam, "y(0.5)", 0.25), Fine},
		{row(beam, "y(0.5)", 0.25+1e-13), FalseSolved},
		{row(beam, "y'(0)", -1), FalseSolved},
		{row(beam, "u(0.5)", 0.25), Unsolved},
		{row(beam+"; report m = integral(y)", "report m", 1.0/6), Fine},
		{row(beam+"; report m = integral(y)", "report m", 1.0/6+1e-12), FalseSolved},
		{row(beam+"; report m = integral(y)", "report k", 1.0/6), Unsolved},
		{row("y'' = -p; y(0) = 0; y(1) = 0; y'(0) = 3; p = ?", "p", 6), Fine},
		{row("y'' = -p; y(0) = 0; y(1) = 0; y'(0) = 3; p = ?", "p", 6.0001), FalseSolved},
		{row("y'' + lambda y = 0; y(0) = 0; y(1) = 0; lambda = ?", "lambda_2", 4*math.Pi*math.Pi), Fine},
		{row("y'' + lambda y = 0; y(0) = 0; y(1) = 0; lambda = ?", "lambda_2", 9*math.Pi*math.Pi), FalseSolved},
		{row("y'' = (; y(0) = 0", "y(0)", 0), Unread},
		{row("y'' + pi^2 y = 0; y(0) = 0; y(1) = 1", "y(0)", 0), Unsolved},
		{&Row{Sheet: beam, Want: "not solved"}, Accepted},
		{&Row{Sheet: "y'' + pi^2 y = 0; y(0) = 0; y(1) = 1", Want: "not solved", Reason: []string{"no solution"}},
			Fine},
		{&Row{Sheet: "y'' + pi^2 y = 0; y(0) = 0; y(1) = 1", Want: "not solved", Reason: []string{"infinitely many"}},
			WrongReason},
		{&Row{Sheet: beam, Ask: map[string]float64{"y(0.5)": 0.25}, Never: []string{"checked"}}, WrongReason},
	} {
		k, err := c.row.asCase()
		if err != nil {
			t.Fatal(err)
		}
		if v := Judge(k); v.Class != c.want {
			t.Errorf("%s, %v: %q, want %q (%s)", k.Sheet, c.row.Ask, v.Class, c.want, v.Fault)
		}
	}
}

// TestPlantedInFamilies moves the truth of cases that pass by a little more than is claimed: every one must fail then.
func TestPlantedInFamilies(t *testing.T) {
	found := 0
	for i := range families {
		for k := range 4 {
			c := families[i].caseOf(3, k)
			v := Judge(c)
			if c.twin != nil || v.Class != Fine || v.Status != solver.Solved || len(c.Refused) > 0 {
				continue
			}
			sh, _ := sheet.Read(c.Sheet, sheet.Options{})
			s := solver.MustSolve(sh.Problem(), c.Options)
			a := &c.Asks[k%len(c.Asks)]
			got, claimed, _ := lookUp(s, report.All(sh, s), *a)
			a.also = nil
			a.Want = got + 1.01*claimed + 4*ulp*math.Max(math.Abs(got), 1e-280)
			if w := Judge(c); w.Class != FalseSolved {
				t.Errorf("%s: %s moved beyond its claim of %.1e is %q", c.Name, a.What, claimed, w.Class)
			}
			found++
		}
	}
	if found < 20 {
		t.Errorf("only %d cases were planted", found)
	}
}

// TestPlantedTwins: two ways to write a problem that are made to disagree are found.
func TestPlantedTwins(t *testing.T) {
	found := 0
	for k := range 12 {
		f := Family{Name: "rewritten", make: rewritten}
		c := f.caseOf(3, k)
		if v := Judge(c); v.Class != Fine || v.Status != solver.Solved {
			continue
		}
		c = f.caseOf(3, k)
		for i := range c.twin.shift {
			c.twin.shift[i] += 0.01
		}
		if v := Judge(c); v.Class != FalseSolved {
			t.Errorf("%s: a twin moved by 0.01 is %q", c.Name, v.Class)
		}
		found++
	}
	if found < 6 {
		t.Errorf("only %d twins were planted", found)
	}
}

// TestRepeatable: a case is the same whenever it is made, and differs from its neighbours.
func TestRepeatable(t *testing.T) {
	for i := range families {
		f := &families[i]
		a, b := f.caseOf(5, 3), f.caseOf(5, 3)
		if a.Sheet != b.Sheet || a.Options.Tol != b.Options.Tol || !reflect.DeepEqual(a.Asks, b.Asks) {
			t.Errorf("%s: two cases of one number differ", f.Name)
		}
	}
}

// TestSummary counts verdicts made by hand.
func TestSummary(t *testing.T) {
	must, may := &Case{Must: true}, &Case{}
	s := summarise([]Verdict{
		{Case: must, Status: solver.Solved, True: 1e-9, Claimed: 4e-9},
		{Case: must, Status: solver.Short, Class: Unsolved, True: 1e-9, Claimed: 3e-9},
		{Case: may, Status: solver.Short, Class: Uncovered, True: 1e-3, Claimed: 1e-4},
		{Case: must, Status: solver.Solved, Class: FalseSolved, True: 1e-3, Claimed: 2e-3},
		{Case: may, Status: solver.Failed, Class: Crashed},
	})
	if s.N != 5 || s.Must != 3 || s.Solved != 2 || s.Covered != 3 || s.False != 1 || s.Wrong != 1 {
		t.Errorf("%+v", s)
	}
	if s.Median < 1 || s.Median > 4 {
		t.Errorf("median %v", s.Median)
	}
}

// TestRewrittenShapes: what is written two ways has no feature with long sides, which another variable does not leave
// as it is; all others occur.
func TestRewrittenShapes(t *testing.T) {
	f := Family{Name: "rewritten", make: rewritten}
	narrow := 0
	for i := range 400 {
		sheet := f.caseOf(3, i).Sheet
		if strings.Contains(sheet, "atan") {
			t.Errorf("case %d:\n%s", i, sheet)
		}
		if strings.Contains(sheet, "tanh") {
			narrow++
		}
	}
	if narrow == 0 {
		t.Error("no step was met")
	}
}
