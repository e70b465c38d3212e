package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"nodespan/expr/notation"
)

// reader carries a sheet through the stages of reading. Every stage adds its faults to errs; the
// later stages run only on what the earlier ones found in order, so that one fault does not bring
// a trail of others.
type reader struct {
	text  string
	sheet *Sheet
	errs  notation.ErrorList
	names notation.Names
	model *model

	// marks are the derivative marks of each statement, in the order of sheet.Statements; none
	// for exact solutions, guesses and breaks.
	marks [][]notation.Mark
	// regular are the statements that say that an unknown is regular at a point.
	regular []int
	// heads are the declared names (constants, abbreviations, sought parameters) by name.
	heads map[string]*Statement
	// integrals are the unknowns that stand for integrals, tied the numbers that stand for them in equations, each
	// with its value.
	integrals []*integral
	tied      [][2]notation.Node
	// algebraic are the equations without a derivative.
	algebraic []*Statement
	// wholes are the constants that are given as formulas.
	wholes []whole
	// layered says that intervals follow one upon another, each for unknowns of its own.
	layered bool
	// operator says that D stands for the derivative.
	operator bool
	// order lists the unknowns in the order of the text.
	order []string
	// variableFrom says in words where the variable comes from; variableAt is the place.
	variableFrom string
	variableAt   notation.Span
}

// read runs the stages.
func (r *reader) read(o Options) {
	stages := []func(){
		r.split,       // text → statements, leading words
		r.findNames,   // unknowns, declared names, the variable
		r.parse,       // tokens → trees, kinds
		r.stretch,     // an interval of sought length
		r.declare,     // constants, abbreviations, sought parameters
		r.integrate,   // integrals
		r.equate,      // equations, orders
		r.condition,   // conditions
		r.functions,   // exact solutions and guesses
		r.evaluate(o), // numbers: constants, points, the interval, breaks
		r.count,       // do equations, unknowns and conditions match
		r.report,      // what is asked of the solution
		r.infer,       // everything that was inferred, in words
	}
	for _, stage := range stages {
		stage()
		if len(r.errs) > 0 {
			return
		}
	}
}

// fault records a fault at a stretch of the text.
func (r *reader) fault(at notation.Span, hint, format string, args ...any) *notation.Error {
	e := &notation.Error{Span: at, Msg: fmt.Sprintf(format, args...), Hint: hint}
	r.errs = append(r.errs, e)
	return e
}

// take records the faults of an error of package notation or tape.
func (r *reader) take(err error, at notation.Span) {
	var list notation.ErrorList
	var one *notation.Error
	switch {
	case err == nil:
	case errors.As(err, &list):
		r.errs = append(r.errs, list...)
	case errors.As(err, &one):
		r.errs = append(r.errs, one)
	default:
		r.fault(at, "", "%v", err)
	}
}

// note records an inference.
//
//go:noinline
func (r *reader) note(at notation.Span, format string, args ...any) {
	r.sheet.Inferences = append(r.sheet.Inferences, Inference{Text: fmt.Sprintf(format, args...), Span: at})
}

// plain records one that nobody could have read otherwise.
//
//go:noinline
func (r *reader) plain(at notation.Span, format string, args ...any) {
	r.note(at, format, args...)
	r.sheet.Inferences[len(r.sheet.Inferences)-1].Plain = true
}

// source returns the text of a stretch.
//
//go:noinline
func (r *reader) source(sp notation.Span) string {
	if sp.From.Offset < 0 || sp.To > len(r.text) || sp.From.Offset > sp.To {
		return ""
	}
	return r.text[sp.From.Offset:sp.To]
}

// split cuts the text into statements and recognises the leading words.
func (r *reader) split() {
	words := r.prose()
	raws, err := notation.Split(r.text, words...)
	if err != nil {
		r.take(err, notation.Span{})
	}
	if len(r.errs) > 0 {
		return
	}
	for i, raw := range r.said(raws) {
		st := &Statement{Span: raw.Sp, raw: raw}
		if slices.Contains(r.regular, i) {
			st.Kind = KindRegular
			r.sheet.Statements = append(r.sheet.Statements, st)
			continue
		}
		if r.leadingWord(st); st.Kind == "" {
			r.findPoint(st)
		}
		r.sheet.Statements = append(r.sheet.Statements, st)
	}
}

// findPoint looks for the "at" of "T = 20 at x = 0", which makes a condition.
func (r *reader) findPoint(st *Statement) {
	t := st.raw.Tokens
	for k := st.from + 1; k+3 < len(t); k++ {
		if t[k].Text == "at" && isName(t[k]) && isName(t[k+1]) && t[k+2].Text == "=" && hasText(t[:k], "=") {
			st.at = k
			return
		}
	}
}

// leadingWords are the words that tell the kind of a statement.
var leadingWords = map[string]Kind{"exact": KindExact, "guess": KindGuess, "break": KindBreak, "report": KindReport}

// leadingWord sets the kind of a statement that starts with exact, guess, break or report. What follows a
// comma or "and" goes on with the same kind where it could be nothing else: exact u = …, v = …
func (r *reader) leadingWord(st *Statement) {
	tokens := st.raw.Tokens[st.from:]
	if kind, ok := leadingWords[strings.ToLower(tokens[0].Text)]; ok &&
		(len(tokens) == 1 || isName(tokens[1]) || isNumber(tokens[1]) ||
			kind == KindReport && beginsFormula(tokens[1])) {
		st.Kind, st.from = kind, st.from+1
		if len(tokens) == 1 {
			e := r.fault(st.Span, "write "+leadingExamples[kind], "nothing follows “%s”", tokens[0].Text)
			rest := strings.Fields(r.text[st.Span.To:])
			e.Incomplete = len(rest) == 0
			if kind == KindReport && len(rest) > 1 && rest[1] == "=" &&
				line(st.Span) == 1+strings.Count(r.text[:st.Span.To+strings.Index(r.text[st.Span.To:], rest[0])],
					"\n") {
				e.Hint = "“" + rest[0] + "” joins statements, so give the number another name"
			}
		}
		return
	}
	if len(r.sheet.Statements) == 0 || (st.raw.Join != "," && st.raw.Join != "and") {
		return
	}
	previous := r.sheet.Statements[len(r.sheet.Statements)-1]
	if previous.Kind != KindBreak {
		return // exact, guess and report go on too: settled in findNames, where the unknowns are known
	}
	variable := ""
	for _, earlier := range r.sheet.Statements {
		if name, _, ok := head(earlier); ok && earlier.Kind == KindBreak {
			variable = name
		}
	}
	name, _, ok := head(st)
	if ok && name == variable || !ok && !hasText(tokens, "=") && !hasText(tokens, "in") {
		st.Kind = KindBreak
	}
}

// beginsFormula reports whether a token after a blank begins a formula that is not a name or a number.
func beginsFormula(t notation.Token) bool {
	return t.Space && (t.Text == "-" || t.Kind == notation.OpenToken || t.Kind == notation.BarToken ||
		t.Kind == notation.CommandToken)
}

var leadingExamples = map[Kind]string{
	KindExact:  "exact y = …, the known solution",
	KindGuess:  "guess y = …, a first guess of the solution",
	KindBreak:  "break x = …, the place where a coefficient jumps",
	KindReport: "report name = …, a number to be taken from the solution",
}

// atEnd reports whether no statement follows the one of the stretch.
func (r *reader) atEnd(sp notation.Span) bool {
	statements := r.sheet.Statements
	return len(statements) == 0 || statements[len(statements)-1].Span.From.Offset <= sp.From.Offset
}

// head returns the name that stands alone left of the equals sign of a statement, with its
// argument list if it has one: "L = …", "k(T) = …".
func head(st *Statement) (name string, args []string, ok bool) {
	t := st.raw.Tokens[st.from:]
	if len(t) < 2 || !isName(t[0]) || st.at > 0 || t[0].Text == "integral" && t[1].Text == "(" {
		return "", nil, false
	}
	if t[1].Text == "=" {
		return t[0].Text, nil, true
	}
	if t[1].Text != "(" {
		return "", nil, false
	}
	for i := 2; i+1 < len(t) && isName(t[i]); i += 2 {
		args = append(args, t[i].Text)
		switch t[i+1].Text {
		case ",":
			continue
		case ")":
			if i+2 < len(t) && t[i+2].Text == "=" {
				return t[0].Text, args, true
			}
		}
		break
	}
	return "", nil, false
}

// hasText reports whether one of the tokens reads so.
//
//go:noinline
func hasText(tokens []notation.Token, text string) bool {
	for _, t := range tokens {
		if t.Text == text {
			return true
		}
	}
	return false
}

// line returns the line of a stretch.
func line(sp notation.Span) int { return sp.From.Line }
