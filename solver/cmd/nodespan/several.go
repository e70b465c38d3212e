package main

import (
	"encoding/json"
	"fmt"
	"io"

	"nodespan/expr/guess"
	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/expr/why"
	"nodespan/solver"
	"nodespan/solver/several"
	"nodespan/solver/table"
)

// checkAlone refuses a flag, which prints in the place of the table, together with others that do.
func (o *options) checkAlone(flag string) error {
	if o.sentence || o.ladder || o.working || o.script != "" || o.numbers != "" || o.handout != "" || o.figure != "" {
		return hinted(flag+" is printed in the place of everything else", "leave the other flags out")
	}
	return nil
}

// checkSeveral checks -all, -trace and -against.
func (o *options) checkSeveral(trace, against string) (err error) {
	switch {
	case against != "" && trace == "":
		return hinted("-against is for -trace", "add -trace name=from..to")
	case o.all && trace != "":
		return hinted("-all and -trace are both printed in the place of the table", "leave one of them out")
	case o.all:
		return o.checkAlone("-all")
	case trace == "":
		return nil
	}
	if o.trace, err = parseTrace(trace, against); err != nil {
		return err
	}
	return o.checkAlone("-trace")
}

// searched is what -all adds to the JSON object.
type searched struct {
	*table.Reply
	Solutions []*table.Reply `json:"solutions"`
	Search    struct {
		Message string `json:"message"`
		Starts  int    `json:"starts"`
	} `json:"search"`
}

// everySolution looks for further solutions and prints a table of each.
func everySolution(sh *sheet.Sheet, o *options, at []float64, stdout, stderr io.Writer) int {
	p := sh.Problem()
	first, err := solver.Solve(p, o.solve)
	if err != nil {
		return complain(stderr, err)
	}
	first = several.Nearest(p, first, o.solve)
	s := several.Run(p, first, several.Options{Solve: o.solve})
	all := s.Solutions
	if len(all) == 0 {
		all = []*solver.Solution{why.Answer(sh, first, o.solve, sheet.Options{Set: o.set})}
	}
	if o.out == "json" {
		r := searched{Reply: report.Reply(sh, all[0], table.New(all[0], at))}
		r.Solutions = []*table.Reply{}
		for _, k := range s.Solutions {
			r.Solutions = append(r.Solutions, report.Reply(sh, k, table.New(k, at)))
		}
		r.Search.Message, r.Search.Starts = s.Message(), s.Starts
		err = json.NewEncoder(stdout).Encode(r)
	} else {
		for i, k := range all {
			if !k.Usable() || err != nil {
				continue
			}
			if i > 0 {
				fmt.Fprintln(stdout)
			}
			if len(all) > 1 {
				fmt.Fprintf(stdout, "solution %d\n", i+1)
			}
			err = table.New(k, at).WriteWith(stdout, table.Format(o.out), o.write)
			if reports := report.All(sh, k); len(all) > 1 && len(reports)+len(k.Found) > 0 {
				fmt.Fprintf(stderr, "solution %d\n", i+1)
			}
			found(stderr, k)
			printReports(stderr, report.All(sh, k))
		}
		fmt.Fprintf(stderr, "nodespan: %s\n", s.Message())
		for i, k := range all[1:] {
			if line, ok := guess.Line(sh, k); ok {
				fmt.Fprintf(stderr, "solution %d is the answer with: %s\n", i+2, line)
			}
		}
	}
	switch {
	case err != nil:
		return unwritten(stderr, err)
	case all[0].Status != solver.Solved:
		return unsolved(stderr, all[0].Message)
	}
	return solved
}
