package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"nodespan/expr/figure"
	"nodespan/expr/sheet"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/agree"
	"nodespan/solver/ladder"
	"nodespan/solver/nodes"
	"nodespan/solver/table"
)

// mostLadder is the largest number of nodes of one polynomial that a ladder climbs to.
const mostLadder = 300

// rung is one line of the ladder as other programs read it.
type rung struct {
	Family   string        `json:"family"`
	Method   solver.Method `json:"method"`
	Nodes    int           `json:"nodes"`
	Unknowns int           `json:"unknowns"`
	// Error is the largest difference of any unknown; null where this rung has no solution.
	Error table.Number `json:"error"`
	// Against is exact or finer: what the error was measured against.
	Against string `json:"against"`
	// Order is that of differences, left out for others; Elements the number of pieces.
	Order    int `json:"order,omitempty"`
	Elements int `json:"elements,omitempty"`
}

// climb prints error against number of nodes.
func climb(sh *sheet.Sheet, o *options, stdout, stderr io.Writer) int {
	lo := ladder.Options{Families: []nodes.Family{o.solve.Family}, MostNodes: o.solve.Nodes, Tol: o.solve.Tol}
	if o.solve.Method != solver.Auto {
		lo.Methods = []solver.Method{o.solve.Method}
	}
	if !sh.Eigenvalue {
		var judged *agree.ExactReport
		lo, judged = agree.Against(lo, sh.Problem(), sh.Exact, sh.ExactJet())
		if judged != nil && !judged.Satisfies {
			fmt.Fprintf(stderr, "nodespan: %s\n", words.Numbers(judged.Sentence))
		}
	}
	l := ladder.Climb(sh.Problem(), lo)
	drawing := figure.NewLadder(l)
	if o.figure != "" && drawing != nil {
		if err := o.saveLadder(drawing, l.Sentence); err != nil {
			return complain(stderr, err)
		}
	}
	rungs := []rung{}
	for _, r := range l.Rungs() {
		line := rung{Family: r.Family.String(), Method: r.Method, Nodes: r.Nodes, Unknowns: r.Unknowns,
			Error: table.Number(r.Error), Against: l.Against, Order: r.Order}
		if r.Method == solver.Pieces {
			line.Elements = r.Steps
		}
		rungs = append(rungs, line)
	}
	var err error
	if o.out == "json" {
		e := json.NewEncoder(stdout)
		e.SetEscapeHTML(false)
		err = e.Encode(rungs)
	} else if len(rungs) > 0 {
		err = table.WriteWords(stdout, table.Format(o.out), ladderWords(rungs), o.write)
	}
	if err != nil {
		return unwritten(stderr, err)
	}
	if o.figure != "" && drawing == nil {
		return unsolved(stderr, l.Reason, "without a ladder there is no figure")
	}
	if l.Reason != "" {
		return unsolved(stderr, l.Reason)
	}
	fmt.Fprintln(stderr, words.Numbers(l.Sentence))
	return solved
}

// ladderWords makes the table of a ladder.
func ladderWords(rungs []rung) [][]string {
	lines := [][]string{{"family", "method", "order", "elements", "nodes", "unknowns", "error", "against"}}
	number := func(n int) string {
		if n == 0 {
			return "-"
		}
		return strconv.Itoa(n)
	}
	for _, r := range rungs {
		lines = append(lines, []string{r.Family, string(r.Method), number(r.Order), number(r.Elements), number(r.Nodes),
			number(r.Unknowns), short(float64(r.Error)), r.Against})
	}
	return lines
}

// short writes an error with the two digits that matter.
func short(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	s := strconv.FormatFloat(v, 'e', 1, 64)
	digits, exponent, _ := strings.Cut(s, "e")
	if e, err := strconv.Atoi(exponent); err == nil {
		if e == 0 {
			return digits
		}
		return digits + "e" + strconv.Itoa(e)
	}
	return s // an infinity
}
