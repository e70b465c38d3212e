package lesson

import (
	"strings"
	"unicode"
)

// Run is a piece of text on one level: 0 on the line, 1 raised, -1 lowered.
type Run struct {
	Text  string
	Level int
}

// Runs cuts text into its levels: T_s, A_all, s^2 and V^(-1) have a part lowered or raised. (By hand: package regexp would weigh more than all else here.)
func Runs(text string) []Run {
	r := []rune(text)
	word := func(i int) bool { return i < len(r) && (unicode.IsLetter(r[i]) || unicode.IsNumber(r[i])) }
	digit := func(i int) bool { return i < len(r) && r[i] >= '0' && r[i] <= '9' }
	var out []Run
	from := 0 // where the text on the line begins
	for i := 1; i < len(r); i++ {
		if !word(i-1) && r[i-1] != ')' {
			continue
		}
		start, end, level := i+1, i+1, 0
		switch r[i] {
		case '_':
			for word(end) {
				end++
			}
			level = -1
		case '^':
			bracket := start < len(r) && r[start] == '('
			if bracket {
				start++
			}
			if end = start; end < len(r) && r[end] == '-' {
				end++
			}
			first := end
			for digit(end) {
				end++
			}
			if end > first && (!bracket || end < len(r) && r[end] == ')') {
				level = 1
			}
		}
		if level == 0 || end == start {
			continue
		}
		if i > from {
			out = append(out, Run{Text: string(r[from:i])})
		}
		out = append(out, Run{string(r[start:end]), level})
		if level > 0 && end < len(r) && r[end] == ')' && r[start-1] == '(' {
			end++
		}
		from, i = end, end
		if level < 0 && end < len(r) && r[end] == '^' {
			i-- // s_0^2 has both
		}
	}
	if from < len(r) {
		out = append(out, Run{Text: string(r[from:])})
	}
	return out
}

// Symbol writes the name of a matrix with its levels: D1 as D_1, V_inv as V^-1.
func Symbol(name string) string {
	if base, rest, ok := strings.Cut(name, "_inv"); ok {
		return base + "^-1" + rest
	}
	i := strings.IndexAny(name, "0123456789")
	if i > 0 && name[i-1] != '_' && !strings.Contains(name[:i], "_") {
		return name[:i] + "_" + strings.ReplaceAll(name[i:], "_", "")
	}
	return name
}
