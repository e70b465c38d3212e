// Nodespan solves the boundary value problem of one sheet and prints a table of its solution.
//
//	nodespan [flags] [file]
//	nodespan -pages folder [flags] file…
//
// The sheet is read from the file, or from standard input without one; -h lists the flags. The table is printed with
// the digits that its error estimate supports; sought and reported numbers and messages go to standard error.
//
// Exit status: 0 solved; 1 cannot run (a flag, a file); 2 the sheet is faulty; 3 no answer to
// tolerance (what was reached is still printed).
//
// The command only joins other packages: sheet reads, solver solves, table prints.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"

	"nodespan/expr/notation"
	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/expr/why"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/several"
	"nodespan/solver/table"
)

// The exit statuses.
const (
	solved     = 0
	cannotRun  = 1
	faulty     = 2
	noSolution = 3
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// run is the whole command; it returns the exit status.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	o, err := parseOptions(args)
	if errors.Is(err, flag.ErrHelp) {
		usage(stdout)
		return solved
	}
	if err != nil {
		return complain(stderr, err)
	}
	if o.pages != "" {
		return o.course(stdout, stderr)
	}
	text, err := readText(o.file, stdin)
	if err != nil {
		return complain(stderr, err)
	}
	sh, err := sheet.Read(text, sheet.Options{Set: o.set})
	if err != nil {
		if _, plain := sheet.Read(text, sheet.Options{}); plain == nil { // then it is -set that is at fault
			return complainAll(stderr, err)
		}
		draw(stderr, o.file, text, err)
		return faulty
	}
	at, err := sh.Points(o.at)
	if err != nil {
		draw(stderr, "-at", o.at, err)
		return cannotRun
	}
	if o.spaced > 0 {
		if at, err = spaced(sh, o.spaced); err != nil {
			return complain(stderr, err)
		}
	}
	if o.ladder {
		return climb(sh, o, stdout, stderr)
	}
	if o.numbers != "" {
		return compare(sh, o, stdout, stderr)
	}
	if o.working || o.script != "" {
		return work(sh, o, stdout, stderr)
	}
	if o.handout != "" {
		return o.print(sh, o, at, stdout, stderr)
	}
	if o.trace != nil {
		return follow(sh, text, o, stdout, stderr)
	}
	if o.all {
		return everySolution(sh, o, at, stdout, stderr)
	}
	return answer(sh, o, at, stdout, stderr)
}

// answer solves the sheet and prints the table.
func answer(sh *sheet.Sheet, o *options, at []float64, stdout, stderr io.Writer) int {
	p := sh.Problem()
	s, err := solver.Solve(p, o.solve)
	if err != nil {
		return complain(stderr, err)
	}
	s = why.Answer(sh, several.Nearest(p, s, o.solve), o.solve, sheet.Options{Set: o.set})
	if o.figure != "" && s.Usable() {
		if err := o.save(sh, s); err != nil {
			return complain(stderr, err)
		}
	}
	t := table.New(s, at)
	if o.sentence {
		if text := report.Sentence(sh, s, asked(o.solve.Tol)); text != "" {
			_, err = fmt.Fprintln(stdout, text)
		}
	} else if o.out == "json" {
		err = report.Reply(sh, s, t).WriteJSON(stdout)
	} else {
		if s.Usable() {
			err = t.WriteWith(stdout, table.Format(o.out), o.write)
		}
		found(stderr, s)
		printReports(stderr, report.All(sh, s))
		if s.Status == solver.Solved && !sh.Linear && several.Trivial(s) {
			fmt.Fprintln(stderr, "nodespan: this is the trivial solution, zero everywhere; -all looks for others")
		}
	}
	switch {
	case err != nil:
		return unwritten(stderr, err)
	case o.figure != "" && !s.Usable():
		return unsolved(stderr, s.Message, "without a solution there is no figure")
	case s.Status != solver.Solved:
		return unsolved(stderr, s.Message)
	}
	return solved
}

// asked is the number of digits that a tolerance asks for.
func asked(tol float64) int { return int(math.Round(-math.Log10(tol))) }

// found prints the sought numbers, one a line, where the table has no place for them.
func found(w io.Writer, s *solver.Solution) {
	for _, f := range s.Found {
		fmt.Fprintf(w, "%s = %s\n", f.Name, table.Honest(f.Value, f.Error))
	}
	for i, e := range s.Eigenvalues {
		fmt.Fprintf(w, "%s_%d = %s\n", s.Problem.Parameters[0].Name, i+1, table.Honest(e.Value, e.Error))
	}
}

// largest is the size of the largest sheet that is read, in bytes: far more than anyone types.
const largest = 1 << 20

func readText(file string, stdin io.Reader) (string, error) {
	if file != "" {
		return readFile(file, "sheet")
	}
	return readAll(stdin, "sheet")
}

// readFile reads a file; what it holds is named in the error.
func readFile(file, what string) (string, error) {
	f, err := os.Open(file)
	if err != nil {
		return "", fmt.Errorf("cannot read the %s: %w", what, err)
	}
	defer f.Close()
	return readAll(f, what)
}

func readAll(r io.Reader, what string) (string, error) {
	data, err := io.ReadAll(io.LimitReader(r, largest+1))
	if err != nil {
		return "", fmt.Errorf("cannot read the %s: %w", what, err)
	}
	if len(data) > largest {
		return "", hinted("the "+what+" is larger than a megabyte", "is this the right file?")
	}
	return string(data), nil
}

// A hint is an error with something to try.
type hint struct{ error, try string }

func (h hint) Error() string { return h.error }

func hinted(problem, try string) error { return hint{problem, try} }

// complain prints an error that has no place in a text.
func complain(w io.Writer, err error) int {
	fmt.Fprintf(w, "nodespan: %v\n", err)
	var h hint
	if errors.As(err, &h) {
		fmt.Fprintf(w, "hint: %s\n", h.try)
	}
	return cannotRun
}

// unwritten says that standard output fails.
func unwritten(w io.Writer, err error) int { return complain(w, fmt.Errorf("cannot write: %w", err)) }

// unsolved prints sentences, which say why there is no answer to the tolerance.
func unsolved(w io.Writer, why ...string) int {
	for _, sentence := range why {
		fmt.Fprintf(w, "nodespan: %s\n", words.Numbers(sentence))
	}
	return noSolution
}

// complainAll prints the faults of an override, which has no place in the sheet.
func complainAll(w io.Writer, err error) int {
	for _, e := range notation.Faults(err) {
		problem := "-set: " + e.Msg
		if e.Hint == "" {
			complain(w, errors.New(problem))
		} else {
			complain(w, hinted(problem, e.Hint))
		}
	}
	return cannotRun
}
