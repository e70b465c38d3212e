package slips_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"nodespan/expr/numbers"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// solve reads and solves a sheet.
func solve(t testing.TB, text string) *solver.Solution {
	sh := sheettest.Read(t, text)
	s := solver.MustSolve(sh.Problem(), solver.Options{Tol: 1e-10})
	if s.Status != solver.Solved {
		t.Fatal(s.Message)
	}
	return s
}

// written writes rows of a solution, with what is done to x and y of each.
func written(s *solver.Solution, rows, digits int, change func(i int, x, y float64) (float64, float64)) string {
	var b strings.Builder
	jet := make([]float64, s.Problem.Jet())
	for i := range rows {
		x := s.Problem.A + (s.Problem.B-s.Problem.A)*float64(i)/float64(rows-1)
		s.At(x, jet)
		y := jet[0]
		if change != nil {
			x, y = change(i, x, y)
		}
		fmt.Fprintf(&b, "%.9g\t%.*f\n", x, digits, y)
	}
	return b.String()
}

const (
	finSheet = "T'' = m^2 (T - T_inf)\nm = 5.5, T_inf = 18\nT(0) = 95\nT'(0.24) = 0"
	rodSheet = "(k T')' = -q/2\nk = k0 (1 + 0.4 x), k0 = 1.7, q = 3 p\np = 40\n" +
		"T(0) = 20\n-k T'(2.5) = 2 h (T(2.5) - 15)\nh = 3"
)

// TestTold: what is not the whole table's fault is told as what it is.
func TestTold(t *testing.T) {
	s := solve(t, finSheet)
	p := pose(t, finSheet)
	for _, c := range []struct {
		name, slip, want string
		rows, digits     int
		change           func(i int, x, y float64) (float64, float64)
	}{
		{"one row", "", "row 4 is off by 0.7; the rest is right", 9, 2,
			func(i int, x, y float64) (float64, float64) {
				if i == 3 {
					y = math.Round(y*100)/100 + 0.7
				}
				return x, y
			}},
		{"a sign", "", "(its sign is wrong); the rest is right", 9, 2, func(i int, x, y float64) (float64, float64) {
			if i == 5 {
				y = -y
			}
			return x, y
		}},
		{"a decimal point", "", "(its decimal point is in the wrong place); the rest is right", 7, 2,
			func(i int, x, y float64) (float64, float64) {
				if i == 2 {
					y /= 10
				}
				return x, y
			}},
		{"two rows exchanged", "", "rows 2 and 6 are exchanged, the rest is right", 9, 2, nil},
		{"a constant forgotten", "constant offset", "T_inf = 18 is taken off every value", 9, 2,
			func(i int, x, y float64) (float64, float64) { return x, y - 18 }},
		{"Kelvin", "constant offset", "273.15 is added to every value", 9, 2,
			func(i int, x, y float64) (float64, float64) { return x, y + 273.15 }},
		{"halved", "constant factor", "every value is multiplied by 1/2", 9, 3,
			func(i int, x, y float64) (float64, float64) { return x, y / 2 }},
		{"by a constant", "constant factor", "every value is multiplied by 1/m = 0.1818", 9, 4,
			func(i int, x, y float64) (float64, float64) { return x, y / 5.5 }},
		{"by the step squared", "constant factor", "every value is multiplied by h² = 0.0009", 9, 6,
			func(i int, x, y float64) (float64, float64) { return x, y * 0.03 * 0.03 }},
		{"an offset without a name", "", "every number is too large by 3.7, the same in each row", 9, 2,
			func(i int, x, y float64) (float64, float64) { return x, y + 3.7 }},
		{"mm", "", "x is in thousandths of the sheet's unit, as mm for m; so taken, the numbers are right", 9, 2,
			func(i int, x, y float64) (float64, float64) { return 1000 * x, y }},
		{"inches", "", "x is in inches where the sheet has m; so taken, the numbers are right", 9, 2,
			func(i int, x, y float64) (float64, float64) { return math.Round(x/0.0254*1e3) / 1e3, y }},
		{"minutes", "", "x is in minutes where the sheet has hours; so taken, the numbers are right", 9, 2,
			func(i int, x, y float64) (float64, float64) { return 60 * x, y }},
		{"a row off, in degrees", "", "x is in degrees where the sheet has radians; so taken, row 4 is off by", 9, 2,
			func(i int, x, y float64) (float64, float64) {
				if i == 3 {
					y += 3
				}
				return x * 180 / math.Pi, y
			}},
		{"feet within the interval", "x in another unit", "x is in m where the sheet has feet", 9, 4,
			func(i int, x, y float64) (float64, float64) { return 0.3048 * x, y }},
		{"of inches", "constant factor", "every value is multiplied by 25.4, as mm for inches", 9, 2,
			func(i int, x, y float64) (float64, float64) { return x, 25.4 * y }},
		{"a row outside", "", "row 8 lies outside the interval from 0 to 0.24; the rest is right", 8, 2,
			func(i int, x, y float64) (float64, float64) {
				if i == 7 {
					x = 0.3
				}
				return x, y
			}},
	} {
		text := written(s, c.rows, c.digits, c.change)
		if c.name == "two rows exchanged" {
			lines := strings.Split(text, "\n")
			x2, y2, _ := strings.Cut(lines[1], "\t")
			x6, y6, _ := strings.Cut(lines[5], "\t")
			lines[1], lines[5] = x2+"\t"+y6, x6+"\t"+y2
			text = strings.Join(lines, "\n")
		}
		if v := p.judge(t, text); v.Slip != c.slip || !strings.Contains(v.Sentence, c.want) {
			t.Errorf("%s: %s\n%s", c.name, v.Sentence, text)
		}
	}
}

// TestForgotten: a factor forgotten in a term, a coefficient or a condition is named.
func TestForgotten(t *testing.T) {
	p := pose(t, rodSheet)
	for _, c := range []struct{ of, to, want string }{
		{"-q/2", "-q", "the divisor 2 of"}, {"2 h (T", "h (T", "the factor 2 of"},
		{"2 h (T", "2 (T", "the factor h of"}, {"q = 3 p", "q = p", "the factor 3 of"},
		{"0.4 x", "x", "the factor 0.4 of"},
	} {
		text := strings.Replace(rodSheet, c.of, c.to, 1)
		if c.to == "2 (T" {
			text = strings.Replace(text, "\nh = 3", "", 1)
		}
		for _, rows := range []int{6, 11} {
			table := written(solve(t, text), rows, 4, nil)
			v := p.judge(t, table)
			if !strings.Contains(v.Sentence, c.want) || v.Slip == "" {
				t.Errorf("%s for %s: %s\n%s", c.to, c.of, v.Sentence, table)
			}
		}
	}
}

// TestRowsOutsideKeepTheirPlaces: each row of the table has its row in the verdict.
func TestRowsOutsideKeepTheirPlaces(t *testing.T) {
	p := pose(t, finSheet)
	tab, err := numbers.Read("x T\n-0.1 95\n0 95.00\n0.24 3\n0.5 2")
	if err != nil {
		t.Fatal(err)
	}
	v, err := p.Judge(tab)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range []float64{-0.1, 0, 0.24, 0.5} {
		if r := v.Rows[i]; r.X != x || math.IsNaN(r.Error) != (i == 0 || i == 3) || r.Right != (i == 1) {
			t.Errorf("row %d: %+v", i, r)
		}
	}
}
