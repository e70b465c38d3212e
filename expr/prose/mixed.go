package prose

import (
	"slices"
	"strings"
)

// chunks cuts a clause into words and mathematics. Names and numbers without a sign between words belong to the words.
func (r *reader) chunks(items []item) []chunk {
	var list []chunk
	depth, from := 0, 0
	for i, it := range items {
		if it.kind == closing {
			depth--
		}
		prose := it.word && depth == 0 && !it.math
		if n := len(list); n == 0 || list[n-1].prose != prose {
			list, from = append(list, chunk{prose: prose}), i
		}
		list[len(list)-1].items = items[from : i+1 : i+1]
		if it.kind == opening {
			depth++
		}
	}
	// Keywords alone join mathematics and are no words, but behind words and a name: "find u with".
	for i := range list {
		if list[i].prose && !plainWords(list[i].items) && !(i > 1 && list[i-2].prose && lone(list[i-1].items)) {
			list[i].prose = false
		}
	}
	list = merged(list)
	for i := 0; i < len(list); i++ {
		beside := i > 0 && list[i-1].prose && i+1 < len(list) && list[i+1].prose
		first := i == 0 && len(list) > 1 && len(list[0].items) <= 4
		if !list[i].prose && (beside || first) && lone(list[i].items) {
			list[i].prose = true
		}
	}
	return merged(list)
}

func merged(list []chunk) []chunk {
	var out []chunk
	for _, c := range list {
		if n := len(out); n > 0 && out[n-1].prose == c.prose {
			out[n-1].items = append(out[n-1].items, c.items...)
			continue
		}
		out = append(out, c)
	}
	return out
}

// plainWords reports whether one of the items is a word that is no keyword.
func plainWords(items []item) bool {
	for _, it := range items {
		if it.word && !keywords[it.text] && joining[it.text] == "" {
			return true
		}
	}
	return false
}

// lone reports whether items are names and numbers only.
func lone(items []item) bool {
	for _, it := range items {
		switch it.kind {
		case symbol, number, opening, closing, mark, letters:
		default:
			return false
		}
	}
	return true
}

// condition reports whether items have a name closed up with a bracket that holds a number or one name, as y(0).
func (r *reader) condition(items []item) bool {
	for i := 1; i+2 < len(items); i++ {
		if items[i].kind != opening || items[i].space || items[i-1].kind == operator || items[i-1].kind == relation {
			continue
		}
		k := i + 1
		if items[k].kind == operator {
			k++
		}
		if k+1 < len(items) && (items[k].kind == number || items[k].kind == symbol) && (items[k+1].kind == closing ||
			items[k+1].kind == operator) {
			return true
		}
	}
	for i := range items {
		if items[i].text == "at" && items[i].kind == letters || items[i].kind == mark && items[i].text == "|" {
			return true
		}
	}
	return false
}

// point reports whether items begin like "x = 0" or "x → ∞".
//
//go:noinline
func point(items []item) bool {
	return len(items) > 2 && (items[0].kind == symbol || items[0].kind == letters) && items[1].kind == relation &&
		(items[1].text == "=" || items[1].text == "→" || items[1].text == "->")
}

// mixed reads a clause that holds words and mathematics.
func (r *reader) mixed(items []item) {
	list := r.chunks(items)
	if mentionsPoint(list) {
		r.lineOfWords(items)
		return
	}
	stated := false
	for i, c := range list {
		if !c.prose {
			r.translate(c.items)
			stated = stated || states(c.items)
			continue
		}
		var left, right []item
		if i > 0 {
			left = list[i-1].items
		}
		if i+1 < len(list) {
			right = list[i+1].items
		}
		switch {
		case left == nil && right == nil:
			r.lineOfWords(c.items)
		case left == nil:
			r.leadIn(c.items, right)
		case right == nil:
			r.trailing(c.items, left)
		case says(c.items[:1], "while", "whereas", "and") && says(c.items[len(c.items)-1:], "at") && i+3 < len(list) &&
			point(right) && list[i+2].prose && states(list[i+3].items):
			r.leaveOut(c.items, "\n at ") // y = 1 while at x = 1 the slope y' = 0
		default:
			r.between(c.items, left, right, stated)
		}
	}
}

// legend reports whether a clause explains a name, as "s = arc length".
func (r *reader) legend(list []chunk) bool {
	n := len(list)
	if n < 2 || !list[n-1].prose || list[n-2].prose || holdsNumber(list[n-1].items) {
		return false
	}
	m := list[n-2].items
	k := len(m)
	return k >= 2 && m[k-1].kind == relation && m[k-1].text == "=" && m[k-2].kind != closing && m[k-2].kind != prime &&
		(k == 2 || m[k-3].kind == letters)
}

// mentionsPoint reports whether a clause of words only mentions a point, as in "my result at x = 0.5 looks off".
func mentionsPoint(list []chunk) bool {
	if len(list) != 3 || !list[0].prose || list[1].prose || !list[2].prose || !point(list[1].items) ||
		holdsNumber(list[2].items) {
		return false
	}
	_, key := tail(list[0].items)
	m := list[1].items
	return key == "at" && len(m) <= 5 && (m[2].kind == number || m[2].kind == symbol || m[2].kind == operator)
}

// tail cuts off a keyword that words end with before a point or an interval: "is held at x = 0".
func tail(items []item) (words []item, keyword string) {
	last := items[len(items)-1]
	switch last.text {
	case "at", "when", "as", "for", "on", "in", "bei", "für", "pour", "para", "sur", "auf", "en", "im", "dans":
		return items[:len(items)-1], last.text
	}
	return items, ""
}

// leadIn reads the words before mathematics.
func (r *reader) leadIn(items, right []item) {
	_, key := tail(items)
	condition := r.condition(right) || key != "" && point(right) || r.locates(items, right)
	if _, bad := has(items, changing); bad || operates(items) || r.corrects(items) {
		r.doubt(items, "")
		return
	}
	if placesIn(items) && !condition {
		r.doubt(items, "")
		return
	}
	if !joins(right[0]) && !(key != "") {
		return // an operator follows, so that the words are names: the reader of mathematics says so
	}
	last := items[len(items)-1]
	n := words(items)
	known := common[last.text] || keywords[last.text] || joining[last.text] != "" || told[last.text] ||
		asking[last.text] || asides[last.text] || fulfils[last.text] || condition && places[last.text]
	declares := len(right) > 1 && (right[0].kind == symbol || right[0].kind == letters) &&
		(right[1].kind == relation || right[1].kind == opening && !right[1].space)
	if !known && n < 2 && !declares && !domain(right) {
		return
	}
	separator := "\n"
	switch {
	case key != "" && point(right) && key != "on" && key != "in" && !r.constant(right[0]), r.locates(items, right):
		separator = "\n at "
	case key == "on" || key == "in" || key == "for":
		separator = "\n"
	}
	r.leaveOut(items, separator)
}

// restated reports whether items are a point that ends its clause, and the next one begins with a value there: "with
// Dirichlet data at x = 0, u(0) = 0".
func (r *reader) restated(items []item) bool {
	next := slices.IndexFunc(r.items, func(it item) bool { return it.from >= items[len(items)-1].to })
	if next < 0 || next+4 >= len(r.items) || r.items[next].kind != comma && r.items[next].kind != colon {
		return false
	}
	for next++; next < len(r.items) && (r.items[next].word || r.items[next].text == "and"); next++ {
	}
	end := r.valueAt(next, len(r.items))
	return end > 0 && strings.HasSuffix(r.source(r.items[next:end]), "("+r.source(items[2:])+")")
}

// pointOf reports whether items give the variable a value.
func (r *reader) pointOf(items []item) bool {
	return point(items) && !r.constant(items[0]) && !r.unknowns()[r.source(items[:1])]
}

// locates reports whether words name an end before its point: "am linken Rand x = 0", "at the left end x = 0".
func (r *reader) locates(items, right []item) bool {
	if !point(right) || right[1].text != "=" || r.constant(right[0]) || r.unknowns()[r.source(right[:1])] {
		return false
	}
	i := len(items)
	for i > 0 && sided[items[i-1].text] {
		i--
	}
	return i > 0 && i < len(items) && (allOf[items[i-1].text] || items[i-1].text == "à" || items[i-1].text == "al")
}

// joins reports whether mathematics can begin with an item.
func joins(it item) bool {
	switch it.kind {
	case operator:
		return it.text == "-" || it.text == "−" || it.text == "–"
	case relation, closing:
		return false
	}
	return true
}

// between reads words between two pieces of mathematics.
// stated says that a statement stands before them.
func (r *reader) between(items, left, right []item, stated bool) {
	if last := left[len(left)-1]; last.kind == operator || last.kind == relation {
		return // names, which the reader of mathematics knows or not
	}
	if !joins(right[0]) {
		return
	}
	if _, bad := has(items, changing); bad || operates(items) {
		r.doubt(items, "")
		return
	}
	_, key := tail(items)
	switch {
	case r.source(items) == "subject to":
		return // the reader of mathematics knows it
	case point(right) && r.restated(right):
		r.leaveOut(append(items[:len(items):len(items)], right...), "")
	case states(right) && point(right) && key != "" && key != "on" && key != "in" && !r.constant(right[0]):
		if len(items) == 2 && joining[items[0].text] == "and" {
			r.replace(items, " and at ") // en x = 0 et en x = L
			return
		}
		r.leaveOut(items, " at ")
	case states(right) && len(left) < 6 && !r.condition(right) && (left[0].text == "at" && point(left[1:]) ||
		point(left) && !r.constant(left[0]) && !r.unknowns()[r.source(left[:1])]) && !r.pointOf(right):
		r.leaveOut(items, ", ") // at x = 0 the temperature is u = 3
	case (key != "" || ranged[items[len(items)-1].text]) &&
		(right[0].kind == opening || domain(right)):
		r.leaveOut(items, " on ")
	case states(right) && (stated || fulfils[items[len(items)-1].text]):
		if placesIn(items) && !r.condition(right) {
			r.doubt(items, "")
			return
		}
		r.leaveOut(items, "\n")
	case lone(right):
		r.trailing(append(append([]item{}, items...), right...), left)
	default:
		r.doubt(items, "")
	}
}

// constant reports whether an item cannot be the variable, but is a name that has a value: the T_b of "a wall at T_b =
// 120".
func (r *reader) constant(it item) bool {
	name := r.text[it.from:it.to]
	if it.math || usual[name] {
		return false
	}
	if len(name) > 1 && strings.ContainsAny(name, "_0123456789") {
		return true
	}
	_, by := r.orders()
	return by != name && by != "" || by == "" && !r.argument(name)
}

// usual are the names that variables mostly have.
var usual = set("x y z r s t X Z R η ξ ζ ρ θ φ τ σ eta xi zeta rho theta phi tau sigma")

// argument reports whether a name stands alone in brackets behind another, as in y(k).
func (r *reader) argument(name string) bool {
	for i := 1; i+2 < len(r.items); i++ {
		if r.items[i].kind == opening && !r.items[i].space && r.items[i+2].kind == closing &&
			r.source(r.items[i+1:i+2]) == name {
			return true
		}
	}
	return false
}

// placesIn reports whether words speak of a part of the interval.
func placesIn(items []item) bool {
	for i, it := range items {
		if it.kind != letters || !places[it.text] {
			continue
		}
		k := i + 1
		if it.text == "between" && i > 0 && items[i-1].text == "in" && (k == len(items) || items[k].word) {
			continue // in between
		}
		if k < len(items) && measured[items[k].text] {
			continue // the inner radius
		}
		for k < len(items) && k < i+3 && !counted[items[k].text] {
			k++
		}
		if !ordinals[it.text] || k == len(items) || !counted[items[k].text] {
			return true
		}
	}
	return false
}

// ranged are nouns before an interval.
var ranged = set(`interval domain range intervall bereich gebiet intervalle l'intervalle intervalo intervallo
nell'intervallo sull'intervallo nell’intervallo l’intervalle dominio domaine`)

// bodies are nouns for the whole of what an equation holds in.
var bodies = set(`domain interval plate slab rod bar wall beam fin channel pipe tube film sphere cylinder pellet medium
reactor column plaque barre mur tige domaine poutre stab platte wand balken gebiet rippe rohr barra placa pared viga`)

// fulfils are what may stand last between what is named and its equation: verbs, and the "that" of "such that".
var fulfils = set(`satisfies satisfy satisfying obeys obey reads fulfils solves follows erfüllt genügt löst lautet
vérifie vérifiant satisfait satisfaisant cumple verifica satisface soddisfa that que dass sodass daß che`)

// trailing reads words behind mathematics.
func (r *reader) trailing(items, left []item) {
	if last := left[len(left)-1]; last.kind == operator || last.kind == relation {
		return
	}
	first := items[0]
	if _, bad := has(items, changing); bad {
		r.doubt(items, "")
		return
	}
	condition := r.condition(left)
	place := placesIn(items)
	exact := holdsNumber(items)
	switch {
	case asides[first.text] && !exact && (condition || !place):
	case condition && !exact && (first.text == "at" || first.text == "on" || first.text == "in" ||
		first.text == "for") && words(items) > 1:
	case says(items[:1], "in", "im", "dans", "en", "within") && bodies[items[len(items)-1].text] && len(items) < 4 &&
		holds(left, prime) && !condition:
	case closings[first.text] && !exact && !states(items):
	case fulfils[items[len(items)-1].text] && !exact && len(items) < 4, len(items) == 1 && prescribing[first.text]:
	case first.text == "as" || first.text == "so" || first.text == "together" || first.text == "subject" ||
		first.text == "given" || first.text == "under":
	case (first.text == "have" || first.text == "has" || first.text == "admit" || first.text == "admits") &&
		says(items, "solution", "solutions"):
	default:
		if len(items) == 1 {
			return // a name, which the reader of mathematics knows or not
		}
		r.doubt(items, "")
		return
	}
	r.leaveOut(items, "")
}
