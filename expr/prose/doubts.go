package prose

import (
	"slices"

	"nodespan/expr/notation"
)

// What words without a formula may change of the sheet: they are never passed over as a remark.

// doubtful reports whether words without mathematics may change what stands elsewhere: "double the load", "(was 2)",
// "neglect the first term", "scaled by 10", "f is 5".
func (r *reader) doubtful(items []item) bool {
	mod, ok := has(items, modifiers)
	for i, it := range items { // of several not the one that is let pass
		if ok && (mod.text == "again" || mod.text == "same") && it.kind == letters && modifiers[it.text] && i > 0 {
			mod = it
		}
	}
	former, was := has(items, formerly)
	_, subject := has(items, subjects)
	numeric := false
	for i, it := range items {
		numeric = numeric || it.kind == number
		subject = subject || it.kind == number || it.kind == symbol && r.sheetName(items, i)
	}
	_, sets := has(items, resetting)
	_, of := has(items, reset)
	lead := 0
	for lead+1 < len(items) && says(items[lead:lead+1], "please", "then", "also", "now", "just", "bitte") {
		lead++
	}
	switch first := items[lead]; {
	case sets && of && numeric, r.valued(items), r.corrects(items):
		return true // take 9 for the coefficient
	case was && numeric && (items[0] == former || len(items) < 5):
		return true
	case imperative[first.text] && subject && first.kind == letters:
		return true
	case !ok || !subject:
		return false
	case mod.text == "scaled" || mod.text == "multiplied" || mod.text == "divided":
		return numeric
	}
	return !(mod.text == "again" || mod.text == "same" && items[0].text != "same")
}

// sheetName reports whether item i is a name of the mathematics, and no article.
func (r *reader) sheetName(items []item, i int) bool {
	it := items[i]
	if it.kind != symbol && it.kind != letters || it.word || !r.names[r.text[it.from:it.to]] {
		return false
	}
	article := len(it.text) == 1 && i+1 < len(items) && (items[i+1].word || items[i+1].kind == number)
	return !article || it.math || !slices.Contains([]string{"a", "A", "I", "e", "o", "y"}, it.text) ||
		copulas[items[i+1].text]
}

// copulas stand between a name and its value, fillers beside them; stands are the words between a value and the name
// that it is for.
var (
	copulas = set(`is are was were be becomes become equals to of at should must might may could now will has from by
ist sind wird werden sei auf von vaut valait est es vale sea à a e war hat beträgt soll muss starts acts applies begins ends`)
	fillers = set(`really actually then just again also exactly equal set changed raised reduced lowered about
roughly be to at value up out it nun jetzt gleich called that case`)
	stands = set(`for as für pour para per instead`)
)

// valued reports whether words give a name of the sheet a value: "f is 5", "raise f to 3", "take 3 for f".
func (r *reader) valued(items []item) bool {
	if _, own := has(items, results); own {
		return false
	}
	for i := range items {
		if !r.sheetName(items, i) {
			continue
		}
		if i > 1 && stands[items[i-1].text] && items[i-2].kind == number {
			return true
		}
		k, said := i+1, false
		for k < len(items) && k < i+5 && (copulas[items[k].text] || fillers[items[k].text]) {
			said = said || copulas[items[k].text]
			k++
		}
		if k+1 < len(items) && said && (items[k].text == "-" || items[k].text == "−") {
			k++
		}
		if k < len(items) && (items[k].kind == number || items[k].text == "zero" && said) &&
			(items[k].space || items[k-1].kind == operator) &&
			(said || k == i+1) &&
			!r.counting(items, k) && !(said && r.requested(items, i)) {
			return true
		}
	}
	return false
}

// requested reports whether a clause asks for the unknown at item i at a point: "compare y at 0.5".
func (r *reader) requested(items []item, i int) bool {
	return i+1 < len(items) && items[i+1].text == "at" && r.unknowns()[r.text[items[i].from:items[i].to]]
}

// results are words for what somebody worked out: a number beside one of them is no value of the sheet.
var results = set(`result results answer answers solution got get obtain obtained lösung ergebnis resultat résultat
resultado solución`)

// correcting are words that take something back or doubt it; wrong ones do so without a number too, where they speak of
// a part of the sheet.
var (
	correcting = set(`fact sorry oops ups wait correction erratum errata corrigendum typo misprint meant rather actually
really better should might perhaps maybe unsure forget doubt falsch richtig gemeint korrektur muss müsste sollte
quatsch pardon perdón erreur missing wrong lire means`)
	wrong = set("wrong missing incorrect falsch fehlt fehlerhaft")
	parts = set(`sign factor coefficient term terms exponent power condition conditions minus equation vorzeichen faktor
signe signo`)
	// powers are parts of a formula that a number in words changes.
	powers  = set("exponent power coefficient factor number constant")
	several = set("values numbers lengths loads all everything")
	worked  = set("squared cubed inverted negated doubled halved tripled reversed multiplied divided scaled")
)

// next are the words before a value that takes the place of the one before: "a = 2, then 3", "a = 2, or 3".
var next = set(`or then later next now afterwards also resp respectively oder dann später jetzt beziehungsweise bzw ou
puis ensuite o luego después poi oppure`)

// another reports whether a clause gives a second value for the number that ends what stands before it.
func (r *reader) another(items []item) bool {
	if n := len(items); n < 2 || n > 4 || !next[items[0].text] || !holdsNumber(items) {
		return false
	}
	before := len(r.items) - 1
	for before > 0 && (r.items[before].from >= items[0].from || r.items[before].kind.separates()) {
		before--
	}
	return before > 0 && (r.items[before].kind == number || r.items[before].kind == symbol ||
		r.items[before].kind == letters && !r.items[before].word)
}

// corrects reports whether words take a part of the sheet back: "Sorry, 5", "the sign of f is wrong", "the exponent is
// 2", "all values times 1000".
func (r *reader) corrects(items []item) bool {
	if _, own := has(items, results); own {
		return false
	}
	_, bad := has(items, wrong)
	_, part := has(items, parts)
	if bad && part || items[0].text == "plus" || says(items, "everything") && says(items, "else") || r.sloped(items) ||
		says(items, "twice", "half", "double", "doppelt", "deux") && says(items, "as", "so", "fois", "the") &&
			says(items, "long", "large", "big", "wide", "thick", "high", "lang", "gross", "groß", "length", "size") {
		return true
	}
	name, numeric := false, false
	for i, it := range items {
		numeric = numeric || (it.kind == number || numerals[it.text]) && !r.counting(items, i)
		name = name || r.sheetName(items, i)
	}
	if !numeric {
		_, works := has(items, worked)
		return bad && name || r.angular(items) || works && says(items, "all", "everything") ||
			says(items, "same") && says(items, "minus", "sign")
	}
	if says(items, "not") && says(items, "sure") ||
		r.either(items) || r.otherRun(items) || r.unheard(items) {
		return true
	}
	_, corrects := has(items, correcting)
	_, power := has(items, powers)
	_, all := has(items, several)
	return corrects && !says(items, "about", "around", "roughly", "approximately", "like", "etwa", "environ") ||
		power && says(items, "is", "ist", "est", "es", "are", "was") || all && says(items, "times", "by", "mal") ||
		says(items, "beyond", "above", "below") && says(items, "load", "loads", "source", "heating", "no")
}

// otherRun reports whether words speak of a number of the sheet, "the 4 is …", or ask for a run with another:
// "once more with 9".
func (r *reader) otherRun(items []item) bool {
	for i := 1; i < len(items); i++ {
		if items[i].kind != number || r.counting(items, i) {
			continue
		}
		if i+1 < len(items) && r.sheetName(items, i+1) && !notation.IsUnit(r.source(items[i+1:i+2])) {
			return true // perhaps 9 y
		}
		before := items[i-1].text
		if i+1 < len(items) && says(items[i+1:i+2], "is", "are", "was", "ist", "est", "es", "should", "means", "in") &&
			says(items[i-1:i], "the", "die", "der", "le", "el", "la") {
			return true
		}
		if _, runs := has(items, rerun); runs && (before == "with" || before == "for" || before == "mit" ||
			before == "avec" || before == "con") {
			return true
		}
	}
	return false
}

// rerun are words for one more run.
var rerun = set("also again do run redo repeat solve auch nochmal aussi encore también")

// acting are nouns for what acts on a problem, and adding the verbs that make it act.
var (
	acting = set(`load loads force forces source sources heating moment coefficient factor strength support supports
supported term terms add subtract include`)
	numerals = set("two three four five six seven eight nine ten")
)

// unheard reports whether words speak of a load, a source or a coefficient with a number that no formula has: then
// they say what the formulas do not.
func (r *reader) unheard(items []item) bool {
	if _, acts := has(items, acting); !acts {
		return false
	}
	for i, it := range items {
		if it.kind == number && !r.counting(items, i) && !r.withUnit(items, i) && !r.calculatedWith(it, items[0].from) {
			return true
		}
	}
	return false
}

// slopes are nouns for derivatives.
var slopes = set("derivative slope gradient flux moment shear rotation steigung ableitung dérivée pente derivada")

// sloped reports whether words say that a derivative is zero where no formula gives one a value.
func (r *reader) sloped(items []item) bool {
	_, slope := has(items, slopes)
	if !slope || !says(items, "0", "zero", "null", "nulle") || !says(items, "is", "are", "ist", "sind", "est", "es") {
		return false
	}
	for i := range r.items {
		if end := r.valueAt(i, len(r.items)); end > 0 && holds(r.items[i:end], prime) {
			return false
		}
		if r.items[i].text == "at" && i > 0 && slices.ContainsFunc(r.items[max(0, i-8):i], func(it item) bool {
			return it.kind == prime
		}) {
			return false
		}
	}
	return true
}

// withUnit reports whether a unit may follow the number at item i, or a power of ten.
func (r *reader) withUnit(items []item, i int) bool {
	return i+1 < len(items) && !items[i+1].word && items[i+1].kind != stop && items[i+1].kind != comma
}

// calculatedWith reports whether a statement of the text holds a number, other than the words at the place at.
func (r *reader) calculatedWith(figure item, at int) bool {
	from := 0
	for i := 0; i <= len(r.items); i++ {
		if i < len(r.items) && (!r.items[i].kind.separates() || r.items[i].kind == comma) {
			continue
		}
		if clause := r.items[from:i]; states(clause) && !(clause[0].from <= at && at <= clause[len(clause)-1].from) {
			for k, it := range clause {
				if it.kind == number && r.source(clause[k:k+1]) == r.text[figure.from:figure.to] &&
					(k == 0 || !clause[k-1].word) {
					return true
				}
			}
		}
		from = i + 1
	}
	return false
}

// noted reports whether a bracket begins with a number that words follow, as in "a = 2 (3 at night)", or speaks of a
// part of the interval: "(x up to 0.5)", "(core only)".
func (r *reader) noted(inner []item) bool {
	_, place := has(inner, places)
	if says(inner, "only", "nur") || holdsNumber(inner) && (place || says(inner, "up", "until", "till", "bis")) {
		return true
	}
	return len(inner) > 1 && inner[0].kind == number && inner[1].word && inner[1].space && !r.counting(inner, 0)
}

// operations are words that work on the value behind them.
var operations = set(`minus plus half twice square root log logarithm sum difference product ratio reciprocal inverse
absolute modulus times average third quarter percent halb hälfte quadrat moitié mitad carré cuadrado`)

// operates reports whether words before mathematics work on it: "half of y(1) = 1", "minus y(1) = 1".
func operates(items []item) bool {
	for i := len(items) - 1; i >= 0; i-- {
		switch it := items[i]; it.text {
		case "of", "the", "value", "values", "von", "de", "a":
		default:
			return it.kind == letters && operations[it.text]
		}
	}
	return false
}

// angular reports whether words say that angles are in degrees where the sheet has functions of angles.
func (r *reader) angular(items []item) bool {
	if !says(items, "degrees") || says(items, "celsius", "c", "kelvin", "temperature", "temperatures", "freedom") {
		return false
	}
	return says(items, "angle", "angles") || slices.ContainsFunc(r.items, func(it item) bool {
		return slices.Contains([]string{"sin", "cos", "tan", "\\sin", "\\cos", "\\tan"}, it.text)
	})
}

// either reports whether items leave open which of two numbers it is: 4 or 9.
func (r *reader) either(items []item) bool {
	for i := 1; i+1 < len(items); i++ {
		if says(items[i:i+1], "or", "oder", "ou", "o") && items[i-1].kind == number && items[i+1].kind == number &&
			!r.counting(items, i+1) {
			return true
		}
	}
	return false
}

// counting reports whether the number at item i is one of a page or a figure, or counts what is no part of the
// mathematics: 3 points, 4 digits.
func (r *reader) counting(items []item, i int) bool {
	return i > 0 && (numbered[items[i-1].text] || months[items[i-1].text] ||
		says(items[i-1:i], "eq", "eqs", "fig", "page", "p", "room", "ch", "case", "fall", "cas", "caso", "model",
			"test", "type", "variant")) ||
		i+1 < len(items) && (counted[items[i+1].text] || countable[items[i+1].text] || months[items[i+1].text])
}

// months stand beside the numbers of a date.
var months = set(`january february march april june july august september october november december jan feb mar apr jun
jul aug sep oct nov dec januar februar märz mai juni juli oktober dezember janvier février mars avril juin juillet
août septembre octobre novembre décembre enero febrero marzo abril mayo junio julio agosto septiembre octubre
noviembre diciembre`)

// countable are nouns of what is counted in a text, besides modes and levels.
var countable = set(`points point marks mark digits decimals decimal places pages minutes min hours days pm am times
elements nodes steps iterations layers layer punkte stellen chiffres cifras puntos pt pts pkt p`)
