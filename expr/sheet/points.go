package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
)

// Points reads points of the interval, such as "0, L/2, L": formulas of the sheet's constants, between commas.
// Positions in the errors are those within text. No text gives nil.
func (s *Sheet) Points(text string) ([]float64, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	values, names := map[string]float64{"pi": math.Pi, "e": math.E}, &notation.Names{Constants: map[string]bool{}}
	for _, c := range s.Constants {
		values[c.Name] = c.Value
		names.Constants[c.Name] = true
	}
	value := func(n notation.Node) (float64, bool) {
		name, ok := n.(*notation.Name)
		if !ok {
			return 0, false
		}
		v, ok := values[name.Name]
		return v, ok
	}
	p := s.Problem()
	var at []float64
	var errs notation.ErrorList
	for _, piece := range between(text) {
		x, err := pointAt(text, piece, names, value)
		if err == nil {
			x, err = inside(x, piece, p)
		}
		if err != nil {
			errs = append(errs, notation.Faults(err)...)
			continue
		}
		at = append(at, x)
	}
	return at, errs.Err()
}

// pointAt works out one piece of the text.
func pointAt(text string, piece notation.Span, names *notation.Names,
	value func(notation.Node) (float64, bool)) (float64, error) {
	if strings.TrimSpace(text[piece.From.Offset:piece.To]) == "" {
		return 0, &notation.Error{Span: piece, Msg: "a point is missing here",
			Hint: "write the points between commas, as in 0, 0.5, 1"}
	}
	// As many blanks as bytes stand before keep the offsets in errors right; columns are counted again below.
	n, err := notation.ParseExpr(strings.Repeat(" ", piece.From.Offset)+text[piece.From.Offset:piece.To], names)
	if err == nil {
		var x float64
		if x, err = tape.Evaluate(n, value); err == nil {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return 0, &notation.Error{Span: piece, Msg: "this point is not a finite number"}
			}
			return x, nil
		}
	}
	var moved notation.ErrorList
	for _, e := range notation.Faults(err) {
		c := *e
		c.Span.From.Column = 1 + utf8.RuneCountInString(text[:min(c.Span.From.Offset, len(text))])
		moved = append(moved, &c)
	}
	return 0, moved
}

// inside checks that a point is on the interval. One that is beside an end by rounding alone is moved onto it.
func inside(x float64, piece notation.Span, p *bvp.Problem) (float64, error) {
	x = ontoEnd(x, p.A, p.B)
	if !p.Inside(x) {
		full := func(v float64) string { // every digit, as the point may be very close to the end
			if math.IsInf(v, 0) {
				return number(v)
			}
			return strconv.FormatFloat(v, 'g', -1, 64)
		}
		return 0, &notation.Error{Span: piece, Msg: fmt.Sprintf("%s = %s is outside the interval from %s to %s",
			p.VariableName(), full(x), full(p.A), full(p.B))}
	}
	return x, nil
}

// ontoEnd moves a point that is beside an end of the interval by rounding alone onto it. Either end may be infinite.
func ontoEnd(x, a, b float64) float64 {
	size := 0.0 // of the finite ends
	for _, end := range []float64{a, b} {
		if !math.IsInf(end, 0) {
			size = math.Max(size, math.Abs(end))
		}
	}
	for _, end := range []float64{a, b} {
		if math.Abs(x-end) <= 4e-16*size {
			return end
		}
	}
	return x
}

// between cuts the text at the commas outside brackets; white space around a piece is not part of it.
func between(text string) []notation.Span {
	var spans []notation.Span
	add := func(from, to int) {
		inner := strings.TrimSpace(text[from:to])
		if inner != "" {
			from += strings.Index(text[from:to], inner)
			to = from + len(inner)
		}
		spans = append(spans, notation.Span{
			From: notation.Pos{Offset: from, Line: 1, Column: 1 + utf8.RuneCountInString(text[:from])}, To: to,
		})
	}
	depth, from := 0, 0
	for i, r := range text {
		switch r {
		case '(', '[', '{':
			depth++
		case ')', ']', '}':
			depth--
		case ',':
			if depth <= 0 {
				add(from, i)
				from = i + 1
			}
		}
	}
	add(from, len(text))
	return spans
}
