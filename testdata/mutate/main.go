// Command mutate tells whether the tests have teeth: it changes one thing in one place of the code that is not a test
// (a comparison, a sign, a constant, a factor, a statement, an early return), runs the tests that could notice, and
// lists the changes that none noticed. Everything happens in a copy of the tree. Which changes are drawn depends on the
// code, the seed and their number alone.
//
//	go run ./testdata/mutate -n 60 -seed 1              (make mutate N=60 SEED=1)
//	go run ./testdata/mutate -n 60 -seed 1 -from 21 -to 40
//	go run ./testdata/mutate -n 60 -seed 1 -list
//
// A change that survives is to be judged by a person: it may make no difference to anything that is promised.
package main

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"time"
)

func main() {
	n := flag.Int("n", 60, "draw this many changes")
	seed := flag.Uint64("seed", 1, "of the drawing")
	from := flag.Int("from", 1, "try the drawn changes from this one")
	to := flag.Int("to", 0, "up to this one (0: the last)")
	list := flag.Bool("list", false, "list the drawn changes and try none")
	browser := flag.String("browser", "BROWSERS=chromium PLACES=disk node site/test/all.mjs",
		"the command that tests code which only a browser runs; empty not to try it")
	without := flag.String("without", "", "packages, between commas, whose tests are not run for changes of others "+
		"(all: each package is tested by its own tests alone)")
	in := flag.String("in", "", "draw from the packages alone whose path matches this regular expression")
	flag.Parse()
	if err := run(*n, *seed, *from, *to, *list, *browser, *in, strings.Split(*without, ",")); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

func run(n int, seed uint64, from, to int, list bool, browser, in string, without []string) error {
	tree, err := loadTree(".")
	if err != nil {
		return err
	}
	matches, err := regexp.Compile(in)
	if err != nil {
		return err
	}
	rooms := slices.DeleteFunc(tree.rooms, func(r *room) bool { return !matches.MatchString(r.path) })
	changes := draw(rooms, n, seed)
	if to == 0 || to > len(changes) {
		to = len(changes)
	}
	if list {
		for i, c := range changes {
			fmt.Printf("%3d  %s\n", i+1, c)
		}
		return nil
	}
	bench, err := newBench(tree, browser, without)
	if err != nil {
		return err
	}
	defer bench.close()
	var survived []string
	counts := map[verdict]int{}
	for i := from; i <= to; i++ {
		c := changes[i-1]
		start := time.Now()
		v, by := bench.try(c)
		counts[v]++
		fmt.Printf("%3d  %-8s  %s  (%s, %.0f s)\n", i, v, c, by, time.Since(start).Seconds())
		if v == survives {
			survived = append(survived, fmt.Sprintf("%3d  %s", i, c))
		}
	}
	fmt.Printf("%d found, %d survive, %d do not build, %d not tried\n%s\n",
		counts[found], counts[survives], counts[unbuilt], counts[untried], strings.Join(survived, "\n"))
	return nil
}
