package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/several"
)

// Several is one published problem with the number of its solutions.
type Several struct {
	ID, Title, Source, How, Sheet string
	// Ask is a place and what is looked at there, [0, "y'"]; Values are those of the solutions, ascending. None are
	// given where the number of solutions alone is published.
	Ask    [2]json.RawMessage
	Values []float64
	Count  int
}

// SeveralOutcome is what came of one.
type SeveralOutcome struct {
	Found, Starts int
	Time          time.Duration
	Work          int64
	Fault         string
}

// Check searches for the solutions and compares.
func (e *Several) Check(tol float64) (out SeveralOutcome) {
	sh, err := sheet.Read(e.Sheet, sheet.Options{})
	if err != nil {
		out.Fault = "not read: " + err.Error()
		return out
	}
	p := sh.Problem()
	o := solver.Options{Tol: tol}
	first := solver.MustSolve(p, o)
	begin := time.Now()
	s := several.Run(p, first, several.Options{Solve: o})
	out.Time = time.Since(begin)
	out.Found, out.Starts, out.Work = len(s.Solutions), s.Starts, s.Spent()
	if out.Found != e.Count {
		out.Fault = fmt.Sprintf("%d solutions of %d", out.Found, e.Count)
		return out
	}
	if len(e.Values) == 0 {
		return out
	}
	var x float64
	var entry string
	if json.Unmarshal(e.Ask[0], &x) != nil || json.Unmarshal(e.Ask[1], &entry) != nil {
		out.Fault = "the reference cannot be read"
		return out
	}
	slices.SortFunc(s.Solutions, func(a, b *solver.Solution) int {
		va, _ := a.Value(0, strings.Count(entry, "'"), x)
		vb, _ := b.Value(0, strings.Count(entry, "'"), x)
		switch {
		case va < vb:
			return -1
		case va > vb:
			return 1
		}
		return 0
	})
	for i, k := range s.Solutions {
		v, claimed := k.Value(0, strings.Count(entry, "'"), x)
		w := e.Values[i]
		// The references have ten digits at least.
		if off := math.Abs(v - w); !(off <= claimed+1e-10*math.Max(1, math.Abs(w))) {
			out.Fault = fmt.Sprintf("%s(%g) = %.12g is off by %.1e, claimed %.1e", entry, x, v, off, claimed)
		}
	}
	return out
}

// printSeveral prints what the search finds of each, and returns the number of faults.
func printSeveral(w io.Writer, all []Several, only string) (faults int) {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "\nentry\tsolutions\tof\tstarts\tms\tnote")
	for _, e := range all {
		if only != "" && !strings.Contains(e.ID, only) {
			continue
		}
		o := e.Check(1e-8)
		if o.Fault != "" {
			faults++
		}
		fmt.Fprintf(t, "%s\t%d\t%d\t%d\t%.0f\t%s\n", e.ID, o.Found, e.Count, o.Starts, o.Time.Seconds()*1e3, o.Fault)
	}
	t.Flush()
	return faults
}
