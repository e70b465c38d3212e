package rules

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

const (
	mostColumns = 120
	tabColumns  = 4
)

// columns counts the columns of a line, a tab being tabColumns of them.
func columns(line string) int {
	return utf8.RuneCountInString(line) + (tabColumns-1)*strings.Count(line, "\t")
}

// rawLines returns the lines of a file that begin inside a raw string: they are text of another kind.
func rawLines(fset *token.FileSet, f *ast.File) map[int]bool {
	raw := map[int]bool{}
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.BasicLit); ok && s.Kind == token.STRING && s.Value[0] == '`' {
			for l := fset.Position(s.Pos()).Line + 1; l <= fset.Position(s.End()).Line; l++ {
				raw[l] = true
			}
		}
		return true
	})
	return raw
}

func TestLinesOfGo(t *testing.T) {
	for _, file := range files(t) {
		if !strings.HasSuffix(file, ".go") {
			continue
		}
		fset, text := token.NewFileSet(), read(t, file)
		f, err := parser.ParseFile(fset, file, text, 0)
		if err != nil {
			t.Error(err)
			continue
		}
		raw := rawLines(fset, f)
		for i, line := range strings.Split(text, "\n") {
			if n := columns(line); n > mostColumns && !raw[i+1] {
				t.Errorf("%s:%d has %d columns, with tabs of %d; the most are %d",
					file, i+1, n, tabColumns, mostColumns)
			}
		}
	}
}

// TestLinesOfThePage holds what the page and its tests are written in to as many columns. An address cannot be broken.
func TestLinesOfThePage(t *testing.T) {
	for _, file := range files(t) {
		if !slices.Contains([]string{".mjs", ".js", ".css", ".html"}, path.Ext(file)) {
			continue
		}
		for i, line := range strings.Split(read(t, file), "\n") {
			if n := columns(line); n > mostColumns && !strings.Contains(line, `"data:`) {
				t.Errorf("%s:%d has %d columns; the most are %d", file, i+1, n, mostColumns)
			}
		}
	}
}

const (
	mostLines = 80
	mostDepth = 4
)

// reasoned matches the paragraph of a function's comment that says why it is longer or deeper than others.
var reasoned = regexp.MustCompile(`(?m)^It is (long|deep) because [^\n]+`)

// depth returns how many statements with bodies, and function literals, stand inside each other at most. An else if is
// as deep as its if.
func depth(n ast.Node) int {
	most := 0
	var walk func(n ast.Node, at int)
	walk = func(n ast.Node, at int) {
		most = max(most, at)
		ast.Inspect(n, func(m ast.Node) bool {
			switch s := m.(type) {
			case *ast.IfStmt:
				if m == n {
					return true
				}
				for s != nil {
					walk(s.Body, at+1)
					next, chained := s.Else.(*ast.IfStmt)
					if s.Else != nil && !chained {
						walk(s.Else, at+1)
					}
					s = next
				}
				return false
			case *ast.ForStmt, *ast.RangeStmt, *ast.SwitchStmt, *ast.TypeSwitchStmt, *ast.SelectStmt, *ast.FuncLit:
				if m != n {
					walk(m, at+1)
					return false
				}
			}
			return true
		})
	}
	walk(n, 0)
	return most
}

// TestFunctions holds functions to a length and a depth that can be read at once; what is beyond says why in its
// comment. Tests are tables, and may be long.
func TestFunctions(t *testing.T) {
	for _, file := range files(t) {
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			continue
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, file, read(t, file), parser.ParseComments)
		if err != nil {
			t.Error(err)
			continue
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Body == nil {
				continue
			}
			lines := fset.Position(fn.End()).Line - fset.Position(fn.Pos()).Line + 1
			deep := depth(fn.Body)
			beyond := lines > mostLines || deep > mostDepth
			if says := reasoned.MatchString(fn.Doc.Text()); says != beyond {
				t.Errorf("%s: %s has %d lines (%d are the most) and is %d levels deep (%d are the most); "+
					"its comment gives a reason: %v", file, fn.Name.Name, lines, mostLines, deep, mostDepth, says)
			}
		}
	}
}

func TestDepth(t *testing.T) {
	for body, want := range map[string]int{
		"x := 1; _ = x": 0,
		"if a { b() } else if c { d() } else { e() }": 1,
		"if a { for { switch { case b: c() } } }":     3,
		"for { f(func() { if a { b() } }) }":          3,
		"if a { b() }; for range 3 { if c { d() } }":  2,
	} {
		f, err := parser.ParseFile(token.NewFileSet(), "a.go", "package a\nfunc f() {"+body+"}", 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := depth(f.Decls[0].(*ast.FuncDecl).Body); got != want {
			t.Errorf("%s is %d deep, not %d", body, got, want)
		}
	}
}

// commented is what a comment is about: the first word, behind an article.
func commented(doc *ast.CommentGroup) string {
	words := strings.Fields(doc.Text())
	if len(words) > 1 && (words[0] == "A" || words[0] == "An" || words[0] == "The") {
		words = words[1:]
	}
	if len(words) == 0 {
		return ""
	}
	return strings.Trim(words[0], ".,:;")
}

// TestComments holds the comments of functions and types to what they stand above: one that begins with the name of
// something else in its package was left behind by it.
func TestComments(t *testing.T) {
	type comment struct{ file, of, about string }
	named := map[string]map[string]bool{} // by package
	var all []comment
	for _, file := range files(t) {
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), file, read(t, file), parser.ParseComments)
		if err != nil {
			t.Error(err)
			continue
		}
		dir := path.Dir(file)
		if named[dir] == nil {
			named[dir] = map[string]bool{}
		}
		note := func(name string, doc *ast.CommentGroup) {
			named[dir][name] = true
			all = append(all, comment{file, name, commented(doc)})
		}
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				note(d.Name.Name, d.Doc)
			case *ast.GenDecl:
				if s, ok := d.Specs[0].(*ast.TypeSpec); ok && len(d.Specs) == 1 {
					note(s.Name.Name, d.Doc)
				}
			}
		}
	}
	for _, c := range all {
		if c.about != c.of && named[path.Dir(c.file)][c.about] {
			t.Errorf("%s: the comment above %s is about %s", c.file, c.of, c.about)
		}
	}
}
