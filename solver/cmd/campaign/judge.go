package main

import (
	"fmt"
	"math"
	"strings"

	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
)

// A Verdict is what became of a case.
type Verdict struct {
	Case   *Case
	Status solver.Status
	// Fault is one sentence; empty where nothing is wrong.
	Fault string
	Class Class
	// True and Claimed are the largest true and claimed errors over all that is asked, each relative to the size of
	// what it belongs to.
	True, Claimed float64
	// Work is what was computed, in units of package budget.
	Work    float64
	Message string
}

// Class is a kind of fault.
type Class string

const (
	Fine        Class = ""
	Unread      Class = "not read"
	Crashed     Class = "crashed"
	Uncovered   Class = "claim below the true error" // while not solved
	FalseSolved Class = "solved, claim below the true error"
	Loose       Class = "solved, true error above the tolerance"
	Unsolved    Class = "not solved"
	Accepted    Class = "solved what has no answer"
	WrongReason Class = "wrong reason"
	Slow        Class = "over its budget"
)

// limit is the most that a solve may compute, in units of package budget: its default and a little for what cannot stop
// at once.
const limit = 1.1 * budget.Default

// ulp is what the comparison itself may lose: the truth and the answer are both rounded to a double.
const ulp = 1.0 / (1 << 52)

// Judge solves a case and compares.
func Judge(c *Case) (v Verdict) {
	v = Verdict{Case: c, Status: solver.Failed}
	defer func() {
		if r := recover(); r != nil {
			v.Class, v.Fault = Crashed, fmt.Sprint(r)
		}
	}()
	sh, err := sheet.Read(c.Sheet, sheet.Options{})
	if err != nil {
		if len(c.Refused) > 0 && mentions(err.Error(), c.Refused) {
			return v
		}
		v.Class, v.Fault = Unread, err.Error()
		return v
	}
	if c.twin != nil {
		if fault := c.takeTruth(); fault != "" {
			v.Class, v.Fault = Unread, fault
			return v
		}
	}
	s := solver.MustSolve(sh.Problem(), c.Options)
	var reports []report.Report
	if s.Usable() {
		reports = report.All(sh, s)
	}
	v.compare(s, reports)
	return v
}

func mentions(message string, words []string) bool {
	for _, w := range words {
		if strings.Contains(message, w) {
			return true
		}
	}
	return false
}

// compare holds an answer to the truth.
func (v *Verdict) compare(s *solver.Solution, reports []report.Report) {
	c := v.Case
	v.Status, v.Message, v.Work = s.Status, s.Message, float64(s.Work)
	fault := func(class Class, format string, args ...any) {
		if v.Class == Fine {
			v.Class, v.Fault = class, fmt.Sprintf(format, args...)
		}
	}
	if len(c.Never) > 0 && mentions(s.Message, c.Never) {
		fault(WrongReason, "%s", s.Message)
	}
	if len(c.Refused) > 0 {
		switch {
		case s.Status == solver.Solved:
			fault(Accepted, "%s", s.Message)
		case !mentions(s.Message, c.Refused):
			fault(WrongReason, "%s", s.Message)
		}
		return
	}
	if s.Usable() {
		if len(c.Asks) == 0 && c.twin == nil {
			fault(Crashed, "nothing is asked")
		}
		v.numbers(s, reports, fault)
	}
	if s.Status != solver.Solved && c.Must && !c.withinReach(s) {
		c.Must = false
	}
	if s.Status != solver.Solved && c.Must {
		fault(Unsolved, "%s", s.Message)
	}
	if v.Work > limit {
		fault(Slow, "%.2g units of work", v.Work)
	}
}

// numbers compares every number that is asked for.
func (v *Verdict) numbers(s *solver.Solution, reports []report.Report, fault func(Class, string, ...any)) {
	for _, size := range sizes(v.Case, s) {
		a := size.ask
		got, claimed, ok := lookUp(s, reports, a)
		if !ok && s.Status != solver.Solved && !v.Case.Must {
			continue
		}
		if !ok {
			fault(Unsolved, "%s is not there%s", a.What, why(reports))
			continue
		}
		miss := math.Abs(got - a.Want)
		for _, w := range a.also {
			if off := math.Abs(got - w); off < miss {
				miss, a.Want = off, w
			}
		}
		v.True = worst(v.True, miss/size.of)
		v.Claimed = worst(v.Claimed, claimed/size.of)
		if math.IsInf(claimed, 1) || math.IsNaN(claimed) {
			if s.Status == solver.Solved {
				fault(Loose, "%s has no error", a.What)
			}
			continue
		}
		if !(miss <= claimed+a.slack+ulp*math.Abs(a.Want)) {
			class := Uncovered
			if s.Status == solver.Solved {
				class = FalseSolved
			}
			fault(class, "%s = %.17g ± %.1e, true %.17g, off by %.1e", a.What, got, claimed, a.Want, miss)
		}
		// Reports have no tolerance of their own; they have their claim.
		// Where slopes are unbounded the tolerance holds for the unknown itself, and the message says so.
		bound := a.kind() != "report" && !(a.order > 0 && len(v.Case.steep) > 0)
		if s.Status == solver.Solved && bound && !(miss <= s.Tol*size.of+a.slack) {
			fault(Loose, "%s = %.17g ± %.1e, true %.17g, off by %.1e", a.What, got, claimed, a.Want, miss)
		}
	}
}

// why says what the reports say that are not there.
func why(reports []report.Report) string {
	s := ""
	for _, r := range reports {
		if r.Fault != "" {
			s += "; " + r.Name + ": " + r.Fault
		}
	}
	return s
}

// worst is the larger of two; what is not a number counts as infinite.
func worst(a, b float64) float64 {
	if math.IsNaN(b) {
		return math.Inf(1)
	}
	return math.Max(a, b)
}

// kind says what is asked: "point", "sought" or "report".
func (a *Ask) kind() string {
	switch {
	case a.name != "":
		return "point"
	case strings.HasPrefix(a.What, "report "):
		return "report"
	}
	return "sought"
}

// sized is an ask with the size of what it belongs to, at least 1.
type sized struct {
	ask Ask
	of  float64
}

// sizes measures every ask: of a point by the largest value of its column in the truth and in the answer, else by the
// number itself.
func sizes(c *Case, s *solver.Solution) []sized {
	p := s.Problem
	largest := map[int]float64{}
	for _, a := range c.Asks {
		if k := entry(p, a); k >= 0 {
			largest[k] = math.Max(largest[k], math.Abs(a.Want))
		}
	}
	jet := make([]float64, p.Jet())
	for _, x := range s.Points() {
		s.At(x, jet)
		for k := range largest {
			if w := math.Abs(jet[k]); w > largest[k] {
				largest[k] = w
			}
		}
	}
	out := make([]sized, len(c.Asks))
	for i, a := range c.Asks {
		of := math.Abs(a.Want)
		if k := entry(p, a); k >= 0 {
			of = largest[k]
		}
		of = math.Max(of, a.scale)
		out[i] = sized{a, math.Max(1, of)}
	}
	return out
}

// entry is the place of an ask in the jet, −1 where it is not there.
func entry(p *bvp.Problem, a Ask) int {
	for i, u := range p.Unknowns {
		if u.Name == a.name && a.order <= u.Order {
			return p.JetOffset(i) + a.order
		}
	}
	return -1
}

// lookUp finds a number of the answer and its claimed error.
func lookUp(s *solver.Solution, reports []report.Report, a Ask) (value, claimed float64, ok bool) {
	switch a.kind() {
	case "point":
		p := s.Problem
		jet, err := make([]float64, p.Jet()), make([]float64, p.Jet())
		s.At(a.place, jet)
		s.ErrorAt(a.place, err)
		if i := entry(p, a); i >= 0 {
			return jet[i], err[i], true
		}
		return 0, 0, false
	case "report":
		for _, r := range reports {
			if "report "+r.Name == a.What {
				return r.Value, r.Error, r.Fault == ""
			}
		}
		return 0, 0, false
	}
	for _, f := range s.Found {
		if f.Name == a.What {
			return f.Value, f.Error, true
		}
	}
	for i, f := range s.Eigenvalues {
		if fmt.Sprintf("%s_%d", s.Problem.Parameters[0].Name, i+1) == a.What {
			return f.Value, f.Error, true
		}
	}
	return 0, 0, false
}
