package main

import (
	"fmt"
	"io"

	"nodespan/expr/lesson"
	"nodespan/expr/sheet"
)

// work prints the working of one polynomial: plain text, or JSON.
func work(sh *sheet.Sheet, o *options, stdout, stderr io.Writer) int {
	l, err := lesson.New(sh, lesson.Options{Nodes: o.solve.Nodes, Family: o.solve.Family})
	if err != nil {
		fmt.Fprintf(stderr, "nodespan: %s\n", err)
		return noSolution
	}
	if o.out == "json" {
		err = l.WriteJSON(stdout)
	} else {
		err = l.WriteText(stdout)
	}
	if err != nil {
		return complain(stderr, fmt.Errorf("cannot write: %w", err))
	}
	return solved
}
