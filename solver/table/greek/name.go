package greek

import "strings"

// Split takes a name apart into Delta as a mark of difference (or ""), the stem, and the subscript: DeltaT_s into
// Delta, T and s.
func Split(name string) (mark, stem, sub string) {
	stem, sub, _ = strings.Cut(name, "_")
	if rest := strings.TrimPrefix(stem, "Delta"); rest != stem && rest != "" &&
		!strings.ContainsAny(rest[:1], "0123456789") {
		mark, stem = "Delta", rest
	}
	return mark, stem, sub
}

// LaTeX sets a name for LaTeX's mathematics: a letter as it is, a Greek one by its command, a longer word upright, each
// part of a subscript likewise.
func LaTeX(name string) string {
	mark, stem, sub := Split(name)
	s := ""
	if mark != "" {
		s = `\Delta `
	}
	s += word(stem)
	var parts []string // the 1, u and v of a_1_u_v
	for _, p := range strings.Split(sub, "_") {
		if p != "" {
			parts = append(parts, word(p))
		}
	}
	if len(parts) > 0 {
		s += "_{" + strings.Join(parts, ",") + "}"
	}
	return s
}

func word(s string) string {
	letter, _ := Of(s)
	switch command := letter.LaTeX(); {
	case s == "inf":
		return `\infty`
	case command != "":
		return command
	case len([]rune(s)) <= 1 || strings.Trim(s, "0123456789") == "":
		return s
	}
	return `\mathrm{` + s + "}"
}
