package main

import (
	"flag"
	"fmt"
	"io"
	"math"
	"strconv"

	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/solver/table"
)

// tabulate is what the flags say about the table: which points, which digits.
type tabulate struct {
	spaced          int // points; 0: those of -at, or the nodes
	write           table.Options
	digits, decimal string // as typed
}

func (t *tabulate) define(f *flag.FlagSet) {
	f.IntVar(&t.spaced, "points", 0, "`number` of equally spaced points of the table, both ends among them, in place "+
		"of the nodes")
	f.StringVar(&t.digits, "digits", "honest", "`digits` of the table: honest (those that the error supports), all "+
		"(17), or a number of significant digits")
	f.StringVar(&t.decimal, "decimal", "point", "decimal `sign` of the table: point, or comma (CSV then has "+
		"semicolons between the columns)")
	f.BoolVar(&t.write.Errors, "errors", false, "add columns with the estimated errors to the table")
}

// check turns what was typed into options.
func (t *tabulate) check(o *options) error {
	switch t.digits {
	case "honest":
	case "all":
		t.write.Digits = table.AllDigits
	default:
		n, err := strconv.Atoi(t.digits)
		if err != nil || n < 1 || n > table.AllDigits {
			return hinted(fmt.Sprintf("-digits %s is neither honest, all nor a number from 1 to %d", t.digits,
				table.AllDigits), "honest shows the digits that the error supports")
		}
		t.write.Digits = n
	}
	switch t.decimal {
	case "point":
	case "comma":
		t.write.Comma = true
	default:
		return unknown("decimal", t.decimal, []string{"point", "comma"})
	}
	switch {
	case t.spaced != 0 && o.at != "":
		return hinted("-points and -at both name the points of the table", "leave one of them out")
	case t.spaced < 0 || t.spaced == 1:
		return hinted(fmt.Sprintf("-points %d makes no table", t.spaced), "2 are the two ends")
	case t.spaced > table.MostSpaced:
		return fmt.Errorf("-points %d: at most %d", t.spaced, table.MostSpaced)
	case o.out == "json" && t.write != (table.Options{}):
		return hinted("-digits, -decimal and -errors are for tables; JSON always has all digits and the errors",
			"leave them out, or choose another -out")
	}
	return nil
}

// spaced returns n equally spaced points of the sheet's interval.
func spaced(sh *sheet.Sheet, n int) ([]float64, error) {
	p := sh.Problem()
	if math.IsInf(p.A, 0) || math.IsInf(p.B, 0) {
		return nil, hinted("an unbounded interval has no equally spaced points", "name some with -at")
	}
	return table.Spaced(p, n), nil
}

// printReports prints the numbers that the sheet asks for, one a line.
func printReports(w io.Writer, all []report.Report) {
	for _, r := range all {
		if r.Fault != "" {
			fmt.Fprintf(w, "%s: %s\n", r.Name, r.Fault)
			continue
		}
		fmt.Fprintf(w, "%s = %s\n", r.Name, table.Honest(r.Value, r.Error))
	}
}
