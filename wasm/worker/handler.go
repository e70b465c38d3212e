// Package worker is the calculating half of the browser program: it reads sheets, solves them, samples
// the curves, makes the tables and puts every sentence about a problem into words. It touches no
// document. Only run_js.go knows that it is a worker; the rest compiles and is tested natively.
package worker

import (
	"math"

	"nodespan/expr/figure"
	"nodespan/expr/notation"
	"nodespan/expr/sheet"
	"nodespan/expr/typeset"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/nodes"
	"nodespan/solver/several"
	"nodespan/wasm/wire"
)

// Handler answers requests, one after the other. It keeps the last solutions, so that questions about
// them need no second solve.
type Handler struct {
	kept []*solved // the newest last

	climbed   *climbed
	reference *reference
	judged    *judged
	taught    *taught
	traced    *traced
}

// New returns a handler that has answered nothing yet.
func New() *Handler { return &Handler{} }

// solved is a sheet with its solution.
type solved struct {
	text   string
	method wire.Method
	sheet  *sheet.Sheet
	*solver.Solution
	drawn *figure.Curves // what is drawn of it, made when first asked for
}

// Usable reports whether there is a solution to show. What a failed solve leaves behind (the zero of a problem with
// infinitely many solutions, the last step of one that did not converge) is none.
func (s *solved) Usable() bool { return s.Solution.Usable() && s.Status != solver.Failed }

const keep = 2 // the answer that is shown and the one before, should the newest come to nothing

// Handle answers a request by one or several replies, the last of which says so.
func (h *Handler) Handle(q wire.Request, send func(wire.Reply)) {
	last := wire.Reply{ID: q.ID, Kind: q.Kind, Last: true}
	defer func() { send(last) }()
	var fault string
	switch q.Kind {
	case wire.Solve:
		last.Answer = h.solve(q, func(r wire.Reply) { r.ID = q.ID; send(r) })
		return
	case wire.Working, wire.Origin:
		h.teach(q, &last)
		return
	case wire.Slide:
		if last.Edit = slide(q.Sheet, q.Name); last.Edit == nil {
			fault = "No range fits " + q.Name + " here; write it behind its value, as in " + q.Name +
				" = 2.5 in [0.1, 10]."
		}
	case wire.Follow:
		last.Trace = h.follow(q)
		return
	case wire.Pick:
		last.Text, fault = h.pick(q.Branch, q.Place)
	default:
		h.ask(q, &last)
		return
	}
	if fault != "" {
		last.Value = &wire.Point{Fault: fault}
	}
}

// ask answers a question about a solution.
func (h *Handler) ask(q wire.Request, last *wire.Reply) {
	s := h.find(q)
	if s == nil {
		s, _ = h.work(q, func(wire.Reply) {})
	}
	switch {
	case (s == nil || !s.Usable()) && q.Kind != wire.Value:
		// Nothing to tell.
	case s == nil || !s.Usable():
		last.Value = &wire.Point{Fault: "There is no solution to read it from."}
	case q.Kind == wire.Value:
		last.Value = s.value(q.Point, q.Brief)
	case q.Kind == wire.Window:
		last.Curves = s.curves(q.From, q.To)
	case q.Kind == wire.Agree:
		last.Agreement = s.agreement(q.Point)
	case q.Kind == wire.Exact:
		last.Exactness = s.exactness()
	case q.Kind == wire.Export && q.Export != nil:
		h.take(s, q, last)
	case q.Kind == wire.Compare:
		last.Comparison = h.compare(s, q.Numbers)
	}
}

func (h *Handler) find(q wire.Request) *solved {
	for _, s := range h.kept {
		if s.text == q.Sheet && s.method == q.Method {
			return s
		}
	}
	return nil
}

// solve reads and solves, and returns the answer; nil where the sheet is faulty, which the reading says.
func (h *Handler) solve(q wire.Request, send func(wire.Reply)) *wire.Answer {
	s, reading := h.work(q, send)
	if s == nil {
		send(wire.Reply{Kind: wire.Solve, Reading: reading})
		return nil
	}
	return s.answer()
}

// work reads the sheet, sends its reading if it can be read, and solves it.
func (h *Handler) work(q wire.Request, send func(wire.Reply)) (*solved, *wire.Reading) {
	sh, err := sheet.Read(q.Sheet, sheet.Options{})
	if err != nil {
		return nil, faults(err)
	}
	send(wire.Reply{Kind: wire.Solve, Reading: reading(sh)})
	o := options(q.Method)
	o.Progress = func(said string) { send(wire.Reply{Kind: wire.Progress, Words: words.Sentence(said)}) }
	s := &solved{text: q.Sheet, method: q.Method, sheet: sh, Solution: solver.MustSolve(sh.Problem(), o)}
	s.Solution = several.Nearest(s.Problem, s.Solution, options(q.Method))
	h.kept = append(h.kept, s)
	if len(h.kept) > keep {
		h.kept = h.kept[1:]
	}
	return s, nil
}

// familyOf is the family that a request names; Legendre where it names none.
//
//go:noinline
func familyOf(name string) nodes.Family {
	f, err := nodes.ParseFamily(name)
	if err != nil {
		return nodes.Legendre
	}
	return f
}

// usualCount is how many eigenvalues are sought.
const usualCount = 5

func options(m wire.Method) solver.Options {
	return solver.Options{
		Method: solver.Method(m.Name), Family: familyOf(m.Family), Order: m.Order, Nodes: m.Nodes, Elements: m.Elements,
		Count: max(usualCount, m.Mode), Mode: m.Mode,
		Tol: math.Pow(10, -float64(digits(m))),
	}
}

// digits returns how many digits a method asks for.
func digits(m wire.Method) int {
	if m.Digits == 0 {
		return 8
	}
	return m.Digits
}

// reading says how a sheet was understood.
func reading(sh *sheet.Sheet) *wire.Reading {
	r := &wire.Reading{Summary: sh.Summary()}
	for _, l := range sh.Reading() {
		r.Lines = append(r.Lines, wire.Line{Span: span(l.Span), Kind: string(l.Kind),
			Math: set(typeset.Math(true, statement(l)...)), Constant: movable(sh, l)})
	}
	for _, i := range sh.Inferences {
		r.Inferences = append(r.Inferences, wire.Inference{Text: i.Text, Whole: i.Whole, Span: span(i.Span),
			Plain: i.Plain})
	}
	for _, sp := range sh.Remarks {
		r.Remarks = append(r.Remarks, span(sp))
	}
	return r
}

// statement typesets a line of a reading: its leading word if its kind has one, the relation, and
// the value of a constant that is more than a number.
func statement(l sheet.Line) []*wire.Element {
	var parts []*wire.Element
	switch l.Kind {
	case sheet.KindExact:
		parts = append(parts, text("exactly\u00a0"))
	case sheet.KindGuess:
		parts = append(parts, text("first guess\u00a0"))
	case sheet.KindBreak:
		parts = append(parts, text("break at\u00a0"))
	}
	parts = append(parts, typeset.MathMLRelation(l.Relation))
	if l.HasValue {
		parts = append(parts, operator("="), typeset.MathML(numeral(l.Value)))
	}
	return parts
}

func text(s string) *wire.Element     { return &wire.Element{Tag: "mtext", Text: s} }
func operator(s string) *wire.Element { return &wire.Element{Tag: "mo", Text: s} }

func span(s notation.Span) wire.Span { return wire.Span{From: s.From.Offset, To: s.To} }

// faults says what is wrong with a sheet.
func faults(err error) *wire.Reading {
	r := &wire.Reading{Incomplete: sheet.Incomplete(err)}
	for _, e := range notation.Faults(err) {
		f := wire.Fault{
			Span: span(e.Span), Line: e.Span.From.Line, Column: e.Span.From.Column, Message: e.Msg, Hint: e.Hint,
		}
		for _, c := range e.Choices {
			choice := wire.Choice{Text: c.Text}
			if c.Formula != nil {
				choice.Math = set(typeset.Math(true, typeset.MathML(c.Formula)))
			}
			f.Choices = append(f.Choices, choice)
		}
		r.Faults = append(r.Faults, f)
	}
	return r
}

// firstFault says in a sentence what is wrong first, and what to try.
func firstFault(err error) string {
	f := faults(err).Faults[0]
	if f.Hint != "" {
		f.Message += "; " + f.Hint
	}
	return words.Sentence(f.Message)
}
