package rules

import (
	"go/ast"
	"go/parser"
	"go/token"
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
