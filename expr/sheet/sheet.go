package sheet

import (
	"errors"

	"nodespan/expr/notation"
	"nodespan/solver/bvp"
)

// Kind is the kind of a statement.
type Kind string

// The kinds of statements, each with an example.
const (
	KindEquation     Kind = "equation"         // y'' + y = 0
	KindCondition    Kind = "condition"        // y(0) = 1
	KindConstant     Kind = "constant"         // L = 2 pi, and with a range Bi = 2.5 in [0.1, 10]
	KindAbbreviation Kind = "abbreviation"     // k(T) = k0 (1 + b T)
	KindSought       Kind = "sought parameter" // lambda = ?
	KindDomain       Kind = "domain"           // 0 < x < L
	KindExact        Kind = "exact solution"   // exact y = cos(x)
	KindGuess        Kind = "first guess"      // guess y = 1 - x
	KindBreak        Kind = "break point"      // break x = 0.4
	KindRegular      Kind = "regular end"      // T finite at r = 0
	KindReport       Kind = "report"           // report mean = integral(y)/L
)

// Options says what to read a sheet with. The zero value reads it as it stands.
type Options struct {
	// Set gives constants of the sheet other values, as text ("2 pi", "1e-3"): name → value.
	Set map[string]string
}

// Sheet is a sheet that was read: its statements, what they mean, and what was inferred.
type Sheet struct {
	Text string
	// Variable is the name of the independent variable.
	Variable string
	// Statements are in the order of the text.
	Statements []*Statement
	// Constants are in the order of the text, derived ones (L = 2 a) included.
	Constants []Constant
	// Inferences start with the variable, the unknowns and the interval; then they are in the order of the text.
	Inferences []Inference
	// Remarks are the stretches of the text that are words and no mathematics.
	Remarks []notation.Span
	// Unknowns are in the order in which the text names them, with the order of their highest derivative.
	Unknowns []bvp.Unknown
	// Sought are the sought parameters in the order of the text.
	Sought []bvp.Parameter
	// A and B are the ends of the interval, A < B; either may be infinite.
	A, B float64
	// Linear reports whether the equations and conditions are linear in the unknowns (with any
	// sought parameter held).
	Linear bool
	// Eigenvalue reports whether this is an eigenvalue problem: one sought parameter, everything
	// linear and homogeneous, as many conditions as the total order.
	Eigenvalue bool

	model *model
	units map[string]string // of names and of derivatives, as they are printed
	added []Line            // equations and conditions of unknowns that the sheet does not name
	// unnamed are these unknowns: they stand for integrals.
	unnamed map[string]bool
}

// Statement is one statement of the sheet.
type Statement struct {
	Kind Kind
	// Span is the whole statement, a leading "exact", "guess", "break" or "report" included.
	Span notation.Span
	// Name is what a constant, an abbreviation, a sought parameter, an exact solution or a guess is about, and what a
	// report calls its number; else empty.
	Name string
	// Relation is the statement as a tree (without the leading word). Abbreviations are not put in.
	Relation *notation.Relation

	raw    notation.Statement
	sides  []notation.Node // of conditions and equations: with unknowns in the place of integrals
	from   int             // index of the first token after the leading word
	at     int             // index of the "at" of "T = 20 at x = 0"; 0 if there is none
	goesOn Kind            // the kind that a comma or "and" ties it to: exact u = …, v = …
	args   []string        // of an abbreviation with an argument list
}

// Constant is a number with a name.
type Constant struct {
	Name  string
	Value float64
	// Range is not nil for an adjustable constant; Value lies within it.
	Range *[2]float64
	// Span is the statement that declares the constant, ValueSpan the formula of its value.
	Span, ValueSpan notation.Span
	// Derived says that the value is computed from other constants.
	Derived bool
}

// Inference is something that the sheet does not say outright, in words.
type Inference struct {
	Text string
	Span notation.Span
	// Constants says that it tells what constants are taken as.
	Constants bool
	// Whole is the piece of the sheet that Text quotes without its middle; empty where it quotes all of it.
	Whole string
	// Plain says that nobody could have read it otherwise.
	Plain bool
}

// Line is a statement as the page typesets it.
type Line struct {
	Kind Kind
	Span notation.Span
	Name string
	// Relation is the statement as a tree.
	Relation *notation.Relation
	// Value is the value of a constant whose formula is more than a number; HasValue says so.
	Value    float64
	HasValue bool
	// Range is that of an adjustable constant.
	Range *[2]float64
}

// Reading returns the statements for typesetting, in the order of the text.
func (s *Sheet) Reading() []Line {
	lines := make([]Line, 0, len(s.Statements))
	for _, st := range s.Statements {
		l := Line{Kind: st.Kind, Span: st.Span, Name: st.Name, Relation: st.Relation}
		if st.Kind == KindConstant {
			for i := range s.Constants {
				c := &s.Constants[i]
				if c.Name != st.Name {
					continue
				}
				l.Range = c.Range
				if _, plain := st.Relation.Sides[1].(*notation.Number); !plain || s.model.set[c.Name] != nil {
					l.Value, l.HasValue = c.Value, true
				}
			}
		}
		lines = append(lines, l)
	}
	return append(lines, s.added...)
}

// Read reads a sheet. The error, when not nil, is a [notation.ErrorList] in the order of the text. One letter without a
// value is sought where the problem asks for that: see seekLetter.
func Read(text string, o Options) (*Sheet, error) {
	s, err := readText(text, o)
	if err != nil {
		if sought := seekLetter(text, o, err); sought != nil {
			return sought, nil
		}
		return nil, err
	}
	return s, nil
}

func readText(text string, o Options) (*Sheet, error) {
	r := &reader{
		text:  text,
		sheet: &Sheet{Text: text},
		names: notation.Names{
			Unknowns:  map[string]bool{},
			Constants: map[string]bool{},
			Abbrevs:   map[string]int{},
		},
	}
	r.read(o)
	if err := r.errs.Err(); err != nil {
		return nil, err
	}
	return r.sheet, nil
}

// Incomplete reports whether err says only that the sheet is unfinished: an open bracket at its
// end, a condition still missing, no equation yet.
func Incomplete(err error) bool {
	var list notation.ErrorList
	if !errors.As(err, &list) || len(list) == 0 {
		return false
	}
	for _, e := range list {
		if !e.Incomplete {
			return false
		}
	}
	return true
}
