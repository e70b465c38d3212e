package report

import (
	"math"
	"strconv"
	"strings"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/table"
)

// Notable is the number that an answer tells where the sheet asks for none: the first unknown at an end where
// nothing fixes it; on an unbounded interval, where every value is fixed, a derivative at its end; else the value in
// the middle.
func Notable(s *solver.Solution) bvp.PointValue {
	a, b := s.Mesh[0], s.Mesh[len(s.Mesh)-1]
	if s.Problem.Own != nil {
		a, b = s.Problem.Counts(0)
	}
	most := 1
	if !Bounded(s, a) || !Bounded(s, b) {
		most = s.Problem.Unknowns[0].Order
	}
	for k := range most {
		for _, x := range []float64{a, b} {
			v := bvp.PointValue{X: x, Derivative: k}
			if fixed, _ := s.Problem.Fixed(v); (s.Problem.Own != nil || Bounded(s, x)) && !fixed {
				return v
			}
		}
	}
	return bvp.PointValue{X: a + (b-a)/2}
}

// Bounded reports whether an end of the mesh is one of the problem's own, and not a distance put in the place of
// infinity.
func Bounded(s *solver.Solution, x float64) bool {
	a, b := s.Mesh[0], s.Mesh[len(s.Mesh)-1]
	return x == a && !math.IsInf(s.Problem.A, 0) || x == b && !math.IsInf(s.Problem.B, 0)
}

// Sentence tells an answer in words of plain characters, to stand in a report: what the sheet asks for, else its
// sought numbers, else a notable one, each with a bound of its error. Numbers have at most so many digits, and the
// bound covers the rounding to them. Without a solution it is empty.
func Sentence(sh *sheet.Sheet, s *solver.Solution, digits int) string {
	if !s.Usable() || s.Status == solver.Failed {
		return ""
	}
	var parts []string
	all := All(sh, s)
	for i, r := range all {
		switch where, size := place(all, i); {
		case placed(all, i):
		case r.Fault != "":
			parts = append(parts, r.Name+": "+r.Fault)
		case where >= 0:
			parts = append(parts, of(r.Name)+" is "+size+", "+with(r.Value, r.Error, digits,
				", at "+sh.Variable+" = "+clean(all[where].Value, all[where].Error, digits)))
		default:
			parts = append(parts, r.Name+" = "+with(r.Value, r.Error, digits, ""))
		}
	}
	for i, f := range s.Sought() {
		if i == 0 && s.Eigenvalues != nil {
			continue
		}
		parts = append(parts, f.Name+" = "+with(f.Value, f.Error, digits, ""))
	}
	for i, e := range s.Eigenvalues {
		name := s.Problem.Parameters[0].Name + "_" + strconv.Itoa(i+1)
		parts = append(parts, name+" = "+with(e.Value, e.Error, digits, ""))
	}
	if parts == nil {
		v := Notable(s)
		jet, err := make([]float64, s.Problem.Jet()), make([]float64, s.Problem.Jet())
		s.At(v.X, jet)
		s.ErrorAt(v.X, err)
		k := s.Problem.JetOffset(v.Unknown) + v.Derivative
		name := bvp.Derivative(s.Problem.Unknowns[v.Unknown].Name, v.Derivative)
		parts = append(parts, name+"("+table.Honest(table.Rounded(v.X, 6), 0).String()+") = "+
			with(jet[k], err[k], digits, ""))
	}
	text := strings.Join(parts, ". ")
	if s.Status != solver.Solved {
		text += ". This is short of the accuracy that was asked for"
	}
	return strings.TrimSuffix(text, ".") + "."
}

// place finds the report that tells where the largest or smallest value lies that report i is, and says which of the
// two it is; -1 for none.
func place(all []Report, i int) (at int, size string) {
	for _, size := range []string{"largest", "smallest"} {
		inner, found := strings.CutPrefix(all[i].Name, size+"(")
		if !found || strings.Contains(inner, ",") {
			continue
		}
		for k, r := range all {
			if r.Name == size+"_at("+inner && r.Fault == "" {
				return k, size
			}
		}
	}
	return -1, ""
}

// placed reports whether report i is the place of a largest or smallest value, which is told with that.
func placed(all []Report, i int) bool {
	for k, r := range all {
		if at, _ := place(all, k); at == i && r.Fault == "" {
			return true
		}
	}
	return false
}

// of is what a largest or smallest value is of.
func of(name string) string {
	_, inner, _ := strings.Cut(name, "(")
	return strings.TrimSuffix(inner, ")")
}

// clean prints the digits of a number that stand, at most so many.
func clean(value, err float64, digits int) string {
	d := table.Asked(value, err, digits)
	if strings.Trim(d.Firm, "-0.") == "" {
		return "0"
	}
	if strings.Contains(d.Firm, ".") { // the bound says how many digits stand
		d.Firm = strings.TrimRight(strings.TrimRight(d.Firm, "0"), ".")
	}
	return d.Firm + d.Exponent
}

// with prints a number, what follows it, and a bound of its error.
func with(value, err float64, digits int, after string) string {
	text := clean(value, err, digits)
	if printed, fault := strconv.ParseFloat(text, 64); fault == nil {
		err += math.Abs(value - printed)
	}
	if err == 0 {
		return text + after
	}
	bound := math.Pow(10, math.Floor(math.Log10(err)))
	up := math.Ceil(err/bound*(1-1e-12)) * bound
	return text + after + "; error below " + table.Fixed(up, 1).String()
}
