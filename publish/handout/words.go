package handout

import (
	"regexp"
	"strings"
)

// run is a piece of text on one level: 0 on the line, 1 raised, -1 lowered.
type run struct {
	text  string
	level int
}

// levels finds the raised and lowered parts of words: T_s, A_all, s^2, V^(-1).
var levels = regexp.MustCompile(`([\pL\pN)])(_[\pL\pN]+|\^-?[0-9]+|\^\(-?[0-9]+\))`)

// runs cuts text into its levels.
func runs(text string) []run {
	var out []run
	for text != "" {
		m := levels.FindStringSubmatchIndex(text)
		if m == nil {
			return append(out, run{text: text})
		}
		if m[4] > 0 {
			out = append(out, run{text: text[:m[4]]})
		}
		mark := text[m[4]:m[5]]
		if mark[0] == '_' {
			out = append(out, run{mark[1:], -1})
		} else {
			out = append(out, run{strings.Trim(mark[1:], "()"), 1})
		}
		text = text[m[5]:]
	}
	return out
}

// matrixName writes the name of a matrix with its levels: D1 as D_1, V_inv as V^-1.
func matrixName(name string) string {
	if base, rest, ok := strings.Cut(name, "_inv"); ok {
		return base + "^-1" + rest
	}
	i := strings.IndexAny(name, "0123456789")
	if i > 0 && name[i-1] != '_' && !strings.Contains(name[:i], "_") {
		return name[:i] + "_" + strings.ReplaceAll(name[i:], "_", "")
	}
	return name
}

// width is about how many digits wide a cell is.
func width(s string) int { return len([]rune(s)) }
