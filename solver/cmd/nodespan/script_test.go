package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// The scripts run this test's own program again, as nodespan.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"nodespan": main})
}

// scripts is the folder of the scripts: each holds sheets, command lines and what these print. Beside testscript's own
// commands there are
//
//	exits 3 nodespan …       the command ends with this status
//	says 'a line' 'another'  it printed these lines on standard error, and nothing on standard output
const scripts = "testdata/script"

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                scripts,
		RequireUniqueNames: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": func(ts *testscript.TestScript, _ bool, args []string) {
				var failed *exec.ExitError
				got := 0
				if err := ts.Exec(args[1], args[2:]...); errors.As(err, &failed) {
					got = failed.ExitCode()
				} else {
					ts.Check(err)
				}
				if want, err := strconv.Atoi(args[0]); err != nil || got != want {
					ts.Fatalf("the status is %d, not %s", got, args[0])
				}
			},
			"says": func(ts *testscript.TestScript, _ bool, args []string) {
				if got, want := ts.ReadFile("stderr"), strings.Join(args, "\n")+"\n"; got != want {
					ts.Fatalf("standard error is\n%q, not\n%q", got, want)
				}
				if got := ts.ReadFile("stdout"); got != "" {
					ts.Fatalf("standard output is %q", got)
				}
			},
		},
	})
}

// Every flag is used in a script, and every exit status is met.
func TestScriptsAreComplete(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(scripts, "*.txtar"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%v, %d scripts", err, len(files))
	}
	all := ""
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		all += string(text)
	}
	f, _, _ := define()
	f.VisitAll(func(f *flag.Flag) {
		if !regexp.MustCompile(`(?m)^exits [03] nodespan .*-` + f.Name + `\b`).MatchString(all) {
			t.Errorf("no script uses -%s", f.Name)
		}
	})
	for _, status := range []int{solved, cannotRun, faulty, noSolution} {
		if !strings.Contains(all, "\nexits "+strconv.Itoa(status)+" ") {
			t.Errorf("no script ends with %d", status)
		}
	}
}
