package page

import (
	"strings"

	"nodespan/wasm/wire"
)

// gist is a sheet without what is no mathematics: remarks, comments and empty lines. Its constants are joined in one
// line, the first; every other line that says something stays as it is, since what a statement means may depend on
// what stands beside it, as in "at x = 0: T = 80".
func gist(text string, statements []wire.Line, remarks []wire.Span) string {
	bare := []byte(text)
	for _, r := range remarks {
		for i := max(r.From, 0); i < min(r.To, len(bare)); i++ {
			if bare[i] != '\n' {
				bare[i] = ' '
			}
		}
	}
	var constants, kept []string
	for _, s := range statements {
		if s.Kind == "constant" {
			value := strings.TrimSpace(text[min(s.Span.From, len(text)):min(s.Span.To, len(text))])
			constants = append(constants, strings.ReplaceAll(value, " ", "\u00a0"))
		}
	}
	if len(constants) > 0 {
		kept = append(kept, strings.Join(constants, ", "))
	}
	from := 0
	for _, line := range strings.SplitAfter(string(bare), "\n") {
		to := from + len(line)
		constant, other := false, false
		for _, s := range statements {
			if s.Span.From < to && s.Span.To > from {
				constant, other = constant || s.Kind == "constant", other || s.Kind != "constant"
			}
		}
		from = to
		line, _, _ = strings.Cut(line, "#")
		if line = strings.TrimSpace(line); line != "" && (other || !constant) {
			kept = append(kept, line)
		}
	}
	return strings.Join(kept, "\n")
}
