package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"

	"nodespan/expr/numbers"
	"nodespan/expr/sheet"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/slips"
	"nodespan/solver/table"
)

// comparison is a compared table as other programs read it.
type comparison struct {
	Rows []comparedRow `json:"rows"`
	// Slip is the name of the slip that reproduces the numbers, "" when none does; Also names others that do so too.
	Slip string   `json:"slip"`
	Also []string `json:"also,omitempty"`
	// Right says that the numbers are right to the digits given; Coarse that they are those of a right method with too
	// few nodes.
	Right  bool `json:"right"`
	Coarse bool `json:"coarse"`
	// Order is that of such a method with steps; Odd are the rows, from 1, that alone are wrong.
	Order    int    `json:"order,omitempty"`
	Odd      []int  `json:"odd,omitempty"`
	Sentence string `json:"sentence"`
}

type comparedRow struct {
	X      float64 `json:"x"`
	Column string  `json:"column"`
	Y      float64 `json:"y"`
	// Solution and Error (y less solution) are null outside the interval.
	Solution table.Number `json:"solution"`
	Error    table.Number `json:"error"`
	Right    bool         `json:"right"`
}

// compare compares the table in a file with the solution of the sheet.
func compare(sh *sheet.Sheet, o *options, stdout, stderr io.Writer) int {
	text, err := readFile(o.numbers, "table")
	if err != nil {
		return complain(stderr, err)
	}
	given, err := numbers.Read(text)
	if err != nil {
		return complain(stderr, fmt.Errorf("%s: %w", o.numbers, err))
	}
	s := solver.MustSolve(sh.Problem(), solver.Options{Tol: math.Min(o.solve.Tol, numbers.Tolerance),
		Count: o.solve.Count, Mode: o.solve.Mode})
	if !s.Usable() {
		return unsolved(stderr, s.Message)
	}
	v, err := slips.Judge(s, given, numbers.Options(sh))
	if err != nil {
		return complain(stderr, fmt.Errorf("%s: %w", o.numbers, err))
	}
	if o.out == "json" {
		c := comparison{Rows: []comparedRow{}, Slip: v.Slip, Also: v.Also, Right: v.Right, Coarse: v.Coarse,
			Order: v.Order, Odd: v.Odd, Sentence: v.Sentence}
		for _, r := range v.Rows {
			c.Rows = append(c.Rows, comparedRow{r.X, r.Column, r.Given, table.Number(r.Solution), table.Number(r.Error),
				r.Right})
		}
		e := json.NewEncoder(stdout)
		e.SetEscapeHTML(false)
		err = e.Encode(c)
	} else {
		lines := [][]string{{s.Problem.VariableName(), "column", "given", "solution", "error"}}
		for _, r := range v.Rows {
			lines = append(lines, []string{plainNumber(r.X), r.Column, plainNumber(r.Given), tenDigits(r.Solution),
				short(r.Error)})
		}
		if err = table.WriteWords(stdout, table.Format(o.out), lines, o.write); err == nil {
			_, err = fmt.Fprintln(stderr, words.Numbers(v.Sentence))
		}
	}
	if err != nil {
		return unwritten(stderr, err)
	}
	if s.Status != solver.Solved {
		return unsolved(stderr, s.Message)
	}
	return solved
}

func plainNumber(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// tenDigits writes a number of the solution with more digits than people give; - where there is none.
func tenDigits(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	return strconv.FormatFloat(v, 'g', 10, 64)
}
