package prose

import (
	"nodespan/expr/notation"
	"slices"
	"strings"
	"unicode"
)

// Ways of saying that stand for a sign or for nothing, each found in the items before the lines are read.

// closings are the words of the greeting at the end of a mail, besides those that are common.
var closings = set(`best cheers regards thanks thank sincerely wishes grüße gruß cordialement saludos lg vg thx ta ciao
bye mfg danke merci gracias saludo gruss grüsse`)

// mark makes items part of the mathematics that replaces them.
//
//go:noinline
func (r *reader) mark(items []item, k kind, text string) {
	for i := range items {
		items[i].kind, items[i].word, items[i].text = symbol, false, ""
	}
	items[0].kind, items[0].text = k, text
}

// pass makes items a remark that ends what stands before.
func (r *reader) pass(items []item) {
	r.remark(items, "\n")
	for i := range items {
		items[i] = item{kind: lineEnd, from: items[i].from, to: items[i].from}
	}
}

// signature passes over an initial behind a greeting at the end of a line: "Best, K."
func (r *reader) signature() {
	for i := 0; i+2 < len(r.items); i++ {
		if it := r.items[i]; it.kind != letters || !closings[it.text] || !r.greets(i) {
			continue
		}
		k := i + 1
		if r.items[k].kind == comma || r.items[k].text == "!" {
			k++
		}
		for k < len(r.items) && r.items[k].kind == lineEnd {
			k++
		}
		end := k
		for end < len(r.items) && end < k+4 && (r.initial(r.items[end]) || r.items[end].text == ".") {
			end++
		}
		if k > i+1 && end > k && (end == len(r.items) || r.items[end].kind == lineEnd) {
			r.pass(r.items[k:end])
			continue
		}
		for end = k; end < len(r.items) && r.items[end].kind != lineEnd; end++ {
		}
		if k > i+1 && (r.named(r.items[k:end]) || end == k+1 && r.last(end) &&
			(r.items[k].kind == letters || r.items[k].kind == symbol)) {
			r.pass(r.items[k:end])
		}
	}
}

// last reports whether only line ends stand from item i on.
func (r *reader) last(i int) bool {
	for i < len(r.items) && r.items[i].kind == lineEnd {
		i++
	}
	return i == len(r.items)
}

// greets reports whether the line up to item i holds words only.
func (r *reader) greets(i int) bool {
	for ; i >= 0 && r.items[i].kind != lineEnd && r.items[i].kind != stop; i-- {
		if r.items[i].kind != letters || r.items[i].math {
			return false
		}
	}
	return true
}

func (r *reader) initial(it item) bool {
	c := []rune(r.text[it.from:it.to])
	return it.kind == symbol && len(c) == 1 && unicode.IsUpper(c[0])
}

// outward reads the brackets of an open interval that are turned outwards, ]0, 1[, as round ones.
func (r *reader) outward() {
	bracket := func(it item) bool { return it.text == "[" || it.text == "]" }
	for i := 1; i < len(r.items); i++ {
		before := r.items[i-1]
		if !bracket(r.items[i]) || before.text != "in" && before.text != "∈" && before.text != "on" &&
			before.text != "\\in" && before.text != "sur" && before.text != "auf" && before.text != "dans" &&
			before.text != "en" {
			continue
		}
		k, commas := i+1, 0
		for k < len(r.items) && k < i+12 && !bracket(r.items[k]) && r.items[k].kind != lineEnd {
			if r.items[k].kind == comma || r.items[k].kind == semicolon {
				commas++
			}
			k++
		}
		if k >= len(r.items) || !bracket(r.items[k]) || commas != 1 {
			continue
		}
		if r.items[i].text == "]" {
			r.replace(r.items[i:i+1], "(")
			r.items[i].kind, r.items[i].text = opening, "("
		}
		if r.items[k].text == "[" {
			r.replace(r.items[k:k+1], ")")
			r.items[k].kind, r.items[k].text = closing, ")"
		}
	}
}

// small passes over how large a number is about, which says nothing that counts: ε ≪ 1, 0 < ε ≪ 1.
func (r *reader) small() {
	for i := 1; i+1 < len(r.items); i++ {
		sign, right := r.text[r.items[i].from:r.items[i].to], i+1
		if next := r.items[i+1]; (sign == "<" || sign == ">") && next.text == sign && !next.space {
			right++
		} else if sign != "≪" && sign != "≫" && sign != "\\ll" && sign != "\\gg" {
			continue
		}
		name := func(k int) bool {
			return k >= 0 && k < len(r.items) && (r.items[k].kind == symbol || r.items[k].kind == letters) &&
				!r.items[k].word
		}
		from, to := i-1, right+1
		if !name(from) || right >= len(r.items) || r.items[right].kind != number && !name(right) {
			continue
		}
		if from > 1 && r.items[from-1].text == "<" && r.items[from-2].kind == number {
			from -= 2
		}
		leads := func(k int) bool {
			return k >= 0 && slices.Contains([]string{"for", "with", "where", "as", "when", "let", "assume"},
				r.items[k].text)
		}
		if leads(from-1) && r.items[from-1].math == r.items[from].math {
			from--
		}
		if from > 0 && to < len(r.items) && r.items[from-1].kind == opening && r.items[to].kind == closing {
			from, to = from-1, to+1
		}
		whole := from == 0 || r.items[from-1].kind.separates() || r.items[from].kind == opening || leads(from) ||
			leads(from-1)
		if whole && r.over(to) {
			r.pass(r.items[from:to])
		}
	}
}

// pointed reads y = 1 @ x = 0 as y = 1 at x = 0.
func (r *reader) pointed() {
	for i := range r.items {
		if r.items[i].text == "@" && i+1 < len(r.items) && point(r.items[i+1:]) {
			r.replace(r.items[i:i+1], " at ")
			r.items[i].kind, r.items[i].text = letters, "at"
		}
	}
}

// closedForm are words for an exact solution.
var closedForm = set("exact analytical analytic closed-form")

// exacts reads "exact solution: y = …" and "the exact solution is y = …" as the exact statement.
func (r *reader) exacts() {
	for i := 0; i+3 < len(r.items); i++ {
		from, k := i, i+2
		switch lone := r.items[i+1].kind == colon; {
		case r.items[i].math:
			continue
		case closedForm[r.items[i].text] && r.items[i+1].text == "solution":
		case lone && (closedForm[r.items[i].text] || r.items[i].text == "solution" || r.items[i].text == "answer" ||
			r.items[i].text == "lösung"):
			k = i + 1
		default:
			continue
		}
		if from > 0 && r.items[from-1].text == "the" {
			from--
		}
		if r.items[k].kind != colon && r.items[k].text != "is" && r.items[k].text != "reads" {
			continue
		}
		for k++; k < len(r.items) && r.items[k].kind == lineEnd; k++ {
		}
		begins := from == 0 || r.items[from-1].kind.separates()
		if !begins || k+1 >= len(r.items) || !r.names[r.text[r.items[k].from:r.items[k].to]] ||
			r.items[k+1].kind != relation && r.items[k+1].kind != opening {
			continue
		}
		r.replace(r.items[from:k], "\nexact ")
		r.mark(r.items[from:k], symbol, "")
	}
}

// partial are words of place that mean more than one point.
var partial = set("half halves part parts quarter last within above below between per percent degrees near beyond last")

// places reads the words of place before a point as at: "at the left end (x = 0)", "on the surface r = R".
func (r *reader) places() {
	derived := r.unknowns()
	for i := 1; i < len(r.items); i++ {
		it := &r.items[i]
		if it.text != "at" && it.text != "on" || it.kind != letters || it.math || r.items[i-1].word ||
			r.items[i-1].kind.separates() && r.items[i-1].kind != blank {
			continue
		}
		k := i + 1
		for k < len(r.items) && r.items[k].word && !partial[r.items[k].text] && !changing[r.items[k].text] {
			k++
		}
		enclosed := k < len(r.items) && r.items[k].kind == opening
		p := k
		if enclosed || k < len(r.items) && r.items[k].kind == comma && r.pointBehind(k) {
			p++
		}
		if k == i+1 || !r.stated(i) || p >= len(r.items) || !point(r.items[p:]) || r.items[p+1].text != "=" ||
			derived[r.text[r.items[p].from:r.items[p].to]] {
			continue
		}
		end := k
		if enclosed {
			if end = closed(r.items, k); end >= len(r.items) || words(r.items[k:end]) > 0 || !r.over(end+1) ||
				end+1 < len(r.items) && r.items[end+1].kind == colon {
				continue
			}
		}
		words := r.items[i+1 : k]
		r.note("the words ", words, " are left out")
		r.replace(r.items[i:p], " at ")
		r.mark(r.items[i:p], symbol, "")
		it.kind, it.text = letters, "at"
		if enclosed {
			r.replace(r.items[end:end+1], "")
			r.items[end].kind, r.items[end].text = symbol, ""
		}
	}
}

// pointBehind reports whether the comma at item k stands before a point of x: "at the left end, x = 0".
func (r *reader) pointBehind(k int) bool {
	if !point(r.items[k+1:]) || r.items[k+1].text != "x" || r.items[k+2].text != "=" {
		return false
	}
	end := k + 3
	for end < len(r.items) && !r.items[end].kind.separates() && end < k+8 {
		if r.items[end].word && r.items[end].text != "and" || r.items[end].kind == relation {
			return false
		}
		if r.items[end].text == "and" {
			return true
		}
		end++
	}
	return r.over(end) && (end == len(r.items) || r.items[end].kind != colon)
}

// stated reports whether a relation stands before item i in its clause.
//
//go:noinline
func (r *reader) stated(i int) bool {
	for i--; i >= 0 && !r.items[i].kind.separates(); i-- {
		if r.items[i].kind == relation {
			return true
		}
	}
	return false
}

// unknowns are the names with a derivative.
//
//go:noinline
func (r *reader) unknowns() map[string]bool {
	if r.derived == nil {
		r.derived = r.findUnknowns()
	}
	return r.derived
}

// findUnknowns looks for them.
func (r *reader) findUnknowns() map[string]bool {
	list := map[string]bool{}
	for i, it := range r.items {
		if it.kind != prime {
			continue
		}
		if name := r.text[it.from:it.to]; len(name) > 1 && name[0] == 'd' {
			list[strings.TrimLeft(name[1:], "0123456789")] = true
		} else if i > 0 && (name[0] != '\\' || name == "\\prime") && (r.items[i-1].kind == symbol ||
			r.items[i-1].kind == letters) {
			list[r.text[r.items[i-1].from:r.items[i-1].to]] = true
		}
	}
	return list
}

// picturing are the verbs of tables and pictures.
var picturing = set("tabulate plot print sketch draw graph tabulated plotted")

// tabled passes over the wish for a table or a picture: "tabulate at x = 0, 1, 2".
func (r *reader) tabled() {
	for i := 0; i < len(r.items); i++ {
		begins := i == 0 || r.items[i-1].kind.separates() || r.items[i-1].text == "and" || r.items[i-1].text == "please"
		if !begins || !picturing[r.items[i].text] || r.items[i].math {
			continue
		}
		k, relations := i+1, 0
		for k < len(r.items) && !r.items[k].kind.separates() {
			if it := r.items[k]; it.kind == relation {
				relations++
				if it.text != "=" || k < 2 || r.items[k-2].text != "at" && r.items[k-2].text != "for" {
					relations = 9
				}
			}
			k++
		}
		if relations != 1 {
			continue
		}
		for k+1 < len(r.items) && (r.items[k].kind == comma || r.items[k].text == "and") &&
			r.items[k+1].kind == number && r.over(k+2) {
			k += 2
		}
		r.pass(r.items[i:k])
	}
}

// about and claims are the words of what is true of a problem.
var (
	about  = set(`solution problem operator equation lösung problème solución`)
	claims = set(`unique exists exist well-posed stable elliptic coercive symmetric self-adjoint positive eindeutig`)
)

// assumed passes over what is true of a problem under an assumption: "If q > 0 the solution is unique".
func (r *reader) assumed() {
	for i := 0; i < len(r.items); i++ {
		begins := i == 0 || r.items[i-1].kind.separates() && r.items[i-1].kind != comma
		if !begins || r.items[i].math || !says(r.items[i:i+1], "if", "for", "since", "because", "as", "when", "wenn") {
			continue
		}
		end, topic, claim, other := i+1, false, false, false
		for ; end < len(r.items) && (!r.items[end].kind.separates() || r.items[end].kind == comma); end++ {
			it := r.items[end]
			topic, claim = topic || about[it.text], claim || claims[it.text]
			other = other || it.kind == prime || it.kind == relation && it.text == "=" || changing[it.text] &&
				it.text != "only"
		}
		if topic && claim && !other {
			r.pass(r.items[i:end])
		}
	}
}

// equated stand between a name and the value that words give it: "eps is 0.01", "let k be equal to 2".
var equated = set(`is be equals equal to taken as set ist gleich sei est vaut égal égale à es vale sea igual a
è`)

// worths reads "eps is 0.01" as eps = 0.01 where eps stands in the mathematics and has no value there. What gives a
// name another value than the sheet does is asked about (doubtful).
func (r *reader) worths() {
	_, by := r.orders()
	for i := 1; i+1 < len(r.items); i++ {
		named := r.items[i-1]
		name, end := r.source(r.items[i-1:i]), i
		for end < len(r.items) && end < i+4 && r.items[end].kind == letters && !r.items[end].math &&
			equated[r.items[end].text] {
			end++
		}
		if end == i || named.kind != symbol && named.kind != letters || name == by || r.unknowns()[name] ||
			by == "" && usual[name] || !r.begins(i-1) {
			continue
		}
		if r.given(name) || r.retold(name) || !r.factor(name, named.word) {
			continue
		}
		value := end
		if value < len(r.items) && r.items[value].kind == operator && r.items[value].text == "-" {
			value++
		}
		if value >= len(r.items) || r.items[value].kind != number {
			continue
		}
		behind := value + 1
		for !r.over(behind) {
			behind++
		}
		if behind > value+1 && !notation.IsUnit(r.source(r.items[value+1:behind])) {
			continue
		}
		r.note("", r.items[i-1:value+1], " is read as "+name+" = "+r.source(r.items[end:value+1]))
		r.replace(r.items[i:end], " = ")
		r.mark(r.items[i:end], relation, "=")
		r.items[i-1].word = false
	}
}

// retold reports whether words say of a name more than once what it is.
func (r *reader) retold(name string) bool {
	n := 0
	for i := 1; i < len(r.items); i++ {
		if r.items[i].kind == letters && (equated[r.items[i].text] || copulas[r.items[i].text]) &&
			r.source(r.items[i-1:i]) == name {
			n++
		}
	}
	return n > 1
}

// begins reports whether nothing but words stands before item i in its clause.
func (r *reader) begins(i int) bool {
	for i--; i >= 0 && !r.items[i].kind.separates(); i-- {
		if cases[r.items[i].text] || says(r.items[i:i+1], "when", "wenn", "si", "cuando", "unless", "until") ||
			!r.items[i].word && !keywords[r.items[i].text] && joining[r.items[i].text] == "" {
			return false
		}
	}
	return true
}

// factor reports whether a name stands before a derivative somewhere, or beside a sign, a number or a bracket; what
// looks like a word has to be closed up with the sign.
func (r *reader) factor(name string, word bool) bool {
	for i, it := range r.items {
		if it.kind != symbol && it.kind != letters || r.source(r.items[i:i+1]) != name {
			continue
		}
		if i+2 < len(r.items) && r.items[i+2].kind == prime && !r.items[i+2].space {
			return true
		}
		for _, k := range []int{i - 1, i + 1} {
			if k < 0 || k == len(r.items) || word && r.items[max(i, k)].space {
				continue
			}
			if t := r.items[k]; t.kind == operator || !word && !t.word && (t.kind == number || t.kind == relation ||
				t.kind == opening) {
				return true
			}
		}
	}
	return false
}

// given reports whether a name has a value: an equals sign stands behind it.
func (r *reader) given(name string) bool {
	for i := range r.items {
		if r.items[i].kind == relation && r.items[i].text == "=" && i > 0 && r.source(r.items[i-1:i]) == name {
			return true
		}
	}
	return false
}

// equals reads "y equals 1 at x = 0 and equals 3 at x = 1" with signs.
func (r *reader) equals() {
	name := ""
	for i := 1; i+1 < len(r.items); i++ {
		it, end := r.items[i], i+1
		switch {
		case it.kind == lineEnd:
			name = ""
		case it.kind != letters || it.math || it.text != "equals" && it.text != "equal":
		case it.text == "equal" && (r.items[end].text != "to" || r.items[i-1].text != "is"):
		default:
			from := i
			if it.text == "equal" {
				from, end = i-1, i+2
			}
			k := from - 1
			for k > 0 && r.items[k].kind == prime {
				k--
			}
			switch {
			case end >= len(r.items) || r.items[end].word || r.items[end].kind.separates():
				continue
			case k >= 0 && r.unknowns()[r.source(r.items[k:k+1])] && !r.items[k].word:
				name = r.source(r.items[k:from])
				r.replace(r.items[from:end], " = ")
			case name != "" && k >= 0 && r.items[k].text == "and":
				r.replace(r.items[from:end], " "+name+" = ")
			default:
				continue
			}
			r.mark(r.items[from:end], relation, "=")
		}
	}
}

// vanishing reads "u and u' vanish" and "u is zero" as u = 0 and u' = 0, and "u is held at 3" as u = 3.
func (r *reader) vanishing() {
	derived := r.unknowns()
	for i := 1; i < len(r.items); i++ {
		end, value := r.vanishes(i)
		if end == 0 {
			continue
		}
		from, parts := i, []int(nil)
		for {
			k := from - 1
			for k > 0 && r.items[k].kind == prime && !derived[r.text[r.items[k].from:r.items[k].to]] {
				k--
			}
			if k < 0 || !derived[r.text[r.items[k].from:r.items[k].to]] || r.items[k].word {
				break
			}
			from = k
			if k == 0 || r.items[k-1].text != "and" && r.items[k-1].kind != comma {
				break
			}
			parts = append(parts, k-1)
			from = k - 1
		}
		if n := len(parts); n > 0 && from == parts[n-1] {
			from++
			parts = parts[:n-1]
		}
		open := func() bool {
			before := r.items[max(0, from-1)]
			return from == 0 || before.kind.separates() || before.word || keywords[before.text]
		}
		for !open() && len(parts) > 0 { // the u of y'' = u, u' vanishes
			from, parts = parts[len(parts)-1]+1, parts[:len(parts)-1]
		}
		if from == i || !open() {
			continue
		}
		if from > 0 && (r.items[from-1].text == "if" || r.items[from-1].text == "when") {
			r.replace(r.items[from-1:from], "\nwith ")
			r.items[from-1].text = "with"
		}
		if value == "" && len(parts) > 0 {
			continue
		}
		far := ""
		if end+1 < len(r.items) && r.items[end].text == "at" && distance[r.items[end+1].text] && r.over(end+2) {
			far, end = "(inf)", end+2
		}
		for _, p := range parts {
			r.replace(r.items[p:p+1], far+" = 0 and ")
		}
		r.note("", r.items[from:end], " is read as ="+value)
		r.replace(r.items[i:end], far+" ="+value+" ")
		r.mark(r.items[i:end], relation, "=")
	}
}

// pointBefore reports whether the clause before item i has a point: "at x = 1 the slope y' is zero".
func (r *reader) pointBefore(i int) bool {
	for i--; i >= 0 && !r.items[i].kind.separates(); i-- {
		if r.items[i].text == "at" && point(r.items[i+1:]) {
			return true
		}
	}
	return false
}

// vanishes returns where "vanishes" or "is zero" at item i ends, before a point, and the value that it stands for; "is
// held at" stands for an equals sign alone. end is 0 where there is none of them.
func (r *reader) vanishes(i int) (end int, value string) {
	it := r.items[i]
	next := func(k int, words ...string) bool {
		return i+k < len(r.items) && slices.Contains(words, r.items[i+k].text)
	}
	switch verb := next(0, "is", "are", "equals"); {
	case it.math || it.kind != letters:
		return 0, ""
	case verb && next(1, "held", "kept", "fixed", "maintained") && next(2, "at", "to") && i+3 < len(r.items) &&
		r.items[i+3].kind == number:
		return i + 3, ""
	case next(0, "vanishes", "vanish"):
		end = i + 1
	case verb && next(1, "zero", "0"):
		end = i + 2
	}
	if end == 0 || !(r.over(end) && r.pointBefore(i)) && (end >= len(r.items) || r.items[end].text != "at" &&
		allEnds(r.items, end) == 0) {
		return 0, ""
	}
	return end, " 0"
}
