package prose

import (
	"slices"
	"strings"
	"unicode"
)

// What stands around the mathematics of a page: numbered headings, the name below a greeting, schemes of reactions.

// numbered are words that a number follows in a heading.
var numbered = set(`example exercise problem question task ex exc fig figure table section chapter sec homework hw
assignment sheet lecture theorem lab tutorial quiz exam case-study no nr item
aufgabe übung beispiel abschnitt kapitel blatt exercice exemple problème chapitre ejercicio ejemplo problema capítulo
sección tarea hoja`)

// headings passes over "Example 6.3" before mathematics on the same line.
func (r *reader) headings() {
	for i := 0; i+2 < len(r.items); i++ {
		it := r.items[i]
		if i > 0 && r.items[i-1].kind != lineEnd && r.items[i-1].kind != stop || it.kind != letters || it.math ||
			!numbered[it.text] || r.names[r.text[it.from:it.to]] {
			continue
		}
		k := i + 1
		if r.items[k].text == "." { // Ex. 5.2
			k++
		}
		if r.items[k].kind != number {
			continue
		}
		k++
		for k < len(r.items) && !r.items[k].space && (r.items[k].kind == symbol || r.items[k].kind == number ||
			r.items[k].kind == opening || r.items[k].kind == closing || r.items[k].kind == stop) {
			k++
		}
		if (k == len(r.items) || r.items[k].kind == lineEnd) && r.items[i+1].text == "." {
			r.pass(r.items[i:k])
			continue
		}
		if k < len(r.items) && !r.items[k].word && !r.items[k].kind.separates() && r.items[k].kind != relation &&
			(r.items[k].kind != operator || k+1 < len(r.items) && !r.items[k+1].space) {
			r.pass(r.items[i:k])
		}
	}
}

// marked passes over the Q3) and A1) before a line, whose bracket closes nothing.
func (r *reader) marked() {
	for i := 0; i+3 < len(r.items); i++ {
		it := r.items[i]
		if i > 0 && r.items[i-1].kind != lineEnd || it.kind != symbol && it.kind != letters || it.math {
			continue
		}
		k := i + 1
		if r.items[k].kind == number && !r.items[k].space {
			k++
		}
		name := r.text[it.from:r.items[k-1].to]
		if r.items[k].kind == closing && r.items[k].text == ")" && !r.items[k].space && r.items[k+1].space &&
			len(name) < 4 && strings.ContainsAny(name, "0123456789") && unicode.IsUpper([]rune(name)[0]) {
			r.pass(r.items[i : k+1])
		}
	}
}

// bracketedNames passes over (DE), (BC1) and [A] before a statement, where the text has the name nowhere else: as a
// factor it would have no value.
func (r *reader) bracketedNames() {
	times := map[string]int{}
	for _, it := range r.items {
		if it.kind == letters || it.kind == symbol {
			times[r.text[it.from:it.to]]++
		}
	}
	for i := 0; i+3 < len(r.items); i++ {
		name := r.items[i+1]
		if r.items[i].kind != opening || r.items[i].math || i > 0 && !r.items[i-1].kind.separates() ||
			name.kind != letters && name.kind != symbol || name.math || times[r.text[name.from:name.to]] > 1 {
			continue
		}
		k := i + 2
		if r.items[k].kind == number && !r.items[k].space {
			k++
		}
		if k+1 >= len(r.items) || r.items[k].kind != closing || !r.items[k+1].space || r.items[k+1].kind.separates() ||
			r.items[k+1].kind == relation || r.items[k+1].kind == operator && k+2 < len(r.items) && r.items[k+2].space {
			continue
		}
		r.pass(r.items[i : k+1])
	}
}

// limits reads "phi goes to 0 as x tends to infinity" with arrows.
func (r *reader) limits() {
	for i := 1; i+1 < len(r.items); i++ {
		it := r.items[i]
		if before := r.items[i-1]; it.kind != letters || it.math || !goes[it.text] || before.word ||
			before.kind != symbol && before.kind != prime && before.kind != letters {
			continue
		}
		k := i + 1
		if says(r.items[k:k+1], "to", "gegen", "vers", "towards", "a") {
			k++
		} else if it.text != "approaches" {
			continue
		}
		if k >= len(r.items) || r.items[k].word && r.items[k].text != "zero" && r.items[k].text != "infinity" {
			continue
		}
		if r.items[k].text == "zero" {
			r.replace(r.items[k:k+1], " 0 ")
			r.mark(r.items[k:k+1], number, "0")
		} else if r.items[k].text == "infinity" {
			r.mark(r.items[k:k+1], symbol, "infinity")
		}
		r.replace(r.items[i:k], " → ")
		r.mark(r.items[i:k], relation, "→")
	}
}

// distant reads "C → 0 far from the wall" and "C → 0 at infinity" as C(inf) = 0.
func (r *reader) distant() {
	derived := r.unknowns()
	for i := 1; i+2 < len(r.items); i++ {
		if !arrow(r.items[i]) {
			continue
		}
		name := i - 1
		for name > 0 && r.items[name].kind == prime {
			name--
		}
		k := i + 1
		for k < len(r.items) && !r.items[k].word && !r.items[k].kind.separates() && r.items[k].kind != relation &&
			r.items[k].text != "as" {
			k++
		}
		end, far := k, false
		for end < len(r.items) && r.items[end].kind == letters && !r.items[end].math {
			far = far || distance[r.items[end].text]
			end++
		}
		if !derived[r.text[r.items[name].from:r.items[name].to]] || k == i+1 || !far || end > k+5 || !r.over(end) {
			continue
		}
		r.replace(r.items[i:i+1], "(inf) = ")
		r.mark(r.items[i:i+1], relation, "=")
		r.note("", r.items[name:end], " is read as a condition at infinity")
		r.replace(r.items[k:end], "")
		r.mark(r.items[k:end], symbol, "")
	}
}

// distance are words for a place far away.
var distance = set("infinity far depth deep distance distances unendlichen infini infinito")

// together reads "u, v → 0 as z → ∞" as u → 0 and v → 0.
func (r *reader) together() {
	derived := r.unknowns()
	for i := 3; i+2 < len(r.items); i++ {
		if !arrow(r.items[i]) {
			continue
		}
		name := func(k int) bool { return derived[r.text[r.items[k].from:r.items[k].to]] && !r.items[k].word }
		end := i + 1
		if r.items[end].kind == operator {
			end++
		}
		if !says(r.items[end+1:min(end+2, len(r.items))], "as", "when", "for", "at") {
			continue
		}
		value := r.source(r.items[i+1 : end+1])
		for k := i - 1; k > 1 && name(k) && name(k-2) && says(r.items[k-1:k], ",", "and"); k -= 2 {
			if k > 2 && !r.items[k-3].kind.separates() && !r.items[k-3].word && r.items[k-3].text != "and" {
				break
			}
			r.replace(r.items[k-1:k], " → "+value+" and ")
			r.mark(r.items[k-1:k], relation, "→")
		}
	}
}

// goes are the verbs of limits.
var goes = set("goes go tends tend decays decay approaches converges strebt geht tiende")

// implied reads "x = 0 => u = 1" as x = 0: u = 1.
func (r *reader) implied() {
	for i := 3; i+2 < len(r.items); i++ {
		n := 1
		if r.items[i].text == "=" && r.items[i+1].text == ">" && !r.items[i+1].space {
			n = 2
		} else if t := r.items[i].text; t != "⇒" && t != "⟹" {
			continue
		}
		from := i
		for from > 0 && !r.items[from-1].kind.separates() {
			from--
		}
		if !point(r.items[from:i]) || i-from > 5 {
			continue
		}
		r.replace(r.items[i:i+n], ": ")
		r.mark(r.items[i:i+n], colon, ":")
	}
}

// named reports whether items are the name of a person: a few words, the first of them with a capital.
func (r *reader) named(items []item) bool {
	if len(items) == 0 || len(items) > 7 {
		return false
	}
	first := []rune(r.text[items[0].from:items[0].to])
	if items[0].kind == operator && len(items) > 1 { // - Bo
		return r.named(items[1:])
	}
	for _, it := range items {
		if it.kind != letters && !r.initial(it) && it.kind != stop && it.text != "." && it.kind != comma || it.math {
			return false
		}
	}
	return unicode.IsUpper(first[0])
}

// schemes passes over a reaction such as A -> B + C: arrows between names with capitals, and nothing that goes to a
// limit.
func (r *reader) schemes() {
	for from := 0; from < len(r.items); {
		to := from
		arrows, other := 0, false
		for ; to < len(r.items) && r.items[to].kind != lineEnd; to++ {
			it := r.items[to]
			switch {
			case arrow(it) && to > from && to+1 < len(r.items) && r.capital(to-1) && r.capital(to+1):
				arrows++
			case it.kind == relation, it.kind == prime, it.kind == letters && (it.text == "as" || it.text == "when"):
				other = true
			}
		}
		if arrows > 0 && !other {
			r.pass(r.items[from:to])
		}
		from = to + 1
	}
}

func arrow(it item) bool {
	return it.kind == relation && (it.text == "→" || it.text == "->" || it.text == "⟶")
}

// capital reports whether a name with a capital, or a number before one, stands at item i.
func (r *reader) capital(i int) bool {
	it := r.items[i]
	if it.kind == number {
		return i+1 < len(r.items) && r.items[i+1].kind != number && r.capital(i+1)
	}
	c := []rune(r.text[it.from:it.to])
	return (it.kind == symbol || it.kind == letters) && unicode.IsUpper(c[0])
}

// continuous passes over what says that quantities are continuous at a point: that is what a solution is.
func (r *reader) continuous() {
	for i := range r.items {
		it := r.items[i]
		if it.kind != letters || it.math || !strings.HasPrefix(it.text, "continu") && it.text != "stetig" {
			continue
		}
		from, to := i, i
		for from > 0 && !r.items[from-1].kind.separates() {
			from--
		}
		for to < len(r.items) && !r.items[to].kind.separates() {
			to++
		}
		clause := r.items[from:to]
		p := slices.IndexFunc(clause, func(it item) bool { return it.kind == relation })
		if p < 2 || !pointing[clause[p-2].text] && !says(clause[p-2:p-1], "across", "bei", "en", "in") ||
			slices.ContainsFunc(clause[p+1:], func(it item) bool { return it.kind == relation }) ||
			says(clause, "but", "not", "except") {
			continue
		}
		r.pass(clause)
	}
}

// says reports whether one of the items is one of the words.
//
//go:noinline
func says(items []item, words ...string) bool {
	return slices.ContainsFunc(items, func(it item) bool { return slices.Contains(words, it.text) })
}
