package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"nodespan/expr/script"
	"nodespan/solver"
	"nodespan/solver/nodes"
	"nodespan/solver/table"
)

// options is what the flags say.
type options struct {
	solve solver.Options
	at    string            // the points as they were typed; "" for the nodes
	set   map[string]string // constant → value
	out   string            // json or a table.Format
	file  string            // "" for standard input
	// ladder asks for errors against numbers of nodes in the place of the table.
	ladder bool
	tabulate
	picture
	paper
	folder
	// numbers is the file of a table that is compared with the solution; "" for none.
	numbers string
	// working asks for the matrices as they are taught in the place of the table, script for a program in that
	// language.
	working bool
	script  string
	// all asks for every solution that a search finds.
	all bool
	// trace asks for the branches of a constant; nil: not asked.
	trace *traced
	// sentence asks for the answer in words in the place of the table.
	sentence bool
}

var (
	methods = []string{string(solver.Auto), string(solver.One), string(solver.Pieces), string(solver.Differences)}
	outputs = func() (all []string) {
		for _, f := range table.Formats() {
			all = append(all, string(f))
		}
		return slices.Insert(all, 2, "json")
	}()
)

const defaultTol = 1e-8

// define defines every flag; the strings are those of raw until parseOptions has checked them.
func define() (set *flag.FlagSet, o *options, raw *struct{ method, family, trace, against string }) {
	o, raw = &options{set: map[string]string{}}, &struct{ method, family, trace, against string }{}
	f := flag.NewFlagSet("nodespan", flag.ContinueOnError)
	f.SetOutput(io.Discard) // faults are worded here
	f.StringVar(&raw.method, "method", methods[0], "`method`: auto, one (one polynomial), pieces (piecewise "+
		"polynomial) or differences (finite differences)")
	f.IntVar(&o.solve.Nodes, "nodes", 0, "`number` of interior nodes per polynomial; 0: chosen to meet the tolerance")
	f.StringVar(&raw.family, "family", nodes.Legendre.String(), "`family` of nodes: "+choice(nodes.Names()))
	f.IntVar(&o.solve.Elements, "elements", 0, "`number` of pieces; 0: chosen")
	f.Float64Var(&o.solve.Tol, "tol", defaultTol, "`tolerance` asked of every unknown, absolute and relative to its "+
		"largest value")
	f.StringVar(&o.at, "at", "", "`points` of the table, such as \"0, L/2, L\"; without it, the nodes")
	f.Func("set", "override a constant of the sheet, `name=value` (repeatable)", func(s string) error {
		name, value, ok := strings.Cut(s, "=")
		name, value = strings.TrimSpace(name), strings.TrimSpace(value)
		if !ok || name == "" || value == "" {
			return fmt.Errorf("-set %s is not name=value", s)
		}
		o.set[name] = value
		return nil
	})
	f.IntVar(&o.solve.Count, "count", 5, "`number` of eigenvalues wanted")
	f.IntVar(&o.solve.Mode, "mode", 1, "`which` eigenfunction is in the table, counted from 1")
	f.StringVar(&o.out, "out", outputs[0], "`format`: "+choice(outputs))
	f.BoolVar(&o.ladder, "ladder", false, "print error against number of nodes instead of the table: -method one, "+
		"pieces or differences alone, all for auto; -nodes is the largest number of one polynomial's, 40 for 0")
	f.BoolVar(&o.all, "all", false, "look for further solutions, and print a table of each")
	f.StringVar(&raw.trace, "trace", "", "follow the solutions while a constant moves, `name=from..to`, and print the "+
		"branches, their folds and where they cross")
	f.StringVar(&raw.against, "against", "", "`formula` of what the branches of -trace are tabulated against, as in a "+
		"report line; without it, the first unknown at the middle")
	f.BoolVar(&o.working, "working", false, "print the working of one polynomial as plain text or JSON, every matrix "+
		"by name; -nodes is 5 for 0")
	f.StringVar(&o.script, "script", "", "print a program in this `language`, "+choice(script.Languages())+", that "+
		"carries out the working and prints its node table")
	f.BoolVar(&o.sentence, "sentence", false, "print the answer as one sentence, with bounds of its errors, "+
		"instead of the table")
	o.tabulate.define(f)
	o.picture.define(f)
	f.StringVar(&o.numbers, "numbers", "", "`file` with a table of your own, x and y: print its errors, and the slip "+
		"that gives such numbers")
	o.paper.define(f)
	o.folder.define(f)
	return f, o, raw
}

// parseOptions reads and checks the arguments. The error is flag.ErrHelp where help is asked for.
func parseOptions(args []string) (*options, error) {
	f, o, raw := define()
	if err := f.Parse(args); err != nil {
		return nil, flagError(err)
	}
	var err error
	if o.file = f.Arg(0); o.file == "-" {
		o.file = ""
	}
	if !slices.Contains(methods, raw.method) {
		return nil, unknown("method", raw.method, methods)
	}
	o.solve.Method = solver.Method(raw.method)
	if o.solve.Family, err = nodes.ParseFamily(raw.family); err != nil {
		return nil, unknown("family", raw.family, nodes.Names())
	}
	if !slices.Contains(outputs, o.out) {
		return nil, unknown("out", o.out, outputs)
	}
	if o.script != "" && !slices.Contains(script.Languages(), o.script) {
		return nil, unknown("script", o.script, script.Languages())
	}
	if err := o.tabulate.check(o); err != nil {
		return nil, err
	}
	if err := o.picture.check(o); err != nil {
		return nil, err
	}
	if err := o.paper.check(o); err != nil {
		return nil, err
	}
	if err := o.checkSeveral(raw.trace, raw.against); err != nil {
		return nil, err
	}
	if err := o.folder.check(o, f.Args()); err != nil {
		return nil, err
	}
	s := o.solve
	switch {
	case o.sentence && (o.ladder || o.working || o.script != "" || o.numbers != "" || o.handout != "" ||
		o.out != outputs[0]):
		return nil, hinted("-sentence is printed in the place of everything else", "leave the other flags out")
	case s.Nodes < 0:
		return nil, hinted(fmt.Sprintf("-nodes %d is negative", s.Nodes), "0 lets the number be chosen")
	case s.Elements < 0:
		return nil, hinted(fmt.Sprintf("-elements %d is negative", s.Elements), "0 lets the number be chosen")
	case s.Method == solver.One && s.Elements > 1:
		return nil, hinted("one polynomial has one piece", "use -method pieces with -elements")
	case !(s.Tol >= 1e-13 && s.Tol <= 0.1):
		return nil, hinted(fmt.Sprintf("-tol %v is outside 1e-13 to 0.1", s.Tol), "1e-8 asks for about eight digits")
	case s.Count < 1:
		return nil, fmt.Errorf("-count %d: at least one eigenvalue is wanted", s.Count)
	case o.ladder && s.Nodes > mostLadder:
		return nil, hinted(fmt.Sprintf("-nodes %d is too many for a ladder", s.Nodes),
			fmt.Sprintf("it goes to %d at most", mostLadder))
	case s.Mode < 1 || s.Mode > s.Count:
		return nil, hinted(fmt.Sprintf("-mode %d is not one of the %d eigenvalues wanted", s.Mode, s.Count),
			"they are counted from 1; -count asks for more")
	}
	var bad *solver.OptionError
	if err := s.Check(); errors.As(err, &bad) {
		return nil, hinted(fmt.Sprintf("-%s %v cannot be met", strings.ToLower(bad.Option), bad.Value),
			"it must be "+bad.Want)
	}
	return o, nil
}

func unknown(flag, value string, known []string) error {
	return hinted(fmt.Sprintf("unknown -%s %s", flag, value), "it is one of "+strings.Join(known, ", "))
}

// choice joins names as a sentence does: a, b or c.
func choice(names []string) string {
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// flagError words the errors of package flag as the rest are. That package has no types for them: their words are all
// that there is to go by.
func flagError(err error) error {
	if err == flag.ErrHelp {
		return err
	}
	s := err.Error()
	if name, ok := strings.CutPrefix(s, "flag provided but not defined: "); ok {
		return hinted("unknown flag "+name, "-h lists the flags")
	}
	if name, ok := strings.CutPrefix(s, "flag needs an argument: "); ok {
		return hinted(name+" needs a value", "-h lists the flags")
	}
	// invalid value "x" for flag -nodes: parse error
	if rest, ok := strings.CutPrefix(s, "invalid value "); ok {
		if _, problem, ok := strings.Cut(rest, " for flag -set: "); ok {
			return hinted(problem, `write it as in -set Bi=2.5, or -set "L = 2 pi"`)
		}
		if value, after, ok := strings.Cut(rest, " for flag "); ok {
			name, _, _ := strings.Cut(after, ":")
			return fmt.Errorf("%s takes a number, not %s", name, value)
		}
	}
	return err
}

// usage prints the help.
func usage(w io.Writer) {
	fmt.Fprint(w, "usage: nodespan [flags] [file]\n       nodespan -pages folder [flags] file…\n\n"+
		"Reads one sheet from the file, or from standard input, solves it and prints a table.\n\n")
	f, _, _ := define()
	f.SetOutput(w)
	f.PrintDefaults()
	fmt.Fprint(w, "\nExit status: 0 solved; 1 cannot run; 2 the sheet is faulty; 3 no answer to tolerance.\n")
}
