package prose

import (
	"strings"

	"nodespan/expr/notation"
)

// periods reads "periodic with period 2 pi", "that has period L" and "a 2π-periodic solution" as the conditions that
// values and derivatives are the same at 0 and there: where the text has one unknown, and no condition and no interval
// of its own.
func (r *reader) periods() {
	if len(r.unknowns()) != 1 || r.bounds() {
		return
	}
	for i := range r.items {
		if end := r.valueAt(i, len(r.items)); end > 0 && holds(r.items[i:end], number) {
			return // there are conditions
		}
	}
	for i := 1; i+1 < len(r.items); i++ {
		it := r.items[i]
		from, to := i, i+1 // the items that are replaced
		switch {
		case it.kind != letters || it.math:
			continue
		case it.text == "period" && (says(r.items[i-1:i], "with", "has", "have", "of")):
			if from--; from > 0 && r.items[from-1].text == "periodic" {
				from--
			}
			if from > 0 && says(r.items[from-1:from], "that", "which", "and") {
				from--
			}
			if says(r.items[to:to+1], "of", "is") {
				to++
			}
			last := to
			for last < len(r.items) && r.quantity(last) {
				last++
			}
			if last == to || !r.over(last) {
				continue
			}
			r.periodic(from, last, r.source(r.items[to:last]))
		case it.text == "periodic" && r.items[i-1].text == "-":
			for from = i - 1; from > 0 && r.quantity(from-1); from-- {
			}
			if from < i-1 {
				period := r.source(r.items[from : i-1])
				if from > 0 && says(r.items[from-1:from], "a", "the", "one") {
					from--
				}
				r.periodic(from, i+1, period)
			}
		}
	}
}

// quantity reports whether item i can be a part of a number such as 2 π or L.
func (r *reader) quantity(i int) bool {
	it := r.items[i]
	name := r.text[it.from:it.to]
	return it.kind == number || it.text == "/" || it.text == "*" || (it.kind == symbol || it.kind == letters) &&
		!it.word && !r.unknowns()[name] && (strings.TrimLeft(name, "\\") == "pi" || name == "π" || r.names[name])
}

// bounds reports whether the text has an interval.
func (r *reader) bounds() bool {
	for i, it := range r.items {
		if it.kind == relation && it.text != "=" || (it.text == "in" || it.text == "on") && i+1 < len(r.items) &&
			r.items[i+1].kind == opening {
			return true
		}
	}
	return false
}

// periodic states the conditions in place of the items [from, to).
func (r *reader) periodic(from, to int, period string) {
	highest, _ := r.orders()
	period = strings.Trim(strings.ReplaceAll(period, "$", ""), " ")
	text := ""
	for name := range r.unknowns() {
		for k := range highest[name] {
			mark := name + strings.Repeat("'", k)
			text += "\n" + mark + "(0) = " + mark + "(" + period + ")"
		}
	}
	if text == "" {
		return
	}
	at := r.items[from:to]
	r.note("", at, " is read as "+strings.ReplaceAll(strings.TrimPrefix(text, "\n"), "\n", ", "))
	e := notation.Edit{From: at[0].from, To: at[len(at)-1].to, Text: text + "\n"}
	if strings.Count(r.text[e.From:e.To], "$")%2 > 0 && strings.HasSuffix(r.text[:e.From], "$") {
		e.From-- // $2\pi$-periodic
	}
	r.edits = append(r.edits, e)
	for i := range at {
		at[i] = item{kind: lineEnd, from: at[i].from, to: at[i].from}
	}
}
