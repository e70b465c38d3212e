package prose

import (
	"strconv"
	"strings"
)

// Ends of the interval in words, and intervals in words.

// ends reads "at both ends" behind mathematics as "at ends".
func (r *reader) ends() {
	for i := 1; i < len(r.items); i++ {
		n := allEnds(r.items, i)
		if n == 0 || !r.items[i].word || r.items[i-1].word || r.items[i-1].kind.separates() &&
			r.items[i-1].kind != blank {
			continue
		}
		group := r.items[i : i+n]
		if _, all := has(group, every); !all && !(wholes[group[n-1].text] && r.over(i+n)) {
			continue
		}
		if _, one := has(group, single); one {
			continue
		}
		r.replace(group, " at ends ")
		for k := range group {
			group[k].word, group[k].kind = false, symbol
		}
		group[0].text = "at"
	}
}

// sides are the words for one end, and what they are read as.
var sides = map[string]string{
	"left": "leftend", "left-hand": "leftend", "linken": "leftend", "gauche": "leftend", "izquierdo": "leftend",
	"right": "rightend", "right-hand": "rightend", "rechten": "rightend", "droite": "rightend", "derecho": "rightend",
}

// sided are the nouns of one end, and the articles before them.
var sided = set(`the a hand left right linken rechten gauche droite izquierdo derecho l' l el le la extrémité de
end side wall edge boundary face surface support endpoint ende rand bord extremo seite`)

// side reads "at the left end" behind a relation, or before one, as "at leftend".
func (r *reader) side() {
	derived := r.unknowns()
	for i := range r.items {
		it := r.items[i]
		grave := it.text == "à"
		if it.math || !grave && (!allOf[it.text] || it.kind != letters || !it.word) {
			continue
		}
		end, which, noun := i+1, "", false
		for ; end < len(r.items) && end < i+5 && sided[r.items[end].text] && !r.items[end].math; end++ {
			w := r.items[end].text
			if sides[w] != "" {
				if which != "" && which != sides[w] {
					which = ""
					break
				}
				which = sides[w]
			} else if w != "the" && w != "a" && w != "el" && w != "le" && w != "la" && w != "de" && w != "hand" {
				noun = true
			}
		}
		behind := i > 0 && r.stated(i) && !r.items[i-1].word && r.about(i, derived)
		if which == "" || !behind || !r.over(end) && joining[r.items[end].text] != "and" {
			continue
		}
		group := r.items[i:end]
		if r.taken(i) {
			r.note("the words ", group, " are left out")
			r.replace(group, "")
			r.mark(group, symbol, "")
			continue
		}
		if !noun && !grave {
			continue
		}
		r.noteEnd(group, which)
		r.replace(group, " at "+which+" ")
		for k := range group {
			group[k].word, group[k].kind = false, symbol
		}
		group[0].text = "at"
	}
}

// noteEnd says which end words are.
func (r *reader) noteEnd(group []item, which string) {
	if which == "leftend" {
		r.note("", group, " is the lower end of the interval")
		return
	}
	r.note("", group, " is the upper end of the interval")
}

// taken reports whether the clause before item i takes an unknown at a point: y(0) = 0.2 at the left end.
func (r *reader) taken(i int) bool {
	from := i
	for from > 0 && !r.items[from-1].kind.separates() && !says(r.items[from-1:from], "and", "und", "et") {
		from--
	}
	return r.condition(r.items[from:i])
}

// about reports whether the clause before item i holds one of the names.
func (r *reader) about(i int, names map[string]bool) bool {
	for i--; i >= 0 && !r.items[i].kind.separates(); i-- {
		if names[r.text[r.items[i].from:r.items[i].to]] {
			return true
		}
	}
	return false
}

// interval leaves the words around an interval in words out: "let x run from 0 to 2".
func (r *reader) interval(items []item) {
	for f, it := range items {
		if it.kind != letters || it.text != "from" && it.text != "between" {
			continue
		}
		p := f - 1
		for p >= 0 && (items[p].word || items[p].kind != symbol && items[p].kind != letters) {
			p--
		}
		if p < 0 {
			return
		}
		if words(items[:p]) > 0 {
			r.leaveOut(items[:p], "\n")
		}
		if p+1 < f {
			r.leaveOut(items[p+1:f], " ")
		}
		return
	}
}

// placed reads "clamped at x = 0 (w = w' = 0)" as "at x = 0: w = w' = 0".
func (r *reader) placed() {
	for i := range r.items {
		if r.items[i].text != "at" || r.items[i].math || i == 0 || !r.items[i-1].word || !point(r.items[i+1:]) {
			continue
		}
		from := i
		for from > 0 && !r.items[from-1].kind.separates() && r.items[from-1].text != "and" {
			from--
		}
		open := i + 3
		for open < len(r.items) && r.items[open].kind != opening && !r.items[open].kind.separates() && open < i+8 {
			open++
		}
		if states(r.items[from:i]) || words(r.items[from:i]) < i-from || open >= len(r.items) ||
			r.items[open].kind != opening || !r.items[open].space {
			continue
		}
		end := closed(r.items, open)
		if end >= len(r.items) || !r.over(end+1) || end+1 < len(r.items) && r.items[end+1].kind == colon {
			continue
		}
		inner := r.items[open+1 : end]
		equals, other := false, false
		for _, it := range inner {
			equals = equals || it.kind == relation && it.text == "="
			other = other || it.kind == opening || it.kind == relation && it.text != "=" || it.word && it.text != "and"
		}
		if !equals || other {
			continue
		}
		r.leaveOut(r.items[from:i], "\n")
		r.replace(r.items[open:open+1], ": ")
		last := end + 1
		if last < len(r.items) && r.items[last].kind == stop {
			last++
		}
		r.replace(r.items[end:last], "\n")
		for k := from; k < i; k++ {
			r.items[k] = item{kind: lineEnd, from: r.items[k].from, to: r.items[k].from}
		}
		r.items[open].kind = colon
		for k := end; k < last; k++ {
			r.items[k].kind = lineEnd
		}
	}
}

// endLabels reads "left end: y = 0, y' = 0" as conditions at that end, where they have no point of their own.
func (r *reader) endLabels() {
	derived := r.unknowns()
	for i := range r.items {
		if r.items[i].kind != colon || i+2 >= len(r.items) {
			continue
		}
		from := i
		for from > 0 && !r.items[from-1].kind.separates() {
			from--
		}
		which, said := "", true
		for _, it := range r.items[from:i] {
			switch w := sides[it.text]; {
			case w != "" && which != "" && w != which:
				said = false
			case w != "":
				which = w
			case it.kind == opening || it.kind == closing:
			default:
				said = said && it.word
			}
		}
		k := i + 2
		for k < len(r.items) && r.items[k].kind == prime {
			k++
		}
		if which == "" || !said || !derived[r.text[r.items[i+1].from:r.items[i+1].to]] || k == len(r.items) ||
			r.items[k].kind != relation {
			continue
		}
		group := r.items[from:i]
		r.replace(r.items[from:i+1], "\nat "+which+", ")
		r.items[i].kind = comma
		r.noteEnd(group, which)
		r.mark(group, letters, "at")
	}
}

// betweens reads the "compris entre 0 et 1" and "zwischen 0 und 1" of other languages as between … and ….
func (r *reader) betweens() {
	for i := 1; i+3 < len(r.items); i++ {
		it := &r.items[i]
		if it.text != "entre" && it.text != "zwischen" || it.math {
			continue
		}
		for k := i + 2; k < len(r.items) && k < i+9 && !r.items[k].kind.separates(); k++ {
			if and := &r.items[k]; and.text == "et" || and.text == "und" || and.text == "y" {
				from := i
				if r.items[i-1].text == "compris" {
					from--
				}
				r.replace(r.items[from:i+1], " between ")
				r.replace(r.items[k:k+1], " and ")
				if from < i {
					r.mark(r.items[from:i], symbol, "")
				}
				it.text, it.word, it.kind = "between", false, letters
				and.text, and.word, and.kind = "and", false, letters
				break
			}
		}
	}
}

// symmetry reads "symmetry at x = 0" as symmetric at x = 0.
func (r *reader) symmetry() {
	for i := 0; i+2 < len(r.items); i++ {
		it := &r.items[i]
		switch it.text {
		case "symmetry", "symmetrie", "symétrie", "simetría":
		default:
			continue
		}
		if r.explained(i) {
			continue
		}
		if next := r.items[i+1].text; (i == 0 || r.items[i-1].text != "by") && (next == "about" || next == "around" ||
			next == "at") {
			r.replace(r.items[i:i+1], "symmetric")
			it.text = "symmetric"
		}
	}
}

// explained reports whether the clause of item i holds words up to its end, and a derivative that is 0 follows:
// symmetry at the centre, c'(0) = 0.
func (r *reader) explained(i int) bool {
	for ; i < len(r.items) && r.items[i].word; i++ {
	}
	if i >= len(r.items) || r.items[i].kind != comma && r.items[i].kind != colon && r.items[i].kind != opening {
		return false
	}
	derivative := false
	for k := i + 1; k+1 < len(r.items) && k < i+14 && !r.items[k].kind.separates(); k++ {
		derivative = derivative || r.items[k].kind == prime
		if r.items[k].text == "=" {
			return derivative && r.items[k+1].text == "0"
		}
	}
	return false
}

// asides passes over words alone behind a long dash, two hyphens or an arrow to the left, up to the end of the clause:
// "h = 2 — eigenvalues?", "y(0) = 1 <- left".
func (r *reader) asides() {
	for i := 1; i+1 < len(r.items); i++ {
		it, k := r.items[i], i+1
		switch text := r.text[it.from:it.to]; {
		case it.math || !it.space:
			continue
		case text == "—" || text == "←":
		case (text == "-" || text == "<") && r.items[k].text == "-" && !r.items[k].space && k+1 < len(r.items) &&
			r.items[k+1].space:
			k++
		default:
			continue
		}
		end, plain := k, false
		for end < len(r.items) && r.items[end].kind == letters && (r.items[end].word || !r.names[r.items[end].text]) {
			plain = plain || len(r.items[end].text) > 2
			end++
		}
		if end < len(r.items) && r.items[end].kind == stop {
			end++
		}
		if plain && (r.over(end) || r.items[end-1].kind == stop) && !r.doubtful(r.items[k:end]) {
			r.pass(r.items[i:end])
		}
	}
}

// prescribing are words for values that are given.
var prescribing = set(`prescribed specified given imposed held kept fixed throughout gehalten vorgegeben gegeben imposée
donnée dada`)

// prescribed passes over "with u prescribed at both ends" and "on the whole line", which state nothing more.
func (r *reader) prescribed() {
	derived := r.unknowns()
	for i := 1; i < len(r.items); i++ {
		it := r.items[i]
		if it.kind != letters || it.math {
			continue
		}
		end := i + 1
		for end < len(r.items) && r.items[end].word {
			end++
		}
		switch {
		case prescribing[it.text] && derived[r.source(r.items[i-1:i])] && r.over(end) && end > i+1:
			from := i - 1
			if from > 0 && says(r.items[from-1:from], "with", "where", "and") {
				from--
			}
			if end < len(r.items) && r.items[end].kind == colon {
				end++
			}
			r.pass(r.items[from:end])
		case says(r.items[i:i+1], "on", "over") && end == i+4 && says(r.items[i+2:i+3], "whole", "entire", "real") &&
			says(r.items[i+3:i+4], "line", "axis", "interval", "domain"):
			r.pass(r.items[i:end])
		}
	}
}

// bracketed reads "y = 1 (x = 0)" and "T → 0 (x → ∞)" as y = 1 at x = 0: where the name can be the variable, and what
// stands before is no equation.
func (r *reader) bracketed() {
	highest, by := r.orders()
	for i := 3; i+4 < len(r.items); i++ {
		if r.items[i].kind != opening || !r.items[i].space || !point(r.items[i+1:]) {
			continue
		}
		end := closed(r.items, i)
		name := r.text[r.items[i+1].from:r.items[i+1].to]
		if end >= len(r.items) || end > i+7 || !r.over(end+1) || end+1 < len(r.items) && r.items[end+1].kind == colon ||
			!r.stated(i) || highest[name] > 0 || by != "" && by != name || by == "" && !strings.Contains(
			" x t r z s y η ξ ζ ρ ", " "+name+" ") {
			continue
		}
		from, top, equation := i, 0, false
		for from > 0 && !r.items[from-1].kind.separates() {
			from--
		}
		first := r.text[r.items[from].from:r.items[from].to]
		for k := from; k < i; k++ {
			it := r.items[k]
			if it.kind == prime {
				top += len([]rune(strings.ReplaceAll(strings.ReplaceAll(r.text[it.from:it.to], "″", "''"), "‴", "'''")))
			}
			equation = equation || r.text[it.from:it.to] == name || it.kind == opening || it.word
		}
		if equation || highest[first] == 0 || top >= highest[first] {
			continue
		}
		r.replace(r.items[i:i+1], " at ")
		r.replace(r.items[end:end+1], " ")
		r.mark(r.items[i:i+1], letters, "at")
		r.mark(r.items[end:end+1], symbol, "")
	}
}

// orders returns the largest number of primes behind each name, and the variable of differentials.
func (r *reader) orders() (highest map[string]int, by string) {
	highest = map[string]int{}
	for i, it := range r.items {
		text := r.text[it.from:it.to]
		switch {
		case it.kind == prime && strings.HasPrefix(text, "d") && len(text) > 1:
			name := strings.TrimLeft(text[1:], "0123456789")
			n, _ := strconv.Atoi(strings.TrimSuffix(text[1:], name))
			highest[name] = max(highest[name], n, 1)
			for k := i + 1; k < len(r.items) && k < i+5; k++ {
				if d := r.text[r.items[k].from:r.items[k].to]; r.items[k-1].text == "/" && len(d) > 1 && d[0] == 'd' {
					by = strings.TrimRight(d[1:], "0123456789")
				}
			}
		case it.kind == prime && i > 0 && (r.items[i-1].kind == symbol || r.items[i-1].kind == letters):
			n := 0
			for k := i; k < len(r.items) && r.items[k].kind == prime && (k == i || !r.items[k].space); k++ {
				n += len([]rune(strings.ReplaceAll(strings.ReplaceAll(r.text[r.items[k].from:r.items[k].to], "″", "''"),
					"‴", "'''")))
			}
			name := r.text[r.items[i-1].from:r.items[i-1].to]
			highest[name] = max(highest[name], n)
		}
	}
	return highest, by
}
