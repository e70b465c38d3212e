package lesson

import (
	"regexp"
	"strings"
)

// Run is a piece of text on one level: 0 on the line, 1 raised, -1 lowered.
type Run struct {
	Text  string
	Level int
}

// leveled matches what is lowered (s_0, A_all) or raised (s^2, V^(-1)) behind a letter, a digit or a bracket.
var leveled = regexp.MustCompile(`([\pL\pN)])(?:_([\pL\pN]+)(?:\^(?:\((-?[0-9]+)\)|(-?[0-9]+)))?` +
	`|\^(?:\((-?[0-9]+)\)|(-?[0-9]+)))`)

// Runs cuts text into its levels: T_s, A_all, s^2 and V^(-1) have a part lowered or raised, s_0^2 has both.
func Runs(text string) []Run {
	var out []Run
	add := func(part string, level int) {
		if part != "" {
			out = append(out, Run{part, level})
		}
	}
	from := 0 // where the text on the line begins
	for _, m := range leveled.FindAllStringSubmatchIndex(text, -1) {
		group := func(i int) string {
			if m[2*i] < 0 {
				return ""
			}
			return text[m[2*i]:m[2*i+1]]
		}
		add(text[from:m[3]], 0)
		add(group(2), -1)
		add(group(3)+group(4)+group(5)+group(6), 1)
		from = m[1]
	}
	add(text[from:], 0)
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
