// Command check solves published problems with verified references and compares: is the true error within the
// tolerance, does the claimed error cover it, how large is the discretisation, how long did it take. It knows the
// format of testdata/problems.json and nothing of how problems are solved. Then it looks for the solutions of those in
// testdata/several.json, and tells whether all were found, from how many starts, in what time.
//
//	go run ./solver/cmd/check [-tol 1e-4,1e-8] [-only words] [-v] [testdata/problems.json]
//
// Exit status 1 when an entry fails.
package main

import (
	"fmt"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"nodespan/solver"
	"nodespan/solver/cmd/batch"
)

func main() { batch.Main("check", run) }

func run(c *batch.Command, args []string) int {
	flags := c.Flags()
	tols := flags.String("tol", "1e-4,1e-6,1e-8,1e-10", "tolerances")
	only := flags.String("only", "", "only entries whose id or kind has this word")
	method := flags.String("method", "auto", "method")
	faults := flags.Bool("faults", false, "print only the entries that fail")
	if err := flags.Parse(args); err != nil {
		return 1
	}
	file, several := "testdata/problems.json", []Several(nil)
	if flags.NArg() == 0 {
		var err error
		if several, err = batch.Load[Several]("testdata/several.json"); err != nil {
			return c.Fail(err)
		}
	}
	if flags.NArg() > 0 {
		file = flags.Arg(0)
	}
	entries, err := batch.Load[Entry](file)
	if err != nil {
		return c.Fail(err)
	}
	var list []solver.Options
	for _, t := range strings.Split(*tols, ",") {
		v, err := strconv.ParseFloat(t, 64)
		if err != nil {
			return c.Fail(err)
		}
		o := solver.Options{Tol: v, Method: solver.Method(*method)}
		if err := o.Check(); err != nil {
			return c.Fail(err)
		}
		list = append(list, o)
	}
	w := tabwriter.NewWriter(c.Stdout, 0, 8, 2, ' ', 0)
	fmt.Fprintln(w, "entry\ttol\tstatus\ttrue\tclaimed\tdegree\telements\tms\tnote")
	var all []Outcome
	for _, e := range entries {
		if *only != "" && !strings.Contains(e.ID, *only) && e.Kind != *only {
			continue
		}
		for _, options := range list {
			o := e.Check(options)
			all = append(all, o)
			if *faults && o.Fault == "" {
				continue
			}
			fmt.Fprintf(w, "%s\t%.0e\t%s\t%.1e\t%.1e\t%d\t%d\t%.2f\t%s\n", e.ID, o.Tol, o.Status, o.True, o.Claimed,
				o.Degree, o.Elements, o.Time.Seconds()*1e3, o.Fault)
		}
	}
	w.Flush()
	s := Summarise(all)
	fmt.Fprintf(c.Stdout, "\n%d runs, %d faults; claimed/true median %.1f; time at 1e-8: median %.2f ms, largest "+
		"%.1f ms (%s)\n",
		len(all), s.Faults, s.Ratio, s.Median.Seconds()*1e3, s.Largest.Seconds()*1e3, s.Slowest)
	return batch.Status(s.Faults + printSeveral(c.Stdout, several, *only))
}

// Summary of many outcomes.
type Summary struct {
	Faults          int
	Ratio           float64 // median of claimed/true where the true error is above rounding
	Median, Largest time.Duration
	Slowest         string
	// MedianWork and MostWork are what the solves at 1e-8 counted.
	MedianWork, MostWork int64
}

// Summarise counts faults and takes medians.
func Summarise(all []Outcome) Summary {
	var s Summary
	var ratios []float64
	var times []time.Duration
	var work []int64
	for _, o := range all {
		if o.Fault != "" {
			s.Faults++
		}
		if o.True > 1e-15 {
			ratios = append(ratios, o.Claimed/o.True)
		}
		if o.Tol == 1e-8 {
			times, work = append(times, o.Time), append(work, o.Work)
			if o.Time > s.Largest {
				s.Largest, s.Slowest = o.Time, o.ID
			}
		}
	}
	s.Ratio, s.Median = batch.Quantile(ratios, 0.5), batch.Quantile(times, 0.5)
	s.MedianWork, s.MostWork = batch.Quantile(work, 0.5), batch.Quantile(work, 1)
	return s
}
