package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"sync"

	"nodespan/solver"
	"nodespan/solver/cmd/batch"
	"nodespan/solver/nodes"
)

// A Family makes cases of one kind.
type Family struct {
	Name string
	// About says what its cases are.
	About string
	make  func(*draw) *Case
	// checkedElsewhere says that its truths are not formulas of x.
	checkedElsewhere bool
}

// caseOf makes case number i of a family.
func (f *Family) caseOf(seed uint64, i int) *Case {
	c := f.make(newDraw(seed, f.Name, i))
	c.Name = fmt.Sprintf("-family %s -seed %d -only %d", f.Name, seed, i)
	return c
}

// run judges n cases of a family, from number first on, on several goroutines; the order of the verdicts is that of the
// cases.
func (f *Family) run(seed uint64, first, n, workers int) []Verdict {
	out := make([]Verdict, n)
	var group sync.WaitGroup
	next := make(chan int)
	for range max(1, workers) {
		group.Go(func() {
			for i := range next {
				out[i] = Judge(f.caseOf(seed, first+i))
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	group.Wait()
	return out
}

// A Summary is what a family came to.
type Summary struct {
	N, Must, Solved int     // how many; how many must be solved; how many of these were
	Covered         int     // claimed at least the true error
	False           int     // solved with a wrong claim, or beyond the tolerance, or without there being an answer
	Wrong           int     // anything else: unread, crashed, wrong reason, slow
	Median, Ninety  float64 // of claimed over true error
	Most            float64 // work
}

// summarise counts.
func summarise(all []Verdict) Summary {
	s := Summary{N: len(all)}
	var ratios []float64
	for i := range all {
		v := &all[i]
		if v.Case.Must || len(v.Case.Refused) > 0 {
			s.Must++
			if v.Class != Unsolved && v.Class != WrongReason && v.Class != Accepted && (!v.Case.Must ||
				v.Status == solver.Solved) {
				s.Solved++
			}
		}
		switch v.Class {
		case FalseSolved, Loose, Accepted:
			s.False++
		case Unread, Crashed, WrongReason, Slow:
			s.Wrong++
		}
		if v.Class != FalseSolved && v.Class != Uncovered {
			s.Covered++
		}
		// Errors of a few rounding units say nothing of how well they are estimated.
		const least = 32 * ulp
		if v.Case.twin == nil && v.Claimed > least && !math.IsInf(v.Claimed, 1) && !math.IsInf(v.True, 1) {
			ratios = append(ratios, v.Claimed/math.Max(v.True, least))
		}
		s.Most = math.Max(s.Most, v.Work)
	}
	s.Median, s.Ninety = batch.Quantile(ratios, 0.5), batch.Quantile(ratios, 0.9)
	return s
}

func percent(part, all int) string {
	if all == 0 {
		return "-"
	}
	return fmt.Sprintf("%.1f", 100*float64(part)/float64(all))
}

// heading and line make a table whose columns are as wide as they will ever be, so that each line can be printed when
// its family is done.
const heading = "family                  n  solved %  covered %  false  other  claimed/true    90 %  most work"

func (s Summary) line(name string) string {
	return fmt.Sprintf("%-18s %6d %9s %10s %6d %6d %13.1f %7.0f %10.1e", name, s.N, percent(s.Solved, s.Must),
		percent(s.Covered, s.N), s.False, s.Wrong, s.Median, s.Ninety, s.Most)
}

// command writes a case as a command that repeats it.
func (c *Case) command() string {
	var b strings.Builder
	fmt.Fprintf(&b, "printf '%%s' '%s' | build/nodespan", strings.ReplaceAll(c.Sheet, "'", `'\''`))
	o := c.Options
	if o.Method != "" && o.Method != solver.Auto {
		fmt.Fprintf(&b, " -method %s", o.Method)
	}
	if o.Family != nodes.Legendre {
		fmt.Fprintf(&b, " -family %s", o.Family)
	}
	for _, f := range []struct {
		name  string
		value int
	}{{"nodes", o.Nodes}, {"elements", o.Elements}, {"count", o.Count}} {
		if f.value != 0 {
			fmt.Fprintf(&b, " -%s %d", f.name, f.value)
		}
	}
	if o.Tol != 0 {
		fmt.Fprintf(&b, " -tol %s", written(o.Tol))
	}
	var at []string
	for _, a := range c.Asks {
		if x := written(a.place); a.name != "" && !slices.Contains(at, x) {
			at = append(at, x)
		}
	}
	if len(at) > 0 {
		fmt.Fprintf(&b, " -at '%s'", strings.Join(at, ", "))
	}
	if o.Order > 2 {
		fmt.Fprintf(&b, " # but with differences of order %d\n", o.Order)
	}
	if c.twin != nil {
		return b.String() + " -out json\n  " + c.twin.command()
	}
	return b.String() + " -out json"
}

// list writes what is wrong with a case so that it can be repeated.
func (v *Verdict) list(w io.Writer) {
	fmt.Fprintf(w, "%s: %s (%s, tol %s)\n  %s\n", v.Class, v.Case.Name, v.Status, written(v.Case.Options.Tol), v.Fault)
	if v.Message != "" && v.Message != v.Fault {
		fmt.Fprintf(w, "  says: %s\n", v.Message)
	}
	fmt.Fprintf(w, "  %s\n", v.Case.command())
}
