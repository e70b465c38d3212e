package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/testdata"
)

// Entry is one published problem with its reference.
type Entry struct{ testdata.Problem }

// Outcome is what came of one entry at one tolerance.
type Outcome struct {
	ID       string
	Tol      float64
	Status   solver.Status
	Message  string
	True     float64 // largest error of any column, relative to the column's scale
	Claimed  float64 // largest claimed error, likewise
	Degree   int
	Elements int
	Time     time.Duration
	Work     int64  // counted (package budget)
	Fault    string // "" when the true error is within the tolerance and within the claim
	// Uncovered names the first number whose true error is above its claim; "" when there is none.
	Uncovered string
}

// Check solves the entry and compares every number.
func (e *Entry) Check(o solver.Options) Outcome {
	out := Outcome{ID: e.ID, Tol: o.Tol}
	sh, err := sheet.Read(e.Sheet, sheet.Options{})
	if err != nil {
		out.Fault = "not read: " + err.Error()
		return out
	}
	s := solver.MustSolve(sh.Problem(), o)
	out.Status, out.Message, out.Degree, out.Elements = s.Status, s.Message, s.Degree, s.Elements
	out.Time, out.Work = time.Duration(s.Seconds*1e9), s.Work
	if s.Status != solver.Solved {
		out.Fault = s.Message
		if !s.Usable() {
			return out
		}
	}
	for _, row := range e.Reference.At {
		e.checkPoint(&out, s, row)
	}
	for _, f := range s.Found {
		w, ok := e.Reference.Found[f.Name]
		if !ok {
			out.fault("no reference for %s", f.Name)
			continue
		}
		out.compare(f.Name, f.Value, f.Error, w, math.Max(1, math.Abs(w)))
	}
	if want := e.Reference.Eigenvalues; len(want) > 0 {
		if len(s.Eigenvalues) < len(want) {
			out.fault("%d eigenvalues of %d", len(s.Eigenvalues), len(want))
		}
		for i, w := range want[:min(len(want), len(s.Eigenvalues))] {
			out.compare(fmt.Sprintf("eigenvalue %d", i+1), s.Eigenvalues[i].Value, s.Eigenvalues[i].Error, w,
				math.Max(1, math.Abs(w)))
		}
	}
	return out
}

// checkPoint compares the columns at one point of the reference.
func (e *Entry) checkPoint(out *Outcome, s *solver.Solution, row testdata.Point) {
	x, want := row.X, row.Values
	p := s.Problem
	jet, errs := make([]float64, p.Jet()), make([]float64, p.Jet())
	s.At(x, jet)
	s.ErrorAt(x, errs)
	seen := 0
	for i, u := range p.Unknowns {
		for d := range u.Order {
			name := u.Name + strings.Repeat("'", d)
			w, ok := want[name]
			if !ok {
				continue
			}
			seen++
			at := p.JetOffset(i) + d
			out.compare(fmt.Sprintf("%s(%.4g)", name, x), jet[at], errs[at], w, e.Scale[name])
		}
	}
	if seen != len(want) {
		out.fault("the reference has columns that the sheet does not: %v", want)
	}
}

// compare compares one number; the claim does not cover it where the true error is above both the claim and the
// rounding of the reference itself. A scale of 0 stands for 1.
func (o *Outcome) compare(what string, got, claimed, want, scale float64) {
	if scale == 0 {
		scale = 1
	}
	miss := math.Abs(got - want)
	if !(miss/scale <= o.True) {
		o.True = miss / scale
	}
	o.Claimed = math.Max(o.Claimed, claimed/scale)
	if !(miss <= claimed+2.3e-16*math.Abs(want)) {
		if o.Uncovered == "" {
			o.Uncovered = fmt.Sprintf("%s is off by %.1e and claims %.1e", what, miss, claimed)
		}
		o.fault("%s", o.Uncovered)
	}
	if !(miss/scale <= o.Tol) {
		o.fault("%s is off by %.1e of its scale", what, miss/scale)
	}
}

// fault keeps the first thing that is wrong.
func (o *Outcome) fault(format string, args ...any) {
	if o.Fault == "" {
		o.Fault = fmt.Sprintf(format, args...)
	}
}
