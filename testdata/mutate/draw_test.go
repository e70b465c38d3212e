package main

import (
	"fmt"
	"go/parser"
	"go/token"
	"reflect"
	"slices"
	"strings"
	"testing"
)

const sample = `package sample

import "fmt"

type box struct {
	width int ` + "`json:\"width\"`" + `
}

func (b *box) grow(by int, loud bool) {
	if by <= 0 || !loud {
		return
	}
	b.width += 2 * by
	fmt.Println("grown" + "!")
}

func half(x float64) float64 { return -x * 0.5 }
`

func sampleRoom(t *testing.T, path string) *room {
	t.Helper()
	r := &room{path: path, texts: map[string]string{"sample.go": sample}}
	if err := r.find("sample.go", sample); err != nil {
		t.Fatal(err)
	}
	return r
}

// Every change is one change at one place, and what comes of it is still Go.
func TestFind(t *testing.T) {
	var got []string
	for _, c := range sampleRoom(t, "sample").changes {
		after := c.apply(sample)
		if _, err := parser.ParseFile(token.NewFileSet(), "", after, 0); err != nil {
			t.Errorf("%s: %v", c, err)
		}
		if after == sample || sample[c.from:c.to] != c.old || after != sample[:c.from]+c.new+sample[c.to:] {
			t.Errorf("%s: not one change", c)
		}
		got = append(got, fmt.Sprintf("%d %s: %s -> %s", c.line, c.kind, c.old, c.new))
	}
	want := []string{
		"10 early return: by <= 0 || !loud -> false && (by <= 0 || !loud)",
		"13 statement: b.width += 2 * by -> ",
		`14 statement: fmt.Println("grown" + "!") -> `,
		"13 early return:  -> if true { return }; ",
		"14 early return:  -> if true { return }; ",
		"10 comparison: || -> &&",
		"10 comparison: <= -> <",
		"10 constant: 0 -> (0 + 1)",
		"10 comparison: !loud -> loud",
		"13 sign: += -> -=",
		"13 factor: 2 * by -> 2",
		"13 factor: 2 * by -> by",
		"13 constant: 2 -> (2 + 1)",
		"17 factor: -x * 0.5 -> -x",
		"17 factor: -x * 0.5 -> 0.5",
		"17 sign: -x -> x",
		"17 constant: 0.5 -> (1.5*0.5 + 1e-3)",
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("found\n%s", strings.Join(got, "\n"))
	}
}

// The seed alone decides, nothing is drawn twice, and every package is met before one is met again.
func TestDraw(t *testing.T) {
	rooms := []*room{sampleRoom(t, "a"), sampleRoom(t, "b"), sampleRoom(t, "c"), {path: "empty"}}
	for i, r := range rooms[:3] {
		for k := range r.changes {
			r.changes[k].file = fmt.Sprint(i)
		}
	}
	one, two := draw(rooms, 20, 7), draw(rooms, 20, 7)
	if !reflect.DeepEqual(one, two) {
		t.Error("drawn again, it is not the same")
	}
	if reflect.DeepEqual(one, draw(rooms, 20, 8)) {
		t.Error("another seed draws the same")
	}
	var met []string
	for _, c := range one[:3] {
		met = append(met, c.room.path)
	}
	slices.Sort(met)
	if !slices.Equal(met, []string{"a", "b", "c"}) {
		t.Errorf("the first three are of %v", met)
	}
	seen := map[string]bool{}
	for _, c := range one {
		if seen[c.String()] && c.old != "" {
			t.Errorf("drawn twice: %s", c)
		}
		seen[c.String()] = true
	}
	if n := len(draw(rooms, 1000, 7)); n != 3*17 {
		t.Errorf("of 51 possible changes %d were drawn", n)
	}
}

func TestTesters(t *testing.T) {
	got := testers([]listed{
		{ImportPath: "low"},
		{ImportPath: "mid", Imports: []string{"low"}},
		{ImportPath: "top", Imports: []string{"mid"}},
		{ImportPath: "near", TestImports: []string{"low"}},
	})
	if want := []string{"low", "mid", "near", "top"}; !slices.Equal(got["low"], want) {
		t.Errorf("a change of low is noticed by %v, want %v", got["low"], want)
	}
}

func TestFailure(t *testing.T) {
	for out, want := range map[string]string{
		"=== RUN\n--- FAIL: TestA (0.1s)\n--- FAIL: TestB": "TestA (0.1s)",
		"panic: no\n\ngoroutine 1":                         "no",
		"ok\nsignal: killed\n":                             "signal: killed",
	} {
		if got := failure(out); got != want {
			t.Errorf("%q: %q, want %q", out, got, want)
		}
	}
}
