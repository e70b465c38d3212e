package prose

import (
	"slices"
	"sort"
	"strings"

	"nodespan/expr/notation"
)

// A Result says how a text is read: with which stretches passed over or replaced, and why.
type Result struct {
	// Edits are in the order of the text and do not overlap.
	Edits []notation.Edit
	// Notes say what was passed over, Faults what cannot be.
	Notes  []Note
	Faults []Fault
	// Remarks are the stretches that are no mathematics at all.
	Remarks []Stretch
}

// A Stretch is a part of the text, in bytes.
type Stretch struct{ From, To int }

// A Note is a choice of the reader, in words.
type Note struct {
	From, To int
	Text     string
}

// A Fault is what a person would ask about: words that may carry mathematics, a number that may be a label.
type Fault struct {
	From, To  int
	Msg, Hint string
}

// Read finds the words of a text.
func Read(text string) Result {
	s := &scanner{text: text, items: make([]item, 0, len(text)/2+8)}
	s.run()
	r := &reader{text: text, items: s.items, edits: s.edits, faults: s.faults}
	r.dotted()
	r.names = used(r.items, text)
	for i := range r.items {
		r.items[i].word = isWord(r.items[i], text, r.names) || r.plainWord(i)
	}
	r.spanish()
	r.headings()
	r.ordered()
	r.marked()
	r.implied()
	r.limits()
	r.distant()
	r.together()
	r.signature()
	r.schemes()
	r.continuous()
	r.outward()
	r.small()
	r.pointed()
	r.exacts()
	r.equals()
	r.worths()
	r.vanishing()
	r.prescribed()
	r.bracketed()
	r.places()
	r.periods()
	r.tabled()
	r.betweens()
	r.symmetry()
	r.assumed()
	r.asides()
	r.endLabels()
	r.ranges()
	r.questions()
	r.wanted()
	r.ends()
	r.side()
	r.placed()
	r.remainder()
	r.alternatives()
	r.choices()
	r.numbers()
	r.bracketedNames()
	r.bullets(s.dashes)
	for _, line := range r.lines() {
		r.line(line)
	}
	return r.result()
}

// spanish takes the y between two statements, and the a of "sujeta a", for words where the text does not use them as
// names and holds another word of that language.
func (r *reader) spanish() {
	other := slices.ContainsFunc(r.items, func(it item) bool { return it.kind == letters && castilian[it.text] })
	named := r.names["y"]
	for i := 1; i < len(r.items); i++ {
		it := &r.items[i]
		switch r.text[it.from:it.to] {
		case "a":
			if before := r.items[i-1].text; before == "sujeto" || before == "sujeta" {
				it.kind, it.word = letters, true
			}
		case "e":
			if other && !r.names["e"] && it.space && !it.math && i+2 < len(r.items) && r.items[i+1].space &&
				(r.items[i+2].kind == prime || r.items[i+2].kind == opening) && r.stated(i) {
				r.replace(r.items[i:i+1], " and ")
				it.kind, it.text, it.word = letters, "and", false
			}
		case "y":
			if other && named && it.space && i+2 < len(r.items) && r.items[i+1].space && !it.math &&
				(r.items[i+2].kind == prime || r.items[i+2].kind == opening) && !r.items[i+2].space && r.stated(i) {
				r.replace(r.items[i:i+1], " and ") // y(0) = 0 y y(1) = 1
				it.kind, it.text, it.word = letters, "and", false
			}
			if other && !named && it.space && !it.math && i+1 < len(r.items) && r.items[i+1].space {
				it.kind, it.text, it.word = letters, "y", true
			}
		}
	}
}

// castilian are words that tell that a text is in Spanish.
var castilian = set(`calcula calcule halla con para donde sea sean hallar datos resolver ecuación condiciones
condición solución viga barra
aleta placa según entonces sujeta sujeto encontrar por el los las del es una`)

// ranges takes the words of an interval in words, "x from 0 to 2" and "x between 0 and L", for mathematics.
func (r *reader) ranges() {
	for i := range r.items {
		it := &r.items[i]
		if it.text != "from" && it.text != "between" || i+1 == len(r.items) || r.items[i+1].word ||
			r.items[i+1].kind.separates() {
			continue
		}
		for k := i + 2; k+1 < len(r.items) && k < i+10 && !r.items[k].kind.separates(); k++ {
			if r.items[k].kind == relation && !point(r.items[i+1:]) {
				break // from T(0) = 90 to T(1) = 30
			}
			if end := &r.items[k]; (end.text == "to" || end.text == "and") && !r.items[k+1].word {
				it.word, end.word = false, false
				break
			}
		}
	}
}

// plainWord reports whether item i is the name of a function of reports that stands before no bracket: a word like
// others.
func (r *reader) plainWord(i int) bool {
	it := r.items[i]
	return it.kind == letters && !it.math && worded[it.text] && !r.names[it.text] && (i+1 == len(r.items) ||
		r.items[i+1].kind != opening && r.items[i+1].kind != operator && r.items[i+1].kind != relation)
}

// worded are names of functions that are words too.
var worded = set("mean largest smallest zero integral sign")

// questions keeps what is asked for: "compute the value of y(1)" is a report, and "find λ" is λ = ?.
func (r *reader) questions() {
	for i := range r.items {
		it := r.items[i]
		begins := i == 0 || r.items[i-1].kind.separates() || joining[r.items[i-1].text] != "" ||
			says(r.items[i-1:i], "and", "we", "please", "then", "und", "et", "y") || r.source(r.items[i-1:i]) == "I"
		if !begins || it.kind != letters || !asked[it.text] || it.math {
			continue
		}
		k := i + 1
		if r.items[k-1].text == "gesucht" || r.items[k-1].text == "sought" || r.items[k-1].text == "wanted" {
			if k < len(r.items) && r.items[k].kind == colon {
				k++
			}
		}
		for k < len(r.items) && r.items[k].word && articles[r.items[k].text] {
			k++
		}
		if r.quantityAsked(i, k) {
			continue
		}
		if k = r.apposed(k); k < len(r.items) && r.items[k].kind == operator && k > i+1 {
			r.replace(r.items[i:k], "report ")
			r.mark(r.items[i:k], symbol, "")
			continue
		}
		if k >= len(r.items) || r.items[k].word || r.items[k].kind != symbol && r.items[k].kind != letters {
			continue
		}
		name := r.text[r.items[k].from:r.items[k].to]
		end := k + 1
		for end < len(r.items) && r.items[end].kind == prime && !r.items[end].space {
			end++
		}
		switch {
		case r.over(end) && end == k+1 && !r.names[name]:
			r.replace(r.items[i:k+1], name+" = ?")
			if end+2 < len(r.items) && r.items[end].text == "and" && r.names[r.source(r.items[end+1:end+2])] &&
				(r.items[end+2].word || r.items[end+2].kind.separates()) { // find λ and y with
				r.pass(r.items[end : end+2])
			}
		case end+2 < len(r.items) && r.items[end].kind == opening && r.items[end+2].kind == closing &&
			r.running(end+1) && r.over(end+3) && r.names[name]:
			end += 3
			if end < len(r.items) && r.items[end].kind == colon {
				end++
			}
			r.pass(r.items[i:end]) // find y(x)
			continue
		case end < len(r.items) && r.items[end].kind == opening && !r.items[end].space && r.names[name] &&
			r.overOr(closed(r.items, end)+1, "where", "if", "when", "given", "with", "for", "où", "wo", "si", "se",
				"falls", "wenn"):
			from := i
			if who := r.items[max(i-1, 0)]; i > 0 && (who.text == "we" || r.text[who.from:who.to] == "I" ||
				who.word && !who.kind.separates() && (i == 1 || r.items[i-2].kind.separates())) {
				from--
			}
			r.replace(r.items[from:k], "report ")
			r.mark(r.items[from:k], symbol, "")
			if last := closed(r.items, end) + 1; !r.over(last) {
				r.replace(r.items[last:last+1], "\n") // where u satisfies …
				r.items[last].kind, r.items[last].word = lineEnd, false
				if from > 0 && r.items[from-1].kind == stop {
					r.replace(r.items[from-1:from], "\n")
					r.items[from-1].kind = lineEnd
				}
			}
			r.further(closed(r.items, end) + 1)
		default:
			continue
		}
		for j := i; j < k; j++ {
			r.items[j].word, r.items[j].kind = false, symbol
		}
	}
}

// quantityAsked passes over "find the heat flux at x = L", item i, whose noun is at k or behind it, and says how it is
// asked for: what a flux or a force is stands in no equation.
func (r *reader) quantityAsked(i, k int) bool {
	at := k
	for at < len(r.items) && r.items[at].word && !pointing[r.items[at].text] {
		at++
	}
	if at == k || at >= len(r.items) || r.items[at].text != "at" || !quantities[r.items[at-1].text] {
		return false
	}
	end := at
	for end < len(r.items) && !r.items[end].kind.separates() {
		end++
	}
	r.note("", r.items[i:end], " is not worked out: ask for it by its formula, as in report flux = -k T'(1)")
	r.pass(r.items[i:end])
	return true
}

// apposed returns where the value stands that words name first, "the deflection at midspan, y(L/2)": words from item k
// on, a comma, and an unknown at a point that ends the clause. Elsewhere it returns k.
func (r *reader) apposed(k int) int {
	end := k
	for end < len(r.items) && r.items[end].word {
		end++
	}
	if end > k && end < len(r.items) && r.items[end-1].kind == letters && quantities[r.items[end-1].text] {
		to := end
		for to < len(r.items) && !r.over(to) && r.items[to].kind != relation && !r.items[to].word {
			to++
		}
		if r.over(to) && r.condition(r.items[end:to]) {
			return end // the flux -c'(0)
		}
	}
	if end == k || end+3 >= len(r.items) || r.items[end].kind != comma || !r.names[r.source(r.items[end+1:end+2])] {
		return k
	}
	at := end + 2
	for at < len(r.items) && r.items[at].kind == prime && !r.items[at].space {
		at++
	}
	if at < len(r.items) && r.items[at].kind == opening && !r.items[at].space && r.over(closed(r.items, at)+1) {
		return end + 1
	}
	return k
}

// quantities are nouns for what a formula must give.
var quantities = set("flux flow force moment stress rate shear reaction torque tension current loss fluss moment flujo")

// running reports whether item i is a name without a value: the variable.
func (r *reader) running(i int) bool {
	it := r.items[i]
	name := r.text[it.from:it.to]
	for k := 0; k+1 < len(r.items); k++ {
		if r.source(r.items[k:k+1]) == name && r.items[k+1].text == "=" && (k == 0 || !says(r.items[k-1:k], "at", "for",
			"when", "on")) {
			return false
		}
	}
	return it.kind == symbol
}

// further reads "and y'(0)" behind a value that is asked for as one more.
func (r *reader) further(i int) {
	for i+3 < len(r.items) && (r.items[i].text == "and" || r.items[i].kind == comma) {
		k := i + 1
		if r.items[k].kind != symbol && r.items[k].kind != letters || r.items[k].word {
			return
		}
		for k++; k < len(r.items) && r.items[k].kind == prime && !r.items[k].space; k++ {
		}
		if k >= len(r.items) || r.items[k].kind != opening || r.items[k].space {
			return
		}
		end := closed(r.items, k)
		if !r.over(end + 1) {
			return
		}
		r.replace(r.items[i:i+1], "\nreport ")
		r.items[i].kind, r.items[i].word = lineEnd, false
		i = end + 1
	}
}

// asked are the words of asking that a formula may follow, articles those between.
var (
	asked = set(`find determine compute calculate evaluate obtain seek need want give report state quote estimate
berechne berechnen bestimme bestimmen finde calculer calculez calcule calcula halla halle hallar calcola déterminer déterminez donner trouver hallar calcular
determinar obtener gesucht sought wanted what`)
	articles = set("the a value values of also for first few lowest smallest sie nous is are ist sind est")
)

// over reports whether a clause ends at item i.
//
//go:noinline
func (r *reader) over(i int) bool {
	return i >= len(r.items) || r.items[i].kind.separates() || r.items[i].text == "and"
}

// overOr reports whether a clause ends at item i, or one of the words stands there.
func (r *reader) overOr(i int, words ...string) bool {
	return r.over(i) || says(r.items[i:i+1], words...)
}

// closed returns the item that closes the bracket at i; the last one where none does.
//
//go:noinline
func closed(items []item, i int) int {
	depth := 0
	for ; i < len(items); i++ {
		switch items[i].kind {
		case opening:
			depth++
		case closing:
			if depth--; depth == 0 {
				return i
			}
		}
	}
	return len(items)
}

// A reader decides what is passed over.
type reader struct {
	text   string
	items  []item
	names  map[string]bool
	edits  []notation.Edit
	notes  []Note
	faults []Fault
	rests  []Stretch // remarks
	// derived are the names with a derivative, once asked for.
	derived map[string]bool
	romans  bool // lines are counted (i), (ii) … as far as (iv), so that (v) may be one of them
}

func (r *reader) result() Result {
	sort.SliceStable(r.edits, func(i, j int) bool { return r.edits[i].From < r.edits[j].From })
	var edits []notation.Edit
	for _, e := range r.edits {
		if n := len(edits); n > 0 && e.From < edits[n-1].To {
			edits[n-1].To = max(edits[n-1].To, e.To)
			continue
		}
		edits = append(edits, e)
	}
	rests := r.remarks()
	for _, s := range rests {
		r.notes = append(r.notes, Note{s.From, s.To, "“" + shorten(r.text[s.From:s.To]) + "” is taken as a remark"})
	}
	sort.SliceStable(r.notes, func(i, j int) bool { return r.notes[i].From < r.notes[j].From })
	return Result{Edits: edits, Notes: r.notes, Faults: r.faults, Remarks: rests}
}

// lines cuts the items at the ends of lines.
func (r *reader) lines() [][]item {
	var lines [][]item
	from := 0
	for i, it := range r.items {
		if it.kind == lineEnd {
			if i > from {
				lines = append(lines, r.items[from:i])
			}
			from = i + 1
		}
	}
	if from < len(r.items) {
		lines = append(lines, r.items[from:])
	}
	return lines
}

// states reports whether items hold a relation or a derivative: then they say something.
//
//go:noinline
func states(items []item) bool {
	for i, it := range items {
		if it.kind == relation || it.kind == prime || i+1 < len(items) && it.kind == letters && it.text == "in" &&
			items[i+1].kind == opening {
			return true
		}
	}
	return false
}

func words(items []item) (n int) {
	for _, it := range items {
		if it.word {
			n++
		}
	}
	return n
}

// source returns items as they were written.
//
//go:noinline
func (r *reader) source(items []item) string {
	if len(items) == 0 {
		return ""
	}
	return r.text[items[0].from:items[len(items)-1].to]
}

// short is the source, without its middle where it is long.
func (r *reader) short(items []item) string { return shorten(r.source(items)) }

// replace reads items as text.
//
//go:noinline
func (r *reader) replace(items []item, text string) {
	e := notation.Edit{From: items[0].from, To: items[len(items)-1].to, Text: text}
	if strings.Count(r.text[e.From:e.To], "$")%2 > 0 && strings.HasPrefix(r.text[e.To:], "$") {
		e.To++ // find $\lambda$
	}
	r.edits = append(r.edits, e)
}

// remark passes over items that are no mathematics.
//
//go:noinline
func (r *reader) remark(items []item, separator string) {
	r.replace(items, separator)
	r.rests = append(r.rests, Stretch{items[0].from, items[len(items)-1].to})
}

// remarks are the stretches that are no mathematics; those that only blanks and punctuation part are one.
func (r *reader) remarks() []Stretch {
	sort.SliceStable(r.rests, func(i, j int) bool { return r.rests[i].From < r.rests[j].From })
	var list []Stretch
	for _, s := range r.rests {
		if n := len(list); n > 0 && (s.From <= list[n-1].To || strings.Trim(r.text[list[n-1].To:s.From],
			" \t\r\n.,:;>") == "") {
			list[n-1].To = max(list[n-1].To, s.To)
			continue
		}
		list = append(list, s)
	}
	return list
}

// shorten leaves out the middle of a long text.
func shorten(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	c := []rune(s)
	if len(c) <= 60 {
		return s
	}
	// Whole words, as far as there are any.
	head, tail := string(c[:40]), string(c[len(c)-15:])
	if i := strings.LastIndex(head, " "); i > 0 {
		head = head[:i]
	}
	if i := strings.Index(tail, " "); i >= 0 {
		tail = tail[i+1:]
	}
	return head + " … " + tail
}

// leaveOut passes over words beside mathematics.
func (r *reader) leaveOut(items []item, text string) {
	r.replace(items, text)
	r.note("the words ", items, " are left out")
}

// note says something of words, before and behind them.
//
//go:noinline
func (r *reader) note(before string, items []item, behind string) {
	r.notes = append(r.notes, Note{items[0].from, items[len(items)-1].to, before + "“" + r.short(items) + "”" + behind})
}

// doubt refuses words that may carry mathematics.
func (r *reader) doubt(items []item, hint string) {
	r.replace(items, "\n")
	if hint == "" {
		hint = "write what they say as a formula, or start a comment with #"
	}
	r.faults = append(r.faults, Fault{items[0].from, items[len(items)-1].to,
		"the words “" + r.short(items) + "” may change what the formula says", hint})
}

// has returns the first item whose word is in one of the sets.
func has(items []item, sets ...map[string]bool) (item, bool) {
	for _, it := range items {
		for _, m := range sets {
			if it.kind == letters && m[it.text] {
				return it, true
			}
		}
	}
	return item{}, false
}
