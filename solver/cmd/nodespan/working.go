package main

import (
	"io"

	"nodespan/expr/lesson"
	"nodespan/expr/script"
	"nodespan/expr/sheet"
)

// work prints the working of one polynomial, as plain text or JSON, or a program that carries it out.
func work(sh *sheet.Sheet, o *options, stdout, stderr io.Writer) int {
	l, err := lesson.New(sh, lesson.Options{Nodes: o.solve.Nodes, Family: o.solve.Family})
	if err != nil {
		return unsolved(stderr, err.Error())
	}
	if o.script != "" {
		language, _ := script.ByName(o.script) // the flag is checked
		var text string
		if text, err = language.Write(l); err != nil {
			return complain(stderr, err)
		}
		_, err = io.WriteString(stdout, text)
	} else if o.out == "json" {
		err = l.WriteJSON(stdout)
	} else {
		err = l.WriteText(stdout)
	}
	if err != nil {
		return unwritten(stderr, err)
	}
	return solved
}
