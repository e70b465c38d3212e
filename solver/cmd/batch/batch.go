// Package batch holds what the commands share that judge many problems at once: their flags, their files, their
// quantiles.
package batch

import (
	"bytes"
	"cmp"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
)

// A Command is one of these commands: its name, and where it prints.
type Command struct {
	Name           string
	Stdout, Stderr io.Writer
}

// Main runs a command of some name on the arguments of the program, and exits with its status.
func Main(name string, run func(c *Command, args []string) int) {
	os.Exit(run(&Command{Name: name, Stdout: os.Stdout, Stderr: os.Stderr}, os.Args[1:]))
}

// Flags returns an empty set of flags. What is wrong with them is printed as flag.Parse finds it.
func (c *Command) Flags() *flag.FlagSet {
	f := flag.NewFlagSet(c.Name, flag.ContinueOnError)
	f.SetOutput(c.Stderr)
	return f
}

// Fail prints an error and returns the exit status.
func (c *Command) Fail(err error) int {
	fmt.Fprintf(c.Stderr, "%s: %v\n", c.Name, err)
	return 1
}

// Status is the exit status where so many failed.
func Status(failed int) int {
	if failed > 0 {
		return 1
	}
	return 0
}

// Load reads a file that is a list in JSON. A member that T does not have, and an empty list, are errors.
func Load[T any](file string) ([]T, error) {
	b, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	var all []T
	if err := d.Decode(&all); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("%s is an empty list", file)
	}
	return all, nil
}

// Quantile sorts a list and returns the entry that the part p of it lies below, the zero value of an empty one: the
// upper median for p = 1/2, the largest for p = 1.
func Quantile[T cmp.Ordered](all []T, p float64) T {
	var none T
	if len(all) == 0 {
		return none
	}
	slices.Sort(all)
	return all[min(int(p*float64(len(all))), len(all)-1)]
}
