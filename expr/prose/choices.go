package prose

import (
	"slices"

	"nodespan/expr/notation"
)

// Functions in pieces in words.

// choices takes the "otherwise" of a function in pieces for mathematics: behind a value, where a condition stands
// before it in the line or the line above.
func (r *reader) choices() {
	condition, lines := false, 0
	for i := range r.items {
		it := &r.items[i]
		switch {
		case it.kind == lineEnd:
			if lines++; lines > 1 {
				condition = false
			}
		case it.text == "if" || it.text == "for" || it.text == "when" || it.text == "on":
			condition, lines = condition || i > 0 && !r.items[i-1].word && !r.items[i-1].kind.separates(), 0
		case condition && i > 0 && (it.text == "otherwise" || it.text == "elsewhere" || it.text == "else"):
			if before := r.items[i-1]; !before.word && (!before.kind.separates() || before.kind == comma) {
				it.word, it.kind = false, symbol
			}
		}
	}
}

// remainder reads the rest of a function in pieces, "V = 20 for x < 1, otherwise V = 0" and "sonst 0", as 0 otherwise.
func (r *reader) remainder() {
	for i := 1; i+1 < len(r.items); i++ {
		it := r.items[i]
		if it.kind != letters || it.math || !says(r.items[i:i+1], "otherwise", "else", "elsewhere", "sonst", "sinon") {
			continue
		}
		value, from := i+1, i-1
		if i+3 < len(r.items) && r.items[i+2].text == "=" {
			value = i + 3
		}
		for from > 0 && (!r.items[from].kind.separates() || r.items[from].kind == comma || from == i-1) {
			from--
		}
		clause := r.items[from:i]
		if it.text == "else" && !r.items[i-1].kind.separates() {
			continue // alternatives knows it
		}
		name := r.source(r.items[i+1 : i+2])
		if !says(clause, "for", "if", "when", "on", "für", "pour", "wenn", "si") ||
			!slices.ContainsFunc(clause, func(it item) bool { return it.text == "=" }) ||
			value > i+1 && !slices.ContainsFunc(clause, func(it item) bool { return r.source([]item{it}) == name }) {
			continue
		}
		end := value
		for end < len(r.items) && !r.over(end) && !r.items[end].word && r.items[end].kind != relation {
			end++
		}
		if !r.over(end) || end == value {
			continue
		}
		r.replace(r.items[i:value], "")
		r.mark(r.items[i:value], symbol, "")
		if before := r.items[i-1]; before.kind != comma && before.kind.separates() {
			r.replace(r.items[i-1:i], ", ")
			r.items[i-1].kind, r.items[i-1].text = comma, ","
		}
		at := r.items[end-1].to
		r.edits = append(r.edits, notation.Edit{From: at, To: at, Text: " otherwise"})
	}
}

// alternatives reads the "else" of a program, 3 if x < 1 else 0, as 3 if x < 1, 0 otherwise.
func (r *reader) alternatives() {
	for i := 1; i+1 < len(r.items); i++ {
		it := r.items[i]
		if it.text != "else" || it.kind != letters || it.math || r.items[i-1].word ||
			r.items[i-1].kind.separates() || r.items[i+1].word || r.items[i+1].kind.separates() {
			continue
		}
		begun := false
		for k := i - 1; k >= 0 && !r.items[k].kind.separates(); k-- {
			begun = begun || r.items[k].text == "if"
		}
		end, depth := i+1, 0
		for ; end < len(r.items); end++ {
			if k := r.items[end].kind; k == opening {
				depth++
			} else if k == closing {
				depth--
			} else if depth <= 0 && (k.separates() || r.items[end].text == "if") {
				break
			}
		}
		if !begun || depth < 0 {
			continue
		}
		r.replace(r.items[i:i+1], ", ")
		r.items[i].kind, r.items[i].word, r.items[i].text = symbol, false, ""
		if end == len(r.items) || r.items[end].text != "if" {
			at := r.items[end-1].to
			r.edits = append(r.edits, notation.Edit{From: at, To: at, Text: " otherwise"})
		}
	}
}
