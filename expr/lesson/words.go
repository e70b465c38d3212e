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

// power matches a number with a power of ten, 1.5e-7, that is no part of a name.
var power = regexp.MustCompile(`(^|[^\pL\pN_.])([0-9]+(?:\.[0-9]+)?)e(-?[0-9]+)($|[^\pL\pN_])`)

// Runs cuts text into its levels: T_s, A_all, s^2 and V^(-1) have a part lowered or raised, s_0^2 has both; 1.5e-7 is
// 1.5 × 10 with -7 raised. A hyphen before a number becomes a minus.
func Runs(text string) []Run {
	var out []Run
	for {
		m := power.FindStringSubmatchIndex(text)
		if m == nil {
			return levels(out, text)
		}
		out = append(levels(out, text[:m[5]]+times+"10"), Run{Minus(text[m[6]:m[7]]), 1})
		text = text[m[7]:]
	}
}

// times stands before a power of ten, between narrow spaces that do not break.
const times = "\u202f×\u202f"

// levels appends the runs of text without powers of ten.
func levels(out []Run, text string) []Run {
	add := func(part string, level int) {
		if part != "" {
			out = append(out, Run{Minus(part), level})
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

// Minus makes the hyphen before a number a minus.
func Minus(s string) string {
	var b strings.Builder
	for i := range len(s) {
		digit := i+1 < len(s) && s[i+1] >= '0' && s[i+1] <= '9'
		before := i == 0 || strings.IndexByte(" (e", s[i-1]) >= 0
		if s[i] == '-' && digit && before {
			b.WriteString("−")
			continue
		}
		b.WriteByte(s[i])
	}
	return b.String()
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
