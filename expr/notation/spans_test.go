package notation

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// placeAt counts line and column of an offset the slow way.
func placeAt(text string, offset int) Pos {
	line := 1 + strings.Count(text[:offset], "\n")
	start := strings.LastIndexByte(text[:offset], '\n') + 1
	return Pos{offset, line, 1 + utf8.RuneCountInString(text[start:offset])}
}

// checkSpan says what is wrong with a span as a stretch of text; "" if nothing is.
func checkSpan(text string, sp Span) string {
	if sp.From.Offset < 0 || sp.To < sp.From.Offset || sp.To > len(text) {
		return fmt.Sprintf("span %d..%d is outside the text of %d bytes", sp.From.Offset, sp.To, len(text))
	}
	if utf8.ValidString(text) {
		if want := placeAt(text, sp.From.Offset); sp.From != want {
			return fmt.Sprintf("span begins at %+v, which is %+v", sp.From, want)
		}
		if !utf8.ValidString(text[sp.From.Offset:sp.To]) {
			return "span cuts a character"
		}
	}
	return ""
}

// checkTree walks a tree and returns what is wrong with its spans; "" if nothing is.
func checkTree(text string, root Node) (problem string) {
	Walk(root, func(n Node) bool {
		sp := n.Span()
		if problem != "" {
			return false
		}
		if sp == (Span{}) { // built: the 1/n of an n-th root
			return true
		}
		if problem = checkSpan(text, sp); problem != "" {
			problem += ": " + show(n)
			return false
		}
		if sp.From.Offset == sp.To {
			problem = "empty span: " + show(n)
			return false
		}
		for _, c := range Children(n) {
			if in := c.Span(); in != (Span{}) && (in.From.Offset < sp.From.Offset || in.To > sp.To) {
				problem = fmt.Sprintf("%s (%v..%d) reaches out of %s (%v..%d)", show(c), in.From, in.To, show(n),
					sp.From, sp.To)
				return false
			}
		}
		return true
	})
	return problem
}

// claim says what is wrong with the text at the span of n as the text of n: it is read again and must give the same
// tree. "" if nothing is wrong.
func claim(text string, n Node, names *Names) string {
	piece := strings.ReplaceAll(text[n.Span().From.Offset:n.Span().To], "\n", " ")
	switch n.(type) {
	case *Number, *Name: // may be raised (x²) or lowered
		toks, errs, _ := lex(piece+"*", nil) // a point at the very end would be a full stop
		if errs != nil {
			return fmt.Sprintf("%q does not read as %s: %v", piece, show(n), errs)
		}
		for _, t := range toks {
			if t.Text == show(n) {
				return ""
			}
		}
		return fmt.Sprintf("%q is not %s", piece, show(n))
	case *Compare:
		piece = "if(" + piece + ", 1, 2)"
	}
	if strings.Trim(piece, "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻ⁿˣ") == "" {
		piece = "1" + piece // an exponent
	}
	got, err := ParseExpr(piece, names)
	if err != nil {
		return fmt.Sprintf("%q does not read as %s: %v", piece, show(n), err)
	}
	ok := false
	Walk(got, func(g Node) bool { // sin^2 x claims the text of the power for its Call too
		ok = ok || Equal(g, n)
		return !ok
	})
	if !ok {
		return fmt.Sprintf("%q reads as %s, not %s", piece, show(got), show(n))
	}
	return ""
}
