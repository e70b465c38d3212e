package prose

import (
	"slices"
	"strings"

	"nodespan/expr/notation"
)

// line reads one line.
func (r *reader) line(items []item) {
	if (!states(items) || mentions(items)) && words(items) > 0 && !r.meant(items) {
		r.lineOfWords(items)
		return
	}
	depth, from := 0, 0
	var clause []item
	end := func(i int) {
		clause = items[from:i]
		sep := item{}
		if i < len(items) {
			sep = items[i]
		}
		r.clause(clause, sep)
		from = i + 1
	}
	for i, it := range items {
		switch it.kind {
		case opening:
			depth++
		case closing:
			depth = max(0, depth-1)
		default:
			if depth == 0 && it.kind.separates() {
				end(i)
			}
		}
	}
	end(len(items))
}

// mentions reports whether items are words that name a derivative and state nothing of it: "uniform heating \dot q".
func mentions(items []item) bool {
	for i, it := range items {
		if it.kind == relation || it.kind == operator || it.kind == letters && (!it.word || told[it.text]) ||
			it.kind == opening && i > 0 && (items[i-1].text == "in" || items[i-1].text == "on") {
			return false
		}
	}
	return plainWords(items)
}

// meant reports whether items without a relation say something all the same: an interval in words, or that an
// unknown is bounded.
func (r *reader) meant(items []item) bool {
	symbols, numbers, prepositions := 0, 0, map[string]bool{}
	for _, it := range items {
		switch {
		case it.kind == symbol:
			symbols++
		case it.kind == number:
			numbers++
		case it.kind == letters && !(it.word && (it.text == "from" || it.text == "between")):
			prepositions[it.text] = true
		}
	}
	if n := len(items); n > 1 && items[n-1].kind == closing && (prepositions["in"] || prepositions["on"]) &&
		!plainWords(items) {
		return true
	}
	interval := (prepositions["from"] && prepositions["to"] || prepositions["between"]) && numbers > 0 && symbols > 0
	if interval {
		return true
	}
	if _, says := has(items, told); says {
		return r.toldOf(items)
	}
	first := items[0]
	return reserved[first.text] && first.kind == letters && !plainWords(items[1:])
}

// toldOf reports whether a word such as bounded is said of an unknown, and not of the problem.
func (r *reader) toldOf(items []item) bool {
	for i, it := range items {
		if it.kind != letters || !told[it.text] {
			continue
		}
		if strings.HasPrefix(it.text, "sym") && i+1 < len(items) {
			if next := items[i+1].text; next == "about" || next == "around" || next == "at" || next == "in" {
				return true
			}
		}
		if r.soleEnd(items) {
			return true
		}
		for _, other := range items {
			if (other.kind == symbol || other.kind == letters && !other.word) &&
				(r.names[r.text[other.from:other.to]]) {
				return true
			}
		}
	}
	return false
}

// soleEnd reports whether words say of the only unknown, without its name, that it is finite at a point: "the
// temperature at x = 0 stays finite".
func (r *reader) soleEnd(items []item) bool {
	end := slices.IndexFunc(items, func(it item) bool { return it.text == "at" })
	return end > 0 && words(items[:end]) == end && point(items[end+1:]) && len(r.unknowns()) == 1 &&
		says(items, "finite", "bounded", "regular")
}

// lineOfWords reads a line, or a clause, without mathematics.
func (r *reader) lineOfWords(items []item) {
	if r.doubtful(items) || r.another(items) {
		r.doubt(items, "")
		return
	}
	r.remark(items, "\n")
}

// chunk is a stretch of a clause: words, or mathematics.
type chunk struct {
	items []item
	prose bool
}

// clause reads one clause; separator is what ends it.
func (r *reader) clause(items []item, separator item) {
	if len(items) == 0 {
		return
	}
	items = r.brackets(items, separator)
	if len(items) == 0 {
		if separator.kind == colon || separator.kind == stop || separator.kind == comma {
			r.replace([]item{separator}, "")
		}
		return
	}
	if separator.kind == colon && (r.label(items, separator) || r.layer(items, separator)) {
		return
	}
	if list := r.chunks(items); r.legend(list) {
		if separator.kind == colon {
			items = append(items[:len(items):len(items)], separator)
		}
		r.lineOfWords(items)
		return
	}
	if k := items[0].kind; k == number && len(items) > 1 && !states(items) && r.behindColon(items[0]) &&
		notation.IsUnit(r.source(items[1:])) {
		if separator.kind == stop {
			items = append(items[:len(items):len(items)], separator)
		}
		r.remark(items, "\n") // Length of the pile: 12 m
		return
	}
	says := states(items) && !mentions(items)
	switch _, t := has(items, told); {
	case t && r.toldOf(items):
		r.tell(items)
	case words(items) == 0:
		r.translate(items)
	case !says && r.meant(items):
		r.interval(items)
	case !says && r.continues(items):
		r.translate(items)
	case !says:
		r.lineOfWords(items)
	default:
		r.mixed(r.labelBehind(items, separator))
	}
	if separator.kind == stop && says {
		r.replace([]item{separator}, "\n")
	} else if separator.kind == stop || separator.kind == colon && (!says && words(items) > 0 ||
		plainWords(items) && items[0].text != "at" && r.statesAfter(separator) ||
		!point(items) && items[0].text != "at" && strings.TrimSpace(lineOf(r.text[separator.to:])) == "") {
		r.replace([]item{separator}, "\n")
	}
}

// behindColon reports whether a colon stands before an item.
func (r *reader) behindColon(it item) bool {
	return strings.HasSuffix(strings.TrimRight(r.text[:it.from], " \t"), ":")
}

// layer reads the interval before a colon, "wool, 0 < x < 1: k T” = 0", as one of its own.
func (r *reader) layer(items []item, separator item) bool {
	k := 0
	for k < len(items) && items[k].word && !changing[items[k].text] {
		k++
	}
	from := slices.IndexFunc(r.items, func(it item) bool { return it.from >= separator.to })
	if !domain(items[k:]) || words(items[k:]) > 0 || len(items) < k+5 || holds(items, prime) || from < 0 {
		return false
	}
	end := from
	for end < len(r.items) && !r.items[end].kind.separates() {
		end++
	}
	if !holds(r.items[from:end], prime) { // 0 < x < 1: k = 2 gives k on a part
		return false
	}
	if k > 0 {
		r.remark(items[:k], "\n")
	}
	r.replace([]item{separator}, "\n")
	return true
}

// holds reports whether one of the items is of a kind.
//
//go:noinline
func holds(items []item, k kind) bool {
	return slices.ContainsFunc(items, func(it item) bool { return it.kind == k })
}

// labelBehind passes over "and no heat leaves the other end:", the label of what follows, behind mathematics.
func (r *reader) labelBehind(items []item, separator item) []item {
	from := len(items)
	for from > 0 && items[from-1].word && items[from-1].kind == letters {
		from--
	}
	for from < len(items) && !says(items[from:from+1], "and", "while", "und", "et") && !fulfils[items[from].text] {
		from++
	}
	if separator.kind != colon || from == len(items) || len(items)-from < 3 && !fulfils[items[from].text] ||
		from == 0 || !states(items[:from]) || !r.statesAfter(separator) {
		return items
	}
	for _, it := range items[from:] {
		if changing[it.text] && it.text != "no" || cases[it.text] {
			return items
		}
	}
	r.remark(append(items[from:len(items):len(items)], separator), "\n")
	return items[:from]
}

// continues reports whether a clause without a relation is mathematics that a keyword begins, as "on (0, 1)" or "for
// x in [0, 1]".
func (r *reader) continues(items []item) bool {
	for _, it := range items {
		if it.word && !keywords[it.text] && joining[it.text] == "" {
			return false
		}
	}
	return true
}

// translate gives joining words of other languages, those that begin with a capital, and "when" and "as" before a
// point, their form in the notation.
func (r *reader) translate(items []item) {
	for i, it := range items {
		if it.kind != letters || it.math || r.names[r.text[it.from:it.to]] {
			continue
		}
		point := i+2 < len(items) && (items[i+1].kind == symbol || items[i+1].kind == letters) &&
			items[i+2].kind == relation && (items[i+2].text == "=" || items[i+2].text == "→" || items[i+2].text == "->")
		switch {
		case modulus(items[i+1:]) && (it.text == "as" || it.text == "when" || it.text == "for"):
			r.replace(items[i:i+1], " at ")
		case point && (it.text == "when" || it.text == "as" || it.text == "if" || it.text == "en" || it.text == "in" ||
			it.text == "bei" || it.text == "im" || it.text == "for" && i > 0 && items[i-1].text == "and" &&
			!r.constant(items[i+1])):
			r.replace(items[i:i+1], " at ")
		case joining[it.text] != "":
			r.replace(items[i:i+1], " "+joining[it.text]+" ")
		case keywords[it.text] && it.text != r.text[it.from:it.to]:
			r.replace(items[i:i+1], it.text) // At x = 0
		}
	}
}

// modulus reports whether items begin like "|x| → ∞".
func modulus(items []item) bool {
	return len(items) > 3 && items[0].text == "|" && (items[1].kind == symbol || items[1].kind == letters) &&
		items[2].text == "|" && items[3].kind == relation && (items[3].text == "→" || items[3].text == "->")
}

// label passes over what stands before a colon: words, or a short name such as BC1.
func (r *reader) label(items []item, separator item) bool {
	if states(items) {
		return false
	}
	w := words(items)
	if w == 0 && (len(items) > 2 || items[0].kind == closing || items[0].kind == operator) {
		return false
	}
	if _, t := has(items, told); t && r.toldOf(items) {
		return false
	}
	all := append(append([]item{}, items...), separator)
	if _, bad := has(items, cases); bad {
		r.doubt(all, "paste one case at a time")
		return true
	}
	if !r.statesAfter(separator) && w == 0 {
		return false // "k: 2"
	}
	r.remark(all, "\n")
	return true
}

// statesAfter reports whether a relation or the end of the line follows an item on its line.
func (r *reader) statesAfter(it item) bool {
	rest := lineOf(r.text[it.to:])
	if strings.TrimSpace(rest) == "" {
		return true
	}
	for _, other := range r.items {
		if other.from >= it.to && other.from < it.to+len(rest) && (other.kind == relation || other.kind == prime) {
			return true
		}
	}
	return false
}

// brackets passes over brackets that hold words, and returns the items outside of them.
func (r *reader) brackets(items []item, separator item) []item {
	if !slices.ContainsFunc(items, func(it item) bool { return it.kind == opening }) {
		return items
	}
	out := make([]item, 0, len(items))
	for i := 0; i < len(items); i++ {
		if items[i].kind != opening {
			out = append(out, items[i])
			continue
		}
		end := closed(items, i)
		if end == len(items) {
			return append(out, items[i:]...)
		}
		group, inner := items[i:end+1], items[i+1:end]
		behind := i > 0 && !items[i].space && items[i-1].kind != closing
		n := 0
		for _, it := range inner {
			if it.word && !keywords[it.text] {
				n++
			}
		}
		label := separator.kind == colon && states(inner) && n == 0 && words(items[:i]) > 0 && end == len(items)-1 &&
			!states(items[:i])
		_, changes := has(inner, changing)
		switch {
		case label:
			return r.bracketLabel(items, i, end, separator)
		case i > 1 && states(inner) && items[0].text == "no" && words(items[:i]) == i:
			r.remark(items[:i], "\n") // no flux at the wall (c' = 0 at z = 0)
			out = nil
			r.replace(group[:1], "\n")
			r.line(inner)
			r.replace(group[len(group)-1:], "\n")
		case n == 0 && len(out) > 0 && end+1 < len(items) && items[end+1].word && r.values(inner) && r.aside(items):
			r.remark(out, "\n") // a copper rod (k = 390) loses heat along its side
			out = nil
			r.replace(group[:1], "\n")
			r.replace(group[len(group)-1:], "\n")
		case n == 0 && (i == 0 || states(items[:i]) && group[0].space) && r.values(inner) && r.bracketEnds(items, end):
			if len(out) > 0 {
				r.clause(out, item{kind: lineEnd})
			}
			out = nil
			r.replace(group[:1], "\n")
			r.replace(group[len(group)-1:], "\n")
		case i > 0 && len(inner) > 0 && inner[0].text == "at" && inner[0].kind == letters && point(inner[1:]):
			r.replace(group[:1], " ") // u = 1 (at x = 0)
			r.replace(group[len(group)-1:], " ")
			out = append(out, inner...)
		case unitsOnly(inner):
			r.remark(group, "")
		case n == 0 || behind:
			out = append(out, group...)
		case changes && (states(inner) || holdsNumber(inner)), !states(inner) && (r.doubtful(inner) ||
			r.noted(inner)):
			r.doubt(group, "")
		case i > 0 && items[i-1].kind == number && end+1 < len(items) && items[end+1].kind == operator:
			r.doubt(group, "") // 20 (winter) / 30 (summer)
		case !slices.ContainsFunc(inner, func(it item) bool { return it.kind == relation || it.text == "in" }) &&
			!r.doubtful(inner):
			r.remark(group, "") // (dots denote d/dt)
		case states(inner):
			if words(out) > 0 && !states(out) && end+1 < len(items) {
				r.clause(out, item{kind: lineEnd}) // a beam (length L = 4) carries a load
				out = nil
			}
			r.replace(group[:1], "\n")
			r.line(inner)
			r.replace(group[len(group)-1:], "\n")
		default:
			r.remark(group, "")
		}
		i = end
	}
	return out
}

// bracketLabel reads a label whose bracket, items i to end, says where it is: "Layer A (0 < x < a):" and
// "Left end (x = 0):".
func (r *reader) bracketLabel(items []item, i, end int, separator item) []item {
	r.remark(items[:i], "\n")
	r.replace(items[i:i+1], "")
	if domain(items[i+1 : end]) {
		r.replace([]item{items[end], separator}, "\n")
		return nil
	}
	r.replace(items[end:end+1], "")
	return append(append([]item{}, items[i+1:end]...), items[end+1:]...)
}

// aside reports whether values in brackets stand within a sentence that is a remark: nothing but words beside them,
// none of which may change what formulas say.
func (r *reader) aside(sentence []item) bool {
	var rest []item
	for i := 0; i < len(sentence); i++ {
		it := sentence[i]
		if end := closed(sentence, i); it.kind == opening && it.space && end < len(sentence) &&
			r.values(sentence[i+1:end]) {
			i = end
			continue
		}
		if it.text != "side" && it.text != "sides" && it.text != "degrees" {
			rest = append(rest, it)
		}
	}
	_, changes := has(rest, changing)
	return words(rest) > 3 && lone(rest) && !states(rest) && !changes && !placesIn(rest) && !r.doubtful(rest)
}

// values reports whether items give values only, as in (ε = 0.1, k = 2), and none of them to what may be the variable.
func (r *reader) values(items []item) bool {
	_, by := r.orders()
	if k := slices.IndexFunc(items, func(it item) bool { return it.kind == comma || it.kind == semicolon }); k > 4 &&
		domain(items[:k]) && words(items[:k]) == 0 && !holds(items[:k], prime) {
		items = items[k+1:] // (0 < x < 0.2, k = 0.8)
	}
	begins := true
	for i, it := range items {
		name := r.text[it.from:it.to]
		switch {
		case it.kind == prime || it.kind == relation && it.text != "=" || it.kind == lineEnd:
			return false
		case begins && (it.kind != symbol && it.kind != letters || i+2 >= len(items) || items[i+1].text != "=" ||
			name == by || by == "" && (usual[name] || r.argument(name)) || r.unknowns()[name]):
			return false
		}
		begins = it.kind == comma || it.kind == semicolon || it.kind == blank
	}
	return len(items) > 2 && !begins
}

// unitsOnly reports whether items say in which units names are meant: T in °C, x in m.
func unitsOnly(items []item) bool {
	begins, in := true, false
	for i, it := range items {
		switch {
		case begins:
			if i+2 >= len(items) || it.kind != symbol && it.kind != letters || items[i+1].text != "in" {
				return false
			}
			begins, in = false, false
		case it.kind == comma || it.kind == semicolon:
			begins = true
		case it.text == "in" && !in:
			in = true
		case it.kind == relation || it.kind == prime || it.kind == opening || it.kind == number:
			return false
		}
	}
	return !begins
}

// bracketEnds reports whether nothing follows the bracket that item end of a clause closes but more brackets.
func (r *reader) bracketEnds(items []item, end int) bool {
	return end+1 == len(items) || items[end+1].kind == opening && items[end+1].space
}

func holdsNumber(items []item) bool {
	for _, it := range items {
		if it.kind == number {
			return true
		}
	}
	return false
}

// domain reports whether items are an inequality.
//
//go:noinline
func domain(items []item) bool {
	n := 0
	for _, it := range items {
		if it.kind == relation {
			if it.text == "=" || it.text == "→" || it.text == "->" {
				return false
			}
			n++
		}
	}
	return n > 0
}

// allEnds finds "at both ends" and its kin from item i on, and returns how many items they are.
func allEnds(items []item, i int) int {
	if !allOf[items[i].text] {
		return 0
	}
	for k := i + 1; k < len(items) && k < i+5; k++ {
		switch w := items[k].text; {
		case endWords[w]:
			return k + 1 - i
		case !items[k].word:
			return 0
		}
	}
	return 0
}

// tell keeps of "the solution u remains bounded as x → ∞" what says it: u bounded at x → ∞.
func (r *reader) tell(items []item) {
	var left []item
	if r.soleEnd(items) {
		at := slices.IndexFunc(items, func(it item) bool { return it.text == "at" })
		behind := at + 1
		for behind < len(items) && !items[behind].word {
			behind++
		}
		for name := range r.unknowns() {
			r.leaveOut(items[:at], name+" finite ")
		}
		if behind < len(items) {
			r.replace(items[behind:], "")
		}
		return
	}
	for i, it := range items {
		p := i + 1
		for p < len(items) && items[p].word {
			p++
		}
		switch {
		case it.kind == letters && told[it.text] || !it.word:
		case pointing[it.text] || (it.text == "on" || it.text == "an" || it.text == "auf") && point(items[p:]):
			if it.text != "at" {
				r.replace([]item{it}, " at ")
			}
		case origin[it.text] && !point(items[p:]):
			r.replace([]item{it}, " 0 ")
		case it.text == "with" || it.text == "and" || it.text == "where":
		case joining[it.text] != "":
			r.replace([]item{it}, " "+joining[it.text]+" ")
		default:
			left = append(left, it)
			r.replace([]item{it}, "")
		}
	}
	if len(left) > 0 {
		r.note("the words ", left, " are left out")
	}
}
