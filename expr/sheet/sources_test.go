package sheet

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A told is a message as it stands in the code of the reader: what must be found in the catalogue.
type told struct {
	where string // file and line
	shape *regexp.Regexp
	text  string // the message, "…" for what is filled in
}

// sources finds the messages of faults in the code of packages: what becomes the Msg of an Error or of a Fault, there
// or through the parameters of functions. A message whose words cannot be told fails the test.
type sources struct {
	t      *testing.T
	set    *token.FileSet
	files  []*ast.File
	funcs  map[string][]*ast.FuncDecl // of the package, by name
	consts map[string]ast.Expr
	sinks  map[string]int // functions that take a message, and as which argument
	found  map[token.Pos][]string
}

// messagesOf lists the messages of the packages.
func messagesOf(t *testing.T, packages ...string) (all []told) {
	for _, dir := range packages {
		s := &sources{t: t, set: token.NewFileSet(), funcs: map[string][]*ast.FuncDecl{}, consts: map[string]ast.Expr{},
			sinks: map[string]int{}}
		names, _ := filepath.Glob(filepath.Join("..", dir, "*.go"))
		for _, name := range names {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(s.set, name, nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			s.files = append(s.files, f)
		}
		s.declarations()
		for known := -1; known < len(s.sinks); { // until no function more is found to take a message
			known = len(s.sinks)
			s.found = map[token.Pos][]string{}
			for _, f := range s.files {
				for _, d := range f.Decls {
					if fn, ok := d.(*ast.FuncDecl); ok && fn.Body != nil {
						s.messages(fn)
					}
				}
			}
		}
		for at, texts := range s.found {
			p := s.set.Position(at)
			for _, text := range texts {
				if strings.Trim(text, "\x00 ") == "" {
					continue // what another message holds
				}
				shape := strings.ReplaceAll(regexp.QuoteMeta(text), "\x00", "(?s:.*)")
				all = append(all, told{fmt.Sprintf("%s:%d", filepath.ToSlash(p.Filename), p.Line),
					regexp.MustCompile("^" + shape + "$"), strings.ReplaceAll(text, "\x00", "…")})
			}
		}
	}
	slices.SortFunc(all, func(a, b told) int { return strings.Compare(a.where+a.text, b.where+b.text) })
	return all
}

func (s *sources) declarations() {
	for _, f := range s.files {
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				s.funcs[d.Name.Name] = append(s.funcs[d.Name.Name], d)
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					if v, ok := spec.(*ast.ValueSpec); ok && len(v.Values) == len(v.Names) {
						for i, n := range v.Names {
							s.consts[n.Name] = v.Values[i]
						}
					}
				}
			}
		}
	}
}

// messages finds the messages in one function.
func (s *sources) messages(fn *ast.FuncDecl) {
	message := func(e ast.Expr) {
		if i := parameter(fn, e); i >= 0 {
			s.sinks[fn.Name.Name] = i
			return
		}
		s.found[e.Pos()] = s.texts(fn, e, 0)
	}
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CompositeLit:
			if id, ok := n.Type.(*ast.Ident); ok && id.Name == "Fault" && len(n.Elts) == 4 {
				message(n.Elts[2])
			}
			for _, e := range n.Elts {
				if kv, ok := e.(*ast.KeyValueExpr); ok && isNamed(kv.Key, "Msg") {
					message(kv.Value)
				}
			}
		case *ast.AssignStmt:
			for i, l := range n.Lhs {
				if sel, ok := l.(*ast.SelectorExpr); ok && sel.Sel.Name == "Msg" {
					message(n.Rhs[min(i, len(n.Rhs)-1)])
				}
			}
		case *ast.CallExpr:
			name := ""
			switch f := n.Fun.(type) {
			case *ast.Ident:
				name = f.Name
			case *ast.SelectorExpr:
				name = f.Sel.Name
			}
			if i, ok := s.sinks[name]; ok && i < len(n.Args) {
				message(n.Args[i])
			}
		}
		return true
	})
}

func isNamed(e ast.Expr, name string) bool {
	id, ok := e.(*ast.Ident)
	return ok && id.Name == name
}

// parameter returns which string parameter of a function an expression is, the format of a Sprintf included; -1 if
// it is none.
func parameter(fn *ast.FuncDecl, e ast.Expr) int {
	if call, ok := e.(*ast.CallExpr); ok && isSprintf(call) {
		e = call.Args[0]
	}
	i := 0
	for _, f := range fn.Type.Params.List {
		for _, n := range f.Names {
			if isNamed(e, n.Name) && isNamed(f.Type, "string") {
				return i
			}
			i++
		}
	}
	return -1
}

func isSprintf(call *ast.CallExpr) bool {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	return ok && sel.Sel.Name == "Sprintf"
}

var verb = regexp.MustCompile(`%[-+#0]*[0-9]*[a-zA-Z]`)

// texts returns what an expression may say, with \x00 for what is filled in.
func (s *sources) texts(fn *ast.FuncDecl, e ast.Expr, depth int) []string {
	if depth > 6 {
		return []string{"\x00"}
	}
	switch e := e.(type) {
	case *ast.BasicLit:
		text, _ := strconv.Unquote(e.Value)
		return []string{strings.ReplaceAll(verb.ReplaceAllString(text, "\x00"), "%%", "%")}
	case *ast.ParenExpr:
		return s.texts(fn, e.X, depth+1)
	case *ast.BinaryExpr:
		var out []string
		for _, a := range s.part(fn, e.X, depth+1) {
			for _, b := range s.part(fn, e.Y, depth+1) {
				out = append(out, a+b)
			}
		}
		return out
	case *ast.CallExpr:
		if isSprintf(e) {
			return s.texts(fn, e.Args[0], depth+1)
		}
		if id, ok := e.Fun.(*ast.Ident); ok {
			return s.returned(id.Name, 0, depth+1)
		}
		if sel, ok := e.Fun.(*ast.SelectorExpr); ok {
			return s.returned(sel.Sel.Name, 0, depth+1)
		}
	case *ast.Ident:
		if v, ok := s.consts[e.Name]; ok {
			return s.texts(fn, v, depth+1)
		}
		return s.assigned(fn, e.Name, depth+1)
	}
	return []string{"\x00"}
}

// part is texts for a part of a sentence: what a function or a variable holds is filled in.
func (s *sources) part(fn *ast.FuncDecl, e ast.Expr, depth int) []string {
	switch e := e.(type) {
	case *ast.CallExpr:
		if !isSprintf(e) {
			return []string{"\x00"}
		}
	case *ast.Ident:
		if _, ok := s.consts[e.Name].(*ast.BasicLit); !ok {
			return []string{"\x00"}
		}
	}
	return s.texts(fn, e, depth)
}

// returned returns what the functions of a name return.
func (s *sources) returned(name string, result, depth int) (out []string) {
	for _, fn := range s.funcs[name] {
		if fn.Type.Results == nil || fn.Body == nil {
			continue
		}
		ast.Inspect(fn.Body, func(n ast.Node) bool {
			if _, ok := n.(*ast.FuncLit); ok {
				return false
			}
			if r, ok := n.(*ast.ReturnStmt); ok && result < len(r.Results) {
				out = append(out, s.texts(fn, r.Results[result], depth+1)...)
			}
			return true
		})
	}
	if out == nil {
		out = []string{"\x00"}
	}
	return out
}

// assigned returns what is assigned to a variable of a function.
func (s *sources) assigned(fn *ast.FuncDecl, name string, depth int) (out []string) {
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		a, ok := n.(*ast.AssignStmt)
		if !ok {
			return true
		}
		for i, l := range a.Lhs {
			switch {
			case !isNamed(l, name):
			case len(a.Rhs) == len(a.Lhs):
				out = append(out, s.texts(fn, a.Rhs[i], depth+1)...)
			default:
				if call, ok := a.Rhs[0].(*ast.CallExpr); ok {
					if id, ok := call.Fun.(*ast.Ident); ok {
						out = append(out, s.returned(id.Name, i, depth+1)...)
					}
				}
			}
		}
		return true
	})
	if out == nil {
		out = []string{"\x00"}
	}
	return out
}
