// Command campaign solves random problems whose answers are known: a solution is chosen and its equation made from it,
// or the equation has a solution in closed form. Each case is a sheet as people write them; it is read, solved and
// compared in this process. The truth is worked out in 300 bits from the decimals that stand in the sheet.
//
//	go run ./solver/cmd/campaign [-n 20000] [-seed 1] [-family NAME] [-only i] [-list] [-rows testdata/campaign.json]
//
// A case depends on its family, the seed and its number alone. What must hold: an answer within reach is solved to the
// tolerance; every claimed error is at least the true one, whether solved or not; nothing without an answer is called
// solved; and the reason is the right one. Exit status 1 when a case fails.
package main

import (
	"fmt"
	"io"
	"runtime"
	"strings"

	"nodespan/solver/cmd/batch"
)

func main() { batch.Main("campaign", run) }

func run(c *batch.Command, args []string) int {
	flags := c.Flags()
	n := flags.Int("n", 20000, "cases in all, shared evenly by the families")
	seed := flags.Uint64("seed", 1, "seed")
	family := flags.String("family", "", "only this family; with a * at its end, those whose names begin so")
	only := flags.Int("only", -1, "only the case of this number, with everything that is known of it")
	list := flags.Bool("list", false, "list the families and stop")
	most := flags.Int("most", 20, "failures that are listed of each family")
	workers := flags.Int("j", runtime.GOMAXPROCS(0), "cases at a time")
	rows := flags.String("rows", "", "judge the rows of this file instead")
	if err := flags.Parse(args); err != nil {
		return 1
	}
	if *rows != "" {
		return judgeRows(c, *rows)
	}
	var chosen []Family
	for _, f := range families {
		begin, several := strings.CutSuffix(*family, "*")
		if *family == "" || f.Name == *family || several && strings.HasPrefix(f.Name, begin) {
			chosen = append(chosen, f)
		}
	}
	if len(chosen) == 0 {
		return c.Fail(fmt.Errorf("no family %s; -list lists them", *family))
	}
	if *list {
		for _, f := range chosen {
			fmt.Fprintf(c.Stdout, "%-14s %s\n", f.Name, f.About)
		}
		return 0
	}
	if *only >= 0 {
		return show(chosen[0].caseOf(*seed, *only), c.Stdout)
	}
	fmt.Fprintln(c.Stdout, heading)
	var all []Verdict
	for _, f := range chosen {
		verdicts := f.run(*seed, 0, max(1, *n/len(chosen)), *workers)
		all = append(all, verdicts...)
		fmt.Fprintln(c.Stdout, summarise(verdicts).line(f.Name))
	}
	fmt.Fprintln(c.Stdout, summarise(all).line("all"))
	return batch.Status(failures(c.Stdout, all, *most))
}

// failures lists those that failed, at most so many of each family, and counts them all.
func failures(w io.Writer, all []Verdict, most int) (failed int) {
	listed := map[string]int{}
	for i := range all {
		v := &all[i]
		if v.Class == Fine {
			continue
		}
		failed++
		name, _, _ := strings.Cut(v.Case.Name, " -seed")
		if listed[name]++; listed[name] <= most {
			fmt.Fprintln(w)
			v.list(w)
		}
	}
	if failed > 0 {
		fmt.Fprintf(w, "\n%d of %d failed\n", failed, len(all))
	}
	return failed
}

// show judges one case and prints everything.
func show(c *Case, w io.Writer) int {
	v := Judge(c)
	fmt.Fprintf(w, "%s\n\nmust be solved: %v, refused with: %s\n", c.Sheet, c.Must, strings.Join(c.Refused, " | "))
	for _, a := range c.Asks {
		fmt.Fprintf(w, "%s = %.17g\n", a.What, a.Want)
	}
	fmt.Fprintf(w, "true %.1e, claimed %.1e, %.1e units of work\n", v.True, v.Claimed, v.Work)
	v.list(w)
	if v.Class != Fine {
		return batch.Status(1)
	}
	return batch.Status(0)
}

// judgeRows judges every row of a file.
func judgeRows(c *batch.Command, file string) int {
	rows, err := batch.Load[Row](file)
	if err != nil {
		return c.Fail(err)
	}
	failed := 0
	for i := range rows {
		row, err := rows[i].asCase()
		if err != nil {
			return c.Fail(err)
		}
		v := Judge(row)
		if v.Class == Fine {
			continue
		}
		failed++
		v.list(c.Stdout)
		fmt.Fprintln(c.Stdout)
	}
	fmt.Fprintf(c.Stdout, "%d rows, %d failed\n", len(rows), failed)
	return batch.Status(failed)
}
