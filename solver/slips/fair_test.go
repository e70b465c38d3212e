package slips

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/testdata"
	"nodespan/testdata/demos"
)

// fairProblems are all demonstrations and all published problems that slips are looked for in.
func fairProblems() map[string]string {
	out := map[string]string{}
	for _, d := range demos.All() {
		out[d.Name] = d.Sheet
	}
	for _, p := range testdata.Problems() {
		if p.Kind != "eigenvalue" && p.Kind != "infinite" && p.Kind != "multiple" {
			out[p.ID] = p.Sheet
		}
	}
	return out
}

// given is a table of numbers as someone with a right method writes them: rounded, or cut off, to some decimals.
func given(xs, ys []float64, decimals int, cut bool) *Table {
	t := &Table{Y: make([][]Cell, 1)}
	for i, x := range xs {
		f := math.Pow10(decimals)
		y := math.Round(ys[i]*f) / f
		if cut {
			y = math.Trunc(ys[i]*f) / f
		}
		text := strings.Replace(strconv.FormatFloat(math.Abs(y), 'f', max(decimals, 0), 64), ".", "", 1)
		t.X = append(t.X, Cell{x, 12, 12})
		t.Y[0] = append(t.Y[0], Cell{y, decimals, len(strings.TrimLeft(text, "0"))})
	}
	return t
}

// TestFair: whoever has a right method is accused of nothing: tables of the solution, of every method of low order, of
// the mean of two, and of their extrapolation, with few rows or many, rounded or cut off, for every demonstration and
// published problem. Which tables are tried is drawn by lot from a fixed seed; FAIR=1000 tries so many of each.
func TestFair(t *testing.T) {
	each, part := 1, os.Getenv("PART") != ""
	if n, err := strconv.Atoi(os.Getenv("FAIR")); err == nil {
		each = n
	}
	problems, tables, recognised := 0, 0, 0
	for id, text := range fairProblems() {
		if part && len(id)%5 != 0 {
			continue
		}
		sh, err := sheet.Read(text, sheet.Options{})
		if err != nil {
			continue // needs an option
		}
		s := solver.MustSolve(sh.Problem(), solver.Options{Tol: 1e-10})
		if s.Status != solver.Solved || math.IsInf(s.Problem.B-s.Problem.A, 0) {
			continue
		}
		problems++
		o := Options{Balanced: sh.Balanced()}
		for _, v := range sh.Variants() {
			o.Variants = append(o.Variants, Variant{Name: string(v.Change), Sentence: v.Sentence, Problem: v.Problem})
		}
		for _, q := range sh.Quantities() {
			o.Quantities = append(o.Quantities, Quantity(q))
		}
		f := NewSearch(s, o)
		f.prepare()
		r := rand.New(rand.NewPCG(uint64(len(id)), 11))
		for range each {
			xs, ys, how := f.lot(r)
			if xs == nil {
				continue
			}
			size := 0.0
			for _, y := range ys {
				size = math.Max(size, math.Abs(y))
			}
			decimals := 2 + r.IntN(4) - int(math.Ceil(math.Log10(size)))
			table := given(xs, ys, decimals, r.IntN(3) == 0)
			v, err := f.Judge(table)
			if err != nil {
				t.Errorf("%s: %v", id, err)
				continue
			}
			if tables++; v.Right || v.Coarse || v.Order > 0 {
				recognised++
			}
			if v.Slip != "" {
				t.Errorf("%s, %s: %s\n%v", id, how, v.Sentence, table)
			}
		}
	}
	t.Logf("%d tables of %d problems, %d of them recognised", tables, problems, recognised)
	if !part && problems < 60 || tables < problems*each/2 {
		t.Error("too few")
	}
}

// lot draws numbers of a right method.
func (f *Search) lot(r *rand.Rand) (xs, ys []float64, how string) {
	p := f.p
	steps := []int{4, 5, 6, 8, 10, 12, 16, 20}[r.IntN(8)]
	j := &judge{Search: f, v: &Verdict{}, numbers: []numberAt{{x: []float64{p.A}}, {x: []float64{p.B}}}}
	one := func(steps int) (curve, string) {
		var list []lowOrder
		for _, order := range []int{2, 4} {
			list = append(list, lowOrder{differencesOf(steps, order), order,
				func() curve { return f.differences(p, steps, order) }})
		}
		if len(p.Breaks) == 0 {
			list = append(list, j.schemes(steps)...)
		}
		s := list[r.IntN(len(list))]
		return s.solve(), s.name
	}
	at, how := one(steps)
	read := func(at curve, x float64) float64 {
		jet := make([]float64, p.Jet())
		at(x, jet)
		return jet[0]
	}
	value := func(x float64) float64 { return read(at, x) }
	switch r.IntN(4) {
	case 0:
		value, how = func(x float64) float64 { return read(f.s.At, x) }, "the solution"
	case 1:
		other, name := one(steps)
		if other == nil || at == nil {
			return nil, nil, ""
		}
		value = func(x float64) float64 { return (read(at, x) + read(other, x)) / 2 }
		how = "the mean of " + how + " and " + name
	case 2:
		fine, coarse := f.differences(p, 2*steps, 2), f.differences(p, steps, 2)
		if coarse == nil || fine == nil {
			return nil, nil, ""
		}
		value = func(x float64) float64 { return (4*read(fine, x) - read(coarse, x)) / 3 }
		how = fmt.Sprintf("differences extrapolated from %d steps", steps)
	default:
		if at == nil {
			return nil, nil, ""
		}
	}
	every := 1 + r.IntN(2)
	for i := 0; i <= steps; i += every {
		x := p.A + (p.B-p.A)*float64(i)/float64(steps)
		if i == steps {
			x = p.B
		}
		y := value(x)
		if math.IsNaN(y) {
			continue
		}
		xs, ys = append(xs, x), append(ys, y)
	}
	if len(xs) < 2 || math.Abs(ys[0]) > 1e6 {
		return nil, nil, ""
	}
	return xs, ys, how
}
