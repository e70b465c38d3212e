package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"slices"
	"sort"
	"strings"
)

// change is one change at one place of a file.
type change struct {
	room     *room // the package
	file     string
	line     int
	kind     string
	from, to int // the bytes that are replaced
	old, new string
}

func (c change) String() string {
	short := func(s string) string {
		s = strings.Join(strings.Fields(s), " ")
		if r := []rune(s); len(r) > 60 {
			s = string(r[:57]) + "..."
		}
		return s
	}
	return fmt.Sprintf("%s:%d %s: %s -> %s", c.file, c.line, c.kind, short(c.old), short(c.new))
}

// apply makes the change in the file's text.
func (c change) apply(text string) string { return text[:c.from] + c.new + text[c.to:] }

// room is a package with its files that are no tests.
type room struct {
	path    string   // of import
	browser bool     // only a browser runs these files
	files   []string // relative to the root
	texts   map[string]string
	changes []change // all that are possible
}

// swaps are the operators that are put in the place of others, and what such a change is called.
var swaps = map[token.Token]struct {
	by   token.Token
	kind string
}{
	token.LSS: {token.LEQ, "comparison"}, token.LEQ: {token.LSS, "comparison"},
	token.GTR: {token.GEQ, "comparison"}, token.GEQ: {token.GTR, "comparison"},
	token.EQL: {token.NEQ, "comparison"}, token.NEQ: {token.EQL, "comparison"},
	token.LAND: {token.LOR, "comparison"}, token.LOR: {token.LAND, "comparison"},
	token.ADD: {token.SUB, "sign"}, token.SUB: {token.ADD, "sign"},
	token.ADD_ASSIGN: {token.SUB_ASSIGN, "sign"}, token.SUB_ASSIGN: {token.ADD_ASSIGN, "sign"},
}

// finder collects the changes that are possible in a file.
type finder struct {
	room  *room
	file  string
	text  string
	files *token.FileSet
	plain []ast.Node // the bodies of the functions without results
}

// find adds the changes that are possible in a file to those of its room.
func (r *room) find(file, text string) error {
	f := &finder{room: r, file: file, text: text, files: token.NewFileSet()}
	parsed, err := parser.ParseFile(f.files, file, text, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	ast.Inspect(parsed, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec, *ast.Field:
			return false // tags and paths are no constants
		case *ast.FuncDecl:
			f.function(n.Type, n.Body)
		case *ast.FuncLit:
			f.function(n.Type, n.Body)
		case *ast.BinaryExpr:
			f.binary(n)
		case *ast.UnaryExpr:
			if n.Op == token.SUB || n.Op == token.NOT {
				kind := map[token.Token]string{token.SUB: "sign", token.NOT: "comparison"}[n.Op]
				f.add(kind, n.Pos(), n.End(), f.source(n.X))
			}
		case *ast.AssignStmt:
			if s, ok := swaps[n.Tok]; ok {
				f.add(s.kind, n.TokPos, n.TokPos+token.Pos(len(n.Tok.String())), s.by.String())
			}
		case *ast.BasicLit:
			f.constant(n)
		case *ast.BlockStmt:
			f.statements(n.List)
			f.returns(n)
		case *ast.CaseClause:
			f.statements(n.Body)
		}
		return true
	})
	return nil
}

// function notes a function from which one can return early.
func (f *finder) function(t *ast.FuncType, body *ast.BlockStmt) {
	if t.Results == nil && body != nil {
		f.plain = append(f.plain, body)
	}
}

func (f *finder) offset(p token.Pos) int { return f.files.Position(p).Offset }

func (f *finder) source(n ast.Node) string { return f.text[f.offset(n.Pos()):f.offset(n.End())] }

func (f *finder) add(kind string, from, to token.Pos, by string) {
	a, b := f.offset(from), f.offset(to)
	f.room.changes = append(f.room.changes, change{f.room, f.file, f.files.Position(from).Line, kind, a, b, f.text[a:b],
		by})
}

func (f *finder) binary(n *ast.BinaryExpr) {
	if s, ok := swaps[n.Op]; ok && !(n.Op == token.ADD && words(n)) {
		f.add(s.kind, n.OpPos, n.OpPos+token.Pos(len(n.Op.String())), s.by.String())
	}
	if n.Op == token.MUL || n.Op == token.QUO {
		f.add("factor", n.Pos(), n.End(), f.source(n.X))
		if n.Op == token.MUL {
			f.add("factor", n.Pos(), n.End(), f.source(n.Y))
		}
	}
}

func (f *finder) constant(n *ast.BasicLit) {
	switch n.Kind {
	case token.INT:
		f.add("constant", n.Pos(), n.End(), "("+n.Value+" + 1)")
	case token.FLOAT:
		f.add("constant", n.Pos(), n.End(), "(1.5*"+n.Value+" + 1e-3)")
	}
}

// statements finds what can be left out of a list of statements.
func (f *finder) statements(list []ast.Stmt) {
	for _, s := range list {
		switch s := s.(type) {
		case *ast.ExprStmt, *ast.IncDecStmt:
			f.add("statement", s.Pos(), s.End(), "")
		case *ast.AssignStmt:
			if s.Tok != token.DEFINE {
				f.add("statement", s.Pos(), s.End(), "")
			}
		case *ast.IfStmt:
			f.guard(s)
		}
	}
}

// returns finds where a function without results can return early.
func (f *finder) returns(body *ast.BlockStmt) {
	if !slices.Contains(f.plain, ast.Node(body)) {
		return
	}
	for i, s := range body.List {
		if _, returns := s.(*ast.ReturnStmt); i > 0 && !returns {
			f.add("early return", s.Pos(), s.Pos(), "if true { return }; ")
		}
	}
}

// words reports whether an expression holds a text, whose pieces are joined and not added.
func words(n ast.Node) bool {
	found := false
	ast.Inspect(n, func(n ast.Node) bool {
		b, ok := n.(*ast.BasicLit)
		found = found || ok && b.Kind == token.STRING
		return !found
	})
	return found
}

// guard leaves out the way out of a function, a loop or a case.
func (f *finder) guard(s *ast.IfStmt) {
	if s.Else != nil || len(s.Body.List) == 0 {
		return
	}
	switch s.Body.List[len(s.Body.List)-1].(type) {
	case *ast.ReturnStmt, *ast.BranchStmt:
		f.add("early return", s.Cond.Pos(), s.Cond.End(), "false && ("+f.source(s.Cond)+")")
	}
}

// draw chooses n changes: first one of each package, in random order, then the rest wherever there is code.
// Within a package each kind of change is as likely as any other.
func draw(rooms []*room, n int, seed uint64) []change {
	random := rand.New(rand.NewPCG(seed, seed^0x6e6f6465))
	var with []*room
	total := 0
	for _, r := range rooms {
		if len(r.changes) > 0 {
			with = append(with, r)
			total += len(r.changes)
		}
	}
	random.Shuffle(len(with), func(i, j int) { with[i], with[j] = with[j], with[i] })
	taken := map[string]bool{}
	var out []change
	for len(out) < min(n, total) {
		var r *room
		if len(out) < len(with) {
			r = with[len(out)]
		} else {
			k := random.IntN(total)
			for _, r = range with {
				if k -= len(r.changes); k < 0 {
					break
				}
			}
		}
		c := pick(r, random)
		key := fmt.Sprint(c.file, c.from, c.to, c.new)
		if !taken[key] {
			taken[key] = true
			out = append(out, c)
		}
	}
	return out
}

func pick(r *room, random *rand.Rand) change {
	kinds := map[string][]change{}
	var names []string
	for _, c := range r.changes {
		if kinds[c.kind] == nil {
			names = append(names, c.kind)
		}
		kinds[c.kind] = append(kinds[c.kind], c)
	}
	sort.Strings(names)
	of := kinds[names[random.IntN(len(names))]]
	return of[random.IntN(len(of))]
}
