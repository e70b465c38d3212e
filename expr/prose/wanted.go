package prose

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Values that are asked for in any order of words, and names that are only put in order.

// wishes are words of asking besides those that may begin a clause.
var wishes = set(`ges need want wanted required sought give send show tell compute find calculate determine
evaluate report know what
ausrechnen berechnen bestimmen sagen geben gesucht brauche calculer donner trouver déterminer calcular pide piden quiero
necesito groß gross vale cuánto combien wieviel calcula halla calcule hallar trovare calcolare`)

// wanted reads "could you work out y(0.5)" and "Find: w(L/2)" as reports: a clause of words without a relation, one of
// which asks, and values of unknowns at points.
func (r *reader) wanted() {
	for from := 0; from < len(r.items); {
		to := from
		for to < len(r.items) && (!r.items[to].kind.separates() && !r.goesOnAsking(to) ||
			r.items[to].kind == colon && r.asks(r.items[from:to])) {
			to++
		}
		r.want(from, to)
		from = to + 1
	}
}

func (r *reader) asks(items []item) bool {
	_, ok := has(items, wishes)
	return ok
}

// goesOnAsking reports whether item i is the "and" of "y(1) = 2 and send me y'(0)".
func (r *reader) goesOnAsking(i int) bool {
	return says(r.items[i:i+1], "and", "und", "et") && i+1 < len(r.items) && r.items[i+1].word &&
		wishes[r.items[i+1].text]
}

// want reads the clause of the items [from, to).
func (r *reader) want(from, to int) {
	clause := r.items[from:to]
	_, changes := has(clause, changing)
	if !r.asks(clause) || changes || slices.ContainsFunc(clause, func(it item) bool {
		return it.kind == relation || it.kind == operator && it.text != "/" && it.text != "-"
	}) {
		return
	}
	var values [][2]int // items of values
	for i := from; i < to; i++ {
		if end := r.valueAt(i, to); end > 0 {
			values = append(values, [2]int{i, end})
			i = end - 1
		} else if it := r.items[i]; !it.word && it.text != "and" && it.kind != comma && it.kind != colon &&
			it.kind != mark &&
			(it.kind != symbol && it.kind != letters || it.math || r.names[r.source(r.items[i:i+1])]) {
			return
		}
	}
	rest := from
	for _, v := range values {
		if v[0] > rest {
			r.replace(r.items[rest:v[0]], "\nreport ")
			r.note("", r.items[rest:v[1]], " asks for "+r.source(r.items[v[0]:v[1]]))
		} else {
			return
		}
		rest = v[1]
	}
	if len(values) > 0 && from > 0 && r.items[from-1].text == "and" {
		r.replace(r.items[from-1:from], "\n")
		r.items[from-1].kind = lineEnd
	}
	if len(values) == 0 {
		return
	}
	if rest < to {
		r.replace(r.items[rest:to], "\n")
	}
	for i := from; i < to; i++ {
		r.items[i].kind, r.items[i].word, r.items[i].text = symbol, false, ""
	}
	for i := from; i < values[0][0]; i++ {
		r.items[i].kind = lineEnd
	}
	for i := rest; i < to; i++ {
		r.items[i].kind = lineEnd
	}
}

// valueAt returns where the value of an unknown at a point that begins at item i ends, 0 where none does.
func (r *reader) valueAt(i, to int) int {
	if it := r.items[i]; it.word || !r.unknowns()[r.source(r.items[i:i+1])] {
		return 0
	}
	k := i + 1
	for k < to && r.items[k].kind == prime && !r.items[k].space {
		k++
	}
	if k >= to || r.items[k].kind != opening || r.items[k].space || r.items[k].text == "{" {
		return 0
	}
	if end := closed(r.items, k) + 1; end <= to && end > k+2 && words(r.items[k:end]) == 0 {
		return end
	}
	return 0
}

// numberedName is a name with a number below, and what may stand between two of them.
var (
	numberedName = regexp.MustCompile(`(\\?\pL+)(?:_?\{?(\d+)\}?|([₀-₉]+))`)
	chainLink    = regexp.MustCompile(`^\s*(?:<|≤|\\leq?|\\lt|<=)\s*$`)
	chainTail    = regexp.MustCompile(`^\s*(?:<|≤|\\leq?|\\lt|<=|,)\s*(?:…|\\[lc]?dots\b|\.\.\.)`)
)

// ordered passes over "λ₁ < λ₂ < …", which only puts numbers in their order.
func (r *reader) ordered() {
	if !slices.ContainsFunc(r.items, func(it item) bool {
		return it.kind == relation && (it.text == "<" || it.text == "<=" || it.text == "≤")
	}) {
		return
	}
	list := numberedName.FindAllStringSubmatchIndex(r.text, -1)
	part := func(m []int, k int) string {
		if m[2*k] < 0 {
			return ""
		}
		return r.text[m[2*k]:m[2*k+1]]
	}
	index := func(m []int) int {
		n, _ := strconv.Atoi(subscripts.Replace(part(m, 2) + part(m, 3)))
		return n
	}
	for i := 0; i+1 < len(list); {
		k := i
		for k+1 < len(list) && part(list[k+1], 1) == part(list[i], 1) && index(list[k+1]) == index(list[k])+1 &&
			chainLink.MatchString(r.text[list[k][1]:list[k+1][0]]) {
			k++
		}
		if k == i {
			i++
			continue
		}
		from, to := list[i][0], list[k][1]
		to += len(chainTail.FindString(r.text[to:]))
		r.passText(from, to)
		i = k + 1
	}
}

var subscripts = strings.NewReplacer("₀", "0", "₁", "1", "₂", "2", "₃", "3", "₄", "4", "₅", "5", "₆", "6", "₇", "7",
	"₈", "8", "₉", "9")

// passText passes over the items of a stretch of the text.
func (r *reader) passText(from, to int) {
	first := slices.IndexFunc(r.items, func(it item) bool { return it.from >= from })
	last := slices.IndexFunc(r.items, func(it item) bool { return it.from >= to })
	if last < 0 {
		last = len(r.items)
	}
	if first >= 0 && last > first {
		r.pass(r.items[first:last])
	}
}
